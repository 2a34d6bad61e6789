"""Rules on the heights of a run and on what moves with it."""

from collections.abc import Iterator

from core.catalogue.parts import Clamp
from core.mechanics.headroom import EXIT_PROJECTION_HEIGHT
from core.mechanics.rope_path import clamp_room as way_left
from core.rules.evidence import RunEvidence
from core.rules.finding import Finding, Outcome
from core.rules.registry import Limits, Scope, breach_of, rule
from core.rules.unknown import not_checked

__all__ = ["clamp_room", "headroom", "insulator", "stow_gap"]

_PRACTICE = "common practice, no published source"


@rule(
    "travel.stow-gap",
    protects="Stowed too high the points reach the ceiling, too low the headroom goes.",
    limits={"least": 8.5, "most": 9.5},
    unit="gap",
    breach=Outcome.CAUTION,
    source=_PRACTICE,
    scope=Scope.RUN,
)
def stow_gap(run: RunEvidence, limits: Limits) -> Iterator[Finding]:
    """Ask for the usual gap between the stowed pipe and the lowest ceiling over it."""
    gap = run.run.stow_drop
    kept = limits["least"] <= gap <= limits["most"]
    bound = limits["least"] if gap < limits["least"] else limits["most"]
    yield Finding(
        rule="travel.stow-gap",
        code="kept" if kept else "gap-off",
        outcome=Outcome.PASS if kept else breach_of("travel.stow-gap"),
        subject=run.run.id,
        value=gap,
        limit=bound,
        unit="gap",
        height=run.high,
        lift=1.0,
        message="{subject} stows {value} below the lowest ceiling over it; "
        "{least:gap} to {most:gap} is usual.",
        remedy=""
        if kept
        else "Set the stow drop of {subject}, the air above the stowed pipe, to "
        "{limit}.",
        details={"least": limits["least"], "most": limits["most"]},
    )


@rule(
    "travel.headroom",
    protects="People walk under the stowed runs; sag and points hang below the pipe.",
    limits={"least": EXIT_PROJECTION_HEIGHT},
    unit="in",
    breach=Outcome.CAUTION,
    source="29 CFR 1910.36(g), a design target",
    scope=Scope.RUN,
)
def headroom(run: RunEvidence, limits: Limits) -> Iterator[Finding]:
    """Ask for clear height under the lowest part of a stowed run."""
    lowest = run.lowest_live(run.high)
    kept = lowest >= limits["least"]
    yield Finding(
        rule="travel.headroom",
        code="kept" if kept else "too-low",
        outcome=Outcome.PASS if kept else breach_of("travel.headroom"),
        subject=run.run.id,
        value=lowest,
        limit=limits["least"],
        height=run.high,
        lift=1.0,
        message="Stowed, the lowest part of {subject} is {value} above the floor; "
        "the design target is {limit}.",
        remedy="" if kept else "Stow {subject} higher, or mark the low headroom.",
    )


@rule(
    "travel.insulator",
    protects="An insulator pulled into its pulley breaks, and the run drops.",
    limits={"least": 0.25},
    unit="gap",
    breach=Outcome.STOP,
    source=_PRACTICE,
    scope=Scope.RUN,
)
def insulator(run: RunEvidence, limits: Limits) -> Iterator[Finding]:
    """Ask for a gap between every insulator and its pulley when stowed."""
    gaps = run.insulator_gaps
    if not gaps:
        return
    worst = min(gaps, key=lambda support_id: gaps[support_id])
    kept = gaps[worst] >= limits["least"]
    yield Finding(
        rule="travel.insulator",
        code="kept" if kept else "pulled-in",
        outcome=Outcome.PASS if kept else breach_of("travel.insulator"),
        subject=run.run.id,
        other=worst,
        value=gaps[worst],
        limit=limits["least"],
        unit="gap",
        height=run.high,
        lift=1.0,
        station=run.station(worst),
        message="Stowed, the insulator at {other} of {subject} "
        + (
            "is pulled {into:gap} into its pulley"
            if gaps[worst] < 0.0
            else "is {value} under its pulley"
        )
        + "; at least {limit} of gap is needed.",
        remedy=""
        if kept
        else "Stow {subject} lower, take a shorter insulator, or hang the pulley "
        "higher.",
        details={"into": -gaps[worst]},
    )


def _clamp_rooms(run: RunEvidence) -> dict[str, float]:
    """Return the way left to each clamp before the next pulley, stowed [in]."""
    rooms = {}
    travel = run.high - run.low
    for support in run.run.supports:
        clamp = run.catalogue.find(Clamp, support.clamp)
        free = run.next_pulleys.get(support.id)
        if free is not None:
            rooms[support.id] = way_left(
                distance=free - support.clamp_gap,
                travel=travel,
                clamp_length=clamp.length,
                pulley_radius=0.0,  # `next_pulleys` goes to the wheel's rim
            )
    return rooms


@rule(
    "travel.clamp-room",
    protects="A clamp that meets the next pulley jams the whole hoist.",
    limits={"least": 1.0},
    unit="gap",
    breach=Outcome.STOP,
    source=_PRACTICE,
    scope=Scope.RUN,
)
def clamp_room(run: RunEvidence, limits: Limits) -> Iterator[Finding]:
    """Ask that no clamp reaches the next pulley within the travel."""
    rooms = _clamp_rooms(run)
    if not rooms:
        yield not_checked(
            "travel.clamp-room",
            run.run.id,
            code="no-cable",
            unit="gap",
            why="{subject} has no pull cable, so the way of its clamps is unknown.",
            remedy="Give {subject} a pull cable and a hoist.",
        )
        return
    short = {key: room for key, room in rooms.items() if room < limits["least"]}
    for support_id, room in (short or dict([min(rooms.items(), key=_by_room)])).items():
        yield _clamp_finding(run, support_id, room, limits["least"])


def _by_room(item: tuple[str, float]) -> float:
    return item[1]


def _clamp_finding(
    run: RunEvidence, support_id: str, room: float, least: float
) -> Finding:
    kept = room >= least
    return Finding(
        rule="travel.clamp-room",
        code="kept" if kept else "meets-pulley",
        outcome=Outcome.PASS if kept else breach_of("travel.clamp-room"),
        subject=run.run.id,
        other=support_id,
        value=room,
        limit=least,
        unit="gap",
        lift=1.0,
        height=run.high,
        station=run.station(support_id),
        message=(
            "The clamp of {other} on {subject} meets the next pulley {short:gap} "
            "before the run is stowed; {limit} of way should be left."
            if room < 0.0
            else "Stowed, the clamp of {other} on {subject} has {value} of way left "
            "before the next pulley; at least {limit} is needed."
        ),
        remedy=""
        if kept
        else "Set the clamp nearer to the pulley of {other}, move the next pulley on, "
        "or shorten the travel.",
        details={"short": -room},
    )
