"""Closed forms for a straight edge against a rectangle that is moved upward.

The frame is that of the run: u along it, v across, w up, all [in]. The rectangle
is `[first, last]` in u by `[-side, side]` in v and level. A point of the edge at
plan distance rho from it is met, within the reach D, while the rectangle is between
`w - sqrt(D^2 - rho^2)` and `w + sqrt(D^2 - rho^2)`. The upper end is concave along
a straight edge and the lower one convex, so each has one optimum. An edge out of
reach gives `(inf, -inf)`. All functions work element by element and broadcast; many
edges are worked through in pieces, so that what is noted in between stays in the cache.
"""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from core.geometry.shapes import FloatArray

__all__ = [
    "corner_band",
    "cut_edges",
    "nearest_on_edges",
    "span_band",
    "square_reach",
]

Band = tuple[FloatArray, FloatArray]
_STEEP = 1e-12
_NOTHING = 1e-200
_HUGE = 1e300
_PIECE = 2048  # edges worked through at once


def square_reach(rho: FloatArray, reach: FloatArray) -> FloatArray:
    """Return `D^2 - rho^2`, below zero out of reach; rho = D is out, 0 = 0 is in."""
    square = reach * reach - rho * rho
    return np.where((square > 0.0) | (rho == 0.0), square, -1.0)


def _band(
    w_lo: FloatArray, s_lo: FloatArray, w_hi: FloatArray, s_hi: FloatArray
) -> Band:
    """Return the ends of a band from heights and squared half chords."""
    lo = np.where(s_lo >= 0.0, w_lo - np.sqrt(np.maximum(s_lo, 0.0)), np.inf)
    hi = np.where(s_hi >= 0.0, w_hi + np.sqrt(np.maximum(s_hi, 0.0)), -np.inf)
    return lo, hi


def _pieces(count: int, size: int) -> Iterator[slice]:
    """Yield the slices of so many items, each of at most a size."""
    for first in range(0, count, size):
        yield slice(first, first + size)


def _divided(top: FloatArray, bottom: FloatArray) -> FloatArray:
    """Return the quotient, 0 where the divisor is 0."""
    none = bottom == 0.0
    return np.where(none, 0.0, top / np.where(none, 1.0, bottom))


def span_band(
    v: FloatArray,
    w: FloatArray,
    dv: FloatArray,
    dw: FloatArray,
    side: FloatArray,
    reach: FloatArray,
) -> Band:
    """Return the band of an edge that lies inside the span, seen along the run.

    The optimum is where the circle round the contact touches the edge:
    `v* = sign(dv dw) (side + D |dw| / length)`, clipped to the edge.
    """
    parts = v, w, dv, dw, side, reach
    if v.size <= _PIECE or any(part.shape != v.shape[-1:] for part in parts):
        return _span_band(*parts)
    lo, hi = np.zeros((2, v.size))
    for some in _pieces(v.size, _PIECE):
        lo[some], hi[some] = _span_band(*(part[some] for part in parts))
    return lo, hi


def _span_band(
    v: FloatArray,
    w: FloatArray,
    dv: FloatArray,
    dw: FloatArray,
    side: FloatArray,
    reach: FloatArray,
) -> Band:
    """Return the band of a piece of all edges."""
    length = np.sqrt(dv * dv + dw * dw)
    best = np.sign(dv) * np.sign(dw) * (side + reach * _divided(np.abs(dw), length))
    upright = np.abs(dv) < _NOTHING
    step = np.where(upright, 1.0, dv)
    end = v + dv
    v_hi, t_hi = _stop(best, v, end, step)
    v_lo, t_lo = _stop(-best, v, end, step)
    if upright.any():
        v_hi, t_hi = np.where(upright, v, v_hi), np.where(upright, dw > 0.0, t_hi)
        v_lo, t_lo = np.where(upright, v, v_lo), np.where(upright, dw < 0.0, t_lo)
    return _band(
        w + t_lo * dw,
        square_reach(np.maximum(np.abs(v_lo) - side, 0.0), reach),
        w + t_hi * dw,
        square_reach(np.maximum(np.abs(v_hi) - side, 0.0), reach),
    )


def _stop(
    best: FloatArray, start: FloatArray, end: FloatArray, step: FloatArray
) -> Band:
    """Return the place nearest to the best one on an edge, and its share of the way.

    At the ends the share is exactly 0 or 1, however steep the edge is.
    """
    share = (best - start) / step
    place = np.where(share <= 0.0, start, np.where(share >= 1.0, end, best))
    return place, np.minimum(np.maximum(share, 0.0), 1.0)


def cut_edges(
    edges: FloatArray, axis: int, low: FloatArray, high: FloatArray
) -> tuple[tuple[FloatArray, ...], NDArray[np.bool_]]:
    """Cut edges to `[low, high]` along an axis; say which have nothing left."""
    start, along = edges[axis], edges[axis + 3]
    level = np.abs(along) < _NOTHING
    step = np.where(level, 1.0, along)
    near, far = (low - start) / step, (high - start) / step
    begin = np.where(level, 0.0, np.maximum(np.minimum(near, far), 0.0))
    end = np.where(level, 1.0, np.minimum(np.maximum(near, far), 1.0))
    none = (begin > end) | (level & ((start < low) | (start > high)))
    share = np.where(none, 0.0, end - begin)
    u, v, w, du, dv, dw = edges
    cut = (
        *(u + begin * du, v + begin * dv, w + begin * dw),
        *(share * du, share * dv, share * dw),
    )
    return cut, none


def corner_band(
    edges: FloatArray, corner_u: FloatArray, corner_v: FloatArray, reach: FloatArray
) -> Band:
    """Return the band of an edge against one corner of the rectangle.

    In the plane of the edge and the vertical the ball round the corner is a circle of
    radius `s0 = sqrt(D^2 - d0^2)`, d0 the distance from the corner to the line in
    plan; it touches the edge `s0 dw / length` before the foot.
    """
    every, count = corner_u.size, reach.size
    if every <= _PIECE:
        return _corner_band(edges, corner_u, corner_v, reach)
    parts = edges, corner_u, corner_v, reach
    lo, hi = np.zeros((2, *corner_u.shape))
    for some in _pieces(count, max(_PIECE * count // every, 1)):
        lo[:, some], hi[:, some] = _corner_band(*(part[..., some] for part in parts))
    return lo, hi


def _corner_band(
    edges: FloatArray, corner_u: FloatArray, corner_v: FloatArray, reach: FloatArray
) -> Band:
    """Return the bands of a piece of all edges."""
    u, v, w, du, dv, dw = edges
    pu, pv = u - corner_u, v - corner_v
    plan = du * du + dv * dv
    steep = plan <= _STEEP * _STEEP * (dw * dw)
    plan = np.where(steep, 1.0, plan)
    cross = pu * dv - pv * du
    apart = np.where(steep, pu * pu + pv * pv, cross * cross / plan)
    left = reach * reach - apart
    half = np.sqrt(np.maximum(left, 0.0))
    shift = half * dw / np.sqrt(plan * (plan + dw * dw))
    foot = -(pu * du + pv * dv) / plan
    t_hi = np.minimum(np.maximum(foot + shift, 0.0), 1.0)
    t_lo = np.minimum(np.maximum(foot - shift, 0.0), 1.0)
    t_hi = np.where(steep, dw > 0.0, t_hi)
    t_lo = np.where(steep, dw < 0.0, t_lo)
    plan = np.where(steep, 0.0, plan)
    return _band(
        w + t_lo * dw,
        left - plan * (t_lo - foot) * (t_lo - foot),
        w + t_hi * dw,
        left - plan * (t_hi - foot) * (t_hi - foot),
    )


def nearest_on_edges(
    start: FloatArray, along: FloatArray, low: FloatArray, high: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return where on an edge it is nearest to a box, and the squared distance.

    All are `(k, ...)` for k axes: start and direction of the edge, and the two
    sides of the box. The squared distance is convex and made of parabolas;
    its derivative is monotone and straight between the places where the edge passes
    the sides, so its root is bracketed by those places and interpolated. Where the
    least distance is found along a stretch, its first place is returned.
    """
    every, count = start[0].size, start.shape[-1]
    if every <= _PIECE:
        return _nearest_on_edges(start, along, low, high)
    parts = start, along, low, high
    best, square = np.zeros((2, *start.shape[1:]))
    for some in _pieces(count, max(_PIECE * count // every, 1)):
        best[..., some], square[..., some] = _nearest_on_edges(
            *(part[..., some] for part in parts)
        )
    return best, square


def _nearest_on_edges(
    start: FloatArray, along: FloatArray, low: FloatArray, high: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return places and squared distances of a piece of all edges."""
    count = start.shape[0]
    step = np.where(np.abs(along) < _NOTHING, 1.0, along)
    t = np.zeros((2 * count + 2, *start.shape[1:]))
    t[-1] = 1.0
    np.divide(low - start, step, out=t[1 : count + 1])
    np.divide(high - start, step, out=t[count + 1 : -1])
    np.minimum(np.maximum(t, 0.0, out=t), 1.0, out=t)
    slope = np.zeros(t.shape)
    for k in range(count):
        place = t * along[k]
        place += start[k]
        place -= np.minimum(np.maximum(place, low[k]), high[k])
        place *= along[k]
        slope += place
    below = slope < 0.0
    first = np.where(below, t, 0.0).max(axis=0)
    last = np.where(below, 1.0, t).min(axis=0)
    falls = np.where(below, slope, -_HUGE).max(axis=0)
    rises = np.where(below, _HUGE, slope).min(axis=0)
    best = first + (last - first) * (falls / (falls - rises))
    place = start + best * along
    place -= np.minimum(np.maximum(place, low), high)
    place *= place
    square = place[0] + place[1]
    return best, square if count == 2 else square + place[2]
