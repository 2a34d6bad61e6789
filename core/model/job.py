"""The job: who and what, rule values of its own, eye points, the record."""

from dataclasses import dataclass
from enum import StrEnum

from core.model.fields import Gap, Id, Length, Point3, Speed

__all__ = [
    "CommissioningRecord",
    "Display",
    "EyePoint",
    "HeightReading",
    "Job",
    "Reading",
    "RuleOverride",
    "SideAir",
]


class Display(StrEnum):
    """How lengths are shown."""

    FEET = "ft"
    MILLIMETRES = "mm"


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleOverride:
    """A rule's value for this job, in the rule's own unit, and why."""

    rule: Id
    value: float
    reason: Id


@dataclass(frozen=True, slots=True, kw_only=True)
class SideAir:
    """Air that blows across the runs: its speed, and whether it comes in gusts."""

    speed: Speed = 0.0
    gusts: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """Title block and settings of the job."""

    title: str = ""
    number: str = ""
    revision: str = ""
    date: str = ""
    drawn_by: str = ""
    display: Display = Display.FEET
    side_air: SideAir = SideAir()
    side_allowance: Gap = 0.0
    sag_limit: Gap = 0.75
    overrides: tuple[RuleOverride, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class EyePoint:
    """A named place to look from and what to look at [in]."""

    id: Id
    eye: Point3
    look: Point3


@dataclass(frozen=True, slots=True, kw_only=True)
class HeightReading:
    """The height of a run at one support as measured on site [in]."""

    run: Id
    support: Id
    measured: Length


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A meter reading or a yes-or-no check of the commissioning, as noted."""

    id: Id
    value: str
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CommissioningRecord:
    """What was measured on site before the supply was switched on."""

    date: str = ""
    by: str = ""
    heights: tuple[HeightReading, ...] = ()
    readings: tuple[Reading, ...] = ()
