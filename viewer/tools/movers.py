"""What it is to drag an object: where it may go, and the edit that this asks for.

A mover knows where its object was before; it turns a place into a request. The
machine that feeds it is `viewer.tools.pointer`.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import partial

from core.drawing.frames import PLAN
from core.drawing.live_dimensions import (
    guide,
    neighbour_dimensions,
    neighbours_in,
    upright_dimensions,
    wall_dimensions,
)
from core.drawing.records import Frame, Record, Role
from core.drawing.snap import Line, on_grid, snapped
from core.geometry.shapes import Vec3
from core.model import edits
from core.model.barn import Barn
from core.model.room import Room, Wall
from core.placement.ceiling import ceiling_top
from viewer.tools.events import Modifier
from viewer.tools.steps import Request, Stage

__all__ = [
    "DRAWN",
    "Kept",
    "Mover",
    "drawn_to",
    "object_notes",
    "objects_mover",
    "to_grid",
]

DRAWN = 6.0  # lines this near draw an object to them [in]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Kept:
    """Where an object goes, the guides that it keeps to, the wall that it is on.

    `on` is the id of the post or the lumber that it is on, if any.
    """

    at: Vec3
    guides: tuple[Record, ...] = ()
    wall: Wall | None = None
    on: str = ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Mover:
    """One object, or several, in a drag.

    Attributes
    ----------
    start : Vec3
        Where the object is before the drag [in].
    keep : callable
        From where the pointer would put it to where it goes.
    ask : callable
        From there to the request.
    notes : callable
        Its live dimensions in a preview of the barn.
    why : callable
        Why it cannot go to a place, as a sentence; empty where the error of the
        edit says so itself.
    """

    start: Vec3
    keep: Callable[[Vec3, Modifier], Kept]
    ask: Callable[[Kept], Request]
    notes: Callable[[Barn, Kept], Iterable[Record]]
    why: Callable[[Kept], str] = lambda _: ""


def to_grid(at: Vec3, modifiers: Modifier) -> Kept:
    """Keep a place to the sixteenth, whatever is held down."""
    del modifiers
    return Kept(at=on_grid(at))


def drawn_to(
    at: Vec3,
    modifiers: Modifier,
    *,
    room: Room,
    frame: Frame,
    x_lines: Iterable[Line] = (),
    y_lines: Iterable[Line] = (),
) -> Kept:
    """Keep a place to lines in plan that are near it, else to the sixteenth [in]."""
    reach = 0.0 if Modifier.FREE in modifiers else DRAWN
    x = snapped(at[0], x_lines, reach=reach)
    y = snapped(at[1], y_lines, reach=reach)
    guides: list[Record] = []
    if frame == PLAN and x.line is not None:
        ends = ((x.value, 0.0), (x.value, -room.width))
        guides.append(guide(*ends, name=x.line.name))
    if frame == PLAN and y.line is not None:
        ends = ((0.0, -y.value), (room.length, -y.value))
        guides.append(guide(*ends, name=y.line.name))
    if frame != PLAN and y.line is not None and abs(frame.right[1]) > 0.5:
        ends = ((y.value, 0.0), (y.value, ceiling_top(room)))
        guides.append(guide(*ends, name=y.line.name))
    place = (x.value, y.value, on_grid(at)[2])
    return Kept(at=place, guides=tuple(guides))


def objects_mover(
    stage: Stage, ids: frozenset[str], start: Vec3, *, name: str
) -> Mover:
    """Return the mover of one or more objects that go by the same vector."""

    def ask(kept: Kept) -> Request:
        x, y, z = (a - b for a, b in zip(kept.at, start, strict=True))
        return Request(
            name=name, edit=partial(edits.move_objects, ids=ids, by=(x, y, z))
        )

    owner = min(ids)
    notes = object_notes(stage, owner, moving=ids)
    return Mover(start=start, keep=to_grid, ask=ask, notes=notes)


def object_notes(
    stage: Stage, owner: str, *, moving: frozenset[str]
) -> Callable[[Barn, Kept], Iterable[Record]]:
    """Return what gives the live dimensions of a single place.

    In plan its distances from the front and the left wall, to the nearest two
    fixtures and to the nearest run; in the upright views its height, and in a
    section across the room its distances from the side walls.
    """
    frame = stage.drawing.frame
    neighbours = neighbours_in(stage.drawing, without=moving)
    runs = neighbours_in(stage.drawing, without=moving, roles=(Role.RUN,))

    def notes(preview: Barn, kept: Kept) -> Iterator[Record]:
        if frame == PLAN:
            place = (kept.at[0], kept.at[1])
            yield from wall_dimensions(place, owner)
            yield from neighbour_dimensions(place, neighbours, owner)
            yield from neighbour_dimensions(place, runs, owner, count=1)
        else:
            yield from upright_dimensions(kept.at, preview.room, frame, owner)

    return notes
