"""One run as a pipe on ropes: what hangs on it, how it sags, how far it sways."""

import math
from dataclasses import dataclass

import numpy as np

from core.catalogue import parts
from core.catalogue.catalogue import Catalogue
from core.errors import MechanismError, UnconvergedError, ValueRangeError
from core.geometry.runs import SagProfile, Swing
from core.mechanics.joints import JointLayout, lay_joints
from core.mechanics.pipe import PipeStatics, solve_pipe
from core.mechanics.pipe_parts import Joint, Lump, Pipe, Rope
from core.mechanics.pipe_shape import largest_sag, sag, span_sags
from core.mechanics.sway import sway, wind_load
from core.mechanics.tube import second_moment
from core.model.job import SideAir
from core.model.runs import Run
from core.placement.hanging import HungSupport
from core.placement.runs import run_length
from core.rules.evidence import PipeFacts

__all__ = ["HungPipe", "hang_pipe", "pipe_facts", "sag_profile", "swing_of"]

_STEPS = 8  # straight pieces of the sag profile between two marks


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HungPipe:
    """How a run hangs, or why that is not known.

    `unit_weight` is that of the tube with its points [lbf/in]; `statics` is
    None where `trouble` says why there is no answer.
    """

    unit_weight: float
    layout: JointLayout | None
    statics: PipeStatics | None
    trouble: str = ""


def _unit_weight(run: Run, catalogue: Catalogue, length: float) -> float:
    """Return the weight of tube and points for each inch [lbf/in]."""
    tube = catalogue.find(parts.Tube, run.tube)
    point = catalogue.find(parts.DischargePoint, run.points.part)
    count = max(0, math.floor((length - run.points.first) / run.points.spacing) + 1)
    return tube.unit_weight + count * point.weight / length


def _layout(run: Run, length: float) -> JointLayout:
    stations = [support.station for support in run.supports]
    first = run.first_joint
    if first is None or first >= length:
        return lay_joints(0.0, length, stick=run.stick_length, insulators=stations)
    rest = lay_joints(first, length, stick=run.stick_length, insulators=stations)
    return JointLayout(stations=(first, *rest.stations), pieces=(first, *rest.pieces))


def _joints(run: Run, catalogue: Catalogue, layout: JointLayout) -> list[Joint]:
    part = catalogue.find(parts.Joint, run.joint)
    if part.rotational_stiffness is None:
        return []
    return [
        Joint(station=station, stiffness=part.rotational_stiffness)
        for station in layout.stations
    ]


def _ropes(run: Run, catalogue: Catalogue, hung: tuple[HungSupport, ...]) -> list[Rope]:
    ropes = []
    for support, place in zip(run.supports, hung, strict=True):
        rope = catalogue.find(parts.Rope, support.rope)
        free = math.dist(place.over[0], place.insulator_high) + support.clamp_gap
        spring = rope.axial_stiffness / free if free > 0 else math.inf
        ropes.append(
            Rope(station=support.station, drop=support.rope_slack, spring=spring)
        )
    return ropes


def hang_pipe(
    run: Run, catalogue: Catalogue, hung: tuple[HungSupport, ...]
) -> HungPipe:
    """Return how a run hangs on its ropes at working height.

    A run that has no answer (no supports, a mechanism, no place for a joint)
    comes back with the reason in words.
    """
    length = run_length(run)
    tube = catalogue.find(parts.Tube, run.tube)
    weight = _unit_weight(run, catalogue, length)
    stiffness = tube.modulus * second_moment(tube.outside_diameter, tube.wall)
    try:
        layout = _layout(run, length)
        joint = catalogue.find(parts.Joint, run.joint)
        statics = solve_pipe(
            Pipe(start=0.0, end=length, weight=weight, stiffness=stiffness),
            ropes=_ropes(run, catalogue, hung),
            lumps=[Lump(station=s, weight=joint.weight) for s in layout.stations],
            joints=_joints(run, catalogue, layout),
        )
    except (MechanismError, UnconvergedError, ValueRangeError) as error:
        return HungPipe(
            unit_weight=weight, layout=None, statics=None, trouble=str(error)
        )
    return HungPipe(unit_weight=weight, layout=layout, statics=statics)


def sag_profile(pipe: HungPipe) -> SagProfile | None:
    """Return the sag as straight pieces that never lie above the curve.

    Between two samples a curve of bending moment M bulges at most
    ``M d^2 / (8 EI)`` below its chord (Taylor's theorem); every depth is lowered
    by that much, with the greatest M of the pipe.
    """
    if pipe.statics is None:
        return None
    curve, beam = pipe.statics.curve, pipe.statics.pipe
    marks = np.unique(np.concatenate((curve.marks, [beam.start, beam.end])))
    shares = np.arange(_STEPS) / _STEPS
    stations = (marks[:-1, None] + np.diff(marks)[:, None] * shares).ravel()
    stations = np.unique(np.append(stations, marks[-1]))
    step = float(np.diff(stations).max())
    bulge = float(np.abs(curve.moments).max()) * step**2 / (8.0 * beam.stiffness)
    depths = sag(pipe.statics, stations) + bulge
    return SagProfile(stations=tuple(stations.tolist()), depths=tuple(depths.tolist()))


def swing_of(
    run: Run,
    air: SideAir,
    catalogue: Catalogue,
    pipe: HungPipe,
    hung: tuple[HungSupport, ...],
) -> Swing | None:
    """Return how far side air swings a run; None in still air."""
    if air.speed <= 0.0 or not hung:
        return None
    tube = catalogue.find(parts.Tube, run.tube)
    out = sway(wind_load(air.speed, tube.outside_diameter), pipe.unit_weight)
    highest = max(place.pulley[2] for place in hung)
    angle = min(out.gust if air.gusts else out.steady, 1.4)
    return Swing(pulley_height=highest, angle=angle)


def pipe_facts(run: Run, pipe: HungPipe) -> PipeFacts:
    """Return what rules need to know of how a run hangs."""
    statics, names = pipe.statics, [support.id for support in run.supports]
    if statics is None:
        return PipeFacts(trouble=pipe.trouble, unit_weight=pipe.unit_weight)
    station, lowest = largest_sag(statics)
    held = sorted(
        (place, name)
        for place, name, taut in zip(
            statics.rope_stations, names, statics.taut, strict=True
        )
        if taut
    )
    ends = ["", *(name for _, name in held), ""]
    layout = () if pipe.layout is None else pipe.layout.stations
    return PipeFacts(
        unit_weight=pipe.unit_weight,
        reactions=dict(zip(names, statics.reactions, strict=True)),
        slack=tuple(names[place] for place in statics.slack_ropes),
        spans=tuple(zip(ends, ends[1:], span_sags(statics), strict=False)),
        lowest=lowest,
        lowest_station=station,
        joints=tuple(_joint(place, run) for place in layout),
    )


def _joint(station: float, run: Run) -> tuple[float, str, float]:
    """Return a joint with its nearest insulator and the way to it [in]."""
    nearest = min(run.supports, key=lambda support: abs(support.station - station))
    return station, nearest.id, abs(nearest.station - station)
