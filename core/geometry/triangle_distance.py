"""Exact least distance of triangles to the space that a lifted axis sweeps.

Between two convex bodies that do not meet, the nearest points lie on two edges
or on a corner and a face. All such pairs are tried; a body that is met is found
by cutting edges with it.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.geometry.shapes import FloatArray
from core.geometry.triangle_bands import cross, in_triangle

__all__ = ["TIE", "Nearest", "Prisms", "nearest_to_each", "nearest_to_segments"]

TIE = 1e-9  # distances this near to each other count as equal [in]
_PARALLEL = 1e-24  # squared sine below which two edges count as parallel

# edges of a box by its corners; corner 4 i + 2 j + k has end i, side j, height k
_ALL_EDGES = (
    *((0, 1), (2, 3), (4, 5), (6, 7)),
    *((0, 2), (1, 3), (4, 6), (5, 7)),
    *((0, 4), (1, 5), (2, 6), (3, 7)),
)
_FLAT_EDGES = ((0, 1), (4, 5), (0, 4), (1, 5))
# where the edges of an outline start and end: low and high, then front and back
_OUTLINE = (0, 2, 0, 1), (1, 3, 2, 3)

_Found = tuple[FloatArray, FloatArray, NDArray[np.bool_]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Prisms:
    """Space swept by straight pieces of an axis, one for each triangle.

    Each stands over the stations u0 to u1, reaches across to `side` both ways, and
    in height from `low` to `high` above the line from w0 to w1; all `(n,)` [in].
    Either all of them have a breadth or none has.
    """

    u0: FloatArray
    u1: FloatArray
    w0: FloatArray
    w1: FloatArray
    low: FloatArray
    high: FloatArray
    side: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Nearest:
    """The least distance [in], its height above the line, and both points [in].

    Of several equally near points the lowest are taken.
    """

    distance: float
    height: float
    on_body: FloatArray
    on_triangle: FloatArray


def nearest_to_each(
    triangles: FloatArray, prisms: Prisms, counts: Sequence[int]
) -> list[Nearest]:
    """Return the nearest points of each of several groups of pairs.

    Parameters
    ----------
    triangles : (3 corners, 3 axes, n) float
        Triangles in their run's frame [in], one group behind the other.
    prisms : Prisms
        The prism that belongs to each triangle.
    counts : sequence of int
        Number of pairs in each group [-].
    """
    corners = _prism_corners(prisms)
    edges = np.array(_ALL_EDGES if prisms.side.any() else _FLAT_EDGES)
    starts, ends = corners[edges[:, 0]], corners[edges[:, 1]]
    used, normal = corners[np.unique(edges)], _plane(triangles)
    found = [
        _edge_edge(starts, ends, triangles),
        _corner_face(used, triangles, normal),
        _pierced(starts, ends, triangles, normal),
        _corner_prism(triangles, prisms),
        _edge_in_prism(triangles, prisms),
    ]
    return _lowest_nearest(found, prisms, counts)


def nearest_to_segments(
    triangles: FloatArray, starts: FloatArray, ends: FloatArray, counts: Sequence[int]
) -> list[Nearest]:
    """Return the nearest points of each of several groups of pairs.

    Parameters
    ----------
    triangles : (3 corners, 3 axes, n) float
        Triangles [in], one group behind the other.
    starts, ends : (3, n) float
        Ends of the segment that belongs to each triangle [in].
    counts : sequence of int
        Number of pairs in each group [-].
    """
    edge, normal = (starts[None], ends[None]), _plane(triangles)
    found = [
        _edge_edge(*edge, triangles),
        _corner_face(np.concatenate(edge), triangles, normal),
        _pierced(*edge, triangles, normal),
    ]
    zero = np.zeros(triangles.shape[2])
    line = Prisms(u0=zero, u1=zero, w0=zero, w1=zero, low=zero, high=zero, side=zero)
    return _lowest_nearest(found, line, counts)


def _lowest_nearest(
    found: list[_Found], prisms: Prisms, counts: Sequence[int]
) -> list[Nearest]:
    """Pick the nearest point pair of each group, the lowest of those equally near."""
    body = np.concatenate([points for points, _, _ in found])
    other = np.concatenate([points for _, points, _ in found])
    valid = np.concatenate([mask for _, _, mask in found])
    gap = body - other
    distance = np.where(valid, np.sqrt((gap * gap).sum(axis=1)), np.inf)
    height = body[:, 2] - _line(prisms, body[:, 0])
    picked = []
    for last, count in zip(np.cumsum(counts), counts, strict=True):
        group = slice(last - count, last)
        row, column = _lowest_of(distance[:, group], height[:, group])
        column += last - count
        picked.append(
            Nearest(
                distance=float(distance[row, column]),
                height=float(height[row, column]),
                on_body=body[row, :, column],
                on_triangle=other[row, :, column],
            )
        )
    return picked


def _lowest_of(distance: FloatArray, height: FloatArray) -> tuple[int, int]:
    """Return where the least distance is, the lowest of those equally small."""
    near = distance <= distance.min() + TIE
    pick = int(np.where(near, height, np.inf).argmin())
    width: int = distance.shape[1]
    return pick // width, pick % width


def _line(prisms: Prisms, u: FloatArray) -> FloatArray:
    """Return the height of each prism's line at stations `(..., n)` [in]."""
    run = prisms.u1 - prisms.u0
    slope = (prisms.w1 - prisms.w0) / np.where(run > 0.0, run, 1.0)
    line: FloatArray = prisms.w0 + slope * (u - prisms.u0)
    return line


def _prism_corners(prisms: Prisms) -> FloatArray:
    """Return the corners of each prism, `(8, 3, n)`."""
    corners = np.zeros((2, 2, 2, 3, prisms.side.size))
    for end, (u, w) in enumerate(((prisms.u0, prisms.w0), (prisms.u1, prisms.w1))):
        corners[end, :, :, 0] = u
        corners[end, :, 0, 2] = w + prisms.low
        corners[end, :, 1, 2] = w + prisms.high
    corners[:, 0, :, 1], corners[:, 1, :, 1] = -prisms.side, prisms.side
    return corners.reshape(8, 3, -1)


def _dot(a: FloatArray, b: FloatArray) -> FloatArray:
    """Return the product of vectors along the last axis but one."""
    return np.asarray((a * b).sum(axis=-2))


def _over(top: FloatArray, below: FloatArray) -> FloatArray:
    """Divide where the divisor is not 0, else give 0."""
    return np.asarray(np.where(below == 0.0, 0.0, top / np.where(below == 0, 1, below)))


def _clip(t: FloatArray) -> FloatArray:
    """Keep within 0..1."""
    return np.asarray(np.minimum(np.maximum(t, 0.0), 1.0))


def _edge_edge(starts: FloatArray, ends: FloatArray, triangles: FloatArray) -> _Found:
    """Return the nearest points of every edge `(k, 3, n)` and triangle edge."""
    p, d = starts[:, None], (ends - starts)[:, None]
    q, e = triangles, triangles[[1, 2, 0]] - triangles
    gap = q - p
    dd, ee, de = _dot(d, d), _dot(e, e), _dot(d, e)
    across = cross(d, e)
    sine = _dot(across, across)
    skew = sine > _PARALLEL * dd * ee
    s = _clip(np.where(skew, _over(_dot(cross(gap, e), across), sine), 0))
    t = _clip(_over(s * de - _dot(gap, e), ee))
    s = _clip(_over(_dot(gap, d) + t * de, dd))
    body = p + s[..., None, :] * d
    other = q + t[..., None, :] * e
    n = triangles.shape[2]
    body, other = body.reshape(-1, 3, n), other.reshape(-1, 3, n)
    return body, other, np.ones((len(body), n), dtype=bool)


def _plane(triangles: FloatArray) -> FloatArray:
    """Return the unit normal of each triangle, 0 for one of no area."""
    a, b, c = triangles
    normal = cross(b - a, c - a)
    size = np.sqrt((normal * normal).sum(axis=0))
    return np.asarray(_over(normal, size))


def _corner_face(
    corners: FloatArray, triangles: FloatArray, normal: FloatArray
) -> _Found:
    """Drop corners `(k, 3, n)` square onto the faces of the triangles."""
    height = _dot(corners - triangles[0], normal)
    feet = corners - height[:, None] * normal
    met = in_triangle(feet, triangles, normal) & normal.any(axis=0)
    return corners, feet, met


def _pierced(
    starts: FloatArray, ends: FloatArray, triangles: FloatArray, normal: FloatArray
) -> _Found:
    """Return where edges `(k, 3, n)` go through triangles."""
    before = _dot(starts - triangles[0], normal)
    after = _dot(ends - triangles[0], normal)
    t = _over(before, before - after)
    points = starts + t[:, None] * (ends - starts)
    met = (before * after <= 0.0) & (before != after)
    return points, points, met & in_triangle(points, triangles, normal)


def _corner_prism(triangles: FloatArray, prisms: Prisms) -> _Found:
    """Return the points of the prisms' outlines nearest to triangle corners."""
    u, v, w = triangles.transpose(1, 0, 2)
    u0, u1, w0, w1 = prisms.u0, prisms.u1, prisms.w0, prisms.w1
    low, high = prisms.low, prisms.high
    ends = np.array([[u0, w0 + low], [u1, w1 + low], [u0, w0 + high], [u1, w1 + high]])
    (ua, wa), (ub, wb) = (ends[list(some)].transpose(1, 0, 2) for some in _OUTLINE)
    du, dw = ub - ua, wb - wa
    along = (u - ua[:, None]) * du[:, None] + (w - wa[:, None]) * dw[:, None]
    t = _clip(_over(along, (du * du + dw * dw)[:, None]))
    bodies = np.zeros((5, *triangles.shape))
    bodies[:4, :, 0] = ua[:, None] + t * du[:, None]
    bodies[:4, :, 2] = wa[:, None] + t * dw[:, None]
    bodies[4, :, 0], bodies[4, :, 2] = u, w
    bodies[:, :, 1] = np.minimum(np.maximum(v, -prisms.side), prisms.side)
    level = w - _line(prisms, u)
    met = np.ones((5, *u.shape), dtype=bool)
    met[4] = (u >= u0) & (u <= u1) & (level >= low) & (level <= high)
    other = np.tile(triangles, (5, 1, 1))
    return bodies.reshape(15, 3, -1), other, met.reshape(15, -1)


def _edge_in_prism(triangles: FloatArray, prisms: Prisms) -> _Found:
    """Return where triangle edges enter and leave the prisms."""
    a, b = triangles, triangles[[1, 2, 0]]
    enter, leave = np.zeros_like(a[:, 0]), np.ones_like(a[:, 0])
    met = np.ones(enter.shape, dtype=bool)
    slabs = (
        (a[:, 0], b[:, 0], prisms.u0, prisms.u1),
        (a[:, 1], b[:, 1], -prisms.side, prisms.side),
        (_level(a, prisms), _level(b, prisms), prisms.low, prisms.high),
    )
    for from_a, from_b, low, high in slabs:
        step = from_b - from_a
        along = step != 0.0
        t0, t1 = _over(low - from_a, step), _over(high - from_a, step)
        enter = np.where(along, np.maximum(enter, np.minimum(t0, t1)), enter)
        leave = np.where(along, np.minimum(leave, np.maximum(t0, t1)), leave)
        met &= along | ((from_a >= low) & (from_a <= high))
    met &= enter <= leave
    t = np.where(met, np.stack([enter, leave]), 0.0)[:, :, None]
    points = (a + t * (b - a)).reshape(6, 3, -1)
    return points, points, np.tile(met, (2, 1))


def _level(points: FloatArray, prisms: Prisms) -> FloatArray:
    """Return the heights of points `(3, 3, n)` above each prism's line."""
    return np.asarray(points[:, 2] - _line(prisms, points[:, 0]))
