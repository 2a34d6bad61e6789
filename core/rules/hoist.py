"""Rules on the winch, its rope and drum, the pull cables and where the winch is."""

import math
from collections.abc import Iterator

from core.rules.finding import Finding, Outcome
from core.rules.hoist_evidence import (
    LIGHT_SHARE,
    STIFF_DRAG,
    STIFF_SHARE,
    CableLoads,
    ClampLoads,
    HoistEvidence,
    RopeStrength,
    WinchLoads,
)
from core.rules.loads import unknown_loads
from core.rules.registry import Limits, Scope, breach_of, rule
from core.rules.unknown import not_checked

__all__ = ["cable", "clamp", "drum", "lower", "place", "pull", "travel"]

_PRACTICE = "common practice, no published source"


def _known_winch(
    rule_id: str, hoist: HoistEvidence, unit: str
) -> Iterator[Finding | WinchLoads]:
    """Yield the winch if all of it is known, else what is missing."""
    yield from unknown_loads(rule_id, hoist, unit)
    winch = hoist.winch
    if winch is None:
        return
    if winch.trouble:
        yield not_checked(
            rule_id,
            hoist.hoist.id,
            code="winch-unknown",
            other=winch.part,
            unit=unit,
            why="What the winch {other} of {subject} does cannot be worked out: {why}.",
            remedy="Mend the place of winch, block and dead end, or take another drum.",
            details={"why": winch.trouble},
        )
        return
    yield winch


@rule(
    "hoist.pull",
    protects="A winch that is too weak on its full drum stalls at the top, with every "
    "run in the air.",
    limits={"handle": 35.0},
    unit="lb",
    breach=Outcome.STOP,
    by_code={"heavy-handle": Outcome.CAUTION},
    source="constant torque; rating on the first layer by ASME B30.7; the handle force "
    "is common practice, no published source",
    scope=Scope.HOIST,
)
def pull(hoist: HoistEvidence, limits: Limits) -> Iterator[Finding]:
    """Ask that the winch pulls the load on the layer that it reaches when stowed."""
    for winch in _known_winch("hoist.pull", hoist, "lb"):
        if isinstance(winch, Finding):
            yield winch
            continue
        yield _pull_finding(hoist, winch)
        if winch.handle_force is not None and winch.handle_force > limits["handle"]:
            yield _handle_finding(hoist, winch.handle_force, limits["handle"])


def _pull_finding(hoist: HoistEvidence, winch: WinchLoads) -> Finding:
    kept = winch.pull <= winch.pull_at_top
    return Finding(
        rule="hoist.pull",
        code="kept" if kept else "too-weak",
        outcome=Outcome.PASS if kept else breach_of("hoist.pull"),
        subject=hoist.hoist.id,
        other=winch.part,
        value=winch.pull,
        limit=winch.pull_at_top,
        unit="lb",
        lift=winch.pull_at,
        points=(hoist.hoist.winch.at,),
        message="The winch rope of {subject} is pulled by {value}; on layer {layer}, "
        "reached when stowed, {other} can pull {limit}, on the bare drum {first:lb}.",
        remedy=""
        if kept
        else "Take two parts of line, a stronger winch or fewer runs on {subject}.",
        details={"layer": str(winch.layer), "first": winch.first_layer_pull},
    )


def _handle_finding(hoist: HoistEvidence, force: float, limit: float) -> Finding:
    return Finding(
        rule="hoist.pull",
        code="heavy-handle",
        outcome=breach_of("hoist.pull", "heavy-handle"),
        subject=hoist.hoist.id,
        value=force,
        limit=limit,
        unit="lb",
        message="Cranking {subject} takes {value} at the handle, more than {limit}.",
        remedy="Take a lower gear, two parts of line or a motor winch.",
    )


@rule(
    "hoist.drum",
    protects="Rope over the flange jams the winch; without dead wraps its end slips.",
    limits={"wraps": 2.0},
    unit="wraps",
    breach=Outcome.STOP,
    source="29 CFR 1910.179(h)(2)(iii)(a) for the wraps, a design target; geometry",
    scope=Scope.HOIST,
)
def drum(hoist: HoistEvidence, limits: Limits) -> Iterator[Finding]:
    """Ask that the drum takes the rope in, and keeps dead wraps when lowered."""
    for winch in _known_winch("hoist.drum", hoist, "in"):
        if isinstance(winch, Finding):
            yield winch
            continue
        if winch.dead_wraps < limits["wraps"]:
            yield _wraps_finding(hoist, winch, limits["wraps"])
        if winch.rope_too_thick:
            yield _thick_finding(hoist, winch)
        yield _capacity_finding(hoist, winch)


def _wraps_finding(hoist: HoistEvidence, winch: WinchLoads, least: float) -> Finding:
    return Finding(
        rule="hoist.drum",
        code="too-few-wraps",
        outcome=breach_of("hoist.drum"),
        subject=hoist.hoist.id,
        other=winch.part,
        value=float(winch.dead_wraps),
        limit=least,
        unit="wraps",
        lift=0.0,
        message="With its runs lowered {subject} keeps {value} on the drum; "
        "at least {limit} are asked for.",
        remedy="Take a longer rope, so that {limit} stay on the drum.",
    )


def _thick_finding(hoist: HoistEvidence, winch: WinchLoads) -> Finding:
    return Finding(
        rule="hoist.drum",
        code="rope-too-thick",
        outcome=breach_of("hoist.drum"),
        subject=hoist.hoist.id,
        other=winch.part,
        unit="gap",
        message="The rope {rope} is too thick for the winch {other}.",
        remedy="Take a thinner rope or a winch for {rope}.",
        details={"rope": winch.rope},
    )


def _capacity_finding(hoist: HoistEvidence, winch: WinchLoads) -> Finding:
    kept = winch.taken_up <= winch.capacity
    return Finding(
        rule="hoist.drum",
        code="kept" if kept else "overfull",
        outcome=Outcome.PASS if kept else breach_of("hoist.drum"),
        subject=hoist.hoist.id,
        other=winch.part,
        value=winch.taken_up,
        limit=winch.capacity,
        unit="in",
        lift=1.0,
        message="Stowed, {value} of rope lies on the drum of {other} over {wraps} dead "
        "wraps: {turns} turns, to layer {layer}; it takes {limit} in {layers} layers.",
        remedy="" if kept else "Take a larger drum, or one part of line.",
        details={
            "wraps": str(winch.dead_wraps),
            "turns": f"{winch.turns:.1f}",
            "layer": str(winch.layer),
            "layers": str(winch.layers),
        },
    )


@rule(
    "hoist.cable",
    protects="A rope that breaks drops every run of the hoist at once.",
    limits={"factor": 5.0},
    unit="-",
    breach=Outcome.STOP,
    source="ASME B30.9 practice, a design target; Wire Rope Users Manual",
    scope=Scope.HOIST,
)
def cable(hoist: HoistEvidence, limits: Limits) -> Iterator[Finding]:
    """Ask for strength in hand in every rope, bends and end fittings counted."""
    yield from unknown_loads("hoist.cable", hoist, "-")
    rows = [s for loads in hoist.cables for s in loads.strengths]
    rows += hoist.strengths
    weak = [row for row in rows if row.factor < limits["factor"]]
    worst = [min(rows, key=lambda row: row.factor)] if rows else []
    for row in weak or worst:
        yield _strength_finding(hoist, row, limits["factor"])
    winch = hoist.winch
    if winch is not None and winch.turnbuckle_load > winch.turnbuckle_rating:
        yield _turnbuckle_finding(hoist, winch)


def _strength_finding(hoist: HoistEvidence, row: RopeStrength, least: float) -> Finding:
    kept = row.factor >= least
    return Finding(
        rule="hoist.cable",
        code="kept" if kept else "too-thin",
        outcome=Outcome.PASS if kept else breach_of("hoist.cable"),
        subject=hoist.hoist.id,
        other=row.id,
        value=row.factor,
        limit=least,
        unit="-",
        message="The {what} {other} ({part}) holds {value} times its {tension:lb}; at "
        "least {limit} times is asked for. It has {strength:lb} when new, {bend:%} of "
        "that over its smallest wheel, {end:%} at its end fitting.",
        remedy="" if kept else "Take a stronger rope, larger wheels or fewer runs.",
        details={
            "what": row.what,
            "part": row.part,
            "tension": row.tension,
            "strength": row.strength,
            "bend": 100.0 * row.bend,
            "end": 100.0 * row.termination,
        },
    )


def _turnbuckle_finding(hoist: HoistEvidence, winch: WinchLoads) -> Finding:
    return Finding(
        rule="hoist.cable",
        code="turnbuckle-overloaded",
        outcome=breach_of("hoist.cable"),
        subject=hoist.hoist.id,
        other=hoist.hoist.turnbuckle,
        value=winch.turnbuckle_load,
        limit=winch.turnbuckle_rating,
        unit="lb",
        message="The turnbuckle {other} is pulled by {value}; at most {limit} is "
        "allowed.",
        remedy="Take a larger turnbuckle.",
    )


@rule(
    "hoist.clamp",
    protects="A clamp that slips on its cable lets the run down at its support.",
    limits={"factor": 2.0},
    unit="-",
    breach=Outcome.STOP,
    source=_PRACTICE,
    scope=Scope.HOIST,
)
def clamp(hoist: HoistEvidence, limits: Limits) -> Iterator[Finding]:
    """Ask that every clamp slips only at a multiple of what its drop rope pulls."""
    yield from unknown_loads("hoist.clamp", hoist, "lb")
    rows = [row for loads in hoist.cables for row in loads.clamps]
    yield from _unrated(hoist, [row for row in rows if row.slip_load is None])
    held = [
        (row, row.slip_load, row.slip_load / limits["factor"])
        for row in rows
        if row.slip_load is not None
    ]
    over = [row for row in held if row[0].pull > row[2]]
    worst = [max(held, key=lambda row: row[0].pull / row[2])] if held else []
    for row, slip, most in over or worst:
        yield _clamp_finding(hoist, row, slip, most)


def _unrated(hoist: HoistEvidence, rows: list[ClampLoads]) -> Iterator[Finding]:
    """Yield a finding for each part whose slip load is not known."""
    for part in dict.fromkeys(row.part for row in rows):
        mine = [row for row in rows if row.part == part]
        worst = max(mine, key=lambda row: row.pull)
        yield not_checked(
            "hoist.clamp",
            hoist.hoist.id,
            code="no-slip-load",
            other=part,
            unit="lb",
            why="Whether clamps {other} of {subject} slip is not known: the part has "
            "no slip load. The hardest pulled, of {support}, holds {pull:lb}.",
            remedy="Ask the maker of {other} at which pull it slips, and write it "
            "into a part of the job.",
            details={"support": worst.id, "pull": worst.pull},
        )


def _clamp_finding(
    hoist: HoistEvidence, row: ClampLoads, slip: float, most: float
) -> Finding:
    kept = row.pull <= most
    return Finding(
        rule="hoist.clamp",
        code="kept" if kept else "slips",
        outcome=Outcome.PASS if kept else breach_of("hoist.clamp"),
        subject=hoist.hoist.id,
        other=row.id,
        value=row.pull,
        limit=most,
        unit="lb",
        message="The clamp of {other} ({part}, {run}) is pulled by {value} while "
        "lifting; it slips at {slip:lb}, at most {limit} is allowed.",
        remedy=""
        if kept
        else "Take a clamp with a higher slip load, or two at {other}.",
        details={"part": row.part, "run": row.run, "slip": slip},
    )


@rule(
    "hoist.lower",
    protects="A rope that goes slack while lowering jumps its pulley, and its end of "
    "the run stays up.",
    limits={"least": 0.1},
    unit="lb",
    breach=Outcome.STOP,
    source="statics; the light case and the least pull left are common practice, no "
    "published source",
    scope=Scope.HOIST,
)
def lower(hoist: HoistEvidence, limits: Limits) -> Iterator[Finding]:
    """Ask that every rope stays taut while the winch pays out, stiff pulleys too."""
    yield from unknown_loads("hoist.lower", hoist, "lb")
    known = [cable for cable in hoist.cables if not cable.trouble]
    loose = [cable for cable in known if cable.light_left < limits["least"]]
    for loads in loose:
        yield _slack_finding(hoist, loads, limits["least"])
    if known and not loose:
        yield _taut_finding(hoist, known, limits["least"])


_LIGHT_CASE: dict[str, float | str] = {
    "share": 100.0 * LIGHT_SHARE,
    "stiff": f"{STIFF_SHARE:g}",
    "drag": f"{STIFF_DRAG:g} lb",
}
_LIGHT_WORDS = (
    "with {share:%} of the load, {stiff} times the friction and {drag} of drag at "
    "each pulley"
)


def _slack_finding(hoist: HoistEvidence, loads: CableLoads, least: float) -> Finding:
    few = (p.id for p in loads.pulleys if p.light < least and p.kind == "drop")
    names = tuple(dict.fromkeys((*loads.slack, *few)))
    return Finding(
        rule="hoist.lower",
        code="goes-slack",
        outcome=breach_of("hoist.lower"),
        subject=hoist.hoist.id,
        other=loads.run,
        value=loads.light_left,
        limit=least,
        unit="lb",
        message="While lowering, " + _LIGHT_WORDS + ", friction leaves "
        "{value} of the pull of {other}, at least {limit} is asked for: slack at "
        "{names}.",
        remedy="Take pulleys with bearings or fewer turns, or move weight to the far "
        "end of {other}: its end supports carry too little.",
        details={**_LIGHT_CASE, "names": ", ".join(names)},
    )


def _taut_finding(
    hoist: HoistEvidence, known: list[CableLoads], least: float
) -> Finding:
    worst = min(known, key=lambda cable: cable.light_left)
    return Finding(
        rule="hoist.lower",
        code="kept",
        outcome=Outcome.PASS,
        subject=hoist.hoist.id,
        other=worst.run,
        value=worst.light_left,
        limit=least,
        unit="lb",
        message="While lowering, " + _LIGHT_WORDS + ", every rope keeps {value} or "
        "more; {other} has the least.",
        details=_LIGHT_CASE,
    )


@rule(
    "hoist.place",
    protects="Who works the winch stands in the main door, sees the runs and gets out; "
    "a winch on sheet pulls out; a block that meets the winch breaks the rope.",
    limits={"reach": 120.0, "room": 6.0},
    unit="in",
    breach=Outcome.STOP,
    by_code={"out-of-reach": Outcome.CAUTION},
    source=_PRACTICE,
    scope=Scope.HOIST,
)
def place(hoist: HoistEvidence, limits: Limits) -> Iterator[Finding]:
    """Ask for the winch and its pull line by the main door, with way for the block."""
    if not hoist.hoist.winch.on_lumber:
        yield _lumber_finding(hoist)
    winch = hoist.winch
    if winch is None:
        yield from unknown_loads("hoist.place", hoist, "in")
        return
    yield _room_finding(hoist, winch, limits["room"])
    if winch.to_door is None or winch.pull_line_to_door is None:
        yield not_checked(
            "hoist.place",
            hoist.hoist.id,
            code="no-main-door",
            why="The way from {subject} to the main door is not known: no door is "
            "marked as the main one.",
            remedy="Mark the main door of the room.",
            unit="in",
        )
        return
    yield _reach_finding(hoist, winch, limits["reach"])


def _lumber_finding(hoist: HoistEvidence) -> Finding:
    return Finding(
        rule="hoist.place",
        code="no-lumber",
        outcome=breach_of("hoist.place"),
        subject=hoist.hoist.id,
        unit="in",
        points=(hoist.hoist.winch.at,),
        message="The winch of {subject} is not on added lumber.",
        remedy="Bolt it to lumber across two studs, and say so.",
    )


def _room_finding(hoist: HoistEvidence, winch: WinchLoads, least: float) -> Finding:
    kept = winch.block_room >= least
    return Finding(
        rule="hoist.place",
        code="room-kept" if kept else "no-room",
        outcome=Outcome.PASS if kept else breach_of("hoist.place"),
        subject=hoist.hoist.id,
        value=winch.block_room,
        limit=least,
        unit="in",
        lift=1.0,
        message="Stowed, {value} of way is left between the block or turnbuckle of "
        "{subject} and the winch or the end of its pull line; at least {limit} is "
        "asked for.",
        remedy=""
        if kept
        else "Move the pull point of {subject} back, or shorten the travel.",
    )


def _reach_finding(hoist: HoistEvidence, winch: WinchLoads, most: float) -> Finding:
    at_winch, at_line = winch.to_door or 0.0, winch.pull_line_to_door or 0.0
    far = max(at_winch, at_line)
    kept = far <= most
    return Finding(
        rule="hoist.place",
        code="kept" if kept else "out-of-reach",
        outcome=Outcome.PASS if kept else breach_of("hoist.place", "out-of-reach"),
        subject=hoist.hoist.id,
        value=far,
        limit=most,
        unit="in",
        points=(hoist.hoist.winch.at,),
        message="From the main door it is {winch} to the winch of {subject}, {line} to "
        "the end of its pull line and {point} to its pull point, stowed; winch and "
        "line end belong within {limit}.",
        remedy="" if kept else "Move the winch and its pull line to the main door.",
        details={
            "winch": at_winch,
            "line": at_line,
            "point": winch.pull_point_to_door or math.nan,
        },
    )


_APART = 0.005  # [in] below which ways are told as one
_TRAVEL_WORDS = (
    "The runs of {subject} rise by {low} ({other}) to {high} ({run}), {value} apart; "
    "at most {limit} is allowed."
)


@rule(
    "hoist.travel",
    protects="All clamps of a hoist move alike: a run with less way than the others is "
    "pulled on into its pulleys.",
    limits={"most": 0.5},
    unit="gap",
    breach=Outcome.STOP,
    source="geometry",
    scope=Scope.HOIST,
)
def travel(hoist: HoistEvidence, limits: Limits) -> Iterator[Finding]:
    """Ask that all runs of a hoist have one travel."""
    if not hoist.travels:
        yield from unknown_loads("hoist.travel", hoist, "gap")
        return
    ways = hoist.travels
    least = min(ways, key=lambda run: ways[run])
    most = max(ways, key=lambda run: ways[run])
    apart = ways[most] - ways[least]
    kept = apart <= limits["most"]
    yield Finding(
        rule="hoist.travel",
        code="kept" if kept else "unequal",
        outcome=Outcome.PASS if kept else breach_of("hoist.travel"),
        subject=hoist.hoist.id,
        other=least,
        value=apart,
        limit=limits["most"],
        unit="gap",
        message=_TRAVEL_WORDS
        if apart >= _APART
        else "All runs of {subject} rise by {high}.",
        remedy=""
        if kept
        else "Give {other} and {run} the same way from working height to stowed, or "
        "hoists of their own.",
        details={"low": ways[least], "high": ways[most], "run": most},
    )
