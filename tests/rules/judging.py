"""What the rules say of a spoilt specimen."""

from dataclasses import replace
from functools import cache

from core.analysis.analyse import Analysis, analyse
from core.analysis.report import Report
from core.model.barn import Barn
from core.model.fixtures import Fixture
from core.rules.finding import Finding, Outcome
from core.rules.wording import message, remedy
from tests.specimens import plain_barn

__all__ = ["breaches", "only", "passed", "report", "with_fixture"]


@cache
def _plain() -> Analysis:
    return analyse(plain_barn())


def report(barn: Barn) -> Report:
    """Analyse a barn; what it shares with the plain one is kept."""
    return analyse(barn, previous=_plain()).report


def _of(barn: Barn, rule: str) -> list[Finding]:
    found = [item for item in report(barn).findings if item.rule == rule]
    for item in found:  # every sentence can be filled
        assert "{" not in message(item) + remedy(item)
        assert item.outcome is Outcome.PASS or remedy(item)
    return found


def breaches(barn: Barn, rule: str) -> list[Finding]:
    """Return what a rule has against a barn, what it could not check included."""
    return [item for item in _of(barn, rule) if item.outcome is not Outcome.PASS]


def only(barn: Barn, rule: str, code: str) -> Finding:
    """Return the one thing that a rule has against a barn; it has this code."""
    (finding,) = breaches(barn, rule)
    assert finding.code == code
    return finding


def passed(barn: Barn, rule: str) -> list[Finding]:
    """Return the passes of a rule that has nothing against a barn."""
    assert breaches(barn, rule) == []
    return _of(barn, rule)


def with_fixture(fixture: Fixture) -> Barn:
    """Return the plain barn with one more fixture."""
    barn = plain_barn()
    return replace(barn, fixtures=(*barn.fixtures, fixture))
