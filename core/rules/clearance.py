"""Rules on the air round the live parts and on what ropes and cables may touch."""

from collections.abc import Iterator

from core.placement.solids import Group
from core.rules.evidence import Contact, RunEvidence
from core.rules.finding import Finding, Outcome
from core.rules.registry import Limits, Scope, rule

__all__ = ["envelope", "inside", "runs_apart"]

_PRACTICE = "common practice, no published source"


def _crossed(band: tuple[float, float], low: float, high: float) -> bool:
    return band[0] < high and band[1] > low


def _breach_code(contact: Contact, run: RunEvidence) -> tuple[str, int] | None:
    """Return code and urgency of a contact's breach, None where there is none."""
    crossed = [band for band in contact.bands if _crossed(band, run.low, run.high)]
    if not crossed:
        return None
    if any(lo < run.low < hi for lo, hi in crossed):
        return "inside-envelope-at-work", 2
    if any(lo < run.high < hi for lo, hi in crossed):
        return "inside-envelope-stowed", 1
    return "inside-envelope-on-the-way", 0


_WHERE = {
    "inside-envelope-at-work": "at working height, where it is live",
    "inside-envelope-stowed": "stowed",
    "inside-envelope-on-the-way": "on its way",
}


def _blocked_text(contact: Contact, run: RunEvidence) -> dict[str, float | str]:
    crossed = [band for band in contact.bands if _crossed(band, run.low, run.high)]
    return {
        "lo": max(min(lo for lo, _ in crossed), run.low),
        "hi": min(max(hi for _, hi in crossed), run.high),
        "part": contact.part,
        "from_station": contact.stations[0][0] if contact.stations else 0.0,
    }


def _envelope_breach(
    contact: Contact, run: RunEvidence, limits: Limits, *, rule_id: str
) -> Finding | None:
    found = _breach_code(contact, run)
    if found is None:
        return None
    code, urgency = found
    station = contact.stations[0][0] if contact.stations else None
    return Finding(
        rule=rule_id,
        code=code,
        outcome=Outcome.STOP,
        subject=run.run.id,
        other=contact.other,
        value=contact.clearance,
        limit=limits["least"],
        unit="gap",
        lift=run.lift_at(contact.at_height),
        height=contact.at_height,
        station=station,
        points=(contact.on_run, contact.on_other),
        message=(
            f"{{subject}} comes within {{value}} of {{other}} ({{part}}) "
            f"{_WHERE[code]}; {{limit}} of air is asked for. "
            "Blocked with the pipe between {lo} and {hi} above the floor; "
            "nearest with the pipe at {height}, from station {from_station}."
        ),
        remedy=(
            "Move {subject} or {other} sideways, or choose a height "
            "outside the blocked band."
        ),
        details=_blocked_text(contact, run),
        urgency=urgency,
    )


def _envelope_pass(
    run: RunEvidence, contacts: list[Contact], limits: Limits
) -> Finding:
    nearest = min(contacts, key=lambda contact: contact.clearance, default=None)
    if nearest is None:
        return Finding(
            rule="clearance.envelope",
            code="clear",
            outcome=Outcome.PASS,
            subject=run.run.id,
            limit=limits["least"],
            unit="gap",
            message="Nothing comes near {subject} in its whole travel.",
        )
    return Finding(
        rule="clearance.envelope",
        code="clear",
        outcome=Outcome.PASS,
        subject=run.run.id,
        other=nearest.other,
        value=nearest.clearance,
        limit=limits["least"],
        unit="gap",
        lift=run.lift_at(nearest.at_height),
        height=nearest.at_height,
        points=(nearest.on_run, nearest.on_other),
        message="{subject} keeps {value} or more of air; {other} is nearest.",
    )


@rule(
    "clearance.envelope",
    protects=(
        "The air between live metal and anything else keeps the discharge on the "
        "points and the supply from flashing over; dust, sag and sway eat into it."
    ),
    limits={"least": 6.0},
    unit="gap",
    breach=Outcome.STOP,
    source=_PRACTICE,
    scope=Scope.RUN,
)
def envelope(run: RunEvidence, limits: Limits) -> Iterator[Finding]:
    """Ask for free air between a run and every fixture and building part."""
    others = [c for c in run.contacts if c.group is not Group.RUN]
    breaches = [
        finding
        for contact in others
        if (
            finding := _envelope_breach(
                contact, run, limits, rule_id="clearance.envelope"
            )
        )
    ]
    yield from breaches
    if not breaches:
        yield _envelope_pass(run, others, limits)


@rule(
    "clearance.runs",
    protects="Runs that swing or hang crooked must not meet on the way or at work.",
    limits={"least": 6.0},
    unit="gap",
    breach=Outcome.STOP,
    source=_PRACTICE,
    scope=Scope.RUN,
)
def runs_apart(run: RunEvidence, limits: Limits) -> Iterator[Finding]:
    """Ask for the envelope between two runs, in every position they can have."""
    for contact in run.contacts:
        if contact.group is Group.RUN and contact.clearance < limits["least"]:
            yield Finding(
                rule="clearance.runs",
                code="too-near",
                outcome=Outcome.STOP,
                subject=run.run.id,
                other=contact.other,
                value=contact.clearance,
                limit=limits["least"],
                unit="gap",
                height=contact.at_height,
                lift=run.lift_at(contact.at_height),
                points=(contact.on_run, contact.on_other),
                message=(
                    "{subject} and {other} come within {value}; {limit} is asked for."
                ),
                remedy="Move the runs apart or give them heights that never meet.",
            )


@rule(
    "clearance.inside",
    protects="A pipe inside a solid or a scan is a survey or drawing mistake.",
    limits={},
    unit="-",
    breach=Outcome.STOP,
    source="geometry",
    scope=Scope.RUN,
)
def inside(run: RunEvidence, limits: Limits) -> Iterator[Finding]:
    """Ask that no part of a run starts or ends inside a solid or closed scan."""
    del limits
    for hit in run.inside:
        yield Finding(
            rule="clearance.inside",
            code="inside-solid",
            outcome=Outcome.STOP,
            subject=run.run.id,
            other=hit.other,
            lift=hit.lift,
            height=hit.at[2],
            points=(hit.at,),
            unit="-",
            message="{subject} lies inside {other} ({part}) with the pipe at {height}.",
            remedy="Correct the place of {subject} or of {other}.",
            details={"part": hit.part},
            urgency=3,
        )
    for scan in run.open_scans:
        yield Finding(
            rule="clearance.inside",
            code="open-scan",
            outcome=Outcome.NOT_CHECKED,
            subject=run.run.id,
            other=scan,
            unit="-",
            message="{other} is not a closed surface: what lies inside it is unknown.",
            remedy="Close the scan's holes, or see to it on site.",
        )
