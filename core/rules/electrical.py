"""Rules on supply, isolating switch, leads and the space to work at them."""

from collections.abc import Iterator

from core.electrics.working_space import WorkingCondition
from core.model.electrical import SUPPLY, SWITCH, Known, Lead, Outlet
from core.rules.electrical_evidence import ElectricalEvidence, LeadFacts
from core.rules.finding import Finding, Outcome
from core.rules.registry import Limits, Scope, breach_of, rule
from core.rules.unknown import not_checked

__all__ = ["lead", "supply", "switch", "working_space"]

_PRACTICE = "common practice, no published source"


def _fact(
    rule_id: str,
    known: Known,
    *,
    right: Known,
    code: str,
    wrong: str,
    unknown: str,
    remedy: str,
    subject: str,
) -> Iterator[Finding]:
    """Yield what is wrong with a fact of the survey, or that it is not known."""
    if known is Known.UNKNOWN:
        yield not_checked(
            rule_id,
            subject,
            code=f"{code}-unknown",
            why=unknown,
            remedy="See on site and note it.",
        )
    elif known is not right:
        yield Finding(
            rule=rule_id,
            code=code,
            outcome=breach_of(rule_id),
            subject=subject,
            unit="-",
            message=wrong,
            remedy=remedy,
        )


@rule(
    "electrical.switch",
    protects="Who isolates the runs does it before he walks in; the switch's sparks "
    "upset controllers that are near.",
    limits={"controllers": 72.0, "door": 120.0},
    unit="in",
    breach=Outcome.STOP,
    source=_PRACTICE,
    scope=Scope.ELECTRICAL,
)
def switch(electrical: ElectricalEvidence, limits: Limits) -> Iterator[Finding]:
    """Ask for the switch outside the room by its main door, away from controllers."""
    given = electrical.electrical.switch
    if given is None:
        yield not_checked(
            "electrical.switch",
            SWITCH,
            code="no-switch",
            why="No isolating switch is drawn.",
            remedy="Draw the isolating switch outside the room, by its main door.",
            unit="in",
        )
        return
    yield from _fact(
        "electrical.switch",
        given.outside_room,
        right=Known.YES,
        code="inside-room",
        wrong="The isolating switch is inside the room.",
        unknown="Whether the isolating switch is outside the room is not known.",
        remedy="Put it outside the room, by its main door.",
        subject=SWITCH,
    )
    near = {
        key: gap
        for key, gap in electrical.controllers.items()
        if gap < limits["controllers"]
    }
    for controller, gap in near.items():
        yield _near_controller(controller, gap, limits["controllers"])
    yield from _door(electrical, limits["door"])
    if not near and electrical.controllers:
        yield _away(electrical, limits["controllers"])


def _near_controller(controller: str, gap: float, least: float) -> Finding:
    return Finding(
        rule="electrical.switch",
        code="near-controller",
        outcome=breach_of("electrical.switch"),
        subject=SWITCH,
        other=controller,
        value=gap,
        limit=least,
        unit="in",
        message="The isolating {subject} is {value} from {other}; at least {limit} is "
        "asked for.",
        remedy="Move the switch away from {other}.",
    )


def _away(electrical: ElectricalEvidence, least: float) -> Finding:
    nearest = min(electrical.controllers, key=lambda key: electrical.controllers[key])
    return Finding(
        rule="electrical.switch",
        code="kept",
        outcome=Outcome.PASS,
        subject=SWITCH,
        other=nearest,
        value=electrical.controllers[nearest],
        limit=least,
        unit="in",
        message="The isolating {subject} is {value} from {other}; at least {limit} is "
        "asked for.",
    )


def _door(electrical: ElectricalEvidence, most: float) -> Iterator[Finding]:
    way = electrical.switch_to_door
    if way is None:
        yield not_checked(
            "electrical.switch",
            SWITCH,
            code="no-main-door",
            why="How far the isolating switch is from the main door is not known: no "
            "door is marked as the main one.",
            remedy="Mark the main door of the room.",
            unit="in",
        )
        return
    kept = way <= most
    yield Finding(
        rule="electrical.switch",
        code="by-door" if kept else "far-from-door",
        outcome=Outcome.PASS if kept else breach_of("electrical.switch"),
        subject=SWITCH,
        value=way,
        limit=most,
        unit="in",
        message="The isolating {subject} is {value} from the main door; at most "
        "{limit} is allowed.",
        remedy="" if kept else "Put the switch by the main door.",
    )


@rule(
    "electrical.supply",
    protects="A tripped outlet leaves the air dusty unseen; animals chew what they "
    "reach; without a ground beside it the supply has no return.",
    limits={"spare": 24.0},
    unit="in",
    breach=Outcome.STOP,
    source=f"{_PRACTICE}; the local code decides",
    scope=Scope.ELECTRICAL,
)
def supply(electrical: ElectricalEvidence, limits: Limits) -> Iterator[Finding]:
    """Ask for the right outlet, a ground beside it, and spare lead at the supply."""
    given = electrical.electrical.supply
    if given is None:
        yield not_checked(
            "electrical.supply",
            SUPPLY,
            code="no-supply",
            why="No high-voltage supply is drawn.",
            remedy="Draw the supply with its outlet.",
            unit="in",
        )
        return
    kept = given.spare_lead >= limits["spare"]
    yield Finding(
        rule="electrical.supply",
        code="spare-kept" if kept else "short-spare",
        outcome=Outcome.PASS if kept else breach_of("electrical.supply"),
        subject=SUPPLY,
        value=given.spare_lead,
        limit=limits["spare"],
        unit="in",
        points=(given.at,),
        message="{value} of spare lead is kept at the {subject}; at least {limit} is "
        "asked for.",
        remedy="" if kept else "Leave {limit} of lead in a loop at the supply.",
    )
    if given.outlet is None:
        yield not_checked(
            "electrical.supply",
            SUPPLY,
            code="no-outlet",
            why="The outlet that feeds the supply is not drawn.",
            remedy="Draw the outlet and note what feeds it.",
            unit="in",
        )
        return
    yield from _outlet(given.outlet, electrical.supply_to_outlet or 0.0)


def _outlet(outlet: Outlet, away: float) -> Iterator[Finding]:
    facts = [
        *_fact(
            "electrical.supply",
            outlet.ground_fault_protected,
            right=Known.NO,
            code="ground-fault-protected",
            wrong="The outlet of the supply is ground-fault protected and will trip.",
            unknown="Whether the supply's outlet is ground-fault protected is unknown.",
            remedy="Ask the electrician for an outlet of its own that the local code "
            "allows without ground-fault protection.",
            subject=SUPPLY,
        ),
        *_fact(
            "electrical.supply",
            outlet.out_of_reach,
            right=Known.YES,
            code="in-reach",
            wrong="The outlet of the supply is within reach of animals.",
            unknown="Whether animals reach the supply's outlet is unknown.",
            remedy="Move the outlet out of reach of animals.",
            subject=SUPPLY,
        ),
        *_fact(
            "electrical.supply",
            outlet.beside_ground,
            right=Known.YES,
            code="no-ground-beside",
            wrong="No ground is beside the outlet of the supply.",
            unknown="Whether a ground is beside the supply's outlet is unknown.",
            remedy="Bring the ground of the supply to its outlet.",
            subject=SUPPLY,
        ),
    ]
    yield from facts
    if not facts:
        yield Finding(
            rule="electrical.supply",
            code="kept",
            outcome=Outcome.PASS,
            subject=SUPPLY,
            value=away,
            unit="in",
            points=(outlet.at,),
            message="The outlet is {value} from the {subject}, out of reach of "
            "animals, beside a ground and not ground-fault protected.",
        )


@rule(
    "electrical.lead",
    protects="A short lead tears off on the way; without its sleeve, or with its "
    "terminal at the pipe's end, it wears or sparks.",
    limits={"spare": 2.0, "sleeve": 48.0, "terminal": 4.0},
    unit="in",
    breach=Outcome.STOP,
    source=_PRACTICE,
    scope=Scope.ELECTRICAL,
)
def lead(electrical: ElectricalEvidence, limits: Limits) -> Iterator[Finding]:
    """Ask for leads long enough for the travel, sleeved, and well joined."""
    for run in electrical.runs:
        if run not in electrical.fed:
            yield not_checked(
                "electrical.lead",
                run,
                code="no-lead",
                why="No lead or jumper reaches {subject}.",
                remedy="Draw a lead to {subject}, or a jumper from another run.",
                unit="in",
            )
    if not electrical.runs:
        yield not_checked(
            "electrical.lead",
            SUPPLY,
            code="no-run",
            why="There is no run for a lead to reach.",
            remedy="Draw the runs first.",
            unit="in",
        )
    hanging = {facts.id for facts in electrical.leads}
    for drawn in electrical.electrical.leads:
        if drawn.id not in hanging:
            yield not_checked(
                "electrical.lead",
                drawn.id,
                code="no-route",
                why="{subject} has no route, so its length and droop are not known.",
                remedy="Draw the way of {subject} from the supply to its last hold.",
                unit="in",
            )
    for facts in electrical.leads:
        yield _length(facts, limits["spare"])
        yield from _rated(facts, abs(electrical.electrical.voltage))
        if facts.lead is not None:
            yield from _on_pipe(facts.lead, limits)


def _length(facts: LeadFacts, spare: float) -> Finding:
    kept = facts.spare >= spare
    details: dict[str, float | str] = {
        "route": facts.route,
        "free": facts.free_length,
        "longest": facts.reach.longest,
    }
    fixed = " Its fixed part is {route} long." if facts.route else ""
    droop = ""
    if facts.lowest is not None:
        details["low"] = facts.lowest[2]
        droop = " It droops to {low} above the floor."
    return Finding(
        rule="electrical.lead",
        code="long-enough" if kept else "too-short",
        outcome=Outcome.PASS if kept else breach_of("electrical.lead"),
        subject=facts.id,
        other=facts.run,
        value=facts.spare,
        limit=spare,
        unit="in",
        lift=facts.lowest_lift,
        points=() if facts.lowest is None else (facts.lowest,),
        message="The free part of {subject} is {free} long and has to reach {longest} "
        "at most over the travel: {value} to spare, at least {limit} is asked for."
        + fixed
        + droop,
        remedy="" if kept else "Lengthen the free part of {subject}.",
        details=details,
    )


def _rated(facts: LeadFacts, volts: float) -> Iterator[Finding]:
    if facts.rated_voltage < volts:
        yield Finding(
            rule="electrical.lead",
            code="rated-too-low",
            outcome=breach_of("electrical.lead"),
            subject=facts.id,
            value=facts.rated_voltage / 1000.0,
            limit=volts / 1000.0,
            unit="kV",
            message="{subject} is rated for {value}; the supply gives {limit}.",
            remedy="Take a lead rated for {limit} or more.",
        )


def _on_pipe(given: Lead, limits: Limits) -> Iterator[Finding]:
    """Yield what is wrong with a lead where it meets its pipe."""
    rows = (
        (
            given.sleeve,
            limits["sleeve"],
            "short-sleeve",
            (
                "{subject} is sleeved for {value} where it lies on {other}; "
                "at least {limit} is asked for."
            ),
            "Sleeve {limit} of {subject}.",
        ),
        (
            given.terminal,
            limits["terminal"],
            "terminal-at-end",
            (
                "The terminal of {subject} is {value} from the end of {other}; "
                "at least {limit} is asked for."
            ),
            "Move the terminal of {subject} in from the pipe's end.",
        ),
    )
    for value, limit, code, message, remedy in rows:
        if value < limit:
            yield Finding(
                rule="electrical.lead",
                code=code,
                outcome=breach_of("electrical.lead"),
                subject=given.id,
                other=given.run,
                value=value,
                limit=limit,
                unit="in",
                message=message,
                remedy=remedy,
            )


_FACING = {
    WorkingCondition.NOTHING_GROUNDED: "nothing grounded faces the live parts",
    WorkingCondition.GROUNDED_PARTS: "grounded metal, concrete, brick or tile (pens, "
    "walls) faces the live parts",
    WorkingCondition.LIVE_PARTS: "live parts are on both sides",
}


@rule(
    "electrical.working-space",
    protects="Who tests live parts needs room to step back from them.",
    limits={},
    unit="in",
    breach=Outcome.CAUTION,
    source="NEC (NFPA 70) Table 110.34(A), 2008, a design target",
    scope=Scope.ELECTRICAL,
)
def working_space(electrical: ElectricalEvidence, limits: Limits) -> Iterator[Finding]:
    """Ask for clear depth in front of the supply."""
    del limits
    space = electrical.working_space
    if space is None:
        yield not_checked(
            "electrical.working-space",
            SUPPLY,
            code="space-unknown",
            why="The working space before the supply is not known: no supply is drawn "
            "inside the room, or its voltage is outside the table.",
            remedy="Draw the supply, or measure the space on site.",
            unit="in",
        )
        return
    kept = space.depth >= space.target
    yield Finding(
        rule="electrical.working-space",
        code="kept" if kept else "too-shallow",
        outcome=Outcome.PASS if kept else breach_of("electrical.working-space"),
        subject=SUPPLY,
        other=space.blocked_by,
        value=space.depth,
        limit=space.target,
        unit="in",
        message="{value} is clear in front of the {subject}, up to {other}; the design "
        "target is {limit}, by condition {number} of NEC Table 110.34(A): {facing}.",
        remedy=""
        if kept
        else "Move the supply to where {limit} is clear in front of it, or ask the "
        "electrician what the local code wants there.",
        details={
            "number": str(space.condition.value),
            "facing": _FACING[space.condition],
        },
    )
