"""Which heights and stations of a run lie within its limit of given triangles.

Every triangle gets an inner interval, from its corners, and an outer one, from
its box. Only those whose outer interval the united inner ones do not cover are
solved exactly.
"""

import numpy as np
from numpy.typing import NDArray

from core.geometry.shapes import FloatArray, IntArray
from core.geometry.tracks import Track
from core.geometry.triangle_bands import Pieces, touching_band, touching_station

__all__ = ["Intervals", "blocked_heights", "contact_stations", "united"]

Intervals = tuple[FloatArray, FloatArray]
_Mask = NDArray[np.bool_]


def blocked_heights(triangles: FloatArray, track: Track) -> Intervals:
    """Return the heights of the axis at the supports that come too near.

    Parameters
    ----------
    triangles : (3 corners, 3 axes, n) float
        Triangles in the frame of the track, turned into the pose [in].
    track : Track
        The run.

    Returns
    -------
    lo, hi : (m,) float
        Disjoint intervals, upwards [in].
    """
    beside = _beyond_plan(*_boxes(triangles), track) < track.reach**2
    triangles = triangles[:, :, beside]
    inner = united(_inner_heights(triangles, track))
    open_ = _uncovered(_outer_heights(triangles, track), inner)
    exact = _exact_heights(triangles[:, :, open_], track)
    lo, hi = united(_joined(inner, exact))
    return united((lo - track.up, hi + track.down))


def contact_stations(triangles: FloatArray, track: Track) -> Intervals:
    """Return the stations within the limit at some height of the travel.

    Parameters
    ----------
    triangles : (3 corners, 3 axes, n) float
        Triangles in the frame of the track, turned into the pose [in].
    track : Track
        The run.

    Returns
    -------
    lo, hi : (m,) float
        Disjoint intervals from 0 to the length of the run, upwards [in].
    """
    low, high = _swept_heights(triangles, track)
    near = _beyond_section(*_boxes(triangles), low, high, track) < track.reach**2
    triangles, low, high = triangles[:, :, near], low[near], high[near]
    inner = united(_inner_stations(triangles, low, high, track))
    open_ = _uncovered(_outer_stations(triangles, low, high, track), inner)
    exact = touching_station(
        triangles[:, :, open_],
        low[open_],
        high[open_],
        side=track.side,
        reach=track.reach,
    )
    lo, hi = united(_joined(inner, exact))
    lo, hi = np.maximum(lo, 0.0), np.minimum(hi, track.length)
    return lo[lo <= hi], hi[lo <= hi]


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


def _uncovered(outer: Intervals, inner: Intervals) -> _Mask:
    """Tell which outer intervals are not within one of the disjoint inner ones."""
    lo, hi = inner
    if not lo.size:
        return np.ones(outer[0].shape, dtype=bool)
    below = np.searchsorted(lo, outer[0], side="right") - 1
    return np.asarray((below < 0) | (outer[1] > hi[below]))


def _boxes(triangles: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the lowest and highest coordinates of each triangle, `(3, n)`."""
    a, b, c = triangles
    low, high = np.minimum(a, b), np.maximum(a, b)
    return np.minimum(low, c), np.maximum(high, c)


def _outside(
    low: FloatArray, high: FloatArray, first: float, last: float
) -> FloatArray:
    """Return the gap between intervals and the interval from first to last."""
    return np.maximum(np.maximum(low - last, first - high), 0.0)


def _beyond_plan(low: FloatArray, high: FloatArray, track: Track) -> FloatArray:
    """Bound the squared plan distance of boxes to the axis from below."""
    u = _outside(low[0], high[0], 0.0, track.length)
    v = _outside(low[1], high[1], -track.side, track.side)
    return u * u + v * v


def _beyond_section(
    low: FloatArray,
    high: FloatArray,
    first: FloatArray,
    last: FloatArray,
    track: Track,
) -> FloatArray:
    """Bound the squared distance of boxes to the swept strip from below."""
    v = _outside(low[1], high[1], -track.side, track.side)
    w = np.maximum(np.maximum(low[2] - last, first - high[2]), 0.0)
    return np.asarray(v * v + w * w)


def _root(squared: FloatArray, track: Track) -> FloatArray:
    """Return how far the reach goes beyond a squared distance."""
    return np.sqrt(np.maximum(track.reach**2 - squared, 0.0))


def _inner_heights(triangles: FloatArray, track: Track) -> Intervals:
    """Return the heights at which a corner of each triangle is too near."""
    squared = _beyond_plan(triangles.swapaxes(0, 1), triangles.swapaxes(0, 1), track)
    root = _root(squared, track)
    stations = np.minimum(np.maximum(triangles[:, 0], 0.0), track.length)
    level = triangles[:, 2] - track.axis(stations)
    some = squared < track.reach**2
    lo = np.where(some, level - root, np.inf).min(axis=0)
    hi = np.where(some, level + root, -np.inf).max(axis=0)
    return lo, hi


def _outer_heights(triangles: FloatArray, track: Track) -> Intervals:
    """Bound the heights at which each triangle is too near.

    The axis touches square to itself, or at its ends: at most by the sine of
    its slope times the reach away from the triangle.
    """
    low, high = _boxes(triangles)
    root = _root(_beyond_plan(low, high, track), track)
    first = np.minimum(np.maximum(low[0], 0.0), track.length)
    last = np.minimum(np.maximum(high[0], 0.0), track.length)
    sine = track.steep / np.sqrt(1.0 + track.steep**2)
    axis_low, axis_high = track.axis_span(first, last, sine * track.reach)
    return low[2] - axis_high - root, high[2] - axis_low + root


def _exact_heights(triangles: FloatArray, track: Track) -> Intervals:
    """Solve each triangle with every piece of the axis that it can meet."""
    triangle, piece = _piece_pairs(triangles, track)
    pieces = Pieces(
        u0=track.knots[piece],
        u1=track.knots[piece + 1],
        w0=track.offsets[piece],
        w1=track.offsets[piece + 1],
        side=track.side,
        reach=track.reach,
    )
    return touching_band(triangles[:, :, triangle], pieces)


def _piece_pairs(triangles: FloatArray, track: Track) -> tuple[IntArray, IntArray]:
    """Pair each triangle with the pieces of the axis within reach along the run."""
    low, high = triangles[:, 0].min(axis=0), triangles[:, 0].max(axis=0)
    starts, ends = track.knots[:-1, None], track.knots[1:, None]
    near = (starts - track.reach <= high) & (ends + track.reach >= low)
    piece, triangle = np.nonzero(near)
    return triangle, piece


def _swept_heights(triangles: FloatArray, track: Track) -> Intervals:
    """Bound the heights that the metal sweeps near each triangle."""
    first, last = triangles[:, 0].min(axis=0), triangles[:, 0].max(axis=0)
    axis_low, axis_high = track.axis_span(first, last, track.reach)
    low = np.maximum(axis_low, track.offsets.min()) + track.low - track.down
    high = np.minimum(axis_high, track.offsets.max()) + track.top + track.up
    return low, high


def _inner_stations(
    triangles: FloatArray, low: FloatArray, high: FloatArray, track: Track
) -> Intervals:
    """Return the stations at which a corner of each triangle is too near."""
    corners = triangles.swapaxes(0, 1)
    squared = _beyond_section(corners, corners, low, high, track)
    root = _root(squared, track)
    some = squared < track.reach**2
    lo = np.where(some, triangles[:, 0] - root, np.inf).min(axis=0)
    hi = np.where(some, triangles[:, 0] + root, -np.inf).max(axis=0)
    return lo, hi


def _outer_stations(
    triangles: FloatArray, low: FloatArray, high: FloatArray, track: Track
) -> Intervals:
    """Bound the stations at which each triangle is too near."""
    box_low, box_high = _boxes(triangles)
    root = _root(_beyond_section(box_low, box_high, low, high, track), track)
    return box_low[0] - root, box_high[0] + root
