"""The least distance of a run's whole travel to given triangles."""

import numpy as np

from core.geometry.shapes import FloatArray
from core.geometry.tracks import Track
from core.geometry.triangle_distance import (
    TIE,
    Nearest,
    Prisms,
    nearest_to_prisms,
)

__all__ = ["lower_nearest", "nearest_in_travel"]

_FIRST_SOLVED = 64  # triangles solved at once, then twice as many, and so on


def lower_nearest(a: Nearest | None, b: Nearest | None) -> Nearest | None:
    """Return the nearer one, of two equally near ones the lower."""
    if a is None or b is None:
        return a or b
    if abs(a.distance - b.distance) > TIE:
        return a if a.distance < b.distance else b
    return a if a.height <= b.height else b


def nearest_in_travel(
    triangles: FloatArray, track: Track, best: Nearest | None
) -> Nearest | None:
    """Return the least distance of the swept axis to triangles.

    Triangles are solved in the order of the least distance that their boxes
    allow, until no other can be nearer, or as near and lower.

    Parameters
    ----------
    triangles : (3 corners, 3 axes, n) float
        Triangles in the frame of the track, turned into the pose [in].
    track : Track
        The run.
    best : Nearest or None
        What is known already.

    Returns
    -------
    Nearest or None
        The better one of `best` and what was found; its height is that of the
        nearest point of the metal against the axis at the supports.
    """
    plan, level, gap = _box_gaps(triangles, track)
    bound = _corner_bound(triangles, track)
    if best is not None:
        bound = min(bound, best.distance)
    left = np.flatnonzero(gap <= bound + TIE)
    left = left[np.lexsort((level[left], np.floor(gap[left] / TIE)))]
    count = _FIRST_SOLVED
    while left.size:
        found = _solve(triangles[:, :, left[:count]], track, bound)
        best = lower_nearest(best, found)
        left = left[count:]
        if best is not None:
            bound = min(bound, best.distance)
            left = left[_may_improve(plan[left], level[left], gap[left], best)]
        count *= 2
    return best


def _may_improve(
    plan: FloatArray, level: FloatArray, gap: FloatArray, best: Nearest
) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
    """Tell which triangles can be nearer, or as near and lower."""
    nearer = gap < best.distance - TIE
    below = np.sqrt(np.maximum((best.distance + TIE) ** 2 - plan * plan, 0.0))
    lower = (gap <= best.distance + TIE) & (level - below < best.height - TIE)
    return np.asarray(nearer | lower)


def _box_gaps(
    triangles: FloatArray, track: Track
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Bound distances in plan, heights above the axis, and distances from below."""
    a, b, c = triangles
    low = np.minimum(np.minimum(a, b), c)
    high = np.maximum(np.maximum(a, b), c)
    u = np.maximum(np.maximum(low[0] - track.length, -high[0]), 0.0)
    v = np.maximum(np.maximum(low[1], -high[1]) - track.side, 0.0)
    first = np.minimum(np.maximum(low[0], 0.0), track.length)
    last = np.minimum(np.maximum(high[0], 0.0), track.length)
    axis_low, axis_high = track.axis_span(first, last, 0.0)
    over = low[2] - (track.top + track.up) - axis_high
    under = track.low - track.down + axis_low - high[2]
    w = np.maximum(np.maximum(over, under), 0.0)
    plan = np.sqrt(u * u + v * v)
    # a sloping axis is met square to itself: shrink what was measured upright
    w = w / np.sqrt(1.0 + track.steep**2)
    gap = np.sqrt(plan * plan + w * w)
    return plan, low[2] - axis_high, gap


def _corner_bound(triangles: FloatArray, track: Track) -> float:
    """Return the least distance of the corners to the metal right beside them."""
    u, v, w = triangles.transpose(1, 0, 2)
    station = np.minimum(np.maximum(u, 0.0), track.length)
    aside = np.maximum(np.abs(v) - track.side, 0.0)
    level = w - track.axis(station)
    over = level - (track.top + track.up)
    under = track.low - track.down - level
    upright = np.maximum(np.maximum(over, under), 0.0)
    along = u - station
    squared = along * along + aside * aside + upright * upright
    return float(np.sqrt(squared.min(initial=np.inf)))


def _solve(triangles: FloatArray, track: Track, bound: float) -> Nearest | None:
    """Solve triangles with every piece of the axis that may be near enough."""
    low, high = triangles[:, 0].min(axis=0), triangles[:, 0].max(axis=0)
    starts, ends = track.knots[:-1, None], track.knots[1:, None]
    margin = bound + TIE
    near = (starts - margin <= high) & (ends + margin >= low)
    piece, triangle = np.nonzero(near)
    if not piece.size:
        return None
    prisms = Prisms(
        u0=track.knots[piece],
        u1=track.knots[piece + 1],
        w0=track.offsets[piece],
        w1=track.offsets[piece + 1],
        low=track.low - track.down,
        high=track.top + track.up,
        side=track.side,
    )
    return nearest_to_prisms(triangles[:, :, triangle], prisms)
