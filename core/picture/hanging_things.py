"""Runs, ropes, pulleys, cables, winch, leads and supply as they are seen at a lift."""

import math
from collections.abc import Iterator, Mapping

import numpy as np

from core.catalogue.catalogue import Catalogue
from core.catalogue.parts import Pulley
from core.geometry.runs import SagProfile
from core.geometry.shapes import Box, Vec3, upright_box
from core.model.barn import Barn
from core.model.electrical import Electrical
from core.model.hoists import Hoist, PullCable, RunEnd, TurningPulley
from core.model.room import Room, Wall
from core.model.runs import PointDirection, Run
from core.picture.finishes import Finish
from core.picture.forms import Form, lathe, line_form, merged, tube
from core.picture.things import Thing, solid, thing
from core.placement.hanging import (
    HungSupport,
    pull_point,
    support_points,
)
from core.placement.runs import (
    height_at,
    point_at,
    run_direction,
    run_length,
    tube_radius,
)
from core.placement.scene import strands
from core.placement.solids import Group, Strand
from core.placement.vectors import added, scaled, subtracted, unit

__all__ = [
    "Sags",
    "axis_points",
    "electrical_things",
    "fixed_things",
    "leaving_ends",
    "moving_things",
    "point_tips",
    "run_form",
    "strand_thing",
]

Sags = Mapping[str, SagProfile]

_STEP = 24.0  # length of the straight pieces of a sagging run [in]
_JOINT = (0.14, 2.2)  # a coupling is so much thicker, and so long [in]
_LEVEL = SagProfile(stations=(0.0,), depths=(0.0,))
_STRAND_FINISH = {
    Group.ROPE: Finish.ROPE,
    Group.CABLE: Finish.CABLE,
    Group.LEAD: Finish.LEAD,
}


def axis_points(
    run: Run, height: float, sag: SagProfile | None, stations: list[float]
) -> list[Vec3]:
    """Return points of a run's axis, hanging by its sag below a height [in]."""
    profile = sag or _LEVEL
    depths = np.interp(stations, profile.stations, profile.depths).tolist()
    return [
        (*point_at(run, station), height - depth)
        for station, depth in zip(stations, depths, strict=True)
    ]


def point_tips(
    run: Run, height: float, sag: SagProfile | None, radius: float
) -> list[tuple[Vec3, Vec3]]:
    """Return root and tip of each discharge point of a run [in]."""
    row, length = run.points, run_length(run)
    count = math.floor((length - row.first) / row.spacing + 1e-9) + 1
    stations = [row.first + k * row.spacing for k in range(max(count, 0))]
    ways = _point_ways(run)
    return [
        (added(at, way, 0.8 * radius), added(at, way, row.reach))
        for at in axis_points(run, height, sag, stations)
        for way in ways
        if row.reach > radius
    ]


def _point_ways(run: Run) -> tuple[Vec3, ...]:
    along = run_direction(run)
    right = (-along[1], along[0], 0.0)
    left, up, down = scaled(right, -1.0), (0.0, 0.0, 1.0), (0.0, 0.0, -1.0)
    return {
        PointDirection.DOWN: (down,),
        PointDirection.UP: (up,),
        PointDirection.SIDES: (left, right),
        PointDirection.RING: (down, left, up, right),
    }[run.points.direction]


def run_form(run: Run, height: float, sag: SagProfile | None, radius: float) -> Form:
    """Return a run's tube with caps and couplings."""
    length = run_length(run)
    count = max(1, math.ceil(length / _STEP))
    stations = np.linspace(0.0, length, count + 1).tolist()
    points = axis_points(run, height, sag, stations)
    first = run.first_joint or run.stick_length
    joints = np.arange(first, length - 1.0, run.stick_length).tolist()
    along = run_direction(run)
    half = (along[0] * _JOINT[1] / 2, along[1] * _JOINT[1] / 2, 0.0)
    rings = [
        tube(added(at, half, -1.0), added(at, half), radius + _JOINT[0] * radius)
        for at in axis_points(run, height, sag, joints)
    ]
    return merged([line_form(points, radius), *rings])


def moving_things(
    barn: Barn, catalogue: Catalogue, sags: Sags, *, lift: float
) -> Iterator[Thing]:
    """Yield what moves with the lift: runs, points, ropes, cables, leads.

    Parameters
    ----------
    barn, catalogue
        The barn, and its parts.
    sags : mapping of str to SagProfile
        How each run hangs, by its id; a run that is not in it is drawn level.
    lift : float
        0 at working height, 1 stowed [-].
    """
    for run in barn.runs:
        height = height_at(run, barn.room, catalogue, lift=lift)
        yield from _run_things(run, height, sags.get(run.id), catalogue)
    for strand in strands(barn, catalogue, lift=lift):
        yield strand_thing(strand)
    for hoist in barn.hoists:
        yield _pull_block(hoist, barn, catalogue, lift)


def _run_things(
    run: Run, height: float, sag: SagProfile | None, catalogue: Catalogue
) -> Iterator[Thing]:
    radius = tube_radius(run, catalogue)
    yield thing(run.id, "tube", Finish.RUN, run_form(run, height, sag, radius))
    tips = [
        tube(root, tip, 0.17, far=0.02, capped=0)
        for root, tip in point_tips(run, height, sag, radius)
    ]
    if tips:
        yield thing(run.id, "points", Finish.STAINLESS, *tips)


def strand_thing(strand: Strand) -> Thing:
    """Return a rope, rod, cable or lead as it is seen."""
    if strand.part.startswith("insulator"):
        return _insulator(strand)
    clamp = strand.part.startswith("clamp")
    finish = Finish.STAINLESS if clamp else _STRAND_FINISH[strand.group]
    form = line_form(strand.points, strand.radius)
    return thing(strand.owner, strand.part, finish, form)


def _insulator(strand: Strand) -> Thing:
    """Return a rod with sheds, all within its radius."""
    a, b = strand.points[0], strand.points[-1]
    sheds = np.linspace(0.12, 0.88, max(2, round(math.dist(a, b) / 0.9))).tolist()
    profile = [(0.0, 0.0), (0.0005, 0.8), (0.06, 0.8), (0.065, 0.62)]
    for share in sheds:
        edges = ((-0.031, 0.62), (-0.03, 1.0), (0.03, 0.75), (0.031, 0.62))
        profile += [(share + step, radius) for step, radius in edges]
    profile += [(0.935, 0.62), (0.94, 0.8), (0.9995, 0.8), (1.0, 0.0)]
    body = lathe(a, b, [(share, radius * strand.radius) for share, radius in profile])
    return thing(strand.owner, strand.part, Finish.PORCELAIN, body)


def leaving_ends(barn: Barn) -> dict[str, RunEnd]:
    """Return at which end the pull cable of each run leaves."""
    return {cable.run: cable.leaves for hoist in barn.hoists for cable in hoist.cables}


def fixed_things(barn: Barn, catalogue: Catalogue) -> Iterator[Thing]:
    """Yield what the runs hang on: drop pulleys, turning pulleys, winches."""
    ends = leaving_ends(barn)
    for run in barn.runs:
        leaves = ends.get(run.id, RunEnd.FRONT)
        along = run_direction(run)
        hung = support_points(run, barn.room, catalogue, lift=0.0, leaves=leaves)
        for support, place in zip(run.supports, hung, strict=True):
            rope = catalogue.find(Pulley, support.pulley).largest_rope
            yield from _drop_pulley(run, place, (along[0], along[1], 0.0), rope)
    for hoist in barn.hoists:
        for cable in hoist.cables:
            yield from _turning_pulleys(cable, hoist, barn, catalogue)
        yield from _winch(hoist)


def _turning_pulleys(
    cable: PullCable, hoist: Hoist, barn: Barn, catalogue: Catalogue
) -> Iterator[Thing]:
    """Yield the turning pulleys of a cable."""
    run = next((run for run in barn.runs if run.id == cable.run), None)
    if run is None:
        return
    places = [turn.at for turn in cable.turns]
    ends = {RunEnd.FRONT: run.start, RunEnd.BACK: run.end}
    first = (*ends[cable.leaves], places[0][2]) if places else hoist.pull_point
    for index, turn in enumerate(cable.turns):
        axle = _turn_axle(first, places, index, hoist.pull_point)
        yield from _turning_pulley(turn, axle, catalogue)


def _wheel(center: Vec3, axle: Vec3, radius: float, width: float) -> Form:
    """Return a grooved wheel."""
    parts = [
        tube(
            added(center, axle, low * width),
            added(center, axle, high * width),
            share * radius,
        )
        for low, high, share in ((-0.5, -0.3, 1.0), (-0.3, 0.3, 0.82), (0.3, 0.5, 1.0))
    ]
    return merged(parts)


def _drop_pulley(
    run: Run, place: HungSupport, along: Vec3, rope: float
) -> Iterator[Thing]:
    """Yield a wheel between two cheeks on an eye screw."""
    axle = (-along[1], along[0], 0.0)
    part = f"pulley {place.support}"
    radius = place.radius + rope / 2
    yield thing(run.id, part, Finish.BRASS, _wheel(place.pulley, axle, radius, 0.7))
    cheeks = [
        tube(added(place.pulley, axle, side), added(place.anchor, axle, side / 3), 0.16)
        for side in (-0.45, 0.45)
    ]
    low = added(place.anchor, (0.0, 0.0, 1.0), -0.9)
    yield thing(run.id, part, Finish.GALVANISED, *cheeks, tube(low, place.anchor, 0.25))


def _turning_pulley(
    turn: TurningPulley, axle: Vec3, catalogue: Catalogue
) -> Iterator[Thing]:
    """Yield a wheel in the plane of its rope, hung from above."""
    at, part = turn.at, catalogue.find(Pulley, turn.part)
    radius = part.pitch_radius + part.largest_rope / 2
    yield thing(turn.id, "turning pulley", Finish.BRASS, _wheel(at, axle, radius, 0.9))
    up = (at[0], at[1], at[2] + part.hang)
    cheeks = [
        tube(added(at, axle, side), added(up, axle, side / 3), 0.2)
        for side in (-0.6, 0.6)
    ]
    yield thing(turn.id, "turning pulley", Finish.GALVANISED, *cheeks)


def _turn_axle(first: Vec3, turns: list[Vec3], index: int, last: Vec3) -> Vec3:
    """Return the axle of a turning pulley: square to the rope before and after."""
    places = [first, *turns, last]
    before, at, after = places[index : index + 3]
    u, v = unit(subtracted(at, before)), unit(subtracted(after, at))
    axle = np.cross(u, v)
    length = float(np.linalg.norm(axle))
    if length < 1e-6:
        return (0.0, 0.0, 1.0)
    x, y, z = (axle / length).tolist()
    return (x, y, z)


def _pull_block(hoist: Hoist, barn: Barn, catalogue: Catalogue, lift: float) -> Thing:
    """Return the turnbuckle between the pull point and the winch line."""
    at = pull_point(hoist, barn, catalogue, lift=lift)
    way = unit(subtracted(hoist.pull_towards, hoist.pull_point))
    body = tube(added(at, way, -0.5), added(at, way, 6.0), 0.5)
    return thing(hoist.id, "pull point", Finish.STAINLESS, body)


def _winch(hoist: Hoist) -> Iterator[Thing]:
    """Yield a drum between plates on a board, with a handle."""
    at, wall = hoist.winch.at, hoist.winch.wall
    out, level = _wall_axes(wall)

    def box(u: float, v: float, z: float, half: Vec3) -> Box:
        center = added(added(at, out, u), level, v)
        axes = (out, level, (0.0, 0.0, 1.0))
        return Box(center=(center[0], center[1], center[2] + z), half=half, axes=axes)

    plates = [box(-1.0, side, 0.0, (3.5, 0.15, 3.6)) for side in (-2.6, 2.6)]
    base = box(-4.6, 0.0, 0.0, (0.2, 3.6, 4.5))
    yield solid(hoist.id, "winch", Finish.PAINTED, (*plates, base))
    drum = tube(added(at, level, -2.5), added(at, level, 2.5), 1.6)
    yield thing(hoist.id, "drum", Finish.CABLE, drum)
    crank = added(at, level, 3.6)
    grip = (crank[0], crank[1], crank[2] - 8.0)
    parts = [
        tube(added(at, level, 2.6), crank, 0.4),
        tube(crank, grip, 0.35),
        tube(grip, added(grip, level, 4.0), 0.55),
    ]
    yield thing(hoist.id, "crank", Finish.STAINLESS, *parts)
    board = box(-5.6, 0.0, 0.0, (0.75, 4.6, 10.0))
    if hoist.winch.on_lumber:
        yield solid(hoist.id, "lumber", Finish.WOOD, (board,))


def _wall_axes(wall: Wall | None) -> tuple[Vec3, Vec3]:
    """Return the unit vectors out of a wall and level along it."""
    out = {
        Wall.FRONT: (1.0, 0.0, 0.0),
        Wall.BACK: (-1.0, 0.0, 0.0),
        Wall.LEFT: (0.0, 1.0, 0.0),
        Wall.RIGHT: (0.0, -1.0, 0.0),
    }.get(wall or Wall.FRONT, (1.0, 0.0, 0.0))
    return out, (-out[1], out[0], 0.0)


def electrical_things(electrical: Electrical, room: Room) -> Iterator[Thing]:
    """Yield supply, outlet and switch as boxes of a usual size."""
    supply = electrical.supply
    if supply is not None:
        yield _cased(
            "supply", "supply", Finish.CABINET, supply.at, (3.0, 6.0, 8.0), room
        )
        yield _cased("supply", "sign", Finish.MARK, supply.at, (3.1, 2.2, 2.2), room)
        if supply.outlet is not None:
            size = (1.2, 1.4, 2.3)
            yield _cased(
                "outlet", "outlet", Finish.LAMP_BODY, supply.outlet.at, size, room
            )
    if electrical.switch is not None:
        at = electrical.switch.at
        yield _cased("switch", "switch", Finish.CABINET, at, (2.0, 3.0, 5.0), room)


def _cased(
    owner: str, part: str, finish: Finish, at: Vec3, half: Vec3, room: Room
) -> Thing:
    """Return a case against the wall that is nearest."""
    gaps = {0: min(at[0], room.length - at[0]), 1: min(at[1], room.width - at[1])}
    deep = 0 if abs(gaps[0]) <= abs(gaps[1]) else 1
    size = (half[0], half[1]) if deep == 0 else (half[1], half[0])
    low = (at[0] - size[0], at[1] - size[1], at[2] - half[2])
    high = (at[0] + size[0], at[1] + size[1], at[2] + half[2])
    return solid(owner, part, finish, (upright_box(low, high),))
