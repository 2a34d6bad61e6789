"""The room from above: walls, doors, trusses, pens, alleys, strips."""

import math
from collections.abc import Iterator, Sequence

import numpy as np

from core.drawing.frames import PLAN
from core.drawing.records import (
    ROOM,
    Align,
    Arc,
    Polygon,
    Polyline,
    Record,
    Role,
    Text,
)
from core.geometry.shapes import FloatArray, Vec2
from core.model.room import Door, DoorSwing, Room, Wall
from core.placement.building import truss_stations
from core.placement.ceiling import main_fields
from core.placement.walls import WallFrame, wall_frame

__all__ = ["flat", "room_plan", "truss_plan"]

_TRUSS_LABEL = 8.0  # from the outer face of the left wall to the numbers [in]
_INSIDE = 4.0  # names of pens from their upper left corner [in]


def flat(points: Sequence[Vec2]) -> FloatArray:
    """Return plan places x, y as points of the plan's plane `(n, 2)` [in]."""
    drawn: FloatArray = np.array(points, dtype=float) * (1.0, -1.0)
    return drawn


def _rectangle(x: float, y: float, length: float, width: float) -> FloatArray:
    return flat(((x, y), (x + length, y), (x + length, y + width), (x, y + width)))


def _label(at: Vec2, words: str, owner: str) -> Text:
    return Text(role=Role.LABEL, owner=owner, at=(at[0], -at[1]), parts=(words,))


def room_plan(room: Room) -> Iterator[Record]:
    """Yield the room from above with the ceiling taken off."""
    for wall in Wall:
        yield from _wall(room, wall)
    for door in room.doors:
        yield from _door(room, door)
    yield from _ceiling_breaks(room)
    for alley in room.alleys:
        outline = _rectangle(alley.x, alley.y, alley.length, alley.width)
        yield Polygon(role=Role.ALLEY, owner=alley.id, outline=outline)
        middle = (alley.x + alley.length / 2, alley.y + alley.width / 2)
        yield _label(middle, alley.id, alley.id)
    for strip in room.strips:
        outline = _rectangle(strip.x, strip.y, strip.length, strip.width)
        yield Polyline(role=Role.STRIP, owner=strip.id, points=outline, closed=True)
    for pen in room.pens:
        outline = flat(pen.outline)
        yield Polyline(role=Role.PEN, owner=pen.id, points=outline, closed=True)
        u, v = outline[np.lexsort((outline[:, 0], -outline[:, 1]))[0]].tolist()
        yield Text(
            role=Role.LABEL,
            owner=pen.id,
            at=(u + _INSIDE, v - _INSIDE),
            parts=(pen.id,),
            across=Align.START,
            upright=Align.END,
        )


def _wall(room: Room, wall: Wall) -> Iterator[Record]:
    """Yield the lengths of a wall between its doors; side walls fill the corners."""
    frame = wall_frame(room, wall)
    past = room.wall_thickness if wall in (Wall.LEFT, Wall.RIGHT) else 0.0
    gaps = sorted(
        (door.offset, door.offset + door.width)
        for door in room.doors
        if door.wall is wall
    )
    at = -past
    for start, end in (*gaps, (frame.length + past, math.inf)):
        if start > at:
            corners = (
                frame.point(at),
                frame.point(start),
                frame.point(start, -room.wall_thickness),
                frame.point(at, -room.wall_thickness),
            )
            yield Polygon(
                role=Role.ROOM_CUT, owner=ROOM, part=wall, outline=flat(corners)
            )
        at = max(at, end)


def _door(room: Room, door: Door) -> Iterator[Record]:
    frame = wall_frame(room, door.wall)
    thick = room.wall_thickness
    middle = frame.point(door.offset + door.width / 2, -2.0 * thick)
    if door.main:
        yield _label(middle, "main door", door.id)
    if door.swing is DoorSwing.SLIDING:
        ends = (
            frame.point(door.offset, -thick / 2),
            frame.point(door.offset + door.width, -thick / 2),
        )
        yield Polyline(role=Role.ROOM_SEEN, owner=door.id, points=flat(ends))
        return
    yield from _leaf(frame, door, thick)


def _leaf(frame: WallFrame, door: Door, thick: float) -> Iterator[Record]:
    """Yield a door's leaf at a right angle to its wall, and the arc of its edge."""
    inward = door.swing in (DoorSwing.IN_LEFT, DoorSwing.IN_RIGHT)
    left = door.swing in (DoorSwing.IN_LEFT, DoorSwing.OUT_LEFT)
    from_start = left == (door.wall in (Wall.BACK, Wall.LEFT))
    jamb = door.offset if from_start else door.offset + door.width
    face = 0.0 if inward else -thick
    reach = door.width if inward else -door.width - thick
    shut = jamb + door.width if from_start else jamb - door.width
    hinge, tip, closed = flat(
        (frame.point(jamb, face), frame.point(jamb, reach), frame.point(shut, face))
    )
    yield Polyline(
        role=Role.ROOM_SEEN, owner=door.id, part="leaf", points=np.array((hinge, tip))
    )
    start = math.atan2(*(closed - hinge)[::-1])
    turn = math.atan2(*(tip - hinge)[::-1]) - start
    yield Arc(
        role=Role.ROOM_SEEN,
        owner=door.id,
        part="leaf",
        center=(float(hinge[0]), float(hinge[1])),
        radius=door.width,
        start=start,
        sweep=(turn + math.pi) % (2 * math.pi) - math.pi,
    )


def _ceiling_breaks(room: Room) -> Iterator[Record]:
    """Yield ridges, steps and bulkheads overhead, as hidden lines."""
    for field in main_fields(room)[1:]:
        (x0, y0), (x1, y1) = field.low, field.high
        ends = ((x0, y0), (x0, y1)) if x0 > 0.0 else ((x0, y0), (x1, y0))
        yield Polyline(role=Role.HIDDEN, owner=ROOM, part="ceiling", points=flat(ends))
    for bulkhead in room.bulkheads:
        outline = _rectangle(bulkhead.x, bulkhead.y, bulkhead.length, bulkhead.width)
        yield Polyline(role=Role.HIDDEN, owner=bulkhead.id, points=outline, closed=True)


def truss_plan(room: Room) -> Iterator[Record]:
    """Yield the trusses with their numbers along the left wall."""
    for truss in truss_stations(room):
        line = flat(((truss.x, 0.0), (truss.x, room.width)))
        number = str(truss.number)
        yield Polyline(role=Role.TRUSS, owner=ROOM, part=f"truss {number}", points=line)
        u, v = PLAN.point((truss.x, -room.wall_thickness - _TRUSS_LABEL, 0.0))
        yield Text(
            role=Role.LABEL,
            owner=ROOM,
            part=f"truss {number}",
            at=(u, v),
            parts=(number,),
            upright=Align.START,
        )
