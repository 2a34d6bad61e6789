"""Animals as simple shapes, for scale: so many in each pen, always the same."""

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from core.geometry.facets import Facets, facets, joined
from core.geometry.shapes import Capsule, Cylinder, FloatArray, Sphere, Vec3
from core.model.barn import Barn
from core.model.fixtures import Feeder, Post
from core.model.room import Pen
from viewer.room3d.polygons import depth_inside
from viewer.room3d.shell import Piece, Surface

__all__ = ["animal_pieces"]

# A finishing pig: 44 in long, 28 in high. Common practice, no published source.
# Drawn at a fiftieth of its size and then enlarged: so it is round with few chords.
_SMALL = 0.02
_BODY = Capsule(a=(-14.0, 0.0, 17.0), b=(12.0, 0.0, 17.0), radius=7.0)
_HEAD = Capsule(a=(18.0, 0.0, 19.0), b=(24.0, 0.0, 15.0), radius=3.6)
_EARS = tuple(Sphere(center=(18.0, side, 23.0), radius=1.8) for side in (-2.6, 2.6))
_LEGS = tuple(
    Cylinder(a=(x, y, 0.0), b=(x, y, 13.0), radius=1.7)
    for x in (-13.0, 10.0)
    for y in (-4.0, 4.0)
)
_REACH = 28.0  # from its middle to its snout [in]
_FLOOR_EACH = 16.0 * 144.0  # pen floor for each animal that is shown [in2]
_MOST = 6  # shown in one pen
_GOLDEN = (math.sqrt(5.0) - 1.0) / 2


def animal_pieces(barn: Barn) -> Iterator[Piece]:
    """Yield the animals of each pen as one piece, none where something stands."""
    one, taken = _animal(), tuple(_standing(barn))
    for pen in barn.room.pens:
        places = _places(pen, taken)
        if len(places):
            herd = joined(*(_placed(one, place) for place in places))
            yield Piece(owner=pen.id, surface=Surface.ANIMAL, facets=herd)


def _animal() -> Facets:
    """Return one animal about its middle, heading along x."""
    shapes: tuple[Capsule | Cylinder | Sphere, ...] = (_BODY, _HEAD, *_EARS, *_LEGS)
    small = joined(*(facets(_shrunk(shape)) for shape in shapes))
    return Facets(
        corners=small.corners / _SMALL, normals=small.normals, edges=small.edges
    )


def _shrunk(shape: Capsule | Cylinder | Sphere) -> Capsule | Cylinder | Sphere:
    def near(point: Vec3) -> Vec3:
        return (point[0] * _SMALL, point[1] * _SMALL, point[2] * _SMALL)

    radius = shape.radius * _SMALL
    if isinstance(shape, Sphere):
        return Sphere(center=near(shape.center), radius=radius)
    return replace(shape, a=near(shape.a), b=near(shape.b), radius=radius)


def _standing(barn: Barn) -> Iterator[tuple[float, float, float]]:
    """Yield plan place and reach of what stands on the floor [in]."""
    for fixture in barn.fixtures:
        if isinstance(fixture, Feeder):
            reach = math.hypot(fixture.length, fixture.width) / 2
            yield fixture.x, fixture.y, reach
        elif isinstance(fixture, Post):
            yield fixture.x, fixture.y, math.hypot(fixture.width, fixture.depth) / 2


def _places(pen: Pen, taken: tuple[tuple[float, float, float], ...]) -> FloatArray:
    """Return plan places and headings `(n, 3)` of animals that keep off each other."""
    xs, ys = zip(*pen.outline, strict=True)
    x0, y0, x1, y1 = min(xs), min(ys), max(xs), max(ys)
    wanted = min(_MOST, int((x1 - x0) * (y1 - y0) // _FLOOR_EACH))
    kept: list[tuple[float, float, float]] = []
    for k in range(60 * wanted):
        u, v = (k * _GOLDEN) % 1.0, (k * math.sqrt(2.0)) % 1.0
        x, y = x0 + u * (x1 - x0), y0 + v * (y1 - y0)
        apart = min((math.hypot(x - a, y - b) for a, b, _ in kept), default=math.inf)
        is_free = all(math.hypot(x - a, y - b) > _REACH + r for a, b, r in taken)
        inside = depth_inside(pen.outline, (x, y)) > _REACH
        if apart > 1.5 * _REACH and inside and is_free:
            kept.append((x, y, 2.0 * math.pi * ((k * math.e) % 1.0)))
        if len(kept) == wanted:
            break
    return np.array(kept).reshape(-1, 3)


def _placed(one: Facets, place: FloatArray) -> Facets:
    x, y, heading = place.tolist()
    cos, sin = math.cos(heading), math.sin(heading)
    turn = np.array(((cos, sin, 0.0), (-sin, cos, 0.0), (0.0, 0.0, 1.0)))
    return Facets(
        corners=one.corners @ turn + (x, y, 0.0),
        normals=one.normals @ turn,
        edges=np.zeros((0, 2, 3)),
    )
