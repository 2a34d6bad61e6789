"""How high the ceiling is: at a place, and at its lowest over a line in plan.

Every ceiling is a set of fields: plan rectangles over which the height is level
along the room and changes evenly across it. A bulkhead cuts the fields that it
covers and lowers them by its depth, slope and all. Trusses are no part of it.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from core.geometry.shapes import Vec2
from core.model.room import (
    Ceiling,
    FlatCeiling,
    GableCeiling,
    Room,
    SlopedCeiling,
    StepAxis,
    SteppedCeiling,
)

__all__ = [
    "CeilingField",
    "ceiling_fields",
    "ceiling_height",
    "ceiling_top",
    "lowest_ceiling",
    "main_fields",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class CeilingField:
    """A plan rectangle [in] and the ceiling's height [in] at its two y sides.

    ``z(y) = z_low + (z_high - z_low) (y - low_y) / (high_y - low_y)``; edges
    belong to the field.
    """

    low: Vec2
    high: Vec2
    z_low: float
    z_high: float

    def height(self, y: float) -> float:
        """Return the height [in] at y [in]."""
        if self.z_low == self.z_high:
            return self.z_low
        share = (y - self.low[1]) / (self.high[1] - self.low[1])
        return self.z_low + (self.z_high - self.z_low) * share

    def covers(self, x: float, y: float) -> bool:
        """Tell whether a plan point [in] lies in the field or on its edge."""
        return self.low[0] <= x <= self.high[0] and self.low[1] <= y <= self.high[1]

    def cut(self, low: Vec2, high: Vec2, *, lowered: float) -> "CeilingField | None":
        """Return the part inside a plan rectangle, lowered; None if there is none."""
        x0, y0 = max(low[0], self.low[0]), max(low[1], self.low[1])
        x1, y1 = min(high[0], self.high[0]), min(high[1], self.high[1])
        if x0 >= x1 or y0 >= y1:
            return None
        return CeilingField(
            low=(x0, y0),
            high=(x1, y1),
            z_low=self.height(y0) - lowered,
            z_high=self.height(y1) - lowered,
        )


def main_fields(room: Room) -> tuple[CeilingField, ...]:
    """Return the fields of the ceiling itself, bulkheads left out."""
    return tuple(_profile(room.ceiling, room.length, room.width))


def ceiling_fields(room: Room) -> tuple[CeilingField, ...]:
    """Return the fields of the ceiling and of its bulkheads; the lowest counts."""
    main = main_fields(room)
    dropped = [
        field.cut(
            (bulkhead.x, bulkhead.y),
            (bulkhead.x + bulkhead.length, bulkhead.y + bulkhead.width),
            lowered=bulkhead.depth,
        )
        for bulkhead in room.bulkheads
        for field in main
    ]
    return main + tuple(field for field in dropped if field is not None)


def ceiling_height(room: Room, x: float, y: float) -> float:
    """Return the height of the ceiling, or of the bulkhead there.

    On a step or the edge of a bulkhead the lower side counts. A place outside
    the room has the height of the nearest place inside.

    Parameters
    ----------
    room : Room
        The room.
    x, y : float
        Plan place [in].

    Returns
    -------
    float
        Height above the floor [in].

    Examples
    --------
    >>> room = Room(
    ...     length=480.0, width=240.0, ceiling=SlopedCeiling(left=96.0, right=120.0)
    ... )
    >>> ceiling_height(room, 100.0, 60.0)
    102.0
    """
    x, y = min(max(x, 0.0), room.length), min(max(y, 0.0), room.width)
    return min(field.height(y) for field in ceiling_fields(room) if field.covers(x, y))


def lowest_ceiling(room: Room, a: Vec2, b: Vec2) -> float:
    """Return the lowest height of the ceiling over a line in plan.

    Parameters
    ----------
    room : Room
        The room.
    a, b : Vec2
        Ends of the line [in]; what lies outside the room is not looked at.

    Returns
    -------
    float
        Height above the floor [in], bulkheads included.

    Notes
    -----
    The line is clipped to each field (Liang and Barsky's method); over what is
    left the height changes evenly, so that its least value is at an end: exact
    for every ceiling of this model. A line along a step or along the edge of a
    bulkhead has the height of the lower side.

    Examples
    --------
    >>> room = Room(
    ...     length=480.0,
    ...     width=240.0,
    ...     ceiling=GableCeiling(eave=96.0, ridge=120.0, ridge_y=120.0),
    ... )
    >>> lowest_ceiling(room, (0.0, 60.0), (480.0, 120.0))
    108.0
    """
    lowest = math.inf
    for field in ceiling_fields(room):
        for y in _clipped_ends(a, b, field):
            lowest = min(lowest, field.height(y))
    return lowest if math.isfinite(lowest) else ceiling_height(room, a[0], a[1])


def ceiling_top(room: Room) -> float:
    """Return the greatest height [in] of the ceiling."""
    return max(max(field.z_low, field.z_high) for field in main_fields(room))


def _profile(ceiling: Ceiling, length: float, width: float) -> Iterator[CeilingField]:
    """Yield the fields of a ceiling over a room of this length and width."""
    if isinstance(ceiling, SteppedCeiling):
        yield from _steps(ceiling, length, width)
        return
    for (y0, z0), (y1, z1) in _slopes(ceiling, width):
        yield CeilingField(low=(0.0, y0), high=(length, y1), z_low=z0, z_high=z1)


def _slopes(
    ceiling: FlatCeiling | SlopedCeiling | GableCeiling, width: float
) -> tuple[tuple[Vec2, Vec2], ...]:
    """Return the pieces of the profile across the room as pairs of (y, z)."""
    if isinstance(ceiling, FlatCeiling):
        return (((0.0, ceiling.height), (width, ceiling.height)),)
    if isinstance(ceiling, SlopedCeiling):
        return (((0.0, ceiling.left), (width, ceiling.right)),)
    ridge = (ceiling.ridge_y, ceiling.ridge)
    return (((0.0, ceiling.eave), ridge), (ridge, (width, ceiling.eave)))


def _steps(
    ceiling: SteppedCeiling, length: float, width: float
) -> Iterator[CeilingField]:
    """Yield a level field for each step that begins inside the room."""
    along = ceiling.axis is StepAxis.ALONG
    size = length if along else width
    ends = (*ceiling.starts[1:], size)
    for start, end, z in zip(ceiling.starts, ends, ceiling.heights, strict=True):
        if start < min(end, size):
            low = (start, 0.0) if along else (0.0, start)
            high = (min(end, size), width) if along else (length, min(end, size))
            yield CeilingField(low=low, high=high, z_low=z, z_high=z)


def _clipped_ends(a: Vec2, b: Vec2, field: CeilingField) -> tuple[float, ...]:
    """Return y at both ends of what a line has over a field, nothing if outside."""
    first, last = 0.0, 1.0
    for start, end, low, high in zip(a, b, field.low, field.high, strict=True):
        way = end - start
        if way == 0.0:
            if not low <= start <= high:
                return ()
            continue
        near, far = sorted(((low - start) / way, (high - start) / way))
        first, last = max(first, near), min(last, far)
    if first > last:
        return ()
    ends = (a[1] + t * (b[1] - a[1]) for t in (first, last))
    return tuple(min(max(y, field.low[1]), field.high[1]) for y in ends)
