"""Small rooms with every kind of ceiling, for the tests here."""

from typing import Any

from core.model.room import (
    Ceiling,
    FlatCeiling,
    GableCeiling,
    Room,
    SlopedCeiling,
    StepAxis,
    SteppedCeiling,
)

FLAT = FlatCeiling(height=96.0)
SLOPED = SlopedCeiling(left=96.0, right=120.0)
GABLE = GableCeiling(eave=96.0, ridge=126.0, ridge_y=100.0)
ALONG = SteppedCeiling(starts=(0.0, 200.0, 300.0), heights=(96.0, 84.0, 108.0))
ACROSS = SteppedCeiling(
    axis=StepAxis.ACROSS, starts=(0.0, 120.0), heights=(90.0, 100.0)
)


def room_with(ceiling: Ceiling = FLAT, **changes: Any) -> Room:
    """A room of 40 x 20 ft."""
    return Room(length=480.0, width=240.0, ceiling=ceiling, **changes)
