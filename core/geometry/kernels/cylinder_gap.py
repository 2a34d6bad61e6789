"""Distance of tilted cylinders to the box that a run sweeps.

Where the nearest points lie square to the axis, it is the distance of the axis less the
radius. Else it is the least over the outermost points of the solid along the axes of
the box and over the edges of the box, along which the distance is convex. Every
candidate is the distance of two true points, so that none understates the air by
more than the last digits; a solid that overlaps is found by its touching band.
"""

from dataclasses import dataclass
from itertools import product

import numpy as np

from core.geometry.kernels.cylinder import Cylinders, Triple
from core.geometry.kernels.edges import nearest_on_edges
from core.geometry.kernels.placed import BoolArray, Gap, Room
from core.geometry.kernels.roots import rising_roots
from core.geometry.shapes import FloatArray, IntArray

__all__ = ["cylinder_gap"]

Pair = tuple[FloatArray, FloatArray]
_SQUARE_ON = 1e-10
_SQUARE = 1e-14
_TIE = 1e-14
_ZERO = 1e-12


def cylinder_gap(solids: Cylinders, room: Room) -> Gap:
    """Return the distance to the box that the bare body of the run sweeps."""
    apart, point, square_on = _axis_gap(solids, room)
    rows = np.flatnonzero(~square_on)
    if rows.size:
        found, place = _rim_gap(solids.take(rows), room.take(rows))
        apart[rows] = found
        for column, values in zip(point, place, strict=True):
            column[rows] = values
    return Gap(apart=apart, u=point[0], v=point[1], w=point[2])


def _axis_gap(solids: Cylinders, room: Room) -> tuple[FloatArray, Triple, BoolArray]:
    """Return the distance by way of the axis, and where it is the true one."""
    arm = [solids.half * part for part in solids.axis]
    start = [c - a for c, a in zip(solids.center, arm, strict=True)]
    along = [2.0 * part for part in arm]
    falls = along[2] < 0.0
    start = [np.where(falls, s + d, s) for s, d in zip(start, along, strict=True)]
    along = [np.where(falls, -d, d) for d in along]
    sides = ((room.first, room.last), (-room.side, room.side), (room.low, room.high))
    t, square = nearest_on_edges(
        [(s, d, *side) for s, d, side in zip(start, along, sides, strict=True)]
    )
    u, v, w = (s + t * d for s, d in zip(start, along, strict=True))
    near = room.nearest(u, v, w)
    apart = np.sqrt(square)
    way = (near[0] - u, near[1] - v, near[2] - w)
    au, av, aw = solids.axis
    lean = np.abs(way[0] * au + way[1] * av + way[2] * aw)
    outside = apart > solids.radius
    share = np.where(outside, solids.radius / np.where(outside, apart, 1.0), 1.0)
    point = (u + share * way[0], v + share * way[1], w + share * way[2])
    return np.maximum(apart - solids.radius, 0.0), point, lean <= _SQUARE_ON


def _rim_gap(solids: Cylinders, room: Room) -> tuple[FloatArray, Triple]:
    """Return the least distance over outermost points and edges of the box."""
    apart, place = _outermost_gap(solids, room)
    edges = _facing_edges(solids, room)
    if not edges:
        return apart, place
    rows = np.concatenate([edge.rows for edge in edges])
    found, point = _edge_gaps(solids.take(rows), edges)
    column = np.full((len(edges), apart.size), np.inf)
    column[np.repeat(np.arange(len(edges)), [e.rows.size for e in edges]), rows] = found
    best = column.argmin(axis=0)
    where = np.zeros(column.shape, dtype=np.int64)
    start = 0
    for number, edge in enumerate(edges):
        where[number, edge.rows] = start + np.arange(edge.rows.size)
        start += edge.rows.size
    every = np.arange(apart.size)
    chosen = where[best, every]
    return _nearer(
        apart,
        place,
        column[best, every],
        (point[0][chosen], point[1][chosen], point[2][chosen]),
    )


def _outermost_gap(solids: Cylinders, room: Room) -> tuple[FloatArray, Triple]:
    """Return the least distance over the outermost points of the solids.

    The lowest points beside the box of caps square to the run come first, since a whole
    stretch of heights is as near.
    """
    apart = np.full(solids.half.size, np.inf)
    place = solids.center
    for axis, sign in product((0, 1), (-1.0, 1.0)):
        cap = _square_cap_gap(solids, room, axis, sign)
        apart, place = _nearer(apart, place, *cap)
    for axis, sign in product((2, 1, 0), (-1.0, 1.0)):
        direction = [0.0, 0.0, 0.0]
        direction[axis] = sign
        point = solids.farthest(*direction)
        apart, place = _nearer(apart, place, _point_gap(room, point), point)
    return apart, place


def _square_cap_gap(
    solids: Cylinders, room: Room, axis: int, sign: float
) -> tuple[FloatArray, Triple]:
    """Return the distance of one cap at its lowest height beside the box, if square.

    The cap faces along u (axis 0) or v (axis 1).
    """
    center, height = solids.center, solids.center[2]
    sides = ((room.first, room.last), (-room.side, room.side))
    beside = 1 - axis
    near = np.minimum(np.maximum(center[beside], sides[beside][0]), sides[beside][1])
    away = near - center[beside]
    square = solids.radius * solids.radius - away * away
    chord = np.sqrt(np.maximum(square, 0.0))
    place = [center[0], center[1], height]
    place[axis] = center[axis] + sign * solids.half * solids.axis[axis]
    place[beside] = np.where(square >= 0.0, near, center[beside])
    place[2] = np.minimum(np.maximum(room.low, height - chord), height + chord)
    point = (place[0], place[1], place[2])
    lean = np.maximum(np.abs(solids.axis[beside]), np.abs(solids.axis[2]))
    return np.where(lean <= _SQUARE, _point_gap(room, point), np.inf), point


def _point_gap(room: Room, point: Triple) -> FloatArray:
    """Return the distance of points to the box."""
    near = room.nearest(*point)
    u, v, w = (p - q for p, q in zip(point, near, strict=True))
    return np.sqrt(u * u + v * v + w * w)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Edge:
    """One edge of the box for the solids that it faces: a point, and its range."""

    axis: int
    rows: IntArray
    corner: list[FloatArray]
    low: FloatArray
    high: FloatArray


def _facing_edges(solids: Cylinders, room: Room) -> list[_Edge]:
    """Return the edges of the box that solids reach past on both outer sides."""
    sides = ((room.first, room.last), (-room.side, room.side), (room.low, room.high))
    extents = [solids.extent(axis) for axis in range(3)]
    past = [
        (least < low, greatest > high)
        for (least, greatest), (low, high) in zip(extents, sides, strict=True)
    ]
    edges = []
    for axis in range(3):
        a, b = (other for other in range(3) if other != axis)
        long = (sides[axis][1] > sides[axis][0]) | (axis == 0)
        for at_a, at_b in product((0, 1), repeat=2):
            rows = np.flatnonzero(long & past[a][at_a] & past[b][at_b])
            if rows.size:
                edges.append(_edge(axis, {a: at_a, b: at_b}, rows, sides, extents))
    return edges


def _edge(
    axis: int,
    ends: dict[int, int],
    rows: IntArray,
    sides: tuple[Pair, Pair, Pair],
    extents: list[Pair],
) -> _Edge:
    """Return one edge of the box, cut to the part beside the solids."""
    corner = [np.zeros(rows.size) for _ in range(3)]
    for other, end in ends.items():
        corner[other] = sides[other][end][rows]
    low, high = sides[axis][0][rows], sides[axis][1][rows]
    least, greatest = extents[axis][0][rows], extents[axis][1][rows]
    low = np.minimum(np.maximum(least, low), high)
    high = np.minimum(np.maximum(greatest, low), high)
    return _Edge(axis=axis, rows=rows, corner=corner, low=low, high=high)


def _edge_gaps(solids: Cylinders, edges: list[_Edge]) -> tuple[FloatArray, Triple]:
    """Return distance and nearest point of each solid to the edge that goes with it.

    The distance is convex along an edge: half the derivative of its square rises.
    """
    start = [np.concatenate([edge.corner[k] for edge in edges]) for k in range(3)]
    axis = np.repeat([edge.axis for edge in edges], [edge.rows.size for edge in edges])
    along = [np.where(axis == k, 1.0, 0.0) for k in range(3)]
    low = np.concatenate([edge.low for edge in edges])
    high = np.concatenate([edge.high for edge in edges])

    def point(items: IntArray, place: FloatArray) -> Triple:
        u, v, w = (start[k][items] + place * along[k][items] for k in range(3))
        return u, v, w

    def change(items: IntArray, place: FloatArray) -> tuple[FloatArray, FloatArray]:
        edge = (along[0][items], along[1][items], along[2][items])
        return solids.take(items).along(point(items, place), edge)[:2]

    every = np.arange(low.size)
    left, right = change(every, low)[0], change(every, high)[0]
    place = np.where(left >= 0.0, low, high)
    open_ = np.flatnonzero((left < 0.0) & (right > 0.0))
    if open_.size:
        place[open_] = rising_roots(
            lambda items, place: change(open_[items], place),
            (low[open_], left[open_]),
            (high[open_], right[open_]),
            _ZERO * (1.0 + solids.radius[open_]),
        )
    at = point(every, place)
    apart, way = solids.from_point(*at)
    return apart, (at[0] - way[0], at[1] - way[1], at[2] - way[2])


def _nearer(
    apart: FloatArray, place: Triple, found: FloatArray, point: Triple
) -> tuple[FloatArray, Triple]:
    """Return the smaller distance and its point, the first of equal ones."""
    less = found < apart * (1.0 - _TIE)
    return np.where(less, found, apart), (
        np.where(less, point[0], place[0]),
        np.where(less, point[1], place[1]),
        np.where(less, point[2], place[2]),
    )
