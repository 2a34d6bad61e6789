"""Rules on the air round the live parts and on what ropes and cables may touch."""

from collections.abc import Iterator

from core.placement.runs import ENVELOPE
from core.placement.solids import SCAN_PART, Group
from core.rules.evidence import Contact, RunEvidence
from core.rules.finding import Finding, Outcome
from core.rules.registry import Limits, Scope, breach_of, rule
from core.rules.remedies import can_move, sentence
from core.rules.unknown import not_checked

__all__ = ["envelope", "inside", "runs_apart"]

_PRACTICE = "common practice, no published source"


Band = tuple[float, float]


def _crossed(contact: Contact, run: RunEvidence) -> list[Band]:
    """Return the bands that the travel meets, cut to it; a mere touch is none."""
    return [
        (max(lo, run.low), min(hi, run.high))
        for lo, hi in contact.bands
        if lo < run.high and hi > run.low
    ]


def _breach_code(contact: Contact, run: RunEvidence) -> tuple[str, int] | None:
    """Return code and urgency of a contact's breach, None where there is none."""
    if not _crossed(contact, run):
        return None
    if run.is_blocked(contact.bands, run.low):
        return "inside-envelope-at-work", 2
    if run.is_blocked(contact.bands, run.high):
        return "inside-envelope-stowed", 1
    return "inside-envelope-on-the-way", 0


_WHEN = {
    "inside-envelope-at-work": "at working height, where it is live",
    "inside-envelope-stowed": "stowed",
    "inside-envelope-on-the-way": "on its way",
}
_SAME_HEIGHT = 0.05  # [in]


def _when(contact: Contact, run: RunEvidence, code: str) -> str:
    """Return where on the travel a breach is worst, and where else it matters."""
    ends = {"inside-envelope-at-work": run.low, "inside-envelope-stowed": run.high}
    end = ends.get(code, contact.at_height)
    if abs(contact.at_height - end) <= _SAME_HEIGHT:
        return _WHEN[code]
    return f"on its way, and is too near {_WHEN[code]}"


_HOW_NEAR = {
    True: "{subject} runs into {other} ({part})",
    False: "{subject} comes within {value} of {other} ({part})",
}


def _blocked(bands: list[Band]) -> tuple[str, dict[str, float | str]]:
    """Return the blocked heights as words with gaps, and what fills them."""
    words = " and ".join(f"{{lo{i}}} to {{hi{i}}}" for i in range(len(bands)))
    gaps: dict[str, float | str] = {}
    for i, (lo, hi) in enumerate(bands):
        gaps |= {f"lo{i}": lo, f"hi{i}": hi}
    return words, gaps


def _breach(contact: Contact, run: RunEvidence, limits: Limits) -> Finding | None:
    found = _breach_code(contact, run)
    if found is None:
        return None
    code, urgency = found
    heights, gaps = _blocked(_crossed(contact, run))
    return Finding(
        rule="clearance.envelope",
        code=code,
        outcome=breach_of("clearance.envelope"),
        subject=run.run.id,
        other=contact.other,
        value=contact.clearance,
        limit=limits["least"],
        unit="gap",
        lift=run.lift_at(contact.at_height),
        height=contact.at_height,
        station=run.station_of(contact.on_run),
        points=(contact.on_run, contact.on_other),
        message=(
            f"{_HOW_NEAR[contact.clearance <= 0.0]} {_when(contact, run, code)}; "
            f"{{limit}} of air is asked for. Blocked with the pipe at {heights} above "
            "the floor, worst at {height}."
        ),
        remedy=sentence(_ways_out(contact, run, code)),
        details={"part": contact.part, **gaps},
        urgency=urgency,
    )


def _ways_out(contact: Contact, run: RunEvidence, code: str) -> Iterator[str]:
    """Yield what can be done: move what can be moved, or another height."""
    if can_move(contact.group, contact.part):
        yield "move {other}"
    yield "move {subject} with its supports to the side"
    first, *others = _crossed(contact, run)
    worth = _WORTH * (run.high - run.low)
    if code == "inside-envelope-at-work":
        if not others and run.high - first[1] >= worth:
            yield "let {subject} work higher than {hi0}"
    elif first[0] - run.low >= worth:
        yield "stow {subject} below {lo0}"


_WORTH = 0.5  # [-] share of the travel that another height has to leave, to be told


def _clear(run: RunEvidence, contacts: list[Contact], limits: Limits) -> Finding:
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
        station=run.station_of(nearest.on_run),
        points=(nearest.on_run, nearest.on_other),
        message="{subject} keeps {value} or more of air; {other} is nearest.",
    )


@rule(
    "clearance.envelope",
    protects=(
        "The air between live metal and anything else keeps the discharge on the "
        "points and the supply from flashing over; dust, sag and sway eat into it."
    ),
    limits={"least": ENVELOPE},
    unit="gap",
    breach=Outcome.STOP,
    source=_PRACTICE,
    scope=Scope.RUN,
)
def envelope(run: RunEvidence, limits: Limits) -> Iterator[Finding]:
    """Ask for free air between a run and every fixture and building part."""
    others = [c for c in run.contacts if c.group is not Group.RUN]
    breaches = [found for contact in others if (found := _breach(contact, run, limits))]
    yield from breaches
    if not breaches:
        yield _clear(run, others, limits)


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
    """Ask for the envelope between two runs, in every position they can have.

    A pair is told once, of the run whose id comes first.
    """
    for contact in run.contacts:
        if contact.group is not Group.RUN or contact.other < run.run.id:
            continue
        if contact.clearance < limits["least"]:
            yield _too_near(contact, run, limits["least"])


def _too_near(contact: Contact, run: RunEvidence, least: float) -> Finding:
    how_near = (
        "{subject} and {other} meet"
        if contact.clearance <= 0.0
        else "{subject} and {other} come within {value} of each other"
    )
    return Finding(
        rule="clearance.runs",
        code="too-near",
        outcome=breach_of("clearance.runs"),
        subject=run.run.id,
        other=contact.other,
        value=contact.clearance,
        limit=least,
        unit="gap",
        height=contact.at_height,
        lift=run.lift_at(contact.at_height),
        station=run.station_of(contact.on_run),
        points=(contact.on_run, contact.on_other),
        message=f"{how_near} {{station}} from the front end of {{subject}}; "
        "{limit} of air is asked for.",
        remedy="Move the runs apart, or let one end before the other.",
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
            outcome=breach_of("clearance.inside"),
            subject=run.run.id,
            other=hit.other,
            lift=hit.lift,
            height=run.low + hit.lift * (run.high - run.low),
            station=run.station_of(hit.at),
            points=(hit.at,),
            unit="-",
            message="{subject} lies inside {other} ({part}) with the pipe at {height} "
            "above the floor.",
            remedy="Correct the drawing, or move {subject} and its supports."
            if hit.part == SCAN_PART
            else "Correct the drawing, or move {subject} or {other}.",
            details={"part": hit.part},
            urgency=3,
        )
    for scan in run.open_scans:
        yield not_checked(
            "clearance.inside",
            run.run.id,
            code="open-scan",
            other=scan,
            why="{other} is not a closed surface: whether {subject} lies inside "
            "what it shows is not known.",
            remedy="Close the scan's holes, or look on site.",
        )
