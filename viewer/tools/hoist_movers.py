"""Dragging winches, pull points, turning pulleys, the supply and the switch."""

import math
from collections.abc import Callable
from dataclasses import replace
from functools import partial

from core.drawing.frames import PLAN
from core.drawing.records import SUPPLY, SWITCH, Grip
from core.drawing.snap import Keep, Line, on_grid, wall_place
from core.geometry.shapes import Vec2, Vec3
from core.model import edits
from core.model.edits import Edited
from core.model.fixtures import Post
from core.model.hoists import Hoist, TurningPulley
from core.model.room import Room
from core.placement.walls import wall_frame
from viewer.tools.events import Modifier
from viewer.tools.movers import Kept, Mover, drawn_to, object_notes
from viewer.tools.steps import Request, Stage

__all__ = ["hoist_mover", "supply_mover", "switch_mover", "turn_mover"]


def hoist_mover(stage: Stage, hoist: Hoist, grip: Grip) -> Mover:
    """Return the mover of a hoist's winch, pull point, its target or dead end."""
    match grip:
        case Grip.PULL_POINT:
            return _point_mover(stage, hoist, hoist.pull_point, grip)
        case Grip.PULL_TOWARDS:
            return _point_mover(stage, hoist, hoist.pull_towards, grip)
        case Grip.DEAD_END if hoist.dead_end is not None:
            return _point_mover(stage, hoist, hoist.dead_end, grip)
    return _winch_mover(stage, hoist)


def _with_point(hoist: Hoist, grip: Grip, at: Vec3) -> Hoist:
    """Return a hoist with one of its points in another place."""
    match grip:
        case Grip.PULL_POINT:
            return replace(hoist, pull_point=at)
        case Grip.PULL_TOWARDS:
            return replace(hoist, pull_towards=at)
    return replace(hoist, dead_end=at)


def _winch_mover(stage: Stage, hoist: Hoist) -> Mover:
    """Return the mover of a winch, which goes from wall to wall or to a post."""
    barn = stage.barn
    start = hoist.winch.at
    inward = _inward(barn.room, start)
    posts = [each for each in barn.fixtures if isinstance(each, Post)]

    def keep(at: Vec3, modifiers: Modifier) -> Kept:
        if stage.drawing.frame != PLAN or Modifier.FREE in modifiers:
            return Kept(at=on_grid(at), wall=hoist.winch.wall)
        walled = _to_wall(barn.room, at, inward)
        post = min(posts, key=lambda each: _apart(each, at), default=None)
        if post is not None and _apart(post, at) < math.dist(walled.at[:2], at[:2]):
            return Kept(at=_beside(post, at, inward))
        return walled

    def ask(kept: Kept) -> Request:
        winch = replace(hoist.winch, at=kept.at, wall=kept.wall)
        edit = partial(edits.replace_object, item=replace(hoist, winch=winch))
        return Request(name=f"Move winch of {hoist.id}", edit=edit)

    notes = object_notes(stage, hoist.id, moving=frozenset())
    return Mover(start=start, keep=keep, ask=ask, notes=notes)


def _apart(post: Post, at: Vec3) -> float:
    return math.dist((post.x, post.y), at[:2])


def _beside(post: Post, at: Vec3, out: float) -> Vec3:
    """Return the place before the face of a post that looks to a place."""
    cos, sin = math.cos(post.heading), math.sin(post.heading)
    dx, dy = at[0] - post.x, at[1] - post.y
    along, across = dx * cos + dy * sin, dy * cos - dx * sin
    if abs(along) * post.depth >= abs(across) * post.width:
        reach = math.copysign(post.width / 2 + out, along)
        way: Vec2 = (reach * cos, reach * sin)
    else:
        reach = math.copysign(post.depth / 2 + out, across)
        way = (-reach * sin, reach * cos)
    return on_grid((post.x + way[0], post.y + way[1], at[2]))


def _inward(room: Room, at: Vec3) -> float:
    """Return how far into the room a place lies from its nearest wall [in]."""
    found = wall_place(room, (at[0], at[1]))
    frame = wall_frame(room, found.wall)
    off = (at[0] - found.at[0], at[1] - found.at[1])
    return off[0] * frame.inward[0] + off[1] * frame.inward[1]


def _to_wall(room: Room, at: Vec3, inward: float) -> Kept:
    """Keep a place to the nearest wall, as far inside as it was."""
    found = wall_place(room, (at[0], at[1]), inward=inward)
    return Kept(at=on_grid((*found.at, at[2])), wall=found.wall)


def _point_mover(stage: Stage, hoist: Hoist, start: Vec3, grip: Grip) -> Mover:
    """Return the mover of one of a hoist's points, kept in line with the others."""
    points = (hoist.pull_point, hoist.pull_towards, hoist.winch.at)
    others = [point for point in points if point != start]

    def ask(kept: Kept) -> Request:
        item = _with_point(hoist, grip, kept.at)
        name = f"Move {grip.replace('-', ' ')} of {hoist.id}"
        return Request(name=name, edit=partial(edits.replace_object, item=item))

    notes = object_notes(stage, hoist.id, moving=frozenset())
    return Mover(start=start, keep=_in_line(stage, others), ask=ask, notes=notes)


def _in_line(stage: Stage, others: list[Vec3]) -> Callable[[Vec3, Modifier], Kept]:
    """Return what keeps a place in line with others, along and across the room."""
    x_lines, y_lines = (
        tuple(
            Line(at=point[axis], keep=Keep.ALIGNED, name="in line") for point in others
        )
        for axis in (0, 1)
    )
    return partial(
        drawn_to,
        room=stage.barn.room,
        frame=stage.drawing.frame,
        x_lines=x_lines,
        y_lines=y_lines,
    )


def turn_mover(stage: Stage, turn: TurningPulley) -> Mover:
    """Return the mover of a turning pulley.

    It keeps in line with the other turning pulleys, with the runs and with the
    pull points.
    """
    barn = stage.barn
    others = [
        each.at
        for hoist in barn.hoists
        for cable in hoist.cables
        for each in cable.turns
        if each.id != turn.id
    ]
    others += [(*run.start, 0.0) for run in barn.runs]
    others += [hoist.pull_point for hoist in barn.hoists]

    def ask(kept: Kept) -> Request:
        item = replace(turn, at=kept.at)
        edit = partial(edits.replace_object, item=item)
        return Request(name=f"Move {turn.id}", edit=edit)

    notes = object_notes(stage, turn.id, moving=frozenset())
    return Mover(start=turn.at, keep=_in_line(stage, others), ask=ask, notes=notes)


def supply_mover(stage: Stage, start: Vec3) -> Mover:
    """Return the mover of the supply along the walls; its outlet stays."""
    return _cabinet_mover(stage, SUPPLY, start, edits.move_supply)


def switch_mover(stage: Stage, start: Vec3) -> Mover:
    """Return the mover of the isolating switch along the walls."""
    return _cabinet_mover(stage, SWITCH, start, edits.move_switch)


def _cabinet_mover(
    stage: Stage, owner: str, start: Vec3, put: Callable[..., Edited]
) -> Mover:
    """Return the mover of a cabinet on a wall."""
    room = stage.barn.room
    inward = _inward(room, start)

    def keep(at: Vec3, modifiers: Modifier) -> Kept:
        if stage.drawing.frame != PLAN or Modifier.FREE in modifiers:
            return Kept(at=on_grid(at))
        return _to_wall(room, at, inward)

    def ask(kept: Kept) -> Request:
        return Request(name=f"Move {owner}", edit=partial(put, to=kept.at))

    notes = object_notes(stage, owner, moving=frozenset())
    return Mover(start=start, keep=keep, ask=ask, notes=notes)
