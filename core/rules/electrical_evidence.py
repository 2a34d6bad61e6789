"""What electrical rules look at: air gaps, energy, leads, distances, bonds, rods."""

from collections.abc import Mapping
from dataclasses import dataclass

from core.electrics.air import AirGap
from core.electrics.lead import LeadReach
from core.electrics.working_space import WorkingCondition
from core.geometry.shapes import Vec3
from core.model.electrical import Electrical, Lead
from core.rules.evidence import StrandContact

__all__ = [
    "Bonding",
    "ElectricalEvidence",
    "LeadFacts",
    "RodFacts",
    "StoredCharge",
    "WorkingSpace",
]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LeadFacts:
    """One lead or jumper, over the whole travel.

    Lengths are inches: `route` is the fixed part. `lowest` is the lowest point of
    its droop. `contacts` hold lower bounds of its clearance; `margin` is what was
    taken off for lifts between those looked at. `own` are those that need the rub
    margin only: what hangs with its own run, and other runs. `trouble` says why the
    droop is not known.
    """

    id: str
    run: str
    lead: Lead | None
    route: float
    free_length: float
    reach: LeadReach
    spare: float
    lowest: Vec3 | None
    lowest_lift: float
    margin: float
    contacts: tuple[StrandContact, ...]
    own: frozenset[str]
    rated_voltage: float
    trouble: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredCharge:
    """What stays on runs and leads: capacitance [F], energy [J], bleed time [s].

    The time is None where no bleed resistance is given.
    """

    capacitance: float
    energy: float
    bleed_time: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkingSpace:
    """Clear depth in front of the supply and what the table asks for [in].

    `condition` is what was taken to face the live parts across it.
    """

    depth: float
    blocked_by: str
    target: float
    condition: WorkingCondition


@dataclass(frozen=True, slots=True, kw_only=True)
class Bonding:
    """One metal part of the register; `to` is None while its bond is unknown."""

    subject: str
    kind: str
    to: str | None
    conductor: str
    resistance: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class RodFacts:
    """A driven rod [in]; its resistance [ohm] where the soil's is known."""

    id: str
    length: float
    diameter: float
    resistance: float | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ElectricalEvidence:
    """Everything that electrical and grounding rules need; compares by identity.

    `gap` is None where the voltage is outside the tables, with the reason in
    `gap_trouble`; `envelope` [in] is the job's. `controllers` are the distances of
    the isolating switch from each controller, `switch_to_door` to the main door,
    `supply_to_outlet` between the two [in]; None where an end of it is not given.
    `together` is the resistance of two equal rods bonded together [ohm].
    """

    electrical: Electrical
    runs: tuple[str, ...]
    envelope: float
    density: float
    gap: AirGap | None
    gap_trouble: str
    charge: StoredCharge
    leads: tuple[LeadFacts, ...]
    fed: frozenset[str]
    controllers: Mapping[str, float]
    switch_to_door: float | None
    supply_to_outlet: float | None
    working_space: WorkingSpace | None
    bonds: tuple[Bonding, ...]
    rods: tuple[RodFacts, ...]
    together: float | None
