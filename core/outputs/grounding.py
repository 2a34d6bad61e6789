"""The lead and grounding sheet: leads, stored charge, rods, the bond register."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from core.analysis.analyse import Analysis
from core.catalogue.parts import HvLead
from core.model.electrical import Electrical, Known
from core.outputs.tables import Cell, Column, Kind, Table
from core.quantities import LengthStyle, format_length, format_voltage
from core.rules.electrical_evidence import ElectricalEvidence, LeadFacts

__all__ = [
    "LEAD_END",
    "LeadCut",
    "bonds_table",
    "lead_cuts",
    "leads_table",
    "rods_table",
    "supply_table",
]

# For stripping and terminal at each end of a lead; common practice, no published
# source.
LEAD_END = 6.0  # [in]


@dataclass(frozen=True, slots=True, kw_only=True)
class LeadCut:
    """One lead or jumper to cut; `held` is what stays coiled at the supply [in]."""

    facts: LeadFacts
    part: str
    held: float

    @property
    def cut(self) -> float:
        """Return the length to cut [in]."""
        facts = self.facts
        return facts.route + facts.free_length + self.held + 2.0 * LEAD_END

    @property
    def sleeve(self) -> float | None:
        """Return the length of its sleeve [in], None for a jumper."""
        return self.facts.lead.sleeve if self.facts.lead else None


def lead_cuts(analysis: Analysis) -> tuple[LeadCut, ...]:
    """Return every lead and jumper to cut, in the order of the file."""
    evidence = analysis.report.electrical
    electrical = analysis.report.barn.electrical
    spare = electrical.supply.spare_lead if electrical.supply else 0.0
    parts = {lead.id: lead.part for lead in electrical.leads}
    parts |= {jumper.id: jumper.part for jumper in electrical.jumpers}
    return tuple(
        LeadCut(facts=facts, part=parts[facts.id], held=spare if facts.lead else 0.0)
        for facts in (evidence.leads if evidence else ())
    )


def leads_table(analysis: Analysis, *, style: LengthStyle) -> Table:
    """Return every lead and jumper with its parts and the length to cut."""
    cuts = lead_cuts(analysis)
    return Table.of(
        "leads",
        "High-voltage leads",
        (
            Column(heading="Cut", kind=Kind.TICK, share=0.7),
            Column(heading="Lead", share=1.3),
            Column(heading="To run", share=1.2),
            Column(heading="Fixed route", kind=Kind.LENGTH, share=1.5),
            Column(heading="Free part", kind=Kind.LENGTH, share=1.5),
            Column(heading="Spare at supply", kind=Kind.LENGTH, share=1.3),
            Column(heading="Ends", kind=Kind.LENGTH, share=1.1),
            Column(heading="Length to cut", kind=Kind.LENGTH, share=1.6),
            Column(heading="Sleeve", kind=Kind.LENGTH, share=1.2),
            Column(heading="Terminal from run's end", kind=Kind.LENGTH, share=1.5),
        ),
        (_lead_row(item) for item in cuts),
        (
            "Leads are not spliced. The spare length stays coiled at the supply.",
            *_bends(cuts, analysis, style),
        ),
    )


def _bends(
    cuts: Iterable[LeadCut], analysis: Analysis, style: LengthStyle
) -> Iterator[str]:
    """Yield how tightly each kind of lead may be bent, coils included."""
    for part in dict.fromkeys(cut.part for cut in cuts):
        radius = analysis.catalogue.find(HvLead, part).bend_radius
        words = format_length(radius, style=style)
        yield f"Bend and coil {part} to a radius of {words} or more."


def _lead_row(item: LeadCut) -> tuple[Cell, ...]:
    facts = item.facts
    return (
        None,
        facts.id,
        facts.run,
        facts.route,
        facts.free_length,
        item.held,
        2.0 * LEAD_END,
        item.cut,
        item.sleeve,
        facts.lead.terminal if facts.lead else None,
    )


def supply_table(analysis: Analysis) -> Table:
    """Return voltage, stored energy and the places of supply, outlet and switch."""
    barn = analysis.report.barn
    return Table.of(
        "supply",
        "Supply, switch and stored energy",
        (Column(heading="What", share=2), Column(heading="Value", share=2)),
        _supply_rows(barn.electrical, analysis.report.electrical),
    )


def _supply_rows(
    electrical: Electrical, evidence: ElectricalEvidence | None
) -> Iterator[tuple[Cell, ...]]:
    yield ("Voltage", format_voltage(electrical.voltage))
    if evidence is not None:
        yield ("Stored energy of runs and leads", f"{evidence.charge.energy:.3g} J")
        bleed = evidence.charge.bleed_time
        words = "not known: no bleed resistance given" if bleed is None else ""
        yield ("Bleeds below 50 V in", words or f"{bleed:.3g} s")
    yield ("Supply", "" if electrical.supply else "no place given")
    if electrical.supply is not None:
        outlet = electrical.supply.outlet
        for name, known in (
            ("Outlet ground-fault protected", outlet and outlet.ground_fault_protected),
            ("Outlet out of reach of animals", outlet and outlet.out_of_reach),
            ("Outlet beside a ground", outlet and outlet.beside_ground),
        ):
            yield (name, str(known or Known.UNKNOWN))
    switch = electrical.switch
    where = str(switch.outside_room) if switch else "no switch given"
    yield ("Isolating switch outside the room", where)


def rods_table(analysis: Analysis) -> Table:
    """Return the ground rods with what is known of their resistance."""
    evidence = analysis.report.electrical
    places = {rod.id: rod.at for rod in analysis.report.barn.electrical.rods}
    return Table.of(
        "rods",
        "Ground rods",
        (
            Column(heading="Rod", share=1.2),
            Column(heading="From the front wall", kind=Kind.LENGTH, share=1.6),
            Column(heading="From the left wall", kind=Kind.LENGTH, share=1.6),
            Column(heading="Length in the soil", kind=Kind.LENGTH, share=1.5),
            Column(heading="Expected, ohm", kind=Kind.NUMBER, share=1.2),
            Column(heading="Measured, ohm", kind=Kind.BLANK, share=1.4),
        ),
        (
            (rod.id, *places[rod.id], rod.length, rod.resistance, None)
            for rod in (evidence.rods if evidence else ())
        ),
        ("A minus stands for outside the wall.",),
    )


def bonds_table(analysis: Analysis) -> Table:
    """Return the bond register: every metal part and what it is bonded to."""
    evidence = analysis.report.electrical
    return Table.of(
        "bonds",
        "Register of bonds",
        (
            Column(heading="Done", kind=Kind.TICK, share=0.7),
            Column(heading="Part", share=2.0),
            Column(heading="Kind", share=1.4),
            Column(heading="Bonded to", share=1.5),
            Column(heading="Conductor", share=1.9),
        ),
        (
            (None, b.subject, b.kind, b.to or "UNKNOWN", b.conductor)
            for b in (evidence.bonds if evidence else ())
        ),
        ("A bond that is unknown stops commissioning.",),
    )
