"""What an analysis says of a barn: findings, runs, loads, and what was not checked."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from core.mechanics.anchor import TrussLoad
from core.model.barn import Barn
from core.rules.electrical_evidence import ElectricalEvidence
from core.rules.evidence import Contact, RunEvidence
from core.rules.finding import Finding, Outcome
from core.rules.hoist_evidence import HoistEvidence
from core.rules.registry import Rule, UnknownOverride

__all__ = ["OverrideInForce", "Report", "RunReport"]

Bands = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RunReport:
    """Where one run can and cannot go; heights of its axis at the supports [in].

    `blocked` is the union of all blocked bands clipped to the travel, `usable`
    what is left of it.
    """

    usable: Bands
    blocked: Bands
    working_free: bool
    stow_free: bool
    way_free: bool
    evidence: RunEvidence

    @property
    def id(self) -> str:
        """Return the id of the run."""
        return self.evidence.run.id

    @property
    def working_height(self) -> float:
        """Return the height at lift 0 [in]."""
        return self.evidence.low

    @property
    def stow_height(self) -> float:
        """Return the height at lift 1 [in]."""
        return self.evidence.high

    @property
    def contacts(self) -> tuple[Contact, ...]:
        """Return how near the run comes to each other thing, nearest first."""
        return self.evidence.contacts


@dataclass(frozen=True, slots=True, kw_only=True)
class OverrideInForce:
    """A rule value that the job has set, with its reason and the usual value."""

    rule: Rule
    limit: str
    usual: float
    value: float
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Report:
    """Everything that one analysis found, worst finding first.

    `trusses` sums what all hoists hang on each truss, for the truss designer.
    """

    barn: Barn
    findings: tuple[Finding, ...]
    runs: Mapping[str, RunReport]
    overrides: tuple[OverrideInForce, ...]
    unknown_overrides: tuple[UnknownOverride, ...]
    hoists: Mapping[str, HoistEvidence] = field(default_factory=dict)
    trusses: tuple[TrussLoad, ...] = ()
    electrical: ElectricalEvidence | None = None

    @property
    def not_checked(self) -> tuple[Finding, ...]:
        """Return the findings that say what could not be checked."""
        return tuple(
            item for item in self.findings if item.outcome is Outcome.NOT_CHECKED
        )

    @property
    def stops(self) -> tuple[Finding, ...]:
        """Return the findings that stop the job."""
        return tuple(item for item in self.findings if item.outcome is Outcome.STOP)
