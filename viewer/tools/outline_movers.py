"""Dragging the corners and sides of pens, strips, alleys and bulkheads."""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import partial

from core.drawing.handles import Floor, floor_parts, outline_of
from core.drawing.live_dimensions import (
    side_dimensions,
    signed_area,
    wall_dimensions,
)
from core.drawing.records import Grip, Record
from core.drawing.snap import Keep, Line, snapped
from core.errors import EditError
from core.geometry.shapes import Vec2, Vec3
from core.model import edits
from core.model.barn import Barn
from core.model.edits import Edited
from core.model.room import Pen, Room
from viewer.tools.events import Modifier
from viewer.tools.movers import Kept, Mover, drawn_to
from viewer.tools.steps import Request, Stage

__all__ = ["outline_mover"]

_CLEAR = 4.0  # from a side to its live dimension, in reaches of the pointer [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Held:
    """One corner or side of an outline: its corners, which, and where it is [in]."""

    corners: tuple[Vec2, ...]
    is_side: bool
    index: int

    @property
    def ends(self) -> tuple[Vec2, Vec2]:
        """The corners that move with it: one twice, or both of a side."""
        after = self.index + (1 if self.is_side else 0)
        return self.corners[self.index], self.corners[after % len(self.corners)]

    @property
    def at(self) -> Vec2:
        """The corner, or the middle of the side."""
        (ax, ay), (bx, by) = self.ends
        return ((ax + bx) / 2, (ay + by) / 2)

    @property
    def is_box(self) -> bool:
        """Whether the outline is a rectangle along the room."""
        xs, ys = ({corner[k] for corner in self.corners} for k in (0, 1))
        return len(self.corners) == 4 and len(xs) == len(ys) == 2

    @property
    def sides(self) -> set[int]:
        """The sides whose length changes with it; of a rectangle one of two alike."""
        before = self.index - 1
        if not self.is_side:
            return {before, self.index}
        return {before} if self.is_box else {before, self.index + 1}


def outline_mover(stage: Stage, part: Floor, grip: Grip, index: int) -> Mover:
    """Return the mover of one corner or one side of an outline.

    A rectangle stays one: its corner takes both sides along. Of any other outline
    a corner moves alone, and a side at a right angle to itself. Both keep to the
    walls and to the corners of what else is on the floor.

    Parameters
    ----------
    stage : Stage
        The document and its view.
    part : Pen, Strip, Alley or Bulkhead
        Whose outline it is.
    grip : Grip
        A corner (VERTEX) or a side (EDGE).
    index : int
        Which one; a side has the index of its first corner.
    """
    held = _Held(corners=outline_of(part), is_side=grip is Grip.EDGE, index=index)

    def ask(kept: Kept) -> Request:
        edit = partial(_reshape, part=part, corners=_moved(held, kept))
        return Request(name=f"Reshape {part.id}", edit=edit)

    def notes(_preview: Barn, kept: Kept) -> Iterator[Record]:
        clear = _CLEAR * stage.reach
        corners = _moved(held, kept)
        yield from side_dimensions(corners, held.sides, part.id, clear=clear)
        yield from wall_dimensions((kept.at[0], kept.at[1]), part.id)

    def why(_kept: Kept) -> str:
        if held.is_box:
            return f"nothing of {part.id} would be left; keep its sides apart"
        return f"sides of {part.id} would cross or touch; keep them apart"

    keep = partial(_keep, stage, held, *_lines(stage.barn.room, part))
    return Mover(start=(*held.at, 0.0), keep=keep, ask=ask, notes=notes, why=why)


def _keep(
    stage: Stage,
    held: _Held,
    x_lines: Iterable[Line],
    y_lines: Iterable[Line],
    at: Vec3,
    modifiers: Modifier,
) -> Kept:
    """Keep a corner to lines near it, a side to its own direction as well."""
    (x, y), ((ax, ay), (bx, by)) = held.at, held.ends
    if held.is_side and ax != bx and ay != by:
        return Kept(at=_aside(held, at))
    moves_x, moves_y = not held.is_side or ax == bx, not held.is_side or ay == by
    kept = drawn_to(
        at,
        modifiers,
        room=stage.barn.room,
        frame=stage.drawing.frame,
        x_lines=x_lines if moves_x else (),
        y_lines=y_lines if moves_y else (),
    )
    place = (kept.at[0] if moves_x else x, kept.at[1] if moves_y else y, 0.0)
    return replace(kept, at=place)


def _aside(held: _Held, at: Vec3) -> Vec3:
    """Return the place of a slanting side, moved at a right angle to itself [in]."""
    (x, y), ((ax, ay), (bx, by)) = held.at, held.ends
    length = math.dist((ax, ay), (bx, by))
    nx, ny = (ay - by) / length, (bx - ax) / length
    off = snapped((at[0] - x) * nx + (at[1] - y) * ny, (), reach=0.0).value
    return (x + off * nx, y + off * ny, 0.0)


def _lines(room: Room, part: Floor) -> tuple[tuple[Line, ...], tuple[Line, ...]]:
    """Return the walls and the corners of everything else along x and along y."""
    names = (
        {0.0: "front wall", room.length: "back wall"},
        {0.0: "left wall", room.width: "right wall"},
    )
    for other in floor_parts(room):
        if other.id != part.id:
            for corner in outline_of(other):
                for known, value in zip(names, corner, strict=True):
                    known.setdefault(value, other.id)
    x_lines, y_lines = (
        tuple(
            Line(at=value, keep=Keep.ALIGNED, name=name)
            for value, name in known.items()
        )
        for known in names
    )
    return x_lines, y_lines


def _moved(held: _Held, kept: Kept) -> tuple[Vec2, ...]:
    """Return the corners of an outline with what is held in another place."""
    (x, y), ends = held.at, held.ends
    dx, dy = kept.at[0] - x, kept.at[1] - y
    if held.is_box:
        return tuple(
            (cx + dx if cx == x else cx, cy + dy if cy == y else cy)
            for cx, cy in held.corners
        )
    return tuple(
        (corner[0] + dx, corner[1] + dy) if corner in ends else corner
        for corner in held.corners
    )


def _reshape(barn: Barn, *, part: Floor, corners: tuple[Vec2, ...]) -> Edited:
    """Give a part of the floor other corners; it must not be turned inside out."""
    if signed_area(corners) * signed_area(outline_of(part)) <= 0.0:
        msg = f"nothing of {part.id} would be left; keep its sides apart"
        raise EditError(msg)
    return edits.replace_object(barn, item=_with_corners(part, corners))


def _with_corners(part: Floor, corners: tuple[Vec2, ...]) -> Floor:
    if isinstance(part, Pen):
        return replace(part, outline=corners)
    (x, y), (right, far) = corners[0], corners[2]
    return replace(part, x=x, y=y, length=right - x, width=far - y)
