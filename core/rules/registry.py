"""The registry: every rule is data and a pure function from evidence to findings."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from enum import Enum, auto
from typing import Any

from core.model.job import RuleOverride
from core.rules.finding import Finding, Outcome

__all__ = [
    "Limits",
    "Rule",
    "Scope",
    "UnknownOverride",
    "breach_of",
    "limits_in_force",
    "rule",
    "rules",
    "rules_in",
    "usual_limits",
]


class Scope(Enum):
    """What a rule looks at; it is asked again only when that has changed."""

    RUN = auto()
    HOIST = auto()
    ROOM = auto()
    ELECTRICAL = auto()


Limits = Mapping[str, float]
Check = Callable[[Any, Limits], Iterator[Finding]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """A named limit with its source.

    `limits` holds each value under a short name, in `unit`; a job may override
    one by `<rule id>` (the first) or `<rule id>/<name>`. `breach` is the
    outcome when a limit is not kept, `by_code` where findings of that code have
    another one.
    """

    id: str
    protects: str
    limits: Limits
    unit: str
    breach: Outcome
    by_code: Mapping[str, Outcome]
    source: str
    scope: Scope
    check: Check

    @property
    def value(self) -> float | None:
        """Return the first limit, None for a rule without a number."""
        return next(iter(self.limits.values()), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class UnknownOverride:
    """An override that names no rule or no limit of a rule."""

    override: RuleOverride
    nearest: str | None


_RULES: dict[str, Rule] = {}


def rule(
    rule_id: str,
    *,
    protects: str,
    limits: Limits,
    unit: str,
    breach: Outcome,
    source: str,
    scope: Scope,
    by_code: Mapping[str, Outcome] | None = None,
) -> Callable[[Check], Check]:
    """Register the decorated function as the check of a rule.

    Raises
    ------
    ValueError
        If the id is already taken.
    """

    def register(check: Check) -> Check:
        if rule_id in _RULES:
            msg = f"rule {rule_id!r} is declared twice"
            raise ValueError(msg)
        _RULES[rule_id] = Rule(
            id=rule_id,
            protects=protects,
            limits=limits,
            unit=unit,
            breach=breach,
            by_code=by_code or {},
            source=source,
            scope=scope,
            check=check,
        )
        return check

    return register


def rules() -> tuple[Rule, ...]:
    """Return every rule, ordered by id."""
    return tuple(_RULES[key] for key in sorted(_RULES))


def rules_in(scope: Scope) -> tuple[Rule, ...]:
    """Return the rules that look at one scope, ordered by id."""
    return tuple(entry for entry in rules() if entry.scope is scope)


def breach_of(rule_id: str, code: str = "") -> Outcome:
    """Return what a rule says of a breach of a code, as it is declared."""
    entry = _RULES[rule_id]
    return entry.by_code.get(code, entry.breach)


def usual_limits(rule_id: str) -> Limits:
    """Return the limits of a rule before any override."""
    return _RULES[rule_id].limits


def _override_keys(entry: Rule) -> Iterator[tuple[str, str]]:
    for place, name in enumerate(entry.limits):
        if place == 0:
            yield entry.id, name
        yield f"{entry.id}/{name}", name


def limits_in_force(
    overrides: Iterable[RuleOverride],
) -> tuple[dict[str, Limits], tuple[UnknownOverride, ...]]:
    """Return each rule's limits with the job's overrides put in.

    Returns
    -------
    tuple
        Limits by rule id, and the overrides that name nothing known.
    """
    known = {
        key: (entry, name) for entry in rules() for key, name in _override_keys(entry)
    }
    in_force: dict[str, Limits] = {entry.id: entry.limits for entry in rules()}
    unknown: list[UnknownOverride] = []
    for override in overrides:
        if override.rule not in known:
            near = get_close_matches(override.rule, known, n=1)
            unknown.append(
                UnknownOverride(override=override, nearest=near[0] if near else None)
            )
            continue
        entry, name = known[override.rule]
        in_force[entry.id] = {**in_force[entry.id], name: override.value}
    return in_force, tuple(unknown)
