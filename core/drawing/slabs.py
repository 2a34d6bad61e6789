"""The building where an upright plane cuts it: floor, walls, ceiling as thick slabs.

The plane may run in any direction; u is the way along it.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial

import numpy as np

from core.drawing.faces import Face, cut_face, face_record
from core.drawing.memo import Memo
from core.drawing.records import (
    ROOM,
    Align,
    Frame,
    Polygon,
    Polyline,
    Record,
    Role,
    Text,
)
from core.drawing.seen_parts import SeenParts
from core.geometry.shapes import FloatArray, Vec2
from core.model.room import Room
from core.placement.building import building_solids, truss_stations
from core.placement.ceiling import ceiling_height, main_fields
from core.placement.solids import Moving, Solid

__all__ = ["Span", "building_section", "kept_building", "room_span", "truss_section"]

_CORNER = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """The part of a plane that lies in the room: from u to u [in]."""

    low: float
    high: float


def _clipped(frame: Frame, low: Vec2, high: Vec2) -> Span | None:
    """Return the part of the plane over a plan rectangle (Liang and Barsky)."""
    first, last = -math.inf, math.inf
    for origin, step, near, far in zip(
        frame.origin[:2], frame.right[:2], low, high, strict=True
    ):
        if abs(step) < _CORNER:
            if not near <= origin <= far:
                return None
            continue
        a, b = sorted(((near - origin) / step, (far - origin) / step))
        first, last = max(first, a), min(last, b)
    return Span(low=first, high=last) if first < last else None


def room_span(room: Room, frame: Frame) -> Span | None:
    """Return the part of the plane between the walls, None where it misses the room."""
    return _clipped(frame, (0.0, 0.0), (room.length, room.width))


def kept_building(room: Room, memo: Memo) -> tuple[Solid, ...]:
    """Return the solids of the building, the kept ones while the room is the same."""
    return memo.value("building", "", (room,), partial(building_solids, room))


def building_section(
    room: Room, seen: SeenParts, frame: Frame, *, depth: float
) -> Iterator[Record]:
    """Yield the building in a plane and, seen, up to `depth` [in] behind it.

    Parameters
    ----------
    room : Room
        The room.
    seen : SeenParts
        The solids of its building as the plane sees them.
    frame : Frame
        The plane.
    depth : float
        How far behind the plane fittings are still drawn [in].
    """
    span = room_span(room, frame)
    if span is None:
        return
    yield from _shell(room, frame, span)
    yield from _fittings(seen, frame, depth)


def _quad(u0: float, u1: float, *levels: float) -> FloatArray:
    """Return the corners between lower and upper levels at two ends."""
    low0, low1, high1, high0 = levels
    return np.array(((u0, low0), (u1, low1), (u1, high1), (u0, high0)))


def _slab(part: str, outline: FloatArray) -> Polygon:
    return Polygon(role=Role.ROOM_CUT, owner=ROOM, part=part, outline=outline)


def _shell(room: Room, frame: Frame, span: Span) -> Iterator[Record]:
    thick = room.wall_thickness
    u0, u1 = span.low, span.high
    floor = _quad(u0 - thick, u1 + thick, -thick, -thick, 0.0, 0.0)
    yield _slab("floor", floor)
    ceiling = list(_ceiling_edges(room, frame))
    for edge in ceiling:
        (low, z_low), (high, z_high) = edge
        tops = (z_high + thick, z_low + thick)
        yield _slab("ceiling", _quad(low, high, z_low, z_high, *tops))
    for u, out in ((u0, u0 - thick), (u1, u1 + thick)):
        ends = (end for edge in ceiling for end in edge)
        top = min(ends, key=lambda end: abs(end[0] - u))[1] + thick
        left, right = sorted((u, out))
        yield _slab("wall", _quad(left, right, 0.0, 0.0, top, top))


def _ceiling_edges(room: Room, frame: Frame) -> Iterator[tuple[Vec2, Vec2]]:
    """Yield the straight pieces of the ceiling's lower edge in the plane."""
    for field in main_fields(room):
        part = _clipped(frame, field.low, field.high)
        if part is not None:
            ends = (part.low, part.high)
            low, high = ((u, field.height(frame.to_room((u, 0.0))[1])) for u in ends)
            yield low, high


def _is_shell(solid: Solid) -> bool:
    return solid.owner == "ceiling" or solid.part == "face"


def _fittings(seen: SeenParts, frame: Frame, depth: float) -> Iterator[Record]:
    """Yield bulkheads, chords, partitions and door leaves, each outline once."""
    drawn: set[tuple[float, ...]] = set()
    for index, (near, far) in enumerate(seen.depths(frame)):
        solid = seen.parts[index]
        if _is_shell(solid) or near > depth or far < 0.0:
            continue
        cut = cut_face(solid.shape, frame) if near <= 0.0 else None
        if cut is not None:
            yield face_record(
                cut, role=Role.ROOM_CUT, owner=solid.owner, part=solid.part
            )
            continue
        if near > 0.0 and _is_new(shown := _seen(solid, seen.face(index)), drawn):
            yield shown


def _seen(solid: Solid, face: Face) -> Record:
    role = Role.MOVING if solid.moving is Moving.SWEPT else Role.ROOM_SEEN
    return face_record(face, role=role, owner=solid.owner, part=solid.part)


def _is_new(record: Record, drawn: set[tuple[float, ...]]) -> bool:
    if not isinstance(record, Polygon):
        return True
    key = tuple(np.sort(record.outline, axis=0).round(3).ravel().tolist())
    if key in drawn:
        return False
    drawn.add(key)
    return True


def truss_section(room: Room, frame: Frame) -> Iterator[Record]:
    """Yield the chords that the plane crosses, hidden above the ceiling, numbered.

    Chords that hang below the ceiling are solids of the building and drawn there;
    a plane along the trusses crosses none.
    """
    step = frame.right[0]
    span = room_span(room, frame)
    if span is None or abs(step) < 0.1:
        return
    chord = room.trusses
    half = chord.chord_width / 2 / abs(step)
    for truss in truss_stations(room):
        u = (truss.x - frame.origin[0]) / step
        if not span.low <= u <= span.high:
            continue
        x, y, _ = frame.to_room((u, 0.0))
        low = ceiling_height(room, x, y)
        low += -chord.chord_depth if chord.exposed else chord.sheet_thickness
        high = low + chord.chord_depth
        part = f"truss {truss.number}"
        if not chord.exposed:
            outline = _quad(u - half, u + half, low, low, high, high)
            yield Polyline(
                role=Role.TRUSS, owner=ROOM, part=part, points=outline, closed=True
            )
        yield Text(
            role=Role.LABEL,
            owner=ROOM,
            part=part,
            at=(u, max(high, low) + room.wall_thickness + 2.0),
            parts=(str(truss.number),),
            upright=Align.START,
        )
