"""Dragging fixtures, their points, and what is mounted on a wall."""

from dataclasses import replace
from functools import partial

from core.drawing.frames import PLAN
from core.drawing.handles import fixture_place, fixture_points
from core.drawing.records import Grip
from core.drawing.snap import on_grid
from core.errors import EditError
from core.geometry.shapes import Vec3
from core.model import edits
from core.model.barn import Barn
from core.model.edits import Edited
from core.model.fixtures import (
    Beam,
    Camera,
    CeilingInlet,
    ChimneyFan,
    Conduit,
    Controller,
    FeedLine,
    Fixture,
    Light,
    PlainCapsule,
    PlainCylinder,
    SoakerLine,
    TubeHeater,
    TunnelFan,
    WallFan,
    WaterLine,
)
from core.model.room import Door
from core.placement.ceiling import ceiling_height
from core.placement.walls import wall_frame
from viewer.tools.events import Modifier
from viewer.tools.movers import Kept, Mover, object_notes, objects_mover, to_grid
from viewer.tools.steps import Request, Stage

__all__ = ["Hung", "fixture_mover", "wall_mover", "why_no_point"]

_OnWall = Controller | Door | TunnelFan | WallFan
Hung = Camera | CeilingInlet | ChimneyFan | Light  # has air above it


def fixture_mover(stage: Stage, fixture: Fixture, grip: Grip, part: str) -> Mover:
    """Return the mover of a fixture, or of one point of it where that is held.

    What hangs from the ceiling is let down in an upright view, what is on a wall
    goes along it.
    """
    if grip is Grip.VERTEX:
        return _vertex_mover(stage, fixture, int(part))
    if isinstance(fixture, _OnWall):
        return wall_mover(stage, fixture)
    if isinstance(fixture, Hung) and stage.drawing.frame != PLAN:
        return _hung_mover(stage, fixture)
    start = fixture_place(fixture, stage.barn.room)
    ids = frozenset({fixture.id})
    return objects_mover(stage, ids, start, name=f"Move {fixture.id}")


def wall_mover(stage: Stage, item: _OnWall) -> Mover:
    """Return the mover of a fan, a controller or a door along its wall.

    It stays between the ends of the wall.
    """
    frame = wall_frame(stage.barn.room, item.wall)
    first, last = _between(item, frame.length)
    height = 0.0 if isinstance(item, Door) else item.z
    low = item.diameter / 2 if isinstance(item, TunnelFan | WallFan) else 0.0
    start = (*frame.point(item.offset), height)

    def keep(at: Vec3, _modifiers: Modifier) -> Kept:
        x, y, z = on_grid(at)
        along = (x - frame.start[0]) * frame.along[0]
        along += (y - frame.start[1]) * frame.along[1]
        return Kept(at=(*frame.point(min(max(along, first), last)), max(z, low)))

    name = f"Move {item.id}"
    mover = objects_mover(stage, frozenset({item.id}), start, name=name)
    return replace(mover, keep=keep)


def _between(item: _OnWall, length: float) -> tuple[float, float]:
    """Return between which offsets something is on its wall [in].

    What is wider than its wall stays where it is.
    """
    match item:
        case Door():
            before, behind = 0.0, item.width
        case Controller():
            before = behind = item.width / 2
        case _:
            before = behind = item.diameter / 2
    if before + behind > length:
        return item.offset, item.offset
    return before, length - behind


def _hung_mover(stage: Stage, fixture: Hung) -> Mover:
    """Return the mover of something under the ceiling, in an upright view."""
    room = stage.barn.room
    top = ceiling_height(room, fixture.x, fixture.y) - fixture.drop
    start = (fixture.x, fixture.y, top)

    def ask(kept: Kept) -> Request:
        x, y, z = (a - b for a, b in zip(kept.at, start, strict=True))
        edit = partial(_let_down, owner=fixture.id, by=(x, y, z))
        return Request(name=f"Move {fixture.id}", edit=edit)

    ids = frozenset({fixture.id})
    mover = objects_mover(stage, ids, start, name="")
    return replace(mover, ask=ask)


def _let_down(barn: Barn, *, owner: str, by: Vec3) -> Edited:
    """Move something under the ceiling, down by more of the air above it."""
    moved = edits.move_objects(barn, {owner}, by)
    item = next(each for each in moved.barn.fixtures if each.id == owner)
    if not isinstance(item, Hung):
        return moved
    drop = item.drop - by[2]
    if drop < 0.0:
        msg = f"{owner} would be in the ceiling; keep it below"
        raise EditError(msg)
    return edits.replace_object(moved.barn, replace(item, drop=drop))


def _vertex_mover(stage: Stage, fixture: Fixture, index: int) -> Mover:
    """Return the mover of one point of a line or of one end of a bar."""
    ids = frozenset({fixture.id})

    def ask(kept: Kept) -> Request:
        item = _with_point(fixture, index, kept.at)
        edit = partial(edits.replace_object, item=item)
        return Request(name=f"Reshape {fixture.id}", edit=edit)

    points = fixture_points(fixture)
    return Mover(
        start=points[index],
        keep=to_grid,
        ask=ask,
        notes=object_notes(stage, fixture.id, moving=ids),
        why=partial(why_no_point, fixture.id, points, index),
    )


def why_no_point(owner: str, points: tuple[Vec3, ...], index: int, kept: Kept) -> str:
    """Say that a point of a line would lie on the one before or behind it."""
    others = points[max(index - 1, 0) : index + 2]
    if kept.at not in others:
        return ""
    return f"two points of {owner} would be in one place; keep them apart"


def _with_point(fixture: Fixture, index: int, at: Vec3) -> Fixture:
    match fixture:
        case FeedLine() | WaterLine() | SoakerLine() | Conduit():
            path = fixture.path
            return replace(fixture, path=(*path[:index], at, *path[index + 1 :]))
        case TubeHeater() | Beam() | PlainCylinder() | PlainCapsule():
            if index == 0:
                return replace(fixture, start=at)
            return replace(fixture, end=at)
    return fixture
