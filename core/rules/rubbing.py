"""Rules on what ropes, cables and clamps may touch: nothing."""

from collections.abc import Iterator

from core.placement.solids import Group
from core.rules.evidence import RunEvidence, StrandContact
from core.rules.finding import Finding, Outcome
from core.rules.registry import Limits, Scope, rule

__all__ = ["cables", "ropes"]

_PRACTICE = "common practice, no published source"


def _findings(
    run: RunEvidence, limits: Limits, *, rule_id: str, group: Group, what: str
) -> Iterator[Finding]:
    mine = [contact for contact in run.strands if contact.group is group]
    near = [contact for contact in mine if contact.clearance < limits["least"]]
    for contact in near:
        yield _rubs(run, contact, limits, rule_id=rule_id)
    if not near:
        least = min((contact.clearance for contact in mine), default=None)
        yield Finding(
            rule=rule_id,
            code="clear",
            outcome=Outcome.PASS,
            subject=run.run.id,
            value=least,
            limit=limits["least"],
            unit="gap",
            message=f"{what} of {{subject}} keep {{limit}} or more from everything.",
        )


def _rubs(
    run: RunEvidence, contact: StrandContact, limits: Limits, *, rule_id: str
) -> Finding:
    return Finding(
        rule=rule_id,
        code="rubs" if contact.clearance <= 0 else "too-near",
        outcome=Outcome.STOP,
        subject=run.run.id,
        other=contact.other,
        value=contact.clearance,
        limit=limits["least"],
        unit="gap",
        height=contact.on_strand[2],
        points=(contact.on_strand, contact.on_other),
        message="{part} of {subject} comes within {value} of {other} ({other_part}); "
        "{limit} is asked for.",
        remedy="Move {part} or {other}; nothing may rub on a rope or cable.",
        details={"part": contact.part, "other_part": contact.other_part},
    )


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
