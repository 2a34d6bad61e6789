"""A finding: one result of one rule, as numbers and a sentence with gaps."""

from dataclasses import dataclass, field
from enum import StrEnum

from core.geometry.shapes import Vec3

__all__ = ["Finding", "Outcome", "rank"]


class Outcome(StrEnum):
    """What a rule says of one subject."""

    STOP = "stop"
    CAUTION = "caution"
    NOT_CHECKED = "not-checked"
    PASS = "pass"


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One result of one rule.

    `message` and `remedy` are sentences with gaps such as `{value}`, `{limit}`,
    `{height}` and the names in `details`; `core.rules.wording` fills them in the
    units that the reader has chosen. `unit` is the unit of value and limit.
    `urgency` orders findings of one outcome: higher comes first.
    """

    rule: str
    code: str
    outcome: Outcome
    subject: str
    message: str
    remedy: str = ""
    other: str | None = None
    value: float | None = None
    limit: float | None = None
    unit: str = "in"
    lift: float | None = None
    height: float | None = None
    station: float | None = None
    points: tuple[Vec3, ...] = ()
    details: dict[str, float | str] = field(default_factory=dict)
    urgency: int = 0


_ORDER = {outcome: place for place, outcome in enumerate(Outcome)}
_SMALL = 1e-9  # a limit of nothing


def rank(finding: Finding) -> tuple[int, int, float, str, str, str]:
    """Return the sort key that puts what is worst first.

    Within one urgency it goes by how much of its limit a value is off, so that
    pounds and inches can be compared.
    """
    shortfall = (
        abs(finding.value - finding.limit) / max(abs(finding.limit), _SMALL)
        if finding.value is not None and finding.limit is not None
        else 0.0
    )
    return (
        _ORDER[finding.outcome],
        -finding.urgency,
        -shortfall if finding.outcome in {Outcome.STOP, Outcome.CAUTION} else 0.0,
        finding.rule,
        finding.subject,
        finding.other or "",
    )
