"""Rules on where runs go in the room."""

import math
from collections.abc import Iterator

from core.model.room import Room
from core.model.runs import Run
from core.rules.evidence import RoomEvidence, RunEvidence
from core.rules.finding import Finding, Outcome
from core.rules.registry import Limits, Scope, breach_of, rule
from core.rules.unknown import not_checked

__all__ = ["coverage", "end_gap", "lane", "working_height"]

_PRACTICE = "common practice, no published source"


def _to_wall(place: float, way: float, length: float) -> float:
    """Return how far it is to the wall when one goes `way` a unit of length."""
    if way > 0:
        return (length - place) / way
    return place / -way if way < 0 else math.inf


def _end_gaps(run: Run, room: Room) -> tuple[float, float]:
    """Return the distances from both ends, straight on, to the walls [in]."""
    (x0, y0), (x1, y1) = run.start, run.end
    length = math.hypot(x1 - x0, y1 - y0)
    ux, uy = (x1 - x0) / length, (y1 - y0) / length
    front = min(_to_wall(x0, -ux, room.length), _to_wall(y0, -uy, room.width))
    back = min(_to_wall(x1, ux, room.length), _to_wall(y1, uy, room.width))
    return front, back


@rule(
    "layout.end-gap",
    protects="Caps, lead and a ladder need room between a run and the end walls.",
    limits={"least": 12.0},
    unit="in",
    breach=Outcome.STOP,
    source=_PRACTICE,
    scope=Scope.RUN,
)
def end_gap(run: RunEvidence, limits: Limits) -> Iterator[Finding]:
    """Ask for room between both ends of a run and the walls."""
    front, back = _end_gaps(run.run, run.room)
    gap = min(front, back)
    kept = gap >= limits["least"]
    yield Finding(
        rule="layout.end-gap",
        code="kept" if kept else "too-near-wall",
        outcome=Outcome.PASS if kept else breach_of("layout.end-gap"),
        subject=run.run.id,
        value=gap,
        limit=limits["least"],
        station=0.0 if front <= back else math.dist(run.run.start, run.run.end),
        message="The {end} end of {subject} is {value} from the wall; "
        "at least {limit} is asked for.",
        remedy="" if kept else "Shorten {subject} at its {end} end.",
        details={"end": "front" if front <= back else "far"},
    )


def _off_middle(run: RunEvidence) -> tuple[float, float] | None:
    """Return the larger distance of the run's ends from its strip's middle."""
    strip = run.strip
    if strip is None:
        return None
    middle = strip.y + strip.width / 2
    ends = [abs(run.run.start[1] - middle), abs(run.run.end[1] - middle)]
    length = math.dist(run.run.start, run.run.end)
    worst = 0 if ends[0] >= ends[1] else 1
    return ends[worst], worst * length


@rule(
    "layout.lane",
    protects="A run serves a lane 10 ft wide: off the middle, one side gets little.",
    limits={"most": 12.0},
    unit="in",
    breach=Outcome.CAUTION,
    source=_PRACTICE,
    scope=Scope.RUN,
)
def lane(run: RunEvidence, limits: Limits) -> Iterator[Finding]:
    """Ask that a run keeps to the middle of the strip that it serves."""
    found = _off_middle(run)
    if found is None:
        yield Finding(
            rule="layout.lane",
            code="no-strip",
            outcome=Outcome.NOT_CHECKED,
            subject=run.run.id,
            limit=limits["most"],
            message="{subject} names no strip that it serves.",
            remedy="Name the strip of {subject}.",
        )
        return
    off, station = found
    kept = off <= limits["most"]
    yield Finding(
        rule="layout.lane",
        code="kept" if kept else "off-middle",
        outcome=Outcome.PASS if kept else breach_of("layout.lane"),
        subject=run.run.id,
        other=run.strip.id if run.strip else None,
        value=off,
        limit=limits["most"],
        station=station,
        message="{subject} is {value} off the middle of {other}; "
        "at most {limit} is usual.",
        remedy="" if kept else "Move {subject} towards the middle of {other}.",
    )


def _highest_partition(run: RunEvidence) -> float:
    pens = [
        pen
        for pen in run.room.pens
        if run.strip is None or pen.strip in {None, run.strip.id}
    ]
    return max((pen.partition_height for pen in pens), default=0.0)


@rule(
    "layout.working-height",
    protects="The discharge works best at the marked height, above the partitions.",
    limits={"marked": 50.0, "tolerance": 2.0},
    unit="in",
    breach=Outcome.CAUTION,
    by_code={"below-partitions": Outcome.STOP},
    source=_PRACTICE,
    scope=Scope.RUN,
)
def working_height(run: RunEvidence, limits: Limits) -> Iterator[Finding]:
    """Ask for the marked working height, above the pen partitions."""
    partition = _highest_partition(run)
    lowest = run.lowest_live(run.low)
    if lowest <= partition:
        yield Finding(
            rule="layout.working-height",
            code="below-partitions",
            outcome=breach_of("layout.working-height", "below-partitions"),
            subject=run.run.id,
            value=lowest,
            limit=partition,
            height=run.low,
            lift=0.0,
            message="{subject} works with its lowest part at {value}, "
            "below the pen partitions at {limit}.",
            remedy="Raise the working height of {subject}.",
        )
        return
    kept = abs(run.low - limits["marked"]) <= limits["tolerance"]
    yield Finding(
        rule="layout.working-height",
        code="kept" if kept else "not-as-marked",
        outcome=Outcome.PASS if kept else breach_of("layout.working-height"),
        subject=run.run.id,
        value=run.low,
        limit=limits["marked"],
        height=run.low,
        lift=0.0,
        message="{subject} works at {value} above the floor; {limit} is usual.",
        remedy="" if kept else "Set the working height of {subject} to {limit}.",
    )


@rule(
    "layout.coverage",
    protects="Pen floor outside every lane is not served.",
    limits={"least": 90.0},
    unit="%",
    breach=Outcome.CAUTION,
    source=_PRACTICE,
    scope=Scope.ROOM,
)
def coverage(room: RoomEvidence, limits: Limits) -> Iterator[Finding]:
    """Ask that the lanes cover the pens, overlap counted once."""
    if room.covered is None:
        yield not_checked(
            "layout.coverage",
            "room",
            code="no-pens",
            unit="%",
            why="The room has no pens, so no share of pen floor can be given.",
            remedy="Add the pens.",
        )
        return
    share = room.covered.share * 100
    kept = share >= limits["least"]
    yield Finding(
        rule="layout.coverage",
        code="kept" if kept else "floor-not-served",
        outcome=Outcome.PASS if kept else breach_of("layout.coverage"),
        subject="room",
        value=share,
        limit=limits["least"],
        unit="%",
        message="{value} of the pen floor lies in a lane, {limit} or more is usual; "
        "{holes} left out, the largest {largest:sq ft}.",
        remedy="" if kept else "Add a run, or move or lengthen one.",
        details={
            "holes": _places(len(room.covered.holes)),
            "largest": max((h.area for h in room.covered.holes), default=0.0) / 144.0,
        },
    )
    yield from _unserved(room)


def _places(count: int) -> str:
    return "1 place is" if count == 1 else f"{count} places are"


def _unserved(room: RoomEvidence) -> Iterator[Finding]:
    served = {run.strip for run in room.runs}
    for strip in room.room.strips:
        if strip.id not in served:
            yield Finding(
                rule="layout.coverage",
                code="strip-not-served",
                outcome=breach_of("layout.coverage"),
                subject=strip.id,
                unit="%",
                message="No run serves {subject}.",
                remedy="Add a run over {subject}.",
            )
