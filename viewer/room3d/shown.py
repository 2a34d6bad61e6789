"""What the room view shows besides the room itself."""

from dataclasses import dataclass

from viewer.paper.theme import LIGHT, Theme
from viewer.room3d.marks import Clash

__all__ = ["Shown"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """What is shown besides the scene itself."""

    theme: Theme = LIGHT
    lift: float = 0.0
    selection: tuple[str, ...] = ()
    clashes: tuple[Clash, ...] = ()
    stopped: frozenset[str] = frozenset()
    all_envelopes: bool = False
    animals: bool = False
