"""Rules on the hanging points of a run."""

import math
from collections.abc import Iterator
from itertools import pairwise

from core.model.room import Ventilation
from core.model.runs import Support
from core.rules.evidence import RunEvidence
from core.rules.finding import Finding, Outcome
from core.rules.registry import Limits, Scope, breach_of, rule
from core.rules.unknown import not_checked

__all__ = ["ends", "fan", "in_line", "spacing", "truss"]

_PRACTICE = "common practice, no published source"
_ROUNDING = 1e-9  # [in]


def _by_station(run: RunEvidence) -> list[Support]:
    return sorted(run.run.supports, key=lambda support: support.station)


@rule(
    "support.spacing",
    protects="A long span sags and overloads its ropes.",
    limits={"most": 144.0},
    unit="in",
    breach=Outcome.STOP,
    source=_PRACTICE,
    scope=Scope.RUN,
)
def spacing(run: RunEvidence, limits: Limits) -> Iterator[Finding]:
    """Ask for supports no farther apart than the limit."""
    row = _by_station(run)
    if len(row) < 2:
        yield Finding(
            rule="support.spacing",
            code="too-few",
            outcome=breach_of("support.spacing"),
            subject=run.run.id,
            value=float(len(row)),
            limit=2.0,
            unit="supports",
            message="{subject} has {count}; a run hangs on at least two.",
            remedy="Add supports to {subject}.",
            details={"count": "one support" if row else "no support"},
        )
        return
    spans = [(b.station - a.station, a, b) for a, b in pairwise(row)]
    wide = [span for span in spans if span[0] > limits["most"]]
    for length, a, b in wide or [max(spans, key=lambda span: span[0])]:
        yield Finding(
            rule="support.spacing",
            code="kept" if not wide else "too-far-apart",
            outcome=Outcome.PASS if not wide else breach_of("support.spacing"),
            subject=run.run.id,
            other=b.id,
            value=length,
            limit=limits["most"],
            station=(a.station + b.station) / 2,
            message="{a} and {other} of {subject} are {value} apart; "
            "at most {limit} is allowed.",
            remedy="" if not wide else "Add a support between {a} and {other}.",
            details={"a": a.id},
        )


@rule(
    "support.ends",
    protects="A long free end droops and whips.",
    limits={"most": 48.0},
    unit="in",
    breach=Outcome.STOP,
    source=_PRACTICE,
    scope=Scope.RUN,
)
def ends(run: RunEvidence, limits: Limits) -> Iterator[Finding]:
    """Ask for the first and last support near the ends of the run."""
    row = _by_station(run)
    if not row:
        return
    length = math.dist(run.run.start, run.run.end)
    for end, support, free in (
        ("front", row[0], row[0].station),
        ("far", row[-1], length - row[-1].station),
    ):
        kept = free <= limits["most"]
        yield Finding(
            rule="support.ends",
            code="kept" if kept else "long-end",
            outcome=Outcome.PASS if kept else breach_of("support.ends"),
            subject=run.run.id,
            other=support.id,
            value=free,
            limit=limits["most"],
            station=support.station,
            message="{subject} reaches {value} beyond {other} at its {end} end; "
            "at most {limit} is allowed.",
            remedy=""
            if kept
            else "Add a support nearer to the {end} end of {subject}.",
            details={"end": end},
        )


@rule(
    "support.truss",
    protects="A screw near a chord's edge splits it; off the truss it holds nothing.",
    limits={"share": 1 / 3},
    unit="-",
    breach=Outcome.STOP,
    source="NDS edge distance; common practice",
    scope=Scope.RUN,
)
def truss(run: RunEvidence, limits: Limits) -> Iterator[Finding]:
    """Ask for every anchor in the middle of a truss chord, or on added blocking."""
    on_truss = {
        support.id: run.truss_offsets[support.id]
        for support in run.run.supports
        if not support.blocking
    }
    if math.inf in on_truss.values():
        yield not_checked(
            "support.truss",
            run.run.id,
            code="no-trusses",
            why="The room has no trusses, so what {subject} hangs from is not known.",
            remedy="Survey the trusses.",
            unit="gap",
        )
        return
    chord = run.room.trusses.chord_width
    most = chord * limits["share"] / 2
    bad = [s for s in run.run.supports if on_truss.get(s.id, 0.0) > most + _ROUNDING]
    for support in bad:
        yield _truss_finding(run, support, on_truss[support.id], most, chord)
    if not bad and run.run.supports:
        yield Finding(
            rule="support.truss",
            code="kept",
            outcome=Outcome.PASS,
            subject=run.run.id,
            value=max(on_truss.values(), default=0.0),
            limit=most,
            unit="gap",
            message="Every anchor of {subject} is within {limit} of a chord's middle, "
            "or on blocking.",
        )


def _truss_finding(
    run: RunEvidence, support: Support, off: float, most: float, chord: float
) -> Finding:
    return Finding(
        rule="support.truss",
        code="off-truss" if off > chord / 2 else "near-edge",
        outcome=breach_of("support.truss"),
        subject=run.run.id,
        other=support.id,
        value=off,
        limit=most,
        unit="gap",
        station=support.station,
        message="The anchor of {other} on {subject} is {value} from the middle of "
        "truss {truss}; at most {limit} is allowed.",
        remedy="Move {other} onto the truss, or add blocking and say so.",
        details={"truss": run.truss_names[support.id]},
    )


@rule(
    "support.fan",
    protects="Wet dust in the air of a tunnel fan coats an insulator and it tracks.",
    limits={"least": 96.0},
    unit="in",
    breach=Outcome.STOP,
    source=_PRACTICE,
    scope=Scope.RUN,
)
def fan(run: RunEvidence, limits: Limits) -> Iterator[Finding]:
    """Ask for distance between insulators and the fans of a tunnel-ventilated room."""
    if run.room.ventilation is Ventilation.TUNNEL and not run.fan_distances:
        yield not_checked(
            "support.fan",
            run.run.id,
            code="no-fan",
            why="The room is tunnel-ventilated, but no tunnel fan is drawn.",
            remedy="Survey the tunnel fans.",
            unit="in",
        )
    for support_id, (fan_id, distance) in run.fan_distances.items():
        if distance < limits["least"]:
            yield Finding(
                rule="support.fan",
                code="near-fan",
                outcome=breach_of("support.fan"),
                subject=run.run.id,
                other=support_id,
                value=distance,
                limit=limits["least"],
                station=run.station(support_id),
                message="The insulator at {other} of {subject} is {value} from {fan}; "
                "at least {limit} is asked for.",
                remedy="Move {other} away from {fan}, or shorten {subject} at that "
                "end.",
                details={"fan": fan_id},
            )
    near = [distance for _, distance in run.fan_distances.values()]
    if near and min(near) >= limits["least"]:
        yield Finding(
            rule="support.fan",
            code="kept",
            outcome=Outcome.PASS,
            subject=run.run.id,
            value=min(near),
            limit=limits["least"],
            message="The insulators of {subject} are {value} or more from every fan.",
        )


@rule(
    "support.in-line",
    protects="A rope out of plumb pulls the run sideways, more the higher it is.",
    limits={"most": 1.0},
    unit="gap",
    breach=Outcome.CAUTION,
    source=_PRACTICE,
    scope=Scope.RUN,
)
def in_line(run: RunEvidence, limits: Limits) -> Iterator[Finding]:
    """Ask for drop pulleys straight above the run."""
    offs = {s.id: math.hypot(s.along, s.across) for s in run.run.supports}
    out = [key for key, off in offs.items() if off > limits["most"]]
    for key in out:
        yield Finding(
            rule="support.in-line",
            code="not-plumb",
            outcome=breach_of("support.in-line"),
            subject=run.run.id,
            other=key,
            value=offs[key],
            limit=limits["most"],
            unit="gap",
            station=run.station(key),
            message="The pulley of {other} hangs {value} off plumb above {subject}; "
            "at most {limit} is allowed.",
            remedy="Hang the pulley of {other} straight above the run.",
        )
    if offs and not out:
        yield Finding(
            rule="support.in-line",
            code="kept",
            outcome=Outcome.PASS,
            subject=run.run.id,
            value=max(offs.values()),
            limit=limits["most"],
            unit="gap",
            message="Every pulley of {subject} hangs within {limit} of plumb.",
        )
