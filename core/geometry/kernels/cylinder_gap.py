"""Distance of tilted cylinders to the box that a run sweeps.

Where the nearest points lie square to the axis, it is the distance of the axis less the
radius. Else it is the least over the outermost points of the solid along the axes of
the box and over the edges of the box, along which the distance is convex. Every
candidate is the distance of two true points, so that none understates the air by
more than the last digits; a solid that overlaps is found by its touching band.
"""

from itertools import product

import numpy as np

from core.geometry.kernels.cylinder import Cylinders, Triple
from core.geometry.kernels.edges import nearest_on_edges
from core.geometry.kernels.placed import BoolArray, Gap, Room
from core.geometry.kernels.roots import rising_roots
from core.geometry.shapes import FloatArray, IntArray

__all__ = ["cylinder_gap"]

_SQUARE_ON = 1e-10
_ZERO = 1e-13


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
    best = _outermost_gap(solids, room)
    for axis in range(3):
        others = [other for other in range(3) if other != axis]
        for signs in product((-1.0, 1.0), repeat=2):
            edge = dict(zip(others, signs, strict=True))
            best = _edge_gap(solids, room, axis, edge, best)
    return best


def _outermost_gap(solids: Cylinders, room: Room) -> tuple[FloatArray, Triple]:
    """Return the least distance over the six outermost points of the solids."""
    apart = np.full(solids.half.size, np.inf)
    place = solids.center
    for axis, sign in product((2, 1, 0), (-1.0, 1.0)):
        direction = [0.0, 0.0, 0.0]
        direction[axis] = sign
        point = solids.farthest(*direction)
        near = room.nearest(*point)
        way = [p - q for p, q in zip(point, near, strict=True)]
        found = np.sqrt(way[0] * way[0] + way[1] * way[1] + way[2] * way[2])
        apart, place = _nearer(apart, place, found, point)
    return apart, place


def _edge_gap(
    solids: Cylinders,
    room: Room,
    axis: int,
    signs: dict[int, float],
    best: tuple[FloatArray, Triple],
) -> tuple[FloatArray, Triple]:
    """Return the better of the best so far and the distance to one edge of the box."""
    sides = ((room.first, room.last), (-room.side, room.side), (room.low, room.high))
    faced = (sides[axis][1] > sides[axis][0]) | (axis == 0)
    for other, sign in signs.items():
        least, greatest = solids.extent(other)
        low, high = sides[other]
        faced &= (greatest > high) if sign > 0.0 else (least < low)
    rows = np.flatnonzero(faced)
    if not rows.size:
        return best
    corner = [np.zeros(rows.size) for _ in range(3)]
    for other, sign in signs.items():
        corner[other] = sides[other][int(sign > 0.0)][rows]
    some = solids.take(rows)
    corner[axis] = _nearest_along(
        some, corner, axis, sides[axis][0][rows], sides[axis][1][rows]
    )
    found, way = some.from_point(corner[0], corner[1], corner[2])
    point = (corner[0] - way[0], corner[1] - way[1], corner[2] - way[2])
    apart, place = best[0].copy(), tuple(part.copy() for part in best[1])
    old = (place[0][rows], place[1][rows], place[2][rows])
    apart[rows], new = _nearer(apart[rows], old, found, point)
    for column, values in zip(place, new, strict=True):
        column[rows] = values
    return apart, (place[0], place[1], place[2])


def _nearest_along(
    solids: Cylinders,
    corner: list[FloatArray],
    axis: int,
    low: FloatArray,
    high: FloatArray,
) -> FloatArray:
    """Return where along an edge of the box the solid is nearest.

    The derivative of half the squared distance is the part of the way from the solid
    that lies along the edge; it rises.
    """
    least, greatest = solids.extent(axis)
    low = np.minimum(np.maximum(least, low), high)
    high = np.minimum(np.maximum(greatest, low), high)

    def slope(items: IntArray, place: FloatArray) -> FloatArray:
        point = [part[items] for part in corner]
        point[axis] = place
        return solids.take(items).from_point(point[0], point[1], point[2])[1][axis]

    every = np.arange(low.size)
    left, right = slope(every, low), slope(every, high)
    place = np.where(left >= 0.0, low, high)
    open_ = np.flatnonzero((left < 0.0) & (right > 0.0))
    if open_.size:
        place[open_] = rising_roots(
            lambda items, place: slope(open_[items], place),
            (low[open_], left[open_]),
            (high[open_], right[open_]),
            _ZERO * (1.0 + solids.radius[open_]),
        )
    return place


def _nearer(
    apart: FloatArray, place: Triple, found: FloatArray, point: Triple
) -> tuple[FloatArray, Triple]:
    """Return the smaller distance and its point."""
    less = found < apart
    return np.where(less, found, apart), (
        np.where(less, point[0], place[0]),
        np.where(less, point[1], place[1]),
        np.where(less, point[2], place[2]),
    )
