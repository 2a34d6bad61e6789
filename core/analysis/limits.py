"""The rule values of a job: usual ones with its overrides."""

from collections.abc import Mapping
from dataclasses import dataclass

from core.analysis.report import OverrideInForce
from core.model.job import RuleOverride
from core.rules.book import limits_in_force, rules
from core.rules.registry import Limits, UnknownOverride

__all__ = ["JobLimits", "job_limits"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class JobLimits:
    """Limits by rule id, the overrides among them, and those that name nothing."""

    by_rule: Mapping[str, Limits]
    in_force: tuple[OverrideInForce, ...]
    unknown: tuple[UnknownOverride, ...]


def job_limits(overrides: tuple[RuleOverride, ...]) -> JobLimits:
    """Return the limits that hold for a job."""
    by_rule, unknown = limits_in_force(overrides)
    lost = {entry.override.rule for entry in unknown}
    in_force = tuple(
        _in_force(override) for override in overrides if override.rule not in lost
    )
    return JobLimits(by_rule=by_rule, in_force=in_force, unknown=unknown)


def _in_force(override: RuleOverride) -> OverrideInForce:
    rule_id, _, name = override.rule.partition("/")
    (rule,) = (entry for entry in rules() if entry.id == rule_id)
    limit = name or next(iter(rule.limits))
    return OverrideInForce(
        rule=rule,
        limit=limit,
        usual=rule.limits[limit],
        value=override.value,
        reason=override.reason,
    )
