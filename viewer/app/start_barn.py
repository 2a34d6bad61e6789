"""The barn that a new document begins with: an empty room of a common size."""

from core.model.barn import Barn
from core.model.room import FlatCeiling, Room

__all__ = ["start_barn"]


def start_barn() -> Barn:
    """Return an empty room of 41 by 100 ft under a flat ceiling of 8 ft."""
    room = Room(length=1200.0, width=492.0, ceiling=FlatCeiling(height=96.0))
    return Barn(name="New barn", room=room)
