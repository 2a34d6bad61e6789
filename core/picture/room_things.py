"""The room as it is seen: floor, walls, ceiling, partitions, doors, animals."""

import math
from collections.abc import Iterator, Sequence

import numpy as np

from core.geometry.shapes import (
    Box,
    Capsule,
    Shape,
    Sphere,
    Vec2,
    Vec3,
    upright_box,
)
from core.model.fixtures import Gate
from core.model.room import Door, Pen, Room
from core.picture.finishes import Finish
from core.picture.forms import tube
from core.picture.things import Thing, bar, solid, thing
from core.placement.building import building_solids
from core.placement.solids import Moving, Solid
from core.placement.walls import wall_frame

__all__ = ["animal_things", "floor_map", "room_things"]

_DEEP = 4.0  # thickness of the floor below z = 0 [in]
_ROOM = 34.0  # that a pig takes across [in]
_POST = 0.5  # a piece of partition shorter than this is left out [in]
_PROUD = 0.6  # how far a shut door stands out of its wall [in]


def room_things(room: Room, gates: Sequence[Gate] = ()) -> Iterator[Thing]:
    """Yield the building, by owner as in `core.placement.building`.

    A partition is left open where a gate stands in it.
    """
    low, high = (
        (-room.wall_thickness, -room.wall_thickness, -_DEEP),
        (
            room.length + room.wall_thickness,
            room.width + room.wall_thickness,
            0.0,
        ),
    )
    yield solid("floor", "face", Finish.CONCRETE, (upright_box(low, high),))
    for part in building_solids(room):
        if part.moving is Moving.NO:
            shapes = _opened(part.shape, part.part, gates)
            yield solid(part.owner, part.part, _finish(part), shapes)
    for pen in room.pens:
        if pen.partition_height > 0:
            yield _posts(pen)
    for door in room.doors:
        yield from _door(room, door)


def _opened(shape: Shape, part: str, gates: Sequence[Gate]) -> tuple[Shape, ...]:
    """Return what is left of a partition beside and below the gates in it."""
    if not isinstance(shape, Box) or not part.startswith("partition"):
        return (shape,)
    gaps = sorted(gap for gate in gates for gap in _gap(shape, gate))
    if not gaps:
        return (shape,)
    half = shape.half[0]
    ends = [-half, *(edge for gap in gaps for edge in gap), half]
    pieces = [
        bar(shape, (low / half, -1, -1), (high / half, 1, 1))
        for low, high in zip(ends[::2], ends[1::2], strict=True)
        if high - low > _POST
    ]
    return tuple(pieces)


def _gap(box: Box, gate: Gate) -> Iterator[tuple[float, float]]:
    """Yield where along a partition a gate stands in it, if it does [in]."""
    along, across = np.array(box.axes[0][:2]), np.array(box.axes[1][:2])
    hinge = np.array((gate.x, gate.y)) - np.array(box.center[:2])
    way = np.array((math.cos(gate.heading), math.sin(gate.heading)))
    free = hinge + gate.length * way
    off = max(abs(float(hinge @ across)), abs(float(free @ across)))
    low, high = sorted((float(hinge @ along), float(free @ along)))
    if off < box.half[1] + gate.thickness and high - low > 0.9 * gate.length:
        low, high = max(low, -box.half[0]), min(high, box.half[0])
        if high > low:
            yield low, high


def _finish(part: Solid) -> Finish:
    """Return the finish of a part of the building."""
    if part.part == "face":
        return Finish.WALL
    if part.part == "chord":
        return Finish.WOOD
    return Finish.PLANK if part.part.startswith("partition") else Finish.CEILING


def _posts(pen: Pen) -> Thing:
    """Return the posts at the corners of a pen, as high as its partitions."""
    half = pen.partition_thickness / 2
    posts = [
        tube((x, y, 0.0), (x, y, pen.partition_height), half) for x, y in pen.outline
    ]
    return thing(pen.id, "posts", Finish.GALVANISED, *posts)


def _door(room: Room, door: Door) -> Iterator[Thing]:
    """Yield a shut leaf and its frame, a little proud of the wall."""
    frame = wall_frame(room, door.wall)

    def box(first: float, last: float, low: float, high: float, deep: float) -> Box:
        a, b = frame.point(first), frame.point(last, deep)
        return upright_box(
            (min(a[0], b[0]), min(a[1], b[1]), low),
            (max(a[0], b[0]), max(a[1], b[1]), high),
        )

    near, far, top = door.offset, door.offset + door.width, door.height
    yield solid(door.id, "leaf", Finish.DOOR, (box(near, far, 0.5, top, _PROUD),))
    jambs = (
        box(near - 2.5, near, 0.0, top + 2.5, 1.5 * _PROUD),
        box(far, far + 2.5, 0.0, top + 2.5, 1.5 * _PROUD),
        box(near, far, top, top + 2.5, 1.5 * _PROUD),
    )
    yield solid(door.id, "frame", Finish.LAMP_BODY, jambs)
    handle = far - 4.0
    a, b = frame.point(handle, _PROUD), frame.point(handle, _PROUD + 2.0)
    c = frame.point(handle - 4.5, _PROUD + 2.0)
    bars = (tube((*a, 38.0), (*b, 38.0), 0.4), tube((*b, 38.0), (*c, 38.0), 0.4))
    yield thing(door.id, "handle", Finish.STAINLESS, *bars)


def floor_map(room: Room) -> np.ndarray[tuple[int, int], np.dtype[np.bool_]]:
    """Return where the floor is slatted, by whole inches of x and y.

    Pens stand on slats, everything else on concrete.
    """
    # a late import: only the picture paints
    from PIL import Image, ImageDraw

    size = (math.ceil(room.length) + 1, math.ceil(room.width) + 1)
    image = Image.new("1", (size[1], size[0]), 0)
    draw = ImageDraw.Draw(image)
    for pen in room.pens:
        draw.polygon([(y, x) for x, y in pen.outline], fill=1, outline=0)
    return np.array(image, dtype=np.bool_)


def animal_things(room: Room) -> Iterator[Thing]:
    """Yield simple pigs in the pens, for scale: 1 to 4 in each, always the same.

    They stand beside each other, roughly across the room.
    """
    for number, pen in enumerate(room.pens):
        xs, ys = zip(*pen.outline, strict=True)
        low, high = (min(xs) + 16.0, min(ys) + 34.0), (max(xs) - 16.0, max(ys) - 34.0)
        if low[0] >= high[0] or low[1] >= high[1]:
            continue
        rng = np.random.default_rng(number)
        count = min(4, max(1, int((high[0] - low[0]) // _ROOM)))
        for turn in range(count):
            x = low[0] + (turn + 0.5) / count * (high[0] - low[0])
            y = low[1] + float(rng.uniform()) * (high[1] - low[1])
            side = math.pi / 2 if rng.uniform() < 0.5 else -math.pi / 2
            yield _pig(pen.id, turn, (x, y), side + float(rng.uniform(-0.25, 0.25)))


def _pig(pen: str, number: int, at: Vec2, heading: float) -> Thing:
    """Return a pig of about 45 in from nose to tail."""
    cos, sin = math.cos(heading), math.sin(heading)

    def place(u: float, v: float, z: float) -> Vec3:
        return (at[0] + u * cos - v * sin, at[1] + u * sin + v * cos, z)

    body: list[Shape] = [
        Capsule(a=place(-13, 0, 18), b=place(11, 0, 18.5), radius=7.6),
        Sphere(center=place(-11, 0, 18.5), radius=8.4),
        Sphere(center=place(11, 0, 18.3), radius=8.0),
        Capsule(a=place(17, 0, 19.5), b=place(23, 0, 17), radius=4.6),
        Capsule(a=place(23, 0, 16.6), b=place(27, 0, 15.4), radius=2.5),
        *(
            Capsule(a=place(20, v, 23), b=place(23, 1.5 * v, 22), radius=1.1)
            for v in (-3.2, 3.2)
        ),
        *(
            Capsule(a=place(u, v, 13), b=place(u, v, 1.6), radius=1.9)
            for u in (-13, 12)
            for v in (-4.2, 4.2)
        ),
    ]
    return solid(f"{pen} animal {number + 1}", "body", Finish.SKIN, body)
