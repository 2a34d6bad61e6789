"""Rules on what ropes, cables and clamps may touch: nothing."""

from collections.abc import Iterator

from core.placement.solids import Group
from core.rules.evidence import RunEvidence, StrandContact
from core.rules.finding import Finding, Outcome
from core.rules.hoist_evidence import HoistEvidence
from core.rules.registry import Limits, Scope, breach_of, rule
from core.rules.remedies import can_move, sentence

__all__ = ["cables", "ropes", "winch_line"]

_PRACTICE = "common practice, no published source"


def _findings(
    run: RunEvidence, limits: Limits, *, rule_id: str, group: Group, what: str
) -> Iterator[Finding]:
    mine = [contact for contact in run.strands if contact.group is group]
    near = [contact for contact in mine if contact.clearance < limits["least"]]
    for contact in near:
        yield _rubs(run, contact, limits, rule_id=rule_id)
    if not near:
        yield _clear(run, mine, limits, rule_id=rule_id, what=what)


def _clear(
    run: RunEvidence,
    contacts: list[StrandContact],
    limits: Limits,
    *,
    rule_id: str,
    what: str,
) -> Finding:
    nearest = min(contacts, key=lambda contact: contact.clearance, default=None)
    return Finding(
        rule=rule_id,
        code="clear",
        outcome=Outcome.PASS,
        subject=run.run.id,
        other=None if nearest is None else nearest.other,
        value=None if nearest is None else nearest.clearance,
        limit=limits["least"],
        unit="gap",
        message=f"Nothing is near {what.lower()} of {{subject}}."
        if nearest is None
        else f"{what} of {{subject}} keep {{value}} or more; {{other}} is nearest.",
    )


def _rubs(
    run: RunEvidence, contact: StrandContact, limits: Limits, *, rule_id: str
) -> Finding:
    return _near(
        run.run.id,
        contact,
        limits,
        rule_id=rule_id,
        station=run.station_of(contact.on_strand),
    )


def _near(
    subject: str,
    contact: StrandContact,
    limits: Limits,
    *,
    rule_id: str,
    station: float | None,
) -> Finding:
    rubs = contact.clearance <= 0.0
    sag = ", sagging as it lowers" if contact.group is Group.CABLE else ""
    how_near = (
        "The {part} of {subject} rubs on {other} ({other_part})"
        if rubs
        else "The {part} of {subject} comes within {value} of {other} ({other_part})"
    )
    return Finding(
        rule=rule_id,
        code="rubs" if rubs else "too-near",
        outcome=breach_of(rule_id),
        subject=subject,
        other=contact.other,
        value=contact.clearance,
        limit=limits["least"],
        unit="gap",
        height=contact.on_strand[2],
        station=station,
        points=(contact.on_strand, contact.on_other),
        message=f"{how_near}, {{height}} above the floor{sag}; {{limit}} is asked for.",
        remedy=sentence(_ways_out(contact)),
        details={"part": contact.part, "other_part": contact.other_part},
    )


def _ways_out(contact: StrandContact) -> Iterator[str]:
    """Yield what can be done: move what can be moved, or hang the strand elsewhere."""
    if can_move(contact.other_group, contact.other_part):
        yield "move {other}"
    kind = contact.part.partition(" ")[0]
    yield from _ELSEWHERE.get(kind, ("hang the {part} clear of {other}",))


_ELSEWHERE = {
    "rope": ("move the support of the {part} along {subject}",),
    "pull": ("hang the pulleys of {subject} where its cable passes clear of {other}",),
    "clamp": (
        "set the {part} elsewhere on its cable",
        "hang that cable clear of {other}",
    ),
    "winch": ("move the winch, or the pull point of {subject}",),
}


@rule(
    "clearance.rope",
    protects="A rope that rubs wears through, and the run drops.",
    limits={"least": 1.0},
    unit="gap",
    breach=Outcome.STOP,
    source=_PRACTICE,
    scope=Scope.RUN,
)
def ropes(run: RunEvidence, limits: Limits) -> Iterator[Finding]:
    """Ask for a margin between drop ropes and everything else."""
    yield from _findings(
        run, limits, rule_id="clearance.rope", group=Group.ROPE, what="The ropes"
    )


@rule(
    "clearance.cable",
    protects="A cable or clamp that rubs wears, or jams the hoist.",
    limits={"least": 1.0},
    unit="gap",
    breach=Outcome.STOP,
    source=_PRACTICE,
    scope=Scope.RUN,
)
def cables(run: RunEvidence, limits: Limits) -> Iterator[Finding]:
    """Ask for a margin between pull cable, clamps and everything else."""
    yield from _findings(
        run, limits, rule_id="clearance.cable", group=Group.CABLE, what="The cables"
    )


@rule(
    "clearance.winch-line",
    protects="The rope from the winch to the pull point wears where it rubs, and all "
    "runs of the hoist hang on it.",
    limits={"least": 1.0},
    unit="gap",
    breach=Outcome.STOP,
    source=_PRACTICE,
    scope=Scope.HOIST,
)
def winch_line(hoist: HoistEvidence, limits: Limits) -> Iterator[Finding]:
    """Ask for a margin between the winch line and everything else, on its whole way."""
    near = [row for row in hoist.strands if row.clearance < limits["least"]]
    for row in near:
        yield _near(
            hoist.hoist.id, row, limits, rule_id="clearance.winch-line", station=None
        )
    if not near:
        yield _winch_clear(hoist, limits["least"])


def _winch_clear(hoist: HoistEvidence, least: float) -> Finding:
    nearest = min(hoist.strands, key=lambda row: row.clearance, default=None)
    return Finding(
        rule="clearance.winch-line",
        code="clear",
        outcome=Outcome.PASS,
        subject=hoist.hoist.id,
        other=None if nearest is None else nearest.other,
        value=None if nearest is None else nearest.clearance,
        limit=least,
        unit="gap",
        message="Nothing is near the winch line of {subject}."
        if nearest is None
        else "The winch line of {subject} keeps {value} or more; {other} is nearest.",
    )
