"""Where ropes, clamps, pull cables and winch lines are at a lift.

Clamps and the pull point move by the lift times the travel. A rope that is not
plumb would move its clamp by a little less (see `core.mechanics.rope_path`).
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from core.catalogue.catalogue import Catalogue
from core.catalogue.parts import Clamp, Insulator, Pulley, Rope, SnatchBlock
from core.geometry.shapes import Sphere, Vec3
from core.model.barn import Barn
from core.model.hoists import Hoist, Parts, PullCable, RunEnd
from core.model.room import Room
from core.model.runs import Run, Support
from core.placement.ceiling import ceiling_height
from core.placement.rope_lines import Bend, RopeLine, rope_line
from core.placement.runs import height_at, point_at, run_direction, travel, tube_radius
from core.placement.solids import Group, Solid, Strand
from core.placement.vectors import added, scaled, subtracted, unit

__all__ = [
    "PULL_POINT",
    "HungSupport",
    "clamp_point",
    "hoist_strands",
    "hoist_travel",
    "in_cable_order",
    "pull_cable_path",
    "pull_point",
    "pulley_solids",
    "run_strands",
    "support_points",
    "winch_line",
]

PULL_POINT = "pull point"


@dataclass(frozen=True, slots=True, kw_only=True)
class HungSupport:
    """One support at a lift; all points in space [in].

    Attributes
    ----------
    support : str
        Id of the support.
    anchor : Vec3
        Where the screw goes into the ceiling, above the drop pulley.
    pulley : Vec3
        Centre of the drop pulley.
    radius : float
        Pitch radius of the drop pulley [in].
    over : tuple of Vec3
        The rope on the pulley, from where it rises to it to the top, where it
        joins the pull cable.
    pipe : Vec3
        The run's axis at the support.
    insulator_low, insulator_high : Vec3
        Ends of the insulator: on the tube, and at the rope.
    """

    support: str
    anchor: Vec3
    pulley: Vec3
    radius: float
    over: tuple[Vec3, ...]
    pipe: Vec3
    insulator_low: Vec3
    insulator_high: Vec3


def support_points(
    run: Run,
    room: Room,
    catalogue: Catalogue,
    *,
    lift: float,
    leaves: RunEnd = RunEnd.FRONT,
) -> tuple[HungSupport, ...]:
    """Return every support of a run at a lift.

    Parameters
    ----------
    run, room, catalogue
        The run, its room, and the parts.
    lift : float
        0 at working height, 1 stowed [-].
    leaves : RunEnd
        The end at which the pull cable leaves: ropes rise on the other side of
        their pulleys.

    Returns
    -------
    tuple of HungSupport
        In the order of the run's supports.

    Notes
    -----
    The pulley's centre is `pulley_drop` below the ceiling there, above the
    support's station moved by `along` and `across`. The rope meets the wheel
    level with its centre, lies on it for a quarter turn and leaves level at the
    top. The axis is lower than the run's height by the support's `rope_slack`.
    The insulator stands on the tube and points up the rope.
    """
    along = run_direction(run)
    way = 1.0 if leaves is RunEnd.BACK else -1.0
    towards = (way * along[0], way * along[1], 0.0)
    height, tube = (
        height_at(run, room, catalogue, lift=lift),
        tube_radius(run, catalogue),
    )
    return tuple(
        _hung(run, support, room, catalogue, towards, height, tube)
        for support in run.supports
    )


def _hung(
    run: Run,
    support: Support,
    room: Room,
    catalogue: Catalogue,
    towards: Vec3,
    height: float,
    tube: float,
) -> HungSupport:
    """Return one support at a height of its run."""
    pulley = _pulley_center(run, support, room)
    radius = catalogue.find(Pulley, support.pulley).pitch_radius
    x, y = point_at(run, support.station)
    pipe = (x, y, height - support.rope_slack)
    over = _over_pulley(pulley, radius, towards)
    low = added(pipe, (0.0, 0.0, 1.0), tube)
    rise = unit(subtracted(over[0], low))
    length = catalogue.find(Insulator, support.insulator).length
    return HungSupport(
        support=support.id,
        anchor=(pulley[0], pulley[1], pulley[2] + support.pulley_drop),
        pulley=pulley,
        radius=radius,
        over=over,
        pipe=pipe,
        insulator_low=low,
        insulator_high=added(low, rise, length),
    )


def _pulley_center(run: Run, support: Support, room: Room) -> Vec3:
    """Return the centre of a support's drop pulley."""
    along = run_direction(run)
    x, y = point_at(run, support.station + support.along)
    x, y = x - support.across * along[1], y + support.across * along[0]
    return (x, y, ceiling_height(room, x, y) - support.pulley_drop)


def _over_pulley(center: Vec3, radius: float, towards: Vec3) -> tuple[Vec3, ...]:
    """Return the rope's quarter turn on a wheel, from the far side to the top."""
    half = math.sqrt(0.5)
    side = added(center, towards, -radius)
    middle = added(added(center, towards, -half * radius), (0.0, 0.0, half * radius))
    return (side, middle, (center[0], center[1], center[2] + radius))


def hoist_travel(hoist: Hoist, barn: Barn, catalogue: Catalogue) -> float:
    """Return how far the pull point of a hoist moves.

    Returns
    -------
    float
        The greatest travel of its runs [in]; 0 without runs. All its cables move
        together, so that its runs should have one travel.
    """
    runs = _runs_by_id(barn)
    return max(
        (
            travel(runs[cable.run], barn.room, catalogue)
            for cable in hoist.cables
            if cable.run in runs
        ),
        default=0.0,
    )


def _runs_by_id(barn: Barn) -> Mapping[str, Run]:
    """Return the runs of a barn by id."""
    return {run.id: run for run in barn.runs}


def pull_point(hoist: Hoist, barn: Barn, catalogue: Catalogue, *, lift: float) -> Vec3:
    """Return where the pull cables of a hoist join at a lift.

    Returns
    -------
    Vec3
        The pull point, moved towards `pull_towards` by lift times travel [in].
    """
    way = unit(subtracted(hoist.pull_towards, hoist.pull_point))
    return added(hoist.pull_point, way, lift * hoist_travel(hoist, barn, catalogue))


def pull_cable_path(
    hoist: Hoist, cable: PullCable, barn: Barn, catalogue: Catalogue, *, lift: float
) -> RopeLine:
    """Return the line of a pull cable, from its last drop pulley to the pull point.

    Parameters
    ----------
    hoist, cable, barn, catalogue
        The cable, whose hoist and barn it belongs to, and the parts.
    lift : float
        0 at working height, 1 stowed [-].

    Returns
    -------
    RopeLine
        Its bends are named by the ids of supports and turning pulleys, and
        `PULL_POINT`. Over each drop pulley it runs along the top of the wheel.
    """
    (run,) = (run for run in barn.runs if run.id == cable.run)
    hung = support_points(run, barn.room, catalogue, lift=lift, leaves=cable.leaves)
    end = pull_point(hoist, barn, catalogue, lift=lift)
    return _cable_line(run, cable, hung, end, catalogue)


def _cable_line(
    run: Run,
    cable: PullCable,
    hung: Sequence[HungSupport],
    end: Vec3,
    catalogue: Catalogue,
) -> RopeLine:
    """Return the line of a pull cable over the wheels of a run and on to its end."""
    ordered = in_cable_order(run, cable, hung)
    turns = (
        Bend(
            name=turn.id,
            at=turn.at,
            radius=catalogue.find(Pulley, turn.part).pitch_radius,
        )
        for turn in cable.turns
    )
    drops = (Bend(name=place.support, at=place.over[-1]) for _, place in ordered)
    return rope_line([*drops, *turns, Bend(name=PULL_POINT, at=end)])


def in_cable_order(
    run: Run, cable: PullCable, hung: Sequence[HungSupport]
) -> list[tuple[Support, HungSupport]]:
    """Return the supports of a run as its pull cable passes them.

    Parameters
    ----------
    run, cable
        The run and its cable.
    hung : sequence of HungSupport
        Where its supports are, in the order of the run.

    Returns
    -------
    list of tuple
        Each support with where it is, the one farthest from the pull point first.
    """
    return sorted(
        zip(run.supports, hung, strict=True),
        key=lambda pair: pair[0].station + pair[0].along,
        reverse=cable.leaves is RunEnd.FRONT,
    )


def clamp_point(
    path: RopeLine, support: Support, *, moved: float
) -> tuple[Vec3, float]:
    """Return where the clamp of a support sits.

    Parameters
    ----------
    path : RopeLine
        The pull cable at that lift.
    support : Support
        The support.
    moved : float
        How far the clamp has moved from its place at working height [in].

    Returns
    -------
    tuple
        The point [in], and the way along the path to it [in]: ``pulley + clamp
        gap + moved``, not beyond the pull point.
    """
    station = _clamp_station(path.station(support.id), support, path, moved)
    return path.point(station), station


def _clamp_station(
    pulley: float, support: Support, path: RopeLine, moved: float
) -> float:
    """Return the way along a path to a clamp, given that to its pulley."""
    return min(pulley + support.clamp_gap + moved, path.lengths[-1])


def winch_line(
    hoist: Hoist, barn: Barn, catalogue: Catalogue, *, lift: float
) -> tuple[Vec3, ...]:
    """Return the line from the winch to the pull point, and on to the dead end.

    Returns
    -------
    tuple of Vec3
        With one part of line, winch and pull point; with two, the winch, the
        line round the wheel of the snatch block, and the dead end (the winch
        itself where none is given) [in].
    """
    point = pull_point(hoist, barn, catalogue, lift=lift)
    if hoist.parts is Parts.ONE:
        return (hoist.winch.at, point)
    radius = catalogue.find(SnatchBlock, hoist.block).pitch_radius
    end = hoist.winch.at if hoist.dead_end is None else hoist.dead_end
    return (hoist.winch.at, *_round_block(hoist.winch.at, point, end, radius), end)


def _round_block(winch: Vec3, block: Vec3, end: Vec3, radius: float) -> list[Vec3]:
    """Return the line round a block's wheel, in the plane of its two parts.

    Where winch and dead end are in one direction, the wheel stands upright.
    """
    back = unit(added(unit(subtracted(winch, block)), unit(subtracted(end, block))))
    spread = subtracted(unit(subtracted(winch, block)), unit(subtracted(end, block)))
    side = unit(spread) if math.hypot(*spread) > 1e-6 else (0.0, 0.0, 1.0)
    turns = [-math.pi / 2 + k * math.pi / 4 for k in range(5)]
    return [
        added(
            added(block, back, -radius * math.cos(turn)),
            scaled(side, -radius * math.sin(turn)),
        )
        for turn in turns
    ]


def run_strands(
    run: Run,
    room: Room,
    catalogue: Catalogue,
    *,
    lift: float,
    cable: PullCable | None = None,
    path: RopeLine | None = None,
) -> tuple[Strand, ...]:
    """Return the drop ropes, insulators and clamps of a run at a lift.

    Parameters
    ----------
    run, room, catalogue
        The run, its room, and the parts.
    lift : float
        0 at working height, 1 stowed [-].
    cable, path : optional
        The run's pull cable and its line at that lift. Without them a rope ends
        on top of its pulley and there are no clamps.

    Returns
    -------
    tuple of Strand
        Owned by the run; parts "rope S", "insulator S" and "clamp S" for a
        support S.
    """
    leaves = RunEnd.FRONT if cable is None else cable.leaves
    hung = support_points(run, room, catalogue, lift=lift, leaves=leaves)
    if path is None:
        return tuple(_hanging_free(run, hung, catalogue))
    moved = lift * travel(run, room, catalogue)
    return tuple(_hanging_on(path, run, hung, moved, catalogue))


def _hanging_free(
    run: Run, hung: Sequence[HungSupport], catalogue: Catalogue
) -> Iterator[Strand]:
    """Yield insulators, and ropes that end on their pulleys."""
    for support, place in zip(run.supports, hung, strict=True):
        yield _insulator(run, support, place, catalogue)
        yield _drop_rope(run, support, place, (), catalogue)


def _hanging_on(
    path: RopeLine,
    run: Run,
    hung: Sequence[HungSupport],
    moved: float,
    catalogue: Catalogue,
) -> Iterator[Strand]:
    """Yield insulators, ropes and clamps on a pull cable, moved by so much."""
    names = (bend.name for bend in path.bends)
    pulleys = dict(zip(names, path.stations, strict=True))
    for support, place in zip(run.supports, hung, strict=True):
        pulley = pulleys[support.id]
        clamp = _clamp_station(pulley, support, path, moved)
        along = path.part(pulley, clamp)[1:] if clamp > pulley else ()
        yield _insulator(run, support, place, catalogue)
        yield _drop_rope(run, support, place, along, catalogue)
        yield _clamp(run, support, path, clamp, catalogue)


def _insulator(
    run: Run, support: Support, place: HungSupport, catalogue: Catalogue
) -> Strand:
    """Return an insulator as a rod."""
    return Strand(
        owner=run.id,
        part=f"insulator {support.id}",
        group=Group.ROPE,
        points=(place.insulator_low, place.insulator_high),
        radius=catalogue.find(Insulator, support.insulator).diameter / 2,
    )


def _drop_rope(
    run: Run,
    support: Support,
    place: HungSupport,
    along: tuple[Vec3, ...],
    catalogue: Catalogue,
) -> Strand:
    """Return a drop rope: up to its pulley, over it, and along the cable."""
    return Strand(
        owner=run.id,
        part=f"rope {support.id}",
        group=Group.ROPE,
        points=(place.insulator_high, *place.over, *along),
        radius=catalogue.find(Rope, support.rope).diameter / 2,
    )


def _clamp(
    run: Run, support: Support, path: RopeLine, station: float, catalogue: Catalogue
) -> Strand:
    """Return a clamp as a rod about the cable, its middle at the station."""
    part = catalogue.find(Clamp, support.clamp)
    half = part.length / 2
    return Strand(
        owner=run.id,
        part=f"clamp {support.id}",
        group=Group.CABLE,
        points=path.part(station - half, station + half),
        radius=part.radius,
    )


def hoist_strands(
    hoist: Hoist, barn: Barn, catalogue: Catalogue, *, lift: float
) -> tuple[Strand, ...]:
    """Return everything that hangs and moves with a hoist at a lift.

    Parameters
    ----------
    hoist, barn, catalogue
        The hoist, its barn, and the parts.
    lift : float
        0 at working height, 1 stowed [-].

    Returns
    -------
    tuple of Strand
        The ropes, insulators and clamps of its runs; each pull cable from its
        last clamp to the pull point (owner: the cable's id); the winch line
        (owner: the hoist's id).
    """
    runs = _runs_by_id(barn)
    end = pull_point(hoist, barn, catalogue, lift=lift)
    strands: list[Strand] = []
    for cable in hoist.cables:
        if cable.run in runs and runs[cable.run].supports:
            run = runs[cable.run]
            strands += _cable_strands(run, cable, end, barn.room, catalogue, lift)
    line = winch_line(hoist, barn, catalogue, lift=lift)
    radius = catalogue.find(Rope, hoist.winch.rope).diameter / 2
    strands.append(
        Strand(
            owner=hoist.id,
            part="winch line",
            group=Group.CABLE,
            points=line,
            radius=radius,
        )
    )
    return tuple(strands)


def _cable_strands(
    run: Run,
    cable: PullCable,
    end: Vec3,
    room: Room,
    catalogue: Catalogue,
    lift: float,
) -> Iterator[Strand]:
    """Yield one pull cable and what hangs on it."""
    hung = support_points(run, room, catalogue, lift=lift, leaves=cable.leaves)
    path = _cable_line(run, cable, hung, end, catalogue)
    moved = lift * travel(run, room, catalogue)
    yield from _hanging_on(path, run, hung, moved, catalogue)
    first = min(clamp_point(path, s, moved=moved)[1] for s in run.supports)
    yield Strand(
        owner=cable.id,
        part="pull cable",
        group=Group.CABLE,
        points=path.part(first, path.lengths[-1]),
        radius=catalogue.find(Rope, cable.cable).diameter / 2,
    )


def pulley_solids(hoist: Hoist, catalogue: Catalogue) -> tuple[Solid, ...]:
    """Return the turning pulleys of a hoist, each as a ball round its wheel.

    Returns
    -------
    tuple of Solid
        Owner is the pulley's id; radius ``pitch radius + largest rope`` [in].
    """
    return tuple(
        Solid(
            owner=turn.id,
            part="turning pulley",
            group=Group.CABLE,
            shape=Sphere(
                center=turn.at, radius=catalogue.find(Pulley, turn.part).outside_radius
            ),
        )
        for cable in hoist.cables
        for turn in cable.turns
    )
