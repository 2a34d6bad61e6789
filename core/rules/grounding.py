"""Rules on bonds and rods, and what has to be measured on site."""

from collections.abc import Iterator

from core.electrics.ground import LEAST_ROD_LENGTH
from core.model.electrical import Known
from core.rules.electrical_evidence import Bonding, ElectricalEvidence, RodFacts
from core.rules.finding import Finding, Outcome
from core.rules.registry import Limits, Scope, breach_of, rule
from core.rules.unknown import not_checked

__all__ = ["MEASURED_AFTER", "MEASURED_BEFORE", "bonds", "rod"]

_PRACTICE = "common practice, no published source"
GROUND = "ground"

MEASURED_BEFORE = (
    "Continuity from each part of this register to ground, in ohm.",
    "Resistance of the rod or of the building's electrode, in ohm.",
    "Insulation of each run and lead to ground with the supply off, in megohm.",
    "Height of each run at every support, lowered and stowed.",
    "That the isolating switch, its lock and the door interlock cut the supply off.",
)
MEASURED_AFTER = (
    "Voltage of each run with a high-voltage probe, in kV.",
    "Current of the supply with all runs lowered, in mA.",
    "That no part of this register carries a voltage against ground.",
    (
        "Time that the runs take to bleed down once the supply is off, in s; then the "
        "grounding stick."
    ),
)


@rule(
    "grounding.bonds",
    protects="Metal near a live pipe charges up; who touches it, or the probe's "
    "controller, gets the spark.",
    limits={},
    unit="-",
    breach=Outcome.STOP,
    source=_PRACTICE,
    scope=Scope.ELECTRICAL,
)
def bonds(electrical: ElectricalEvidence, limits: Limits) -> Iterator[Finding]:
    """Ask for a named bond of every probe, controller, hoist and metal fixture."""
    del limits
    unknown = [row for row in electrical.bonds if not row.to]
    for row in unknown:
        yield _unknown_bond(row)
    if not electrical.bonds:
        yield not_checked(
            "grounding.bonds",
            GROUND,
            code="no-metal",
            why="No probe, controller, hoist or metal fixture is drawn, so no bond "
            "was looked at.",
            remedy="Survey what metal hangs and stands in the room.",
        )
    elif not unknown:
        yield Finding(
            rule="grounding.bonds",
            code="kept",
            outcome=Outcome.PASS,
            subject=GROUND,
            unit="-",
            message="A bond is named for each of {count} metal parts; measure every "
            "one of them before the supply is switched on.",
            details={"count": str(len(electrical.bonds))},
        )


def _unknown_bond(row: Bonding) -> Finding:
    return Finding(
        rule="grounding.bonds",
        code="bond-unknown",
        outcome=breach_of("grounding.bonds"),
        subject=row.subject,
        unit="-",
        message="What {subject} ({kind}) is bonded to is not known; until it is, the "
        "supply stays switched off.",
        remedy="Bond {subject} to ground, measure it, and note bond and conductor.",
        details={"kind": row.kind},
        urgency=1,
    )


@rule(
    "grounding.rod",
    protects="All bonds end at one electrode; without it they only join what is "
    "charged.",
    limits={"length": LEAST_ROD_LENGTH},
    unit="in",
    breach=Outcome.STOP,
    source="NEC (NFPA 70) 250.53",
    scope=Scope.ELECTRICAL,
)
def rod(electrical: ElectricalEvidence, limits: Limits) -> Iterator[Finding]:
    """Ask for a rod of full length, or the building's electrode."""
    short = [row for row in electrical.rods if row.length < limits["length"]]
    for row in short:
        yield Finding(
            rule="grounding.rod",
            code="short-rod",
            outcome=breach_of("grounding.rod"),
            subject=row.id,
            value=row.length,
            limit=limits["length"],
            unit="in",
            message="The rod {subject} is {value} in the soil; at least {limit} is "
            "asked for.",
            remedy="Drive a longer rod.",
        )
    if electrical.rods and not short:
        yield _rods_kept(electrical, limits["length"])
    elif not electrical.rods:
        yield _building(electrical.electrical.building_electrode)


def _rods_kept(electrical: ElectricalEvidence, least: float) -> Finding:
    row = min(electrical.rods, key=lambda rod: rod.length)
    return Finding(
        rule="grounding.rod",
        code="kept",
        outcome=Outcome.PASS,
        subject=row.id,
        value=row.length,
        limit=least,
        unit="in",
        message="The rod {subject} is {value} in the soil, and at least {limit} is "
        "asked for; {words}.",
        details={"words": _resistance_words(electrical, row)},
    )


def _resistance_words(electrical: ElectricalEvidence, row: RodFacts) -> str:
    """Return the resistance to ground in words, and of which rods it is."""
    if electrical.together is not None:
        names = " and ".join(rod.id for rod in electrical.rods)
        ohms = f"about {electrical.together:.0f} ohm"
        return f"{names} together have {ohms} in the soil given"
    if row.resistance is None:
        return "its resistance is not known: measure it"
    alone = " alone" if len(electrical.rods) > 1 else ""
    return f"it{alone} has about {row.resistance:.0f} ohm in the soil given"


def _building(known: Known) -> Finding:
    if known is Known.YES:
        return Finding(
            rule="grounding.rod",
            code="building-electrode",
            outcome=Outcome.PASS,
            subject=GROUND,
            unit="in",
            message="The bonds end at the building's own electrode.",
        )
    if known is Known.NO:
        return Finding(
            rule="grounding.rod",
            code="no-electrode",
            outcome=breach_of("grounding.rod"),
            subject=GROUND,
            unit="in",
            message="There is no rod and no electrode of the building.",
            remedy="Drive a rod, or bond to the building's electrode.",
        )
    return not_checked(
        "grounding.rod",
        GROUND,
        code="electrode-unknown",
        why="No rod is drawn, and whether the building has an electrode is not known.",
        remedy="Find the building's electrode, or drive a rod.",
        unit="in",
    )
