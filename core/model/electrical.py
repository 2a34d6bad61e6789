"""Supply, isolating switch, leads, and the bonds to ground."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated

from annotated_types import Gt

from core.model.fields import (
    Gap,
    Id,
    Length,
    Point2,
    Point3,
    Size,
    Temperature,
    Voltage,
)

__all__ = [
    "PLACES",
    "SUPPLY",
    "SWITCH",
    "Bond",
    "Electrical",
    "GroundRod",
    "IsolatingSwitch",
    "Jumper",
    "Known",
    "Lead",
    "Outlet",
    "Supply",
]


SUPPLY, SWITCH = "supply", "switch"
PLACES = (SUPPLY, SWITCH)
"""What an edit or a bond may name although it has no id: its field in `Electrical`."""


class Known(StrEnum):
    """A fact of the survey that may not be known yet."""

    YES = "yes"
    NO = "no"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlet:
    """The AC outlet that feeds the supply [in]."""

    at: Point3
    ground_fault_protected: Known = Known.UNKNOWN
    out_of_reach: Known = Known.UNKNOWN
    beside_ground: Known = Known.UNKNOWN


@dataclass(frozen=True, slots=True, kw_only=True)
class Supply:
    """The high-voltage power supply: where it hangs and what it gives."""

    at: Point3
    outlet: Outlet | None = None
    spare_lead: Gap = 24.0
    bleed_resistance: Annotated[float, Gt(0)] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class IsolatingSwitch:
    """The switch that takes the supply off the line [in]."""

    at: Point3
    outside_room: Known = Known.UNKNOWN


@dataclass(frozen=True, slots=True, kw_only=True)
class Lead:
    """The high-voltage lead to a run.

    `route` goes from the supply to the last fixed hold, where the free part of
    `free_length` starts; it ends at the terminal, `terminal` inches from the
    run's front end. `sleeve` is the sleeved length that lies on the pipe.
    """

    id: Id
    run: Id
    route: tuple[Point3, ...]
    free_length: Size
    terminal: Gap = 6.0
    sleeve: Gap = 48.0
    part: Id = "lead-40kv"


@dataclass(frozen=True, slots=True, kw_only=True)
class Jumper:
    """A lead from one run to the next, between stations of the two."""

    id: Id
    from_run: Id
    from_station: Gap
    to_run: Id
    to_station: Gap
    length: Size
    part: Id = "lead-40kv"


@dataclass(frozen=True, slots=True, kw_only=True)
class Bond:
    """What a metal part is bonded to; `to` is None while it is unknown."""

    subject: Id
    to: str | None = None
    conductor: str = ""
    resistance: Annotated[float, Gt(0)] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class GroundRod:
    """A driven rod: plan place, length in the soil and diameter [in]."""

    id: Id
    at: Point2
    length: Size
    diameter: Size = 0.625


@dataclass(frozen=True, slots=True, kw_only=True)
class Electrical:
    """The electrical side of the job; `altitude` and temperature set the air."""

    voltage: Voltage = 30_000.0
    altitude: Length = 0.0
    temperature: Temperature = 30.0
    supply: Supply | None = None
    switch: IsolatingSwitch | None = None
    leads: tuple[Lead, ...] = ()
    jumpers: tuple[Jumper, ...] = ()
    bonds: tuple[Bond, ...] = ()
    rods: tuple[GroundRod, ...] = ()
    building_electrode: Known = Known.UNKNOWN
    soil_resistivity: Annotated[float, Gt(0)] | None = None
