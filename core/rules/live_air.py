"""Rules on the air round live parts that the voltage and the leads need."""

from collections.abc import Iterator

from core.model.electrical import SUPPLY
from core.rules.electrical_evidence import ElectricalEvidence, LeadFacts
from core.rules.evidence import StrandContact
from core.rules.finding import Finding, Outcome
from core.rules.registry import Limits, Scope, breach_of, rule
from core.rules.remedies import can_move, sentence
from core.rules.unknown import not_checked

__all__ = ["leads_apart", "voltage"]

_PRACTICE = "common practice, no published source"


@rule(
    "clearance.voltage",
    protects="The envelope has to be wider than any spark or streamer of this voltage.",
    limits={},
    unit="gap",
    breach=Outcome.STOP,
    source="AIEE needle gaps, IEC 60052; twice the sparking distance by 29 CFR "
    "1910.107(h); streamer gradient from memory",
    scope=Scope.ELECTRICAL,
)
def voltage(electrical: ElectricalEvidence, limits: Limits) -> Iterator[Finding]:
    """Ask that the envelope is twice the sparkover and twice the streamer length."""
    del limits
    gap, kilovolts = electrical.gap, abs(electrical.electrical.voltage) / 1000.0
    if gap is None:
        yield not_checked(
            "clearance.voltage",
            SUPPLY,
            code="voltage-out-of-range",
            unit="gap",
            why="The air that {kilovolts} kV needs is not known: {why}.",
            remedy="Correct the voltage, altitude or temperature of the job.",
            details={
                "kilovolts": f"{kilovolts:g}",
                "why": electrical.gap_trouble,
            },
        )
        return
    kept = electrical.envelope >= gap.required
    yield Finding(
        rule="clearance.voltage",
        code="kept" if kept else "envelope-too-small",
        outcome=Outcome.PASS if kept else breach_of("clearance.voltage"),
        subject=SUPPLY,
        value=electrical.envelope,
        limit=gap.required,
        unit="gap",
        message="The envelope of this job is {value}; {kilovolts} kV at "
        "{altitude:altitude} needs {limit}: twice the larger of the sparkover of "
        "{sparkover:gap} and the streamer of {streamer:gap}, in air of {density} times "
        "the usual density.",
        remedy=""
        if kept
        else "Widen the envelope of the job to {limit}, or lower the voltage.",
        details={
            "kilovolts": f"{kilovolts:g}",
            "altitude": electrical.electrical.altitude,
            "sparkover": gap.sparkover,
            "streamer": gap.streamer,
            "density": f"{electrical.density:.2f}",
        },
        urgency=0 if kept else 2,
    )


@rule(
    "clearance.lead",
    protects="A lead that droops onto something wears through there, or sparks to it.",
    limits={"rub": 1.0},
    unit="gap",
    breach=Outcome.STOP,
    source=f"{_PRACTICE}; the envelope is the job's",
    scope=Scope.ELECTRICAL,
)
def leads_apart(electrical: ElectricalEvidence, limits: Limits) -> Iterator[Finding]:
    """Ask for the envelope round every lead where it hangs, over the whole travel.

    Ropes and cables of its own run, and other runs, keep the smaller margin: they
    are as live as it is, or insulated. The part within the envelope of its last hold
    belongs to the hold.
    """
    if not electrical.leads:
        yield not_checked(
            "clearance.lead",
            SUPPLY,
            code="no-lead",
            why="No lead is drawn, so its droop was not looked at.",
            remedy="Draw a lead to each run, or a jumper from run to run.",
            unit="gap",
        )
    for lead in electrical.leads:
        yield from _of_lead(lead, electrical, limits["rub"])


def _of_lead(
    lead: LeadFacts, electrical: ElectricalEvidence, rub: float
) -> Iterator[Finding]:
    if lead.trouble:
        yield not_checked(
            "clearance.lead",
            lead.id,
            code="shape-unknown",
            other=lead.run,
            unit="gap",
            why="Where {subject} droops is not known: {why}.",
            remedy="Give {subject} the length that its travel needs.",
            details={"why": lead.trouble},
        )
        return
    near = [
        (contact, limit)
        for contact in lead.contacts
        if contact.clearance
        < (limit := rub if contact.other in lead.own else electrical.envelope)
    ]
    for contact, limit in near:
        yield _near_finding(lead, contact, limit)
    if not near:
        yield _clear_finding(lead, electrical.envelope)


def _near_finding(lead: LeadFacts, contact: StrandContact, limit: float) -> Finding:
    return Finding(
        rule="clearance.lead",
        code="too-near",
        outcome=breach_of("clearance.lead"),
        subject=lead.id,
        other=contact.other,
        value=contact.clearance,
        limit=limit,
        unit="gap",
        height=contact.on_strand[2],
        points=(contact.on_strand, contact.on_other),
        message="Somewhere in its travel {subject} may come within {value} of {other} "
        "({part}); {limit} is asked for. {margin:gap} of it is allowed for positions "
        "between those measured.",
        remedy=sentence(_ways_out(contact)),
        details={"part": contact.other_part, "margin": lead.margin},
    )


def _ways_out(contact: StrandContact) -> Iterator[str]:
    yield "move the last hold of {subject}"
    yield "shorten its free part"
    if can_move(contact.other_group, contact.other_part):
        yield "move {other}"


def _clear_finding(lead: LeadFacts, limit: float) -> Finding:
    nearest = min(lead.contacts, key=lambda c: c.clearance, default=None)
    return Finding(
        rule="clearance.lead",
        code="clear",
        outcome=Outcome.PASS,
        subject=lead.id,
        other=None if nearest is None else nearest.other,
        value=None if nearest is None else nearest.clearance,
        limit=limit,
        unit="gap",
        message="Nothing comes near {subject} in its whole travel."
        if nearest is None
        else "{subject} keeps {value} or more in its whole travel; {other} is nearest.",
    )
