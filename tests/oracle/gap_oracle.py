"""A second method for swept clearances: point-to-solid formulas and golden section.

It shares nothing with ``core.geometry`` but the shape records. A pair is one level
segment and one convex solid; every function works on many pairs of one kind at
once, pair ``i`` being row ``i`` of each array. All lengths are inches.

The distance of a point to a convex solid is a convex function of the point.
Minimised over a box of directions (along the segment, across it, up the travel) it
stays convex in those that are left, so golden section finds each least value and
a bracketed root each height at which a given distance is reached.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from core.geometry.shapes import Box, Capsule, Cylinder, Hull, Shape, Sphere

Array = NDArray[np.float64]
PointGap = Callable[[Array], Array]

_GOLD = (np.sqrt(5.0) - 1.0) / 2.0
_WIDTH = 1e-10
_ROOT_STEPS = 80


@dataclass(frozen=True, kw_only=True)
class Solids:
    """Solids of one kind: a ball round each, and the distance of a point to each."""

    shapes: tuple[Shape, ...]
    center: Array
    reach: Array
    gap: PointGap


@dataclass(frozen=True, kw_only=True)
class Segments:
    """A segment for each pair, and the direction in which it moves.

    Start ``(n, 3)``, unit direction ``(n, 3)``, length ``(n,)``, unit direction of
    the move ``(n, 3)``.
    """

    start: Array
    direction: Array
    length: Array
    move: Array

    def rows(self, rows: NDArray[np.int64]) -> "Segments":
        """Return the segments of these pairs."""
        return Segments(
            start=self.start[rows],
            direction=self.direction[rows],
            length=self.length[rows],
            move=self.move[rows],
        )


def pack(shapes: Sequence[Shape]) -> Solids:
    """Return the solids of one kind behind one distance function."""
    makers = {
        Box: _boxes,
        Cylinder: _cylinders,
        Capsule: _capsules,
        Sphere: _spheres,
        Hull: _hulls,
    }
    center, reach, gap = makers[type(shapes[0])](shapes)
    return Solids(shapes=tuple(shapes), center=center, reach=reach, gap=gap)


def _column(shapes: Sequence[Shape], name: str) -> Array:
    return np.array([getattr(shape, name) for shape in shapes])


def _norm(vectors: Array) -> Array:
    return np.sqrt(np.sum(vectors * vectors, axis=-1))


def _dot(a: Array, b: Array) -> Array:
    return np.asarray(np.einsum("...j,...j->...", a, b))


def _boxes(shapes: Sequence[Shape]) -> tuple[Array, Array, PointGap]:
    """Distance to a box: length of the part of each coordinate beyond its half."""
    center, half = _column(shapes, "center"), _column(shapes, "half")
    axes = _column(shapes, "axes")

    def gap(points: Array) -> Array:
        local = _dot(axes, (points - center)[:, None, :])
        return _norm(np.maximum(np.abs(local) - half, 0.0))

    return center, _norm(half), gap


def _axis_parts(shapes: Sequence[Shape]) -> tuple[Array, Array, PointGap, PointGap]:
    """Return middle and half length of axes, and how far points are beyond and off."""
    a, b = _column(shapes, "a"), _column(shapes, "b")
    middle, half = (a + b) / 2, _norm(b - a) / 2
    unit = (b - a) / np.where(half > 0, 2 * half, 1.0)[:, None]

    def beyond(points: Array) -> Array:
        return np.maximum(np.abs(_dot(points - middle, unit)) - half, 0.0)

    def off(points: Array) -> Array:
        offset = points - middle
        return _norm(offset - _dot(offset, unit)[:, None] * unit)

    return middle, half, beyond, off


def _cylinders(shapes: Sequence[Shape]) -> tuple[Array, Array, PointGap]:
    """Distance to a flat cylinder: hypotenuse of the radial and the axial excess."""
    middle, half, beyond, off = _axis_parts(shapes)
    radius = _column(shapes, "radius")

    def gap(points: Array) -> Array:
        return np.hypot(beyond(points), np.maximum(off(points) - radius, 0.0))

    return middle, np.hypot(half, radius), gap


def _capsules(shapes: Sequence[Shape]) -> tuple[Array, Array, PointGap]:
    """Distance to a capsule: distance to its axis, less the radius, not below 0."""
    middle, half, beyond, off = _axis_parts(shapes)
    radius = _column(shapes, "radius")

    def gap(points: Array) -> Array:
        return np.maximum(np.hypot(beyond(points), off(points)) - radius, 0.0)

    return middle, half + radius, gap


def _spheres(shapes: Sequence[Shape]) -> tuple[Array, Array, PointGap]:
    """Distance to a ball: distance to its centre, less the radius, not below 0."""
    center, radius = _column(shapes, "center"), _column(shapes, "radius")

    def gap(points: Array) -> Array:
        return np.maximum(_norm(points - center) - radius, 0.0)

    return center, radius, gap


def outer_triangles(points: Array) -> NDArray[np.int64]:
    """Return every triple of points ``(m, 3)`` with all others on one side.

    Triples of a face with more than three corners overlap; their union is the face.
    They run so that the normal points outwards.
    """
    triple = np.array(list(combinations(range(len(points)), 3)))
    corner = points[triple]
    normal = np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0])
    size = _norm(normal)
    normal = normal / np.where(size > 0, size, 1.0)[:, None]
    side = np.einsum("tj,pj->tp", normal, points) - _dot(normal, corner[:, 0])[:, None]
    slack = 1e-9 * np.ptp(points, axis=0).max()
    below = (size > slack) & np.all(side <= slack, axis=1)
    above = (size > slack) & np.all(side >= -slack, axis=1)
    return np.concatenate([triple[below], triple[above][:, ::-1]])


def _padded(parts: Sequence[Array]) -> Array:
    """Return parts ``(k, ...)`` of solids as ``(..., n, most)``, first repeated."""
    most = max(len(part) for part in parts)
    full = [np.concatenate([p, p[:1].repeat(most - len(p), axis=0)]) for p in parts]
    return np.ascontiguousarray(np.moveaxis(np.stack(full), (0, 1), (-2, -1)))


def _along(a: Array, b: Array) -> Array:
    return np.asarray(a[0] * b[0] + a[1] * b[1] + a[2] * b[2])


def _edge_gap(edges: Array) -> PointGap:
    """Return the distance of point `i` to the nearest of the edges ``(2, 3, n, k)``."""
    start, along = edges[0], edges[1] - edges[0]
    per_square = 1.0 / _along(along, along)

    def gap(points: Array) -> Array:
        offset = points.T[:, :, None] - start
        share = np.clip(_along(offset, along) * per_square, 0.0, 1.0)
        foot = offset - share * along
        return np.sqrt(np.min(_along(foot, foot), axis=1))

    return gap


def _face_gap(corner: Array) -> PointGap:
    """Return the distance of point `i` to the flat of the faces ``(3, 3, n, k)``.

    Infinite beside all of them, 0 behind them all.
    """
    edge = np.roll(corner, -1, axis=0) - corner
    normal = np.cross(edge[0], edge[1], axis=0)
    normal = normal / np.sqrt(_along(normal, normal))
    inward = [np.cross(normal, edge[k], axis=0) for k in range(3)]

    def gap(points: Array) -> Array:
        offset = [points.T[:, :, None] - corner[k] for k in range(3)]
        above = _along(offset[0], normal)
        beside = np.min([_along(inward[k], offset[k]) for k in range(3)], axis=0) < 0.0
        flat = np.where(beside | (above < 0.0), np.inf, above)
        return np.where(np.all(above <= 0.0, axis=1), 0.0, np.min(flat, axis=1))

    return gap


def _hulls(shapes: Sequence[Shape]) -> tuple[Array, Array, PointGap]:
    """Distance to a hull: least over its edges and faces, 0 behind all of these."""
    points = [np.array(shape.points) for shape in shapes if isinstance(shape, Hull)]
    faces = [outer_triangles(p) for p in points]
    sides = [f[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2) for f in faces]
    sides = [np.unique(np.sort(side, axis=1), axis=0) for side in sides]
    near_face = _face_gap(_padded([p[f] for p, f in zip(points, faces, strict=True)]))
    near_edge = _edge_gap(_padded([p[s] for p, s in zip(points, sides, strict=True)]))
    center = np.stack([p.mean(axis=0) for p in points])
    reach = np.array([_norm(p - c).max() for p, c in zip(points, center, strict=True)])

    def gap(place: Array) -> Array:
        return np.minimum(near_face(place), near_edge(place))

    return center, reach, gap


def golden(
    value: Callable[[Array], Array], low: Array, high: Array
) -> tuple[Array, Array]:
    """Return the place and the value of the least of convex functions on [low, high].

    Every value that was looked at counts, the ends included.
    """
    a, b = low.copy(), high.copy()
    x, y = b - _GOLD * (b - a), a + _GOLD * (b - a)
    fx, fy = value(x), value(y)
    place, least = _better((low, value(low)), (high, value(high)))
    widest = float(np.max(b - a, initial=0.0))
    for _ in range(int(np.ceil(np.log(max(widest, _WIDTH) / _WIDTH) / -np.log(_GOLD)))):
        left = fx <= fy
        a, b = np.where(left, a, x), np.where(left, y, b)
        fresh = np.where(left, b - _GOLD * (b - a), a + _GOLD * (b - a))
        f_fresh = value(fresh)
        x, y = np.where(left, fresh, y), np.where(left, x, fresh)
        fx, fy = np.where(left, f_fresh, fy), np.where(left, fx, f_fresh)
    return _better(_better((x, fx), (y, fy)), (place, least))


def _better(
    one: tuple[Array, Array], other: tuple[Array, Array]
) -> tuple[Array, Array]:
    first = one[1] <= other[1]
    return np.where(first, one[0], other[0]), np.where(first, one[1], other[1])


def root(value: Callable[[Array], Array], inner: Array, outer: Array) -> Array:
    """Return where functions cross 0 between a place below it and one above it.

    Illinois: the value of a side that stays twice is halved. Every fourth step bisects.
    """
    f_in, f_out = value(inner), value(outer)
    best, miss = inner, np.abs(f_in)
    was_below = np.zeros(len(inner), dtype=bool)
    for step in range(_ROOT_STEPS):
        share = f_in / np.where(f_in == f_out, 1.0, f_in - f_out)
        share = np.full_like(share, 0.5) if step % 4 == 3 else np.clip(share, 0.0, 1.0)
        place = inner + share * (outer - inner)
        f_place = value(place)
        best = np.where(np.abs(f_place) < miss, place, best)
        miss = np.minimum(np.abs(f_place), miss)
        if np.all((np.abs(outer - inner) < 1e-11) | (miss < 1e-13)):
            break
        below = f_place <= 0.0
        again = (below == was_below) & (step > 0)
        f_in = np.where(below, f_place, np.where(again, f_in / 2, f_in))
        f_out = np.where(below, np.where(again, f_out / 2, f_out), f_place)
        inner, outer = np.where(below, place, inner), np.where(below, outer, place)
        was_below = below
    return best


def gap_at(segments: Segments, solids: Solids, way: Array) -> Array:
    """Return the distance of the moved segments to their solids.

    The nearest place on a segment is the foot of some point of the solid, so the
    search stays within the ball round the solid.
    """
    start = segments.start + way[:, None] * segments.move
    middle = _dot(solids.center - start, segments.direction)
    return golden(
        lambda u: solids.gap(start + u[:, None] * segments.direction),
        np.clip(middle - solids.reach, 0.0, segments.length),
        np.clip(middle + solids.reach, 0.0, segments.length),
    )[1]


def _ways(segments: Segments, solids: Solids) -> tuple[Array, Array]:
    """Return the way that brings each segment beside its solid, and how far off it is.

    Beyond that far from it, no part of the segment is beside the ball round the solid.
    """
    middle = _dot(solids.center - segments.start, segments.move)
    lean = np.abs(_dot(segments.direction, segments.move)) * segments.length
    return middle, solids.reach + lean


def least_gap(
    segments: Segments, solids: Solids, low: Array, high: Array
) -> tuple[Array, Array]:
    """Return the way in [low, high] at which each pair is nearest, and the distance."""
    middle, wide = _ways(segments, solids)
    return golden(
        lambda way: gap_at(segments, solids, way),
        np.clip(middle - wide, low, high),
        np.clip(middle + wide, low, high),
    )


def band_ends(
    segments: Segments, solids: Solids, distance: Array
) -> tuple[Array, Array]:
    """Return the least and the largest way at which each pair is nearer than this.

    Both are nan where the pair never comes that near.
    """
    low, high = np.full(len(distance), np.nan), np.full(len(distance), np.nan)
    middle, wide = _ways(segments, solids)
    wide = wide + distance + 1.0
    nearest, gap = least_gap(segments, solids, middle - wide, middle + wide)
    rows = np.nonzero(gap < distance)[0]
    if len(rows):
        few, part = segments.rows(rows), pack([solids.shapes[i] for i in rows])

        def excess(way: Array) -> Array:
            return gap_at(few, part, way) - distance[rows]

        low[rows] = root(excess, nearest[rows], (middle - wide)[rows])
        high[rows] = root(excess, nearest[rows], (middle + wide)[rows])
    return low, high
