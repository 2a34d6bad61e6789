"""Dragging winches, pull points, turning pulleys, the supply and the switch."""

import math
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import TypeGuard

from core.drawing.frames import PLAN
from core.drawing.records import SUPPLY, SWITCH, Grip
from core.drawing.snap import Keep, Line, on_grid, wall_place
from core.geometry.shapes import Vec2, Vec3
from core.model import edits
from core.model.edits import Edited
from core.model.fixtures import Beam, Fixture, Post
from core.model.hoists import Hoist, TurningPulley, Winch
from core.model.room import Room
from core.placement.walls import wall_frame
from viewer.tools.events import Modifier
from viewer.tools.movers import DRAWN, Kept, Mover, drawn_to, object_notes
from viewer.tools.steps import Request, Stage

__all__ = ["hoist_mover", "supply_mover", "switch_mover", "turn_mover"]

_LUMBER = (
    12.0  # lumber this near to a winch's height carries it, to a wall is on it [in]
)


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
    """Return the mover of a winch, which goes to walls, posts and added lumber."""
    barn, winch = stage.barn, hoist.winch
    inward = _inward(barn.room, winch.at)
    timber = [each for each in barn.fixtures if _carries(each, winch.at[2])]

    def keep(at: Vec3, modifiers: Modifier) -> Kept:
        if stage.drawing.frame != PLAN or Modifier.FREE in modifiers:
            return _freely(barn.room, winch, at)
        walled = _to_wall(barn.room, at, inward)
        to_wall = math.dist(walled.at[:2], at[:2])
        near = min(timber, key=lambda each: _apart(each, at), default=None)
        if near is None:
            return walled
        placed = _on_timber(barn.room, near, at, inward)
        is_near = math.dist(placed.at[:2], at[:2]) < max(to_wall, DRAWN)
        return placed if is_near else walled

    def ask(kept: Kept) -> Request:
        beams = {each.id for each in timber if isinstance(each, Beam)}
        moved = replace(
            winch,
            at=kept.at,
            wall=kept.wall,
            on_lumber=winch.on_lumber or kept.on in beams,
        )
        edit = partial(edits.replace_object, item=replace(hoist, winch=moved))
        return Request(name=f"Move winch of {hoist.id}", edit=edit)

    notes = object_notes(stage, hoist.id, moving=frozenset())
    return Mover(start=winch.at, keep=keep, ask=ask, notes=notes)


def _carries(fixture: Fixture, height: float) -> TypeGuard[Beam | Post]:
    """Tell whether a winch at a height can be on something: posts, lumber there."""
    if not isinstance(fixture, Beam):
        return isinstance(fixture, Post)
    low, high = sorted((fixture.start[2], fixture.end[2]))
    reach = fixture.depth / 2 + _LUMBER
    return low - reach <= height <= high + reach


def _on_timber(room: Room, timber: Beam | Post, at: Vec3, out: float) -> Kept:
    """Keep a winch to the face of timber; lumber on a wall is on that wall."""
    place = _beside(timber, at, out)
    wall = wall_place(room, (place[0], place[1]))
    is_near = math.dist(wall.at, place[:2]) <= out + _LUMBER
    is_beam = isinstance(timber, Beam)
    return Kept(at=place, on=timber.id, wall=wall.wall if is_beam and is_near else None)


def _freely(room: Room, winch: Winch, at: Vec3) -> Kept:
    """Keep a winch to the grid; it stays on its wall as long as it is beside it."""
    place = on_grid(at)
    if winch.wall is None:
        return Kept(at=place)
    frame = wall_frame(room, winch.wall)
    before, after = (
        (p[0] - frame.start[0]) * frame.inward[0]
        + (p[1] - frame.start[1]) * frame.inward[1]
        for p in (winch.at, place)
    )
    return Kept(at=place, wall=winch.wall if abs(after - before) <= DRAWN else None)


def _bar(timber: Beam | Post) -> tuple[Vec2, float, float, float]:
    """Return middle, heading [rad], length and width of timber in plan [in]."""
    if isinstance(timber, Post):
        middle = (timber.x, timber.y)
        return middle, timber.heading, timber.width, timber.depth
    (ax, ay, _), (bx, by, _) = timber.start, timber.end
    length = math.dist((ax, ay), (bx, by))
    middle = ((ax + bx) / 2, (ay + by) / 2)
    return middle, math.atan2(by - ay, bx - ax), max(length, timber.width), timber.width


def _local(timber: Beam | Post, at: Vec3) -> Vec2:
    """Return a place along and across timber, from its middle [in]."""
    (x, y), heading, _, _ = _bar(timber)
    cos, sin = math.cos(heading), math.sin(heading)
    dx, dy = at[0] - x, at[1] - y
    return dx * cos + dy * sin, dy * cos - dx * sin


def _apart(timber: Beam | Post, at: Vec3) -> float:
    """Return how far a place in plan is from timber [in]."""
    along, across = _local(timber, at)
    _, _, length, width = _bar(timber)
    return math.hypot(
        max(abs(along) - length / 2, 0.0), max(abs(across) - width / 2, 0.0)
    )


def _beside(timber: Beam | Post, at: Vec3, out: float) -> Vec3:
    """Return the place before the face of timber that looks to a place."""
    (x, y), heading, length, width = _bar(timber)
    cos, sin = math.cos(heading), math.sin(heading)
    along, across = _local(timber, at)
    slide = length / 2 if isinstance(timber, Beam) else 0.0  # a post: in the middle
    if abs(along) - length / 2 >= abs(across) - width / 2:
        along, across = math.copysign(length / 2 + out, along), 0.0
    else:
        along = min(max(along, -slide), slide)
        across = math.copysign(width / 2 + out, across)
    return on_grid(
        (x + along * cos - across * sin, y + along * sin + across * cos, at[2])
    )


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
