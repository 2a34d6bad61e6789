"""Which heights and stations of a run lie within its limit of given triangles.

Every triangle gets an inner interval, from one corner, and an outer one, from
its box. Only those whose outer interval the united inner ones do not cover are
solved exactly.
"""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from core.geometry.boxed_triangles import BoxedTriangles, gap_between
from core.geometry.questions import Intervals, Steps, Touch, ask_touching
from core.geometry.shapes import FloatArray, IntArray
from core.geometry.tracks import Track
from core.geometry.triangle_bands import Pieces

__all__ = ["blocked_heights", "contact_stations", "united"]

_Mask = NDArray[np.bool_]
_FIRST_SOLVED = 128  # triangles solved at once, then four times as many, and so on


def blocked_heights(triangles: BoxedTriangles, track: Track) -> Steps[Intervals]:
    """Return the heights of the axis at the supports that come too near.

    Parameters
    ----------
    triangles : BoxedTriangles
        Triangles within reach of the travel.
    track : Track
        The run.

    Returns
    -------
    lo, hi : (m,) float
        Disjoint intervals, upwards [in].
    """
    inner = united(_inner_heights(triangles.corners[0], track))
    outer = _outer_heights(triangles, track)

    def question(some: IntArray) -> Touch:
        return _exact_heights(triangles.corners[:, :, some], track)

    every = np.arange(triangles.gap.size)
    lo, hi = yield from _filled(inner, outer, every, question)
    return united((lo - track.up, hi + track.down))


def contact_stations(triangles: BoxedTriangles, track: Track) -> Steps[Intervals]:
    """Return the stations within the limit at some height of the travel.

    Parameters
    ----------
    triangles : BoxedTriangles
        Triangles within reach of the travel.
    track : Track
        The run.

    Returns
    -------
    lo, hi : (m,) float
        Disjoint intervals from 0 to the length of the run, upwards [in].
    """
    swept = _swept_heights(triangles, track)
    inner = united(_inner_stations(triangles.corners[0], *swept, track))
    outer, near = _outer_stations(triangles, *swept, track)

    def question(some: IntArray) -> Touch:
        corners = triangles.corners[:, :, some]
        return _exact_stations(corners, swept[0][some], swept[1][some], track)

    lo, hi = yield from _filled(inner, outer, np.flatnonzero(near), question)
    lo, hi = np.maximum(lo, 0.0), np.minimum(hi, track.length)
    return lo[lo <= hi], hi[lo <= hi]


def _filled(
    inner: Intervals,
    outer: Intervals,
    left: IntArray,
    question: Callable[[IntArray], Touch],
) -> Steps[Intervals]:
    """Solve triangles, those that reach out most first, until all are covered."""
    count = _FIRST_SOLVED
    while True:
        excess = _excess(outer[0][left], outer[1][left], inner)
        left = left[excess > 0.0]
        if not left.size:
            return inner
        left = left[np.argsort(-excess[excess > 0.0], kind="stable")]
        exact = yield from ask_touching(question(left[:count]))
        inner = united(_joined(inner, exact))
        left = left[count:]
        count *= 4


def united(intervals: Intervals) -> Intervals:
    """Unite intervals; those without length are left out, touching ones join.

    Starts and ends are sorted each for itself: a gap follows an end exactly
    where the next start lies above it.
    """
    lo, hi = intervals
    some = lo < hi
    lo, hi = np.sort(lo[some]), np.sort(hi[some])
    if not lo.size:
        return lo, hi
    gap = lo[1:] > hi[:-1]
    return lo[np.insert(gap, 0, True)], hi[np.append(gap, True)]


def _joined(a: Intervals, b: Intervals) -> Intervals:
    """Put two lists of intervals together."""
    return np.concatenate([a[0], b[0]]), np.concatenate([a[1], b[1]])


def _excess(low: FloatArray, high: FloatArray, inner: Intervals) -> FloatArray:
    """Return how far intervals reach out of the disjoint inner ones; <= 0 covered."""
    lo, hi = inner
    if not lo.size:
        return np.ones_like(low)
    below = np.searchsorted(lo, low, side="right") - 1
    return np.asarray(np.where(below < 0, lo[0] - low, high - hi[below]))


def _root(squared: FloatArray, track: Track) -> FloatArray:
    """Return how far the reach goes beyond a squared distance."""
    return np.sqrt(np.maximum(track.reach**2 - squared, 0.0))


def _inner_heights(points: FloatArray, track: Track) -> Intervals:
    """Return the heights at which points `(3, n)` are too near."""
    u, v, w = points
    along = gap_between(u, u, 0.0, track.length)
    aside = gap_between(v, v, -track.side, track.side)
    squared = along * along + aside * aside
    root = _root(squared, track)
    level = w - track.axis(track.stations(u, u)[0]) if track.sags else w
    some = squared < track.reach**2
    return (level - root)[some], (level + root)[some]


def _outer_heights(triangles: BoxedTriangles, track: Track) -> Intervals:
    """Bound the heights at which each triangle is too near.

    The axis touches square to itself, or at its ends: at most by the sine of
    its slope times the reach away from the triangle.
    """
    low, high = triangles.low, triangles.high
    root = _root(triangles.plan * triangles.plan, track)
    sine = track.steep / np.sqrt(1.0 + track.steep**2)
    margin = sine * track.reach
    axis_low, axis_high = track.axis_span(*track.stations(low[0], high[0]), margin)
    return low[2] - axis_high - root, high[2] - axis_low + root


def _exact_heights(triangles: FloatArray, track: Track) -> Touch:
    """Solve each triangle with every piece of the axis that it can meet."""
    triangle, piece = _piece_pairs(triangles, track)
    pieces = Pieces(
        u0=track.knots[piece],
        u1=track.knots[piece + 1],
        w0=track.offsets[piece],
        w1=track.offsets[piece + 1],
        side=np.full(piece.shape, track.side),
        reach=np.full(piece.shape, track.reach),
    )
    return Touch(triangles=triangles[:, :, triangle], pieces=pieces)


def _exact_stations(
    triangles: FloatArray, low: FloatArray, high: FloatArray, track: Track
) -> Touch:
    """Ask where a strip from low to high, pushed along the run, meets triangles.

    That is the question for heights with u and w swapped.
    """
    zero = np.zeros_like(low)
    pieces = Pieces(
        u0=low,
        u1=high,
        w0=zero,
        w1=zero,
        side=np.full_like(low, track.side),
        reach=np.full_like(low, track.reach),
    )
    return Touch(triangles=triangles[:, ::-1], pieces=pieces)


def _piece_pairs(triangles: FloatArray, track: Track) -> tuple[IntArray, IntArray]:
    """Pair each triangle with the pieces of the axis within reach along the run."""
    low, high = triangles[:, 0].min(axis=0), triangles[:, 0].max(axis=0)
    starts, ends = track.knots[:-1, None], track.knots[1:, None]
    near = (starts - track.reach <= high) & (ends + track.reach >= low)
    piece, triangle = np.nonzero(near)
    return triangle, piece


def _swept_heights(triangles: BoxedTriangles, track: Track) -> Intervals:
    """Bound the heights that the metal sweeps near each triangle."""
    first, last = triangles.low[0], triangles.high[0]
    axis_low, axis_high = track.axis_span(first, last, track.reach)
    low = np.maximum(axis_low, track.offsets.min()) + track.low - track.down
    high = np.minimum(axis_high, track.offsets.max()) + track.top + track.up
    return low, high


def _inner_stations(
    points: FloatArray, low: FloatArray, high: FloatArray, track: Track
) -> Intervals:
    """Return the stations at which points `(3, n)` are too near."""
    u, v, w = points
    aside = gap_between(v, v, -track.side, track.side)
    upright = gap_between(w, w, low, high)
    squared = aside * aside + upright * upright
    root, some = _root(squared, track), squared < track.reach**2
    return (u - root)[some], (u + root)[some]


def _outer_stations(
    triangles: BoxedTriangles, low: FloatArray, high: FloatArray, track: Track
) -> tuple[Intervals, _Mask]:
    """Bound the stations at which each triangle is too near, and whether it is."""
    box_low, box_high = triangles.low, triangles.high
    aside = gap_between(box_low[1], box_high[1], -track.side, track.side)
    upright = gap_between(box_low[2], box_high[2], low, high)
    squared = aside * aside + upright * upright
    root = _root(squared, track)
    return (box_low[0] - root, box_high[0] + root), squared < track.reach**2
