"""What space the building takes: walls, ceiling, bulkheads, chords, partitions, doors.

The floor is no solid: heights are measured from it.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from core.geometry.shapes import Box, Hull, Shape, Vec2, upright_box
from core.model.room import Door, DoorSwing, Pen, Room, Wall
from core.placement.ceiling import (
    CeilingField,
    ceiling_height,
    ceiling_top,
    lowest_ceiling,
    main_fields,
)
from core.placement.solids import Group, Moving, Solid
from core.placement.swept import swept_leaf, upright_hinge
from core.placement.walls import wall_frame

__all__ = [
    "Truss",
    "building_solids",
    "ceiling_height",
    "lowest_ceiling",
    "nearest_truss",
    "truss_stations",
]

# Thickness of the solid above the ceiling [in]: it only has to be thicker than
# any pipe with its envelope. Common practice, no published source.
_SLAB = 24.0
# Thickness of a door leaf [in]. Common practice, no published source.
_LEAF = 1.75


@dataclass(frozen=True, slots=True, kw_only=True)
class Truss:
    """A truss: its number, counted from 1 at the front, and its station x [in]."""

    number: int
    x: float


def truss_stations(room: Room) -> tuple[Truss, ...]:
    """Return the trusses from the front to the back.

    The listed stations inside the room, or ``first + k spacing`` as far as the
    room goes.

    Examples
    --------
    >>> from core.model.room import FlatCeiling
    >>> room = Room(length=100.0, width=240.0, ceiling=FlatCeiling(height=96.0))
    >>> [truss.x for truss in truss_stations(room)]
    [0.0, 48.0, 96.0]
    """
    trusses = room.trusses
    stations = [x for x in sorted(trusses.stations) if x <= room.length]
    if not trusses.stations:
        count = math.floor((room.length - trusses.first) / trusses.spacing + 1e-9) + 1
        stations = [trusses.first + k * trusses.spacing for k in range(count)]
    return tuple(Truss(number=k, x=x) for k, x in enumerate(stations, 1))


def nearest_truss(room: Room, x: float) -> Truss | None:
    """Return the truss nearest to a station [in], None in a room without any.

    Half way between two it is the one nearer to the front.
    """
    return min(truss_stations(room), key=lambda truss: abs(truss.x - x), default=None)


def building_solids(room: Room) -> tuple[Solid, ...]:
    """Return the solids of the building.

    Parameters
    ----------
    room : Room
        The room.

    Returns
    -------
    tuple of Solid
        Owners are ``"front wall"`` and so on, ``"ceiling"``, ``"truss N"``, and
        the ids of bulkheads, pens and doors.

    Notes
    -----
    Walls are slabs outside the room, doors not cut out. The ceiling is solid
    from its surface to one level top, so that the risers of a stepped ceiling
    are faces of the lower field. Bulkheads and exposed chords follow the slope.
    Partitions stand half of their thickness on each side of the pen's outline
    and reach as far beyond its corners. A door that opens inward takes the
    quarter circle of its leaf's free corner, ``hypot(width, 1.75 in)``; other
    doors take nothing of the room.
    """
    return (*_walls(room), *_ceiling(room), *_chords(room), *_pens(room), *_doors(room))


def _part(owner: str, part: str, shape: Shape, moving: Moving = Moving.NO) -> Solid:
    """Return a solid of the building."""
    return Solid(
        owner=owner, part=part, group=Group.BUILDING, shape=shape, moving=moving
    )


def _walls(room: Room) -> Iterator[Solid]:
    """Yield the four walls; the side walls fill the corners."""
    thick, top = room.wall_thickness, ceiling_top(room) + _SLAB
    length, width = room.length, room.width
    slabs = {
        Wall.FRONT: ((-thick, 0.0), (0.0, width)),
        Wall.BACK: ((length, 0.0), (length + thick, width)),
        Wall.LEFT: ((-thick, -thick), (length + thick, 0.0)),
        Wall.RIGHT: ((-thick, width), (length + thick, width + thick)),
    }
    for wall, (low, high) in slabs.items():
        yield _part(f"{wall} wall", "face", upright_box((*low, 0.0), (*high, top)))


def _ceiling(room: Room) -> Iterator[Solid]:
    """Yield the ceiling above its fields and the bulkheads below it."""
    top = ceiling_top(room) + _SLAB
    for number, field in enumerate(main_fields(room), 1):
        yield _part("ceiling", f"field {number}", _prism(field, top, top))
    for bulkhead in room.bulkheads:
        low = (bulkhead.x, bulkhead.y)
        high = (low[0] + bulkhead.length, low[1] + bulkhead.width)
        for shape in _below(main_fields(room), low, high, bulkhead.depth):
            yield _part(bulkhead.id, "bulkhead", shape)


def _chords(room: Room) -> Iterator[Solid]:
    """Yield the truss chords that hang below the ceiling."""
    trusses = room.trusses
    if not trusses.exposed:
        return
    half, depth = trusses.chord_width / 2, trusses.chord_depth
    for truss in truss_stations(room):
        low, high = (truss.x - half, 0.0), (truss.x + half, room.width)
        for shape in _below(main_fields(room), low, high, depth):
            yield _part(f"truss {truss.number}", "chord", shape)


def _below(
    fields: tuple[CeilingField, ...], low: Vec2, high: Vec2, depth: float
) -> Iterator[Box | Hull]:
    """Yield what hangs below the ceiling over a plan rectangle."""
    for field in fields:
        lowered = field.cut(low, high, lowered=depth)
        if lowered is not None:
            tops = (lowered.z_low + depth, lowered.z_high + depth)
            yield _prism(lowered, *tops)


def _prism(field: CeilingField, top_low: float, top_high: float) -> Box | Hull:
    """Return the solid over a field, up to heights at its two y sides."""
    (x0, y0), (x1, y1) = field.low, field.high
    if field.z_low == field.z_high and top_low == top_high:
        return upright_box((x0, y0, field.z_low), (x1, y1, top_low))
    profile = (
        (y0, field.z_low),
        (y1, field.z_high),
        (y1, top_high),
        (y0, top_low),
    )
    return Hull(points=tuple((x, y, z) for x in (x0, x1) for y, z in profile))


def _pens(room: Room) -> Iterator[Solid]:
    """Yield the partitions of all pens."""
    for pen in room.pens:
        if pen.partition_height > 0:
            yield from _partitions(pen)


def _partitions(pen: Pen) -> Iterator[Solid]:
    """Yield a box for each edge of a pen's outline, numbered from 1."""
    half = pen.partition_thickness / 2
    ends = (*pen.outline[1:], pen.outline[0])
    for number, (a, b) in enumerate(zip(pen.outline, ends, strict=True), 1):
        length = math.dist(a, b)
        if length == 0.0:
            continue
        along = ((b[0] - a[0]) / length, (b[1] - a[1]) / length, 0.0)
        height = pen.partition_height / 2
        box = Box(
            center=((a[0] + b[0]) / 2, (a[1] + b[1]) / 2, height),
            half=(length / 2 + half, half, height),
            axes=(along, (-along[1], along[0], 0.0), (0.0, 0.0, 1.0)),
        )
        yield _part(pen.id, f"partition {number}", box)


def _doors(room: Room) -> Iterator[Solid]:
    """Yield the space of the door leaves that open into the room."""
    for door in room.doors:
        if door.swing in (DoorSwing.IN_LEFT, DoorSwing.IN_RIGHT):
            yield from _leaf(room, door)


def _leaf(room: Room, door: Door) -> Iterator[Solid]:
    """Yield the quarter circle of one leaf."""
    frame = wall_frame(room, door.wall)
    # seen from inside, left is the wall's start for the back and the left wall
    left_first = door.wall in (Wall.BACK, Wall.LEFT)
    from_start = (door.swing is DoorSwing.IN_LEFT) == left_first
    jamb = frame.point(door.offset if from_start else door.offset + door.width)
    way = 1.0 if from_start else -1.0
    shut = math.atan2(way * frame.along[1], way * frame.along[0])
    turn = way * (frame.along[0] * frame.inward[1] - frame.along[1] * frame.inward[0])
    for hull in swept_leaf(
        upright_hinge(jamb, low=0.0, high=door.height),
        length=math.hypot(door.width, _LEAF),
        thickness=0.0,
        start=shut,
        swing=math.copysign(math.pi / 2, turn),
    ):
        yield _part(door.id, "leaf", hull, Moving.SWEPT)
