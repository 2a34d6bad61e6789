"""Exact bands of heights at which a straight piece of a run comes near triangles.

A piece is a straight axis in the u-w plane of the run's frame (u along the run,
v across, w up), drawn out to both sides across by `side` and grown by `reach`
in all directions. Lifted by h it touches a triangle from above at one greatest
h. The greatest h is the maximum of a concave function over the triangle, the
stations of the axis and the breadth, so it is found where one of three shapes
touches: the long side, an end edge, or an end corner. Each has a closed form.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.geometry.shapes import FloatArray

__all__ = ["Pieces", "cross", "in_triangle", "touching_band"]

_STEEP = 1e-12  # a face this near to upright touches at its edges


@dataclass(frozen=True, slots=True, kw_only=True)
class Pieces:
    """Straight pieces of an axis, one for each triangle; all fields `(n,)` [in]."""

    u0: FloatArray
    u1: FloatArray
    w0: FloatArray
    w1: FloatArray
    side: FloatArray
    reach: FloatArray


def touching_band(
    triangles: FloatArray, pieces: Pieces
) -> tuple[FloatArray, FloatArray]:
    """Return the heights h at which each lifted piece comes within reach.

    Parameters
    ----------
    triangles : (3 corners, 3 axes, n) float
        Triangles in the run's frame [in].
    pieces : Pieces
        The piece that belongs to each triangle, in the same frame.

    Returns
    -------
    lo, hi : (n,) float
        Ends of the band [in]; lo = inf and hi = -inf where the piece passes by.
    """
    n = triangles.shape[2]
    mirror = np.array([1.0, 1.0, -1.0])[:, None]
    both = np.concatenate([triangles, triangles * mirror], axis=2)
    tops = _highest(both, _twice(pieces))
    return -tops[n:], tops[:n]


def _twice(pieces: Pieces) -> Pieces:
    """Return the pieces followed by their mirror images in w."""
    return Pieces(
        u0=np.concatenate([pieces.u0, pieces.u0]),
        u1=np.concatenate([pieces.u1, pieces.u1]),
        w0=np.concatenate([pieces.w0, -pieces.w0]),
        w1=np.concatenate([pieces.w1, -pieces.w1]),
        side=np.concatenate([pieces.side, pieces.side]),
        reach=np.concatenate([pieces.reach, pieces.reach]),
    )


def _highest(triangles: FloatArray, pieces: Pieces) -> FloatArray:
    """Return the greatest height at which each piece touches its triangle."""
    tops = _side_tops(triangles, triangles[[1, 2, 0]], pieces).max(axis=0)
    beyond = np.flatnonzero(_reaches_ends(triangles, pieces))
    if beyond.size:
        some = Pieces(
            u0=pieces.u0[beyond],
            u1=pieces.u1[beyond],
            w0=pieces.w0[beyond],
            w1=pieces.w1[beyond],
            side=pieces.side[beyond],
            reach=pieces.reach[beyond],
        )
        ends = _highest_at_ends(triangles[:, :, beyond], some)
        tops[beyond] = np.maximum(tops[beyond], ends)
    return np.asarray(tops)


def _reaches_ends(triangles: FloatArray, pieces: Pieces) -> NDArray[np.bool_]:
    """Tell which triangles may touch their piece at an end.

    The long side is touched square to the axis: at most by the sine of its
    slope times the reach away from the triangle. Faces touch only at ends.
    """
    du, dw = pieces.u1 - pieces.u0, pieces.w1 - pieces.w0
    length = np.sqrt(du * du + dw * dw)
    margin = pieces.reach * np.abs(dw) / np.where(length > 0.0, length, 1.0)
    u = triangles[:, 0]
    within = (u.min(axis=0) - margin >= pieces.u0) & (
        u.max(axis=0) + margin <= pieces.u1
    )
    return np.asarray(~within | (length == 0.0))


def _highest_at_ends(triangles: FloatArray, pieces: Pieces) -> FloatArray:
    """Return the greatest height at which an end touches each triangle."""
    ends = np.array([[pieces.u0, pieces.u1], [pieces.w0, pieces.w1]])
    a, b = triangles, triangles[[1, 2, 0]]
    tops = [
        _ball_tops(a, b, ends, pieces).max(axis=(0, 1, 2)),
        _face_tops(triangles, ends, pieces).max(axis=(0, 1)),
    ]
    if pieces.side.any():
        tops.append(_end_tops(a, b, ends, pieces).max(axis=(0, 1)))
    return np.asarray(np.max(tops, axis=0))


def _side_tops(a: FloatArray, b: FloatArray, pieces: Pieces) -> FloatArray:
    """Touch edges a-b `(3, 3, n)` with the long side of each piece."""
    du, dw = pieces.u1 - pieces.u0, pieces.w1 - pieces.w0
    length = np.sqrt(du * du + dw * dw)
    long = length > 0.0
    whole = np.where(long, length, 1.0)
    cos, sin = np.where(long, du / whole, 1.0), np.where(long, dw / whole, 0.0)
    along_a, height_a = _tilted(a, pieces, cos, sin)
    along_b, height_b = _tilted(b, pieces, cos, sin)
    t, top = _edge_top(a[:, 1], height_a, b[:, 1], height_b, pieces.side, pieces.reach)
    met = top > -np.inf
    height = np.where(met, top, 0.0) / cos
    station = along_a + t * (along_b - along_a) - height * sin
    met &= (station >= 0.0) & (station <= length)
    return np.where(met, height, -np.inf)


def _tilted(
    points: FloatArray, pieces: Pieces, cos: FloatArray, sin: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return coordinates of points along and square to their piece."""
    u, w = points[:, 0] - pieces.u0, points[:, 2] - pieces.w0
    return cos * u + sin * w, cos * w - sin * u


def _end_tops(
    a: FloatArray, b: FloatArray, ends: FloatArray, pieces: Pieces
) -> FloatArray:
    """Touch edges with the straight edge across each end, `(2 ends, 3, n)`."""
    u, w = ends[:, :, None]
    t, top = _edge_top(
        *(a[:, 0] - u, a[:, 2] - w, b[:, 0] - u, b[:, 2] - w),
        *(np.zeros_like(pieces.reach), pieces.reach),
    )
    across = a[:, 1] + t * (b[:, 1] - a[:, 1])
    met = (np.abs(across) <= pieces.side) & (pieces.side > 0.0)
    return np.where(met, top, -np.inf)


def _edge_top(
    va: FloatArray,
    wa: FloatArray,
    vb: FloatArray,
    wb: FloatArray,
    side: FloatArray,
    reach: FloatArray,
) -> tuple[FloatArray, FloatArray]:
    """Rest a long round-edged bar of breadth `2 side` on edges seen end on.

    Returns where along the edge it rests, 0..1, and the height of its axis.
    """
    dv, dw = vb - va, wb - wa
    rise = np.where(dv < 0.0, -dw, dw)
    slant = np.sqrt(dv * dv + dw * dw)
    sine = rise / np.where(slant > 0.0, slant, 1.0)
    v = reach * sine + side * np.sign(rise)
    low = np.maximum(np.minimum(va, vb), -side - reach)
    high = np.minimum(np.maximum(va, vb), side + reach)
    v = np.minimum(np.maximum(v, low), high)
    upright = np.where(dw > 0.0, 1.0, 0.0)
    t = np.where(dv == 0.0, upright, (v - va) / np.where(dv == 0.0, 1.0, dv))
    t = np.minimum(np.maximum(t, 0.0), 1.0)
    gap = np.maximum(np.abs(v) - side, 0.0)
    top = wa + t * dw + np.sqrt(np.maximum(reach * reach - gap * gap, 0.0))
    return t, np.where(low <= high, top, -np.inf)


def _corners(ends: FloatArray, side: FloatArray) -> FloatArray:
    """Return the end corners of each piece, `(2 ends, 1 or 2 sides, 3, n)`."""
    sides = (-side, side) if side.any() else (side,)
    u, w = ends
    return np.stack(
        [np.stack([u, np.tile(across, (2, 1)), w], axis=1) for across in sides],
        axis=1,
    )


def _ball_tops(
    a: FloatArray, b: FloatArray, ends: FloatArray, pieces: Pieces
) -> FloatArray:
    """Rest a ball on edges, one at each end corner: `(ends, sides, 3, n)`."""
    corners = _corners(ends, pieces.side)[:, :, None]
    reach = pieces.reach
    u, v = a[:, 0] - corners[..., 0, :], a[:, 1] - corners[..., 1, :]
    du, dv, dw = (b - a).transpose(1, 0, 2)
    plan = np.sqrt(du * du + dv * dv)
    flat = plan > 0.0
    whole = np.where(flat, plan, 1.0)
    foot = -(u * du + v * dv) / whole
    off = np.where(flat, (u * dv - v * du) / whole, np.sqrt(u * u + v * v))
    span = np.sqrt(np.maximum(reach * reach - off * off, 0.0))
    sine = dw / np.where(flat, np.sqrt(plan * plan + dw * dw), 1.0)
    low, high = np.maximum(foot - span, 0.0), np.minimum(foot + span, plan)
    s = np.minimum(np.maximum(foot + span * sine, low), high)
    t = np.where(flat, s / whole, np.where(dw > 0.0, 1.0, 0.0))
    fall = np.where(flat, s - foot, 0.0)
    height = a[:, 2] + t * dw - corners[..., 2, :]
    top = height + np.sqrt(np.maximum(span * span - fall * fall, 0.0))
    met = (np.abs(off) <= reach) & ((low <= high) | ~flat)
    return np.where(met, top, -np.inf)


def _face_tops(triangles: FloatArray, ends: FloatArray, pieces: Pieces) -> FloatArray:
    """Rest a ball on faces, one at each end corner: `(ends, sides, n)`."""
    corners = _corners(ends, pieces.side)
    a, b, c = triangles
    normal = cross(b - a, c - a)
    size = np.sqrt((normal * normal).sum(axis=0))
    normal = normal / np.where(size > 0.0, size, 1.0)
    upward = np.abs(normal[2]) > _STEEP
    up = normal * np.sign(normal[2])
    rise = np.where(upward, up[2], 1.0)
    height = (pieces.reach - (up * (corners - a)).sum(axis=-2)) / rise
    touch = corners - pieces.reach * up
    touch[..., 2, :] += height
    met = upward & in_triangle(touch, triangles, normal)
    return np.where(met, height, -np.inf)


def cross(a: FloatArray, b: FloatArray) -> FloatArray:
    """Return the cross products of vectors `(..., 3, n)`; several times np.cross."""
    ax, ay, az = a[..., 0, :], a[..., 1, :], a[..., 2, :]
    bx, by, bz = b[..., 0, :], b[..., 1, :], b[..., 2, :]
    first = ay * bz - az * by
    product = np.zeros((*first.shape[:-1], 3, first.shape[-1]))
    product[..., 0, :] = first
    product[..., 1, :] = az * bx - ax * bz
    product[..., 2, :] = ax * by - ay * bx
    return product


def in_triangle(
    points: FloatArray, triangles: FloatArray, normal: FloatArray
) -> NDArray[np.bool_]:
    """Tell which points `(..., 3, n)` of the planes lie within the triangles.

    Parameters
    ----------
    points : (..., 3, n) float
        Points in the planes of the triangles [in].
    triangles : (3 corners, 3 axes, n) float
        Triangles [in].
    normal : (3, n) float
        A normal of each triangle, turning a, b, c anticlockwise [-].
    """
    inward = cross(normal, triangles[[1, 2, 0]] - triangles)
    way = points[..., None, :, :] - triangles
    way *= inward
    return np.asarray((way.sum(axis=-2) >= 0.0).all(axis=-2))
