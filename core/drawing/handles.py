"""Where the chosen objects can be taken hold of, in room coordinates."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from core.drawing.records import CUT, SUPPLY, SWITCH, Frame, Grip, Handle, Role
from core.drawing.run_shapes import place
from core.drawing.shown import Shown
from core.geometry.shapes import Vec2, Vec3
from core.model.barn import Barn
from core.model.electrical import Electrical
from core.model.fixtures import (
    Beam,
    BoxHeater,
    Camera,
    CeilingInlet,
    ChimneyFan,
    Conduit,
    Controller,
    FeedDrop,
    Feeder,
    FeedLine,
    Fixture,
    Gate,
    Light,
    PlainBox,
    PlainCapsule,
    PlainCylinder,
    PlainHull,
    PlainSphere,
    Post,
    Probe,
    Scan,
    SoakerLine,
    StirringFan,
    TubeHeater,
    TunnelFan,
    WallFan,
    WaterLine,
)
from core.model.hoists import Hoist
from core.model.room import Alley, Bulkhead, Pen, Room, Strip
from core.model.runs import Run
from core.placement.runs import run_length
from core.placement.walls import wall_frame

__all__ = [
    "Floor",
    "Hold",
    "fixture_place",
    "fixture_points",
    "floor_parts",
    "handles",
    "holds",
    "outline_of",
]

Floor = Alley | Bulkhead | Pen | Strip  # what covers a part of the plan


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold:
    """A place at which an object can be moved: whose, what it moves, where [in]."""

    owner: str
    grip: Grip
    at: Vec3
    part: str = ""


def fixture_place(fixture: Fixture, room: Room) -> Vec3:
    """Return the place by which a fixture is moved [in].

    Its own x, y, z where it has them (z is 0 for one that has none), the middle
    of its ends, path or points, or its place on its wall.
    """
    if isinstance(fixture, WallFan | TunnelFan | Controller):
        x, y = wall_frame(room, fixture.wall).point(fixture.offset)
        return (x, y, fixture.z)
    points = fixture_points(fixture)
    if points:
        x, y, z = (math.fsum(axis) / len(points) for axis in zip(*points, strict=True))
        return (x, y, z)
    return _own_place(fixture)


def _own_place(fixture: Fixture) -> Vec3:
    match fixture:
        case BoxHeater() | StirringFan() | PlainBox() | PlainSphere() | Scan():
            return (fixture.x, fixture.y, fixture.z)
        case (
            CeilingInlet()
            | Light()
            | FeedDrop()
            | Feeder()
            | ChimneyFan()
            | Probe()
            | Post()
            | Gate()
            | Camera()
        ):
            return (fixture.x, fixture.y, 0.0)
    message = f"{type(fixture).__name__} has no place of its own"
    raise TypeError(message)


def fixture_points(fixture: Fixture) -> tuple[Vec3, ...]:
    """Return the points that a fixture is drawn through, nothing for a single one."""
    match fixture:
        case TubeHeater() | Beam() | PlainCylinder() | PlainCapsule():
            return (fixture.start, fixture.end)
        case FeedLine() | WaterLine() | SoakerLine() | Conduit():
            return fixture.path
        case PlainHull():
            return fixture.points
    return ()


def floor_parts(room: Room) -> Iterator[Floor]:
    """Yield everything that has an outline in plan."""
    yield from room.bulkheads
    yield from room.strips
    yield from room.alleys
    yield from room.pens


def outline_of(part: Floor) -> tuple[Vec2, ...]:
    """Return the corners of a pen, strip, alley or bulkhead in plan [in]."""
    if isinstance(part, Pen):
        return part.outline
    right, far = part.x + part.length, part.y + part.width
    return ((part.x, part.y), (right, part.y), (right, far), (part.x, far))


def _floor_holds(part: Floor) -> Iterator[Hold]:
    """Yield the corners of an outline and the middles of its sides."""
    corners = outline_of(part)
    for index, (a, b) in enumerate(
        zip(corners, (*corners[1:], corners[0]), strict=True)
    ):
        middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        for grip, at in ((Grip.VERTEX, a), (Grip.EDGE, middle)):
            yield Hold(owner=part.id, grip=grip, part=str(index), at=(*at, 0.0))


def _fixture_holds(fixture: Fixture, room: Room) -> Iterator[Hold]:
    yield Hold(owner=fixture.id, grip=Grip.BODY, at=fixture_place(fixture, room))
    if not isinstance(fixture, PlainHull):
        for index, at in enumerate(fixture_points(fixture)):
            yield Hold(owner=fixture.id, grip=Grip.VERTEX, part=str(index), at=at)


def _run_holds(run: Run, height: float) -> Iterator[Hold]:
    for grip, (x, y) in ((Grip.START, run.start), (Grip.END, run.end)):
        yield Hold(owner=run.id, grip=grip, at=(x, y, height))
    body = place(run, _free_station(run))
    yield Hold(owner=run.id, grip=Grip.BODY, at=(*body, height))
    for support in run.supports:
        at = place(run, support.station)
        yield Hold(owner=support.id, grip=Grip.SUPPORT, part=run.id, at=(*at, height))


def _free_station(run: Run) -> float:
    """Return the station nearest the middle that is half-way between two holds [in].

    A support in the middle of a run could not be grasped under the run's own hold.
    """
    length = run_length(run)
    stations = (support.station for support in run.supports)
    stops = sorted({0.0, length, *(s for s in stations if 0.0 < s < length)})
    halves = [(a + b) / 2 for a, b in pairwise(stops)]
    return min(halves, key=lambda station: abs(station - length / 2))


def _hoist_holds(hoist: Hoist) -> Iterator[Hold]:
    yield Hold(owner=hoist.id, grip=Grip.WINCH, at=hoist.winch.at)
    yield Hold(owner=hoist.id, grip=Grip.PULL_POINT, at=hoist.pull_point)
    yield Hold(owner=hoist.id, grip=Grip.PULL_TOWARDS, at=hoist.pull_towards)
    if hoist.dead_end is not None:
        yield Hold(owner=hoist.id, grip=Grip.DEAD_END, at=hoist.dead_end)
    for cable in hoist.cables:
        for turn in cable.turns:
            yield Hold(owner=turn.id, grip=Grip.TURN, part=cable.id, at=turn.at)


def holds(barn: Barn, *, selection: frozenset[str]) -> Iterator[Hold]:
    """Yield every place at which one of the chosen objects can be moved.

    A run is held with its supports; a support alone when only it is chosen.
    """
    room = barn.room
    for part in floor_parts(room):
        if part.id in selection:
            yield from _floor_holds(part)
    for fixture in barn.fixtures:
        if fixture.id in selection:
            yield from _fixture_holds(fixture, room)
    for run in barn.runs:
        yield from _chosen_of_run(run, selection)
    for hoist in barn.hoists:
        for hold in _hoist_holds(hoist):
            if hoist.id in selection or hold.owner in selection:
                yield hold
    yield from _electrical_holds(barn.electrical, selection)


def _chosen_of_run(run: Run, selection: frozenset[str]) -> Iterator[Hold]:
    if run.id in selection:
        yield from _run_holds(run, run.working_height)
    elif not selection.isdisjoint(support.id for support in run.supports):
        found = _run_holds(run, run.working_height)
        yield from (hold for hold in found if hold.owner in selection)


def _electrical_holds(
    electrical: Electrical, selection: frozenset[str]
) -> Iterator[Hold]:
    if electrical.supply is not None and SUPPLY in selection:
        yield Hold(owner=SUPPLY, grip=Grip.SUPPLY, at=electrical.supply.at)
    if electrical.switch is not None and SWITCH in selection:
        yield Hold(owner=SWITCH, grip=Grip.SWITCH, at=electrical.switch.at)
    for lead in electrical.leads:
        if lead.id in selection:
            for index, at in enumerate(lead.route):
                yield Hold(owner=lead.id, grip=Grip.VERTEX, part=str(index), at=at)


def handles(barn: Barn, shown: Shown, frame: Frame) -> Iterator[Handle]:
    """Yield the handles of the chosen objects, of the cut and of the eye point."""
    for hold in holds(barn, selection=shown.selection):
        yield _handle(hold, frame)
    if shown.cut is not None:
        at = (shown.cut, -barn.room.wall_thickness, 0.0)
        yield _handle(Hold(owner=CUT, grip=Grip.CUT, at=at), frame)
    if shown.eye is not None:
        eye = shown.eye
        yield _handle(Hold(owner=eye.id, grip=Grip.EYE, at=eye.eye), frame)
        yield _handle(Hold(owner=eye.id, grip=Grip.LOOK, at=eye.look), frame)


def _handle(hold: Hold, frame: Frame) -> Handle:
    return Handle(
        role=Role.HANDLE,
        owner=hold.owner,
        part=hold.part,
        grip=hold.grip,
        at=frame.point(hold.at),
    )
