"""One ceiling turned into another kind that fits the same room."""

from core.model.room import (
    Ceiling,
    FlatCeiling,
    GableCeiling,
    Room,
    SlopedCeiling,
    StepAxis,
    SteppedCeiling,
)

__all__ = ["highest", "lowest", "other_ceiling", "profile"]

_RISE = 1 / 6  # slope at the start: 2 in 12, a usual one


def lowest(ceiling: Ceiling) -> float:
    """Return the lowest height of a ceiling [in]."""
    return min(_heights(ceiling))


def highest(ceiling: Ceiling) -> float:
    """Return the greatest height of a ceiling [in]."""
    return max(_heights(ceiling))


def _heights(ceiling: Ceiling) -> tuple[float, ...]:
    match ceiling:
        case FlatCeiling(height=height):
            return (height,)
        case SlopedCeiling(left=left, right=right):
            return left, right
        case GableCeiling(eave=eave, ridge=ridge):
            return eave, ridge
        case SteppedCeiling(heights=heights):
            return heights


def other_ceiling(room: Room, cls: type) -> Ceiling:
    """Return a ceiling of another kind that begins at the height of this one.

    Parameters
    ----------
    room : Room
        The room with the ceiling that it has.
    cls : type
        The class of the ceiling that it is to have.

    Returns
    -------
    Ceiling
        The same one if it is of that class already.
    """
    low = lowest(room.ceiling)
    high = max(highest(room.ceiling), low + _RISE * room.width / 2)
    if isinstance(room.ceiling, cls):
        return room.ceiling
    if cls is SlopedCeiling:
        return SlopedCeiling(left=low, right=low + _RISE * room.width)
    if cls is GableCeiling:
        return GableCeiling(eave=low, ridge=high, ridge_y=room.width / 2)
    if cls is SteppedCeiling:
        starts = (0.0, room.length / 2)
        return SteppedCeiling(starts=starts, heights=(low, low + 12.0))
    return FlatCeiling(height=low)


def profile(room: Room) -> tuple[tuple[float, float], ...]:
    """Return the ceiling's line as a side view shows it.

    Parameters
    ----------
    room : Room
        The room.

    Returns
    -------
    tuple of (place, height)
        Along the room for steps along it, otherwise across it from the left [in].
    """
    ceiling, width = room.ceiling, room.width
    match ceiling:
        case FlatCeiling(height=height):
            return (0.0, height), (width, height)
        case SlopedCeiling(left=left, right=right):
            return (0.0, left), (width, right)
        case GableCeiling(eave=eave, ridge=ridge, ridge_y=ridge_y):
            return (0.0, eave), (ridge_y, ridge), (width, eave)
        case SteppedCeiling(axis=axis, starts=starts, heights=heights):
            extent = room.length if axis is StepAxis.ALONG else width
            ends = (*starts[1:], extent)
            steps = zip(starts, ends, heights, strict=True)
            return tuple(
                point for a, b, height in steps for point in ((a, height), (b, height))
            )
