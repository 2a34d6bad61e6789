"""The least distance of a run's whole travel to given triangles."""

import numpy as np
from numpy.typing import NDArray

from core.geometry.boxed_triangles import BoxedTriangles
from core.geometry.questions import Approach, Steps, ask_nearest
from core.geometry.shapes import FloatArray
from core.geometry.tracks import Track
from core.geometry.triangle_distance import TIE, Nearest, Prisms

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
    boxed: BoxedTriangles, track: Track, best: Nearest | None
) -> Steps[Nearest | None]:
    """Return the least distance of the swept axis to triangles.

    Triangles are solved in the order of the least distance that their boxes
    allow, until no other can be nearer, or as near and lower.

    Parameters
    ----------
    boxed : BoxedTriangles
        Triangles near the run.
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
    bound = _point_bound(boxed.corners[0], track)
    if best is not None:
        bound = min(bound, best.distance)
    left = np.flatnonzero(boxed.gap <= bound + TIE)
    corners, plan, gap = boxed.corners[:, :, left], boxed.plan[left], boxed.gap[left]
    level = _lowest_level(corners, boxed.level[left], plan, track)
    order = np.lexsort((level, np.floor(gap / TIE)))
    count = _FIRST_SOLVED
    while order.size:
        question = _approach(corners[:, :, order[:count]], track, bound)
        best = lower_nearest(best, (yield from ask_nearest(question)))
        order = order[count:]
        if best is not None and order.size:
            bound = min(bound, best.distance)
            order = order[_may_improve(plan[order], level[order], gap[order], best)]
        count *= 2
    return best


def _lowest_level(
    corners: FloatArray, level: FloatArray, plan: FloatArray, track: Track
) -> FloatArray:
    """Bound the height of what each triangle meets from below."""
    if track.side > 0.0:
        return level
    return level + np.where(plan == 0.0, _rise_to_middle(corners), 0.0)


def _may_improve(
    plan: FloatArray, level: FloatArray, gap: FloatArray, best: Nearest
) -> NDArray[np.bool_]:
    """Tell which triangles can be nearer, or as near and lower."""
    nearer = gap < best.distance - TIE
    below = np.sqrt(np.maximum((best.distance + TIE) ** 2 - plan * plan, 0.0))
    lower = (gap <= best.distance + TIE) & (level - below < best.height - TIE)
    return np.asarray(nearer | lower)


def _rise_to_middle(triangles: FloatArray) -> FloatArray:
    """Return how far above its lowest corner each triangle meets v = 0."""
    v, w = triangles[:, 1], triangles[:, 2]
    dv, dw = v[[1, 2, 0]] - v, w[[1, 2, 0]] - w
    across = (v > 0.0) != (v[[1, 2, 0]] > 0.0)
    height = w - v * dw / np.where(across, dv, 1.0)
    lowest = w.min(axis=0)
    rise = np.where(across, height, np.inf).min(axis=0) - lowest
    return np.asarray(np.where(across.any(axis=0), np.maximum(rise, 0.0), 0.0))


def _point_bound(points: FloatArray, track: Track) -> float:
    """Return the least distance of points `(3, n)` to the metal beside them."""
    u, v, w = points
    station = np.minimum(np.maximum(u, 0.0), track.length)
    aside = np.maximum(np.abs(v) - track.side, 0.0)
    level = w - track.axis(station)
    over = level - (track.top + track.up)
    under = track.low - track.down - level
    upright = np.maximum(np.maximum(over, under), 0.0)
    along = u - station
    squared = along * along + aside * aside + upright * upright
    return float(np.sqrt(squared.min(initial=np.inf)))


def _approach(triangles: FloatArray, track: Track, bound: float) -> Approach:
    """Ask for each triangle with every piece of the axis that may be near enough."""
    low, high = triangles[:, 0].min(axis=0), triangles[:, 0].max(axis=0)
    starts, ends = track.knots[:-1, None], track.knots[1:, None]
    margin = bound + TIE
    near = (starts - margin <= high) & (ends + margin >= low)
    piece, triangle = np.nonzero(near)
    prisms = Prisms(
        u0=track.knots[piece],
        u1=track.knots[piece + 1],
        w0=track.offsets[piece],
        w1=track.offsets[piece + 1],
        low=np.full(piece.shape, track.low - track.down),
        high=np.full(piece.shape, track.top + track.up),
        side=np.full(piece.shape, track.side),
    )
    return Approach(triangles=triangles[:, :, triangle], prisms=prisms)
