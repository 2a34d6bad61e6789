"""Distance of tilted cylinders to the box that a run sweeps.

Where the nearest points lie square to the axis, it is the distance of the axis less the
radius. Else it is the least over the outermost points of the solid along the axes of
the box and over the edges of the box, along which the distance is convex. Every
candidate is the distance of two true points, so that none understates the air by
more than the last digits; a solid that overlaps is found by its touching band.
"""

from dataclasses import dataclass

import numpy as np

from core.geometry.kernels.cylinder import Cylinders
from core.geometry.kernels.edges import nearest_on_edges
from core.geometry.kernels.placed import BoolArray, Gap, Room
from core.geometry.kernels.roots import rising_roots
from core.geometry.shapes import FloatArray, IntArray

__all__ = ["cylinder_gap"]

_SQUARE_ON = 1e-10
_SQUARE = 1e-14
_TIE = 1e-14
_ZERO = 1e-12
_OUTWARD = np.array(
    [[0, 0, 0, 0, -1, 1], [0, 0, -1, 1, 0, 0], [-1, 1, 0, 0, 0, 0]], dtype=np.float64
)[:, :, None]
# the edges of the box: along which axis, and at which end of the two other axes
_AXIS = np.repeat([0, 1, 2], 4)
_OTHER_A, _OTHER_B = np.repeat([1, 0, 0], 4), np.repeat([2, 2, 1], 4)
_END_A, _END_B = np.tile([0, 0, 1, 1], 3), np.tile([0, 1, 0, 1], 3)
_UPPER = np.zeros((3, 12), dtype=np.bool_)
_UPPER[_OTHER_A, np.arange(12)] = _END_A == 1
_UPPER[_OTHER_B, np.arange(12)] = _END_B == 1


def cylinder_gap(solids: Cylinders, room: Room) -> Gap:
    """Return the distance to the box that the bare body of the run sweeps."""
    apart, point, square_on = _axis_gap(solids, room)
    rows = (~square_on).nonzero()[0]
    if rows.size:
        found, place = _rim_gap(solids.take(rows), room.take(rows))
        apart[rows] = found
        point[:, rows] = place
    return Gap(apart, point, apart)


def _axis_gap(
    solids: Cylinders, room: Room
) -> tuple[FloatArray, FloatArray, BoolArray]:
    """Return the distance by way of the axis, and where it is the true one."""
    arm = solids.half * solids.axis
    arm *= np.where(arm[2] < 0.0, -1.0, 1.0)
    start, along = solids.center - arm, 2.0 * arm
    t, square = nearest_on_edges(start, along, room.block[::2], room.block[1::2])
    place = start + t * along
    apart = np.sqrt(square)
    way = room.nearest(place) - place
    tilt = way * solids.axis
    lean = np.abs(tilt[0] + tilt[1] + tilt[2])
    outside = apart > solids.radius
    share = np.where(outside, solids.radius / np.where(outside, apart, 1.0), 1.0)
    point = place + share * way
    return np.maximum(apart - solids.radius, 0.0), point, lean <= _SQUARE_ON


def _rim_gap(solids: Cylinders, room: Room) -> tuple[FloatArray, FloatArray]:
    """Return the least distance over outermost points and edges of the box."""
    apart, place = _outermost_gap(solids, room)
    edges = _facing_edges(solids, room)
    if not edges.rows.size:
        return apart, place
    found, point = _edge_gaps(solids.take(edges.rows), edges)
    column = np.full((12, apart.size), np.inf)
    column[edges.number, edges.rows] = found
    where = np.zeros(column.shape, dtype=np.int64)
    where[edges.number, edges.rows] = np.arange(found.size)
    best, every = column.argmin(axis=0), np.arange(apart.size)
    return _nearer(apart, place, column[best, every], point[:, where[best, every]])


def _outermost_gap(solids: Cylinders, room: Room) -> tuple[FloatArray, FloatArray]:
    """Return the least distance over the outermost points of the solids.

    The lowest points beside the box of caps square to the run come first, since a whole
    stretch of heights is as near.
    """
    apart = np.full(solids.half.size, np.inf)
    place = solids.center.copy()
    for axis in (0, 1):
        lean = np.maximum(np.abs(solids.axis[1 - axis]), np.abs(solids.axis[2]))
        rows = (lean <= _SQUARE).nonzero()[0]
        for sign in (-1.0, 1.0) if rows.size else ():
            cap = _square_cap_gap(solids.take(rows), room.take(rows), axis, sign)
            apart[rows], place[:, rows] = _nearer(apart[rows], place[:, rows], *cap)
    rim, dot = solids.support(*_OUTWARD)
    points = np.array(rim) + solids.half * np.sign(dot) * solids.axis[:, None]
    found = _point_gap(room, points)
    best = (found <= found.min(axis=0) * (1.0 + _TIE)).argmax(axis=0)
    every = np.arange(best.size)
    return _nearer(apart, place, found[best, every], points[:, best, every])


def _square_cap_gap(
    solids: Cylinders, room: Room, axis: int, sign: float
) -> tuple[FloatArray, FloatArray]:
    """Return the distance of one square cap at its lowest height beside the box.

    The cap faces along u (axis 0) or v (axis 1).
    """
    center, height = solids.center, solids.center[2]
    beside = 1 - axis
    low, high = room.block[2 * beside : 2 * beside + 2]
    near = np.minimum(np.maximum(center[beside], low), high)
    away = near - center[beside]
    square = solids.radius * solids.radius - away * away
    chord = np.sqrt(np.maximum(square, 0.0))
    place = center.copy()
    place[axis] += sign * solids.half * solids.axis[axis]
    place[beside] = np.where(square >= 0.0, near, center[beside])
    lowest = np.maximum(room.block[4], height - chord)
    place[2] = np.minimum(lowest, height + chord)
    return _point_gap(room, place), place


def _point_gap(room: Room, point: FloatArray) -> FloatArray:
    """Return the distance of points `(3, ..., n)` to the box."""
    low, high = room.block[::2], room.block[1::2]
    if point.ndim == 3:
        low, high = low[:, None], high[:, None]
    away = point - np.minimum(np.maximum(point, low), high)
    away *= away
    return np.asarray(np.sqrt(away[0] + away[1] + away[2]))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Edges:
    """Edges of the box beside the solids at some rows: a point, and its range."""

    number: IntArray
    rows: IntArray
    axis: IntArray
    corner: FloatArray
    low: FloatArray
    high: FloatArray


def _facing_edges(solids: Cylinders, room: Room) -> _Edges:
    """Return the edges of the box that solids reach past on both outer sides.

    They are cut to the part beside the solids.
    """
    axes, middle = solids.axis, solids.center
    flat = np.sqrt(np.maximum(1.0 - axes * axes, 0.0))
    reach = solids.half * np.abs(axes) + solids.radius * flat
    low, high = room.block[::2], room.block[1::2]
    past = np.array((middle - reach < low, middle + reach > high))
    long = high > low
    long[0] = True
    facing = long[_AXIS] & past[_END_A, _OTHER_A] & past[_END_B, _OTHER_B]
    number, rows = facing.nonzero()
    axis = _AXIS[number]
    corner = np.where(_UPPER[:, number], high[:, rows], low[:, rows])
    corner[axis, np.arange(rows.size)] = 0.0
    low, high = low[axis, rows], high[axis, rows]
    least, greatest = (middle - reach)[axis, rows], (middle + reach)[axis, rows]
    return _Edges(
        number=number,
        rows=rows,
        axis=axis,
        corner=corner,
        low=np.minimum(np.maximum(least, low), high),
        high=np.minimum(np.maximum(greatest, low), high),
    )


def _edge_gaps(solids: Cylinders, edges: _Edges) -> tuple[FloatArray, FloatArray]:
    """Return distance and nearest point of each solid to the edge that goes with it.

    The distance is convex along an edge: half the derivative of its square rises.
    """
    along = np.eye(3)[:, edges.axis]
    start = edges.corner - solids.center

    def change(items: IntArray, place: FloatArray) -> tuple[FloatArray, FloatArray]:
        edge = along[:, items]
        return solids.take(items).along(start[:, items] + place * edge, edge)

    every = np.arange(edges.rows.size)
    low, high = edges.low, edges.high
    left, right = change(every, low)[0], change(every, high)[0]
    place = np.where(left >= 0.0, low, high)
    open_ = ((left < 0.0) & (right > 0.0)).nonzero()[0]
    if open_.size:
        place[open_] = rising_roots(
            lambda items, place: change(open_[items], place),
            (low[open_], left[open_]),
            (high[open_], right[open_]),
            _ZERO * (1.0 + solids.radius[open_]),
        )
    at = edges.corner + place * along
    apart, way = solids.from_point(*at)
    return apart, at - np.array(way)


def _nearer(
    apart: FloatArray, place: FloatArray, found: FloatArray, point: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return the smaller distance and its point, the first of equal ones."""
    less = found < apart * (1.0 - _TIE)
    return np.where(less, found, apart), np.where(less, point, place)
