"""What one pull cable and everything on it carries through the travel."""

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from core.analysis.anchors import anchor_loads
from core.analysis.cable_line import LIFTS, CableLine, cable_line
from core.analysis.pipes import HungPipe
from core.catalogue import parts
from core.catalogue.catalogue import Catalogue
from core.geometry.shapes import FloatArray, Vec3, as_vec3
from core.mechanics.cable import (
    Branch,
    CableTensions,
    Drop,
    Turn,
    slack_while_lowering,
    walk_cable,
)
from core.mechanics.catenary import hang_by_pull
from core.mechanics.pipe import PipeStatics
from core.mechanics.pulley import Motion, ratio_at_wrap
from core.mechanics.rope_path import clamp_travel, far_end_lag
from core.mechanics.rope_strength import bend_efficiency, design_factor
from core.model.hoists import PullCable
from core.model.room import Room
from core.model.runs import Run
from core.placement.building import Truss
from core.placement.hanging import HungSupport
from core.rules.hoist_evidence import (
    LIGHT_SHARE,
    STIFF_DRAG,
    STIFF_SHARE,
    CableLoads,
    ClampLoads,
    PulleyLoads,
    RopeStrength,
    SegmentLoads,
)

__all__ = ["cable_loads", "groove", "rope_strength", "span_sag"]

_SHALLOW = 1 / 20  # [-] sag over span up to which the parabola is within 1 %


@dataclass(frozen=True, slots=True, kw_only=True)
class _Walks:
    """The cable walked in every kind of motion."""

    lifting: CableTensions
    resting: CableTensions
    lowering: CableTensions
    light: CableTensions
    slack: tuple[str, ...]
    left: float


def cable_loads(
    cable: PullCable,
    run: Run,
    room: Room,
    catalogue: Catalogue,
    pipe: HungPipe,
    hung: tuple[HungSupport, ...],
    trusses: tuple[Truss, ...],
    *,
    run_travel: float,
    pull_point: Vec3,
    pull_towards: Vec3,
    pull_travel: float,
) -> CableLoads:
    """Return the loads of one pull cable.

    Parameters
    ----------
    cable, run, room, catalogue
        The cable, its run, the room, and the parts.
    pipe, hung, trusses
        How the run hangs, its supports at working height, the room's trusses.
    run_travel, pull_travel : float
        How far the run rises and the pull point moves [in].
    pull_point, pull_towards : Vec3
        The pull point at working height and where lifting moves it to [in].

    Returns
    -------
    CableLoads
        With `trouble` instead of loads where the pipe has no answer.

    Notes
    -----
    Reactions are those at working height. Each pulley's ratio is that of its
    greatest wrap and each drop's load that of its most slanted rope, so that
    tensions while lifting are upper bounds through the travel.
    """
    empty = CableLoads(
        id=cable.id,
        run=run.id,
        part=cable.cable,
        travel=run_travel,
        drops={},
        clamp_travel={},
    )
    if pipe.statics is None:
        return replace(empty, trouble=pipe.trouble or f"{run.id} has no supports")
    line = cable_line(
        run,
        cable,
        hung,
        catalogue,
        run_travel=run_travel,
        pull_point=pull_point,
        pull_towards=pull_towards,
        pull_travel=pull_travel,
    )
    drops = _drops(line, run, pipe.statics, catalogue)
    ratios = _ratios(line)
    names = [*drops, *(turn.id for turn in cable.turns)]
    walks = _walked(cable.id, line, drops, names, ratios)
    rope = catalogue.find(parts.Rope, cable.cable)
    forces = _forces(line, walks.lifting, rope)
    pulleys = _pulleys(run.id, line, names, ratios, walks, forces)
    segments = _segments(line, names, walks, rope, catalogue, run_travel)
    return replace(
        empty,
        drops=drops,
        pulleys=pulleys,
        clamps=_clamps(run.id, line, pulleys, catalogue),
        anchors=anchor_loads(cable, run, room, line, forces, catalogue, trusses),
        segments=segments,
        strengths=_strengths(cable, line, walks, rope, catalogue),
        lifting=walks.lifting.pull,
        resting=walks.resting.pull,
        lowering=walks.lowering.pull,
        light=walks.light.pull,
        slack=walks.slack,
        light_left=walks.left,
        length=_length(line),
        lag=_lag(line, segments, rope),
        clamp_travel=_clamp_ways(line, run_travel),
    )


def _drops(
    line: CableLine, run: Run, statics: PipeStatics, catalogue: Catalogue
) -> dict[str, float]:
    """Return what hangs on each drop pulley, far one first [lbf]."""
    names = (support.id for support in run.supports)
    reactions = dict(zip(names, statics.reactions, strict=True))
    drops = {}
    for support, place in zip(line.supports, line.places, strict=True):
        insulator = catalogue.find(parts.Insulator, support.insulator)
        rope = catalogue.find(parts.Rope, support.rope)
        length = math.dist(place.over[0], place.insulator_high)
        weight = insulator.weight + rope.unit_weight * length
        drops[support.id] = reactions[support.id] + weight
    return drops


def _ratios(line: CableLine) -> list[float]:
    """Return the friction ratio of each pulley at its greatest wrap [-]."""
    wraps = line.wraps.max(axis=0).tolist()
    return [
        ratio_at_wrap(pulley.friction_ratio, wrap)
        for pulley, wrap in zip(line.pulleys, wraps, strict=True)
    ]


def _walked(
    name: str,
    line: CableLine,
    drops: dict[str, float],
    names: list[str],
    ratios: list[float],
) -> _Walks:
    """Walk the cable in every kind of motion."""
    plumb = list(drops.values())
    slants = line.slants.max(axis=0).tolist()
    slanted = [load * slant for load, slant in zip(plumb, slants, strict=True)]
    stiff = [1.0 + STIFF_SHARE * (ratio - 1.0) for ratio in ratios]
    light = [LIGHT_SHARE * load for load in plumb]
    usual = _branch(name, names, plumb, ratios)
    poor = _branch(name, names, light, stiff, drag=STIFF_DRAG)
    poorly = walk_cable(poor, Motion.LOWERING)
    return _Walks(
        lifting=walk_cable(_branch(name, names, slanted, ratios), Motion.LIFTING),
        resting=walk_cable(usual, Motion.AT_REST),
        lowering=walk_cable(usual, Motion.LOWERING),
        light=poorly,
        slack=slack_while_lowering(poor),
        left=min(
            (
                met.load_side / ratio - STIFF_DRAG
                for met, ratio in zip(poorly.pulleys, stiff, strict=True)
            ),
            default=0.0,
        ),
    )


def _branch(
    name: str,
    names: list[str],
    loads: list[float],
    ratios: list[float],
    *,
    drag: float = 0.0,
) -> Branch:
    """Return a cable as a row of drops and turns."""
    count = len(loads)
    drops = (
        Drop(name=pulley, load=load, ratio=ratio, drag=drag)
        for pulley, load, ratio in zip(
            names[:count], loads, ratios[:count], strict=True
        )
    )
    turns = (
        Turn(name=pulley, ratio=ratio, drag=drag)
        for pulley, ratio in zip(names[count:], ratios[count:], strict=True)
    )
    return Branch(name=name, elements=(*drops, *turns))


def _forces(line: CableLine, walk: CableTensions, rope: parts.Rope) -> FloatArray:
    """Return the force on each pulley at each lift, `(lifts, n, 3)` [lbf].

    A drop pulley carries its rope and the cable that passes over it: past the wheel
    both pull along the cable. Each pulley bears half of the cable on its two sides.
    """
    count = len(line.places)
    low = np.array([pulley.load_side for pulley in walk.pulleys[:count]])
    cable = np.array([pulley.cable for pulley in walk.pulleys])
    before = np.concatenate(([0.0], cable[:-1]))
    forces: FloatArray = before[:, None] * line.behind
    forces += cable[:, None] * line.ahead
    forces[:, :count] += low[:, None] * line.down
    half = line.lengths * rope.unit_weight / 2
    forces[:, :, 2] -= half
    forces[:, 1:, 2] -= half[:, :-1]
    return forces


def _pulleys(
    run: str,
    line: CableLine,
    names: list[str],
    ratios: list[float],
    walks: _Walks,
    forces: FloatArray,
) -> tuple[PulleyLoads, ...]:
    sizes = np.linalg.norm(forces, axis=2)
    worst = sizes.argmax(axis=0).tolist()
    wraps = line.wraps.max(axis=0).tolist()
    centers = [place.pulley for place in line.places]
    centers += [as_vec3(at) for at in line.points[0, len(centers) : -1]]
    return tuple(
        PulleyLoads(
            id=name,
            run=run,
            kind="drop" if i < len(line.places) else "turning",
            part=line.pulleys[i].id,
            at=centers[i],
            rating=line.pulleys[i].rating,
            loads=tuple(sizes[:, i].tolist()),
            load=float(sizes[worst[i], i]),
            at_lift=LIFTS[worst[i]],
            force=as_vec3(forces[worst[i], i]),
            wrap=wraps[i],
            ratio=ratios[i],
            lifting=walks.lifting.pulleys[i].winch_side,
            resting=walks.resting.pulleys[i].winch_side,
            lowering=walks.lowering.pulleys[i].winch_side,
            light=walks.light.pulleys[i].winch_side,
        )
        for i, name in enumerate(names)
    )


def _clamps(
    run: str,
    line: CableLine,
    pulleys: tuple[PulleyLoads, ...],
    catalogue: Catalogue,
) -> tuple[ClampLoads, ...]:
    """Return what each clamp holds: its drop rope, behind the drop pulley."""
    pulls = {pulley.id: pulley.lifting for pulley in pulleys}
    return tuple(
        ClampLoads(
            id=support.id,
            run=run,
            part=support.clamp,
            pull=pulls[support.id],
            slip_load=catalogue.find(parts.Clamp, support.clamp).slip_load,
        )
        for support in line.supports
    )


def _segments(
    line: CableLine,
    names: list[str],
    walks: _Walks,
    rope: parts.Rope,
    catalogue: Catalogue,
    travel: float,
) -> tuple[SegmentLoads, ...]:
    ends = [*names[1:], "pull point"]
    lengths, longest = line.lengths[0].tolist(), line.lengths.max(axis=0).tolist()
    rises = np.abs(np.diff(line.points[:, :, 2], axis=1)).max(axis=0).tolist()
    rows = []
    for i, (start, end) in enumerate(zip(names, ends, strict=True)):
        tensions = {
            motion: getattr(walks, motion).pulleys[i].cable
            for motion in ("lifting", "resting", "lowering", "light")
        }
        clamp = _clamp_on(line, i, catalogue, travel, longest[i])
        sags = [
            span_sag(
                rope.unit_weight, longest[i], rises[i], tensions[motion], clamp=clamp
            )
            for motion in ("resting", "lowering")
        ]
        rows.append(
            SegmentLoads(
                start=start,
                end=end,
                length=lengths[i],
                sag_resting=sags[0],
                sag_lowering=sags[1],
                **tensions,
            )
        )
    return tuple(rows)


def _clamp_on(
    line: CableLine, i: int, catalogue: Catalogue, travel: float, length: float
) -> tuple[float, float]:
    """Return the clamp's weight [lbf] and its place nearest to mid-span [in]."""
    if i >= len(line.supports):
        return 0.0, 0.0
    support = line.supports[i]
    weight = catalogue.find(parts.Clamp, support.clamp).weight
    place = min(max(support.clamp_gap, length / 2), support.clamp_gap + travel, length)
    return weight, place


def span_sag(
    weight: float,
    length: float,
    rise: float,
    tension: float,
    *,
    clamp: tuple[float, float] = (0.0, 0.0),
) -> float:
    """Return the sag of a span of rope, infinite without tension.

    Parameters
    ----------
    weight : float
        Weight of the rope [lbf/in].
    length, rise : float
        Straight way between its ends, and how much higher one of them is [in].
    tension : float
        Tension at its ends [lbf].
    clamp : tuple of float
        Weight of a clamp on it [lbf] and its way from one end [in].

    Returns
    -------
    float
        Sum of the rope's own sag and that of the clamp, an upper bound [in].
    """
    level = math.sqrt(max(length**2 - rise**2, 0.0))
    if level <= 0.0:
        return 0.0
    pull = tension * level / length
    if pull * 100.0 <= weight * level:
        return math.inf
    own = weight * length * level / (8.0 * pull)
    if own > _SHALLOW * level:
        own = hang_by_pull(weight, level, pull=pull, rise=rise).sag
    load, place = clamp
    return own + load * place * (length - place) / (pull * length)


def _strengths(
    cable: PullCable,
    line: CableLine,
    walks: _Walks,
    rope: parts.Rope,
    catalogue: Catalogue,
) -> tuple[RopeStrength, ...]:
    """Return how strong the cable and its hardest pulled drop rope are."""
    count = len(line.places)
    rows = walks.lifting.pulleys[:count]
    worst = max(range(count), key=lambda i: rows[i].winch_side)
    support = line.supports[worst]
    drop = catalogue.find(parts.Rope, support.rope)
    tension = max(rows[worst].winch_side, rows[worst].load_side)
    most = max((p.cable for p in walks.lifting.pulleys), default=0.0)
    return (
        rope_strength(
            cable.id,
            "pull cable",
            rope,
            most,
            wheels=(groove(wheel, rope) for wheel in line.pulleys[count:]),
        ),
        rope_strength(
            support.id,
            "drop rope",
            drop,
            tension,
            wheels=(groove(line.pulleys[worst], drop),),
        ),
    )


def rope_strength(
    name: str,
    what: str,
    rope: parts.Rope,
    tension: float,
    *,
    wheels: Iterable[float],
) -> RopeStrength:
    """Return the design factor of a rope over the smallest of its wheels.

    Parameters
    ----------
    name, what : str
        The id of what the rope belongs to, and what it is called.
    rope : Rope
        The part.
    tension : float
        Its greatest tension [lbf].
    wheels : iterable of float
        Diameters of the grooves or drums that it bends over [in]; none for a
        straight rope.

    Returns
    -------
    RopeStrength
        With its bend and its end fittings counted; a wheel thinner than the
        rope counts as one of the rope's own diameter.
    """
    thick = rope.diameter
    bends = (bend_efficiency(max(wheel, thick), thick) for wheel in wheels)
    bend, termination = min(bends, default=1.0), rope.termination_efficiency
    return RopeStrength(
        id=name,
        what=what,
        part=rope.id,
        tension=tension,
        strength=rope.breaking_strength,
        bend=bend,
        termination=termination,
        factor=design_factor(
            rope.breaking_strength, tension, bend=bend, termination=termination
        ),
    )


def groove(wheel: parts.Pulley | parts.SnatchBlock, rope: parts.Rope) -> float:
    """Return the diameter of a wheel at the bottom of its groove [in]."""
    return 2 * wheel.pitch_radius - rope.diameter


def _length(line: CableLine) -> float:
    """Return the cable from its far clamp to the pull point at working height [in].

    Tangents ``sqrt(C^2 - (R1 - R2)^2)`` between the wheels, exact where both turn
    the same way and within 0.1 in where they do not, and arcs ``R wrap``.
    """
    count = len(line.places)
    wheels = [wheel.pitch_radius for wheel in line.pulleys[count:]]
    radii = np.array([0.0] * count + wheels + [0.0])
    legs = np.maximum(line.lengths[0] ** 2 - np.diff(radii) ** 2, 0.0)
    arcs = float((radii[count:-1] * line.wraps[0, count:]).sum())
    return float(np.sqrt(legs).sum()) + arcs - line.supports[0].clamp_gap


def _lag(
    line: CableLine, segments: tuple[SegmentLoads, ...], rope: parts.Rope
) -> float:
    """Return how far stretch holds the far clamp back while lifting [in]."""
    lengths = [segment.length for segment in segments]
    lengths[0] = max(lengths[0] - line.supports[0].clamp_gap, 0.0)
    tensions = [segment.lifting for segment in segments]
    return far_end_lag(tensions, lengths, axial_stiffness=rope.axial_stiffness)


def _clamp_ways(line: CableLine, travel: float) -> dict[str, float]:
    """Return the way of each clamp along the cable over the travel [in]."""
    ways = {}
    for support, place in zip(line.supports, line.places, strict=True):
        aside = math.dist(place.over[0][:2], place.insulator_low[:2])
        drop = max(place.over[0][2] - place.insulator_low[2], 0.0)
        ways[support.id] = clamp_travel(
            drop_low=drop, drop_high=max(drop - travel, 0.0), offset=aside
        )
    return ways
