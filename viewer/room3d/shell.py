"""The surfaces of the building: floor, walls, ceiling, pens, doors, trusses."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

import numpy as np

from core.geometry.facets import Facets, facets, joined
from core.geometry.shapes import FloatArray, Vec2, Vec3
from core.model.room import Door, Room, Wall
from core.placement.building import building_solids, truss_stations
from core.placement.ceiling import CeilingField, main_fields
from core.placement.solids import Moving
from core.placement.walls import wall_frame
from viewer.room3d.polygons import triangles

__all__ = [
    "Piece",
    "Surface",
    "building_pieces",
    "ceiling_pieces",
    "chord_lines",
    "wall_pieces",
]

_BASE = -1.0  # height of the bare floor; pens and alleys lie on it [in]
_LEAF = 1.0  # how far a door stands out from its wall [in]
_LINE = 0.3  # how far the line of a truss lies below the ceiling [in]


class Surface(StrEnum):
    """What a surface is the surface of; `viewer.room3d.colours` paints it."""

    FLOOR = "floor"
    PEN_FLOOR = "pen-floor"
    ALLEY = "alley"
    PARTITION = "partition"
    WALL = "wall"
    CUT = "cut"  # the top of a wall
    CEILING = "ceiling"
    DOOR = "door"
    WOOD = "wood"
    STEEL = "steel"
    PLASTIC = "plastic"
    CABINET = "cabinet"
    DARK = "dark"
    LAMP = "lamp"
    SCAN = "scan"
    RUN = "run"
    ROPE = "rope"
    CABLE = "cable"
    LEAD = "lead"
    INSULATOR = "insulator"
    ANIMAL = "animal"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Piece:
    """A surface with what it is made of, and the id of what it belongs to."""

    owner: str
    surface: Surface
    facets: Facets


def _quad(a: Vec3, b: Vec3, c: Vec3, d: Vec3, inward: Sequence[float]) -> Facets:
    """Return a rectangle, its four sides as edges."""
    corners = np.array(((a, b, c), (a, c, d)), dtype=float)
    normals = np.broadcast_to(np.asarray(inward, dtype=float), corners.shape).copy()
    edges = np.array(((a, b), (b, c), (c, d), (d, a)), dtype=float)
    return Facets(corners=corners, normals=normals, edges=edges)


def _level(low: Vec2, high: Vec2, z: float) -> Facets:
    (x0, y0), (x1, y1) = low, high
    return _quad((x0, y0, z), (x1, y0, z), (x1, y1, z), (x0, y1, z), (0.0, 0.0, 1.0))


def building_pieces(room: Room) -> Iterator[Piece]:
    """Yield what stays in sight: floor, pens with partitions, alleys.

    The tops of the walls as well: they show the room where its walls fade.
    """
    whole = _level((0.0, 0.0), (room.length, room.width), _BASE)
    yield Piece(owner="floor", surface=Surface.FLOOR, facets=whole)
    for alley in room.alleys:
        low = (alley.x, alley.y)
        field = _level(low, (low[0] + alley.length, low[1] + alley.width), 0.0)
        yield Piece(owner=alley.id, surface=Surface.ALLEY, facets=field)
    for pen in room.pens:
        ground = _polygon(pen.outline)
        yield Piece(owner=pen.id, surface=Surface.PEN_FLOOR, facets=ground)
    yield from _standing(room)
    yield Piece(owner="walls", surface=Surface.CUT, facets=_tops(room))


def _polygon(outline: Sequence[Vec2]) -> Facets:
    """Return the floor inside an outline."""
    plan = triangles(tuple(outline))
    corners = np.concatenate((plan[..., :2], np.zeros((*plan.shape[:2], 1))), axis=-1)
    normals = np.zeros_like(corners)
    normals[..., 2] = 1.0
    return Facets(corners=corners, normals=normals, edges=np.zeros((0, 2, 3)))


def _standing(room: Room) -> Iterator[Piece]:
    """Yield the partitions of the pens."""
    pens = {pen.id for pen in room.pens}
    for solid in building_solids(room):
        if solid.owner in pens:
            yield Piece(
                owner=solid.owner,
                surface=Surface.PARTITION,
                facets=facets(solid.shape),
            )


def _door(room: Room, door: Door) -> Facets:
    """Return a shut door on the face of its wall."""
    frame = wall_frame(room, door.wall)
    (ax, ay), (bx, by) = (
        frame.point(end, _LEAF) for end in (door.offset, door.offset + door.width)
    )
    low, high = (ax, ay, 0.0), (bx, by, 0.0)
    tops = (bx, by, door.height), (ax, ay, door.height)
    return _quad(low, high, *tops, (*frame.inward, 0.0))


# ----- walls -----


def _profiles(room: Room) -> Iterator[tuple[Wall, Vec2, Vec2]]:
    """Yield, for each stretch of a wall, way along it and height at both ends."""
    for field in main_fields(room):
        (x0, y0), (x1, y1) = field.low, field.high
        if y0 <= 0.0:
            yield Wall.LEFT, (x0, field.z_low), (x1, field.z_low)
        if y1 >= room.width:
            yield Wall.RIGHT, (x0, field.z_high), (x1, field.z_high)
        if x0 <= 0.0:
            yield Wall.FRONT, (y0, field.z_low), (y1, field.z_high)
        if x1 >= room.length:
            yield Wall.BACK, (y0, field.z_low), (y1, field.z_high)


def wall_pieces(room: Room) -> dict[Wall, tuple[Piece, ...]]:
    """Return the inner face of each wall, up to the ceiling, and then its doors."""
    sheets: dict[Wall, list[Facets]] = {wall: [] for wall in Wall}
    for wall, (s0, z0), (s1, z1) in _profiles(room):
        frame = wall_frame(room, wall)
        (ax, ay), (bx, by) = frame.point(s0), frame.point(s1)
        sheets[wall].append(
            _quad(
                (ax, ay, _BASE),
                (bx, by, _BASE),
                (bx, by, z1),
                (ax, ay, z0),
                (*frame.inward, 0.0),
            )
        )
    return {
        wall: (
            Piece(owner=f"{wall} wall", surface=Surface.WALL, facets=joined(*parts)),
            *(
                Piece(owner=door.id, surface=Surface.DOOR, facets=_door(room, door))
                for door in room.doors
                if door.wall is wall
            ),
        )
        for wall, parts in sheets.items()
    }


def _tops(room: Room) -> Facets:
    """Return the tops of the walls where the ceiling cuts them."""
    thick = room.wall_thickness
    parts = []
    for wall, (s0, z0), (s1, z1) in _profiles(room):
        frame = wall_frame(room, wall)
        if wall in (Wall.LEFT, Wall.RIGHT):  # the side walls fill the corners
            s0 = s0 - thick if s0 <= 0.0 else s0
            s1 = s1 + thick if s1 >= frame.length else s1
        (ax, ay), (bx, by) = frame.point(s0), frame.point(s1)
        (cx, cy), (dx, dy) = frame.point(s1, -thick), frame.point(s0, -thick)
        parts.append(
            _quad((ax, ay, z0), (bx, by, z1), (cx, cy, z1), (dx, dy, z0), (0, 0, 1))
        )
    return joined(*parts)


# ----- the ceiling -----


def ceiling_pieces(room: Room) -> Iterator[Piece]:
    """Yield the ceiling with its risers, bulkheads and exposed chords."""
    sheets = [_sheet(field) for field in main_fields(room)]
    sheets += [_riser(a, b) for a, b in pairwise(main_fields(room))]
    yield Piece(owner="ceiling", surface=Surface.CEILING, facets=joined(*sheets))
    bulkheads = {bulkhead.id for bulkhead in room.bulkheads}
    for solid in building_solids(room):
        if solid.owner in bulkheads and solid.moving is Moving.NO:
            part = facets(solid.shape)
            yield Piece(owner=solid.owner, surface=Surface.CEILING, facets=part)
        elif solid.part == "chord":
            part = facets(solid.shape)
            yield Piece(owner=solid.owner, surface=Surface.WOOD, facets=part)


def _sheet(field: CeilingField) -> Facets:
    """Return a field seen from below; lit like a floor, for the floor lights it."""
    (x0, y0), (x1, y1) = field.low, field.high
    rise, run = field.z_high - field.z_low, y1 - y0
    size = math.hypot(rise, run)
    return _quad(
        (x0, y0, field.z_low),
        (x1, y0, field.z_low),
        (x1, y1, field.z_high),
        (x0, y1, field.z_high),
        (0.0, -rise / size, run / size),
    )


def _riser(a: CeilingField, b: CeilingField) -> Facets:
    """Return the upright face between two fields, empty where they meet level."""
    if a.high[0] == b.low[0]:  # one after the other along the room
        x, (y0, y1) = b.low[0], (b.low[1], b.high[1])
        if a.z_low == b.z_low:
            return joined()
        way = (-1.0 if b.z_low < a.z_low else 1.0, 0.0, 0.0)
        low, high = (x, y0, a.z_low), (x, y1, a.z_high)
        return _quad(low, high, (x, y1, b.z_high), (x, y0, b.z_low), way)
    y, (x0, x1) = b.low[1], (b.low[0], b.high[0])
    if a.z_high == b.z_low:
        return joined()
    way = (0.0, -1.0 if b.z_low < a.z_high else 1.0, 0.0)
    low, high = (x0, y, a.z_high), (x1, y, a.z_high)
    return _quad(low, high, (x1, y, b.z_low), (x0, y, b.z_low), way)


def chord_lines(room: Room) -> FloatArray:
    """Return a line along each truss, just below the ceiling, `(n, 2, 3)` [in]."""
    lines = [
        (
            (truss.x, field.low[1], field.z_low - _LINE),
            (truss.x, field.high[1], field.z_high - _LINE),
        )
        for truss in truss_stations(room)
        for field in main_fields(room)
        if field.low[0] <= truss.x <= field.high[0]
    ]
    return np.array(lines, dtype=float).reshape(-1, 2, 3)
