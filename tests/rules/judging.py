"""What the rules say of a spoilt specimen."""

from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from types import MappingProxyType

from core.analysis.analyse import Analysis, analyse
from core.analysis.report import Report
from core.geometry.shapes import Mesh
from core.model.barn import Barn
from core.model.fixtures import Fixture, Scan
from core.quantities import LengthUnit
from core.rules.finding import Finding, Outcome
from core.rules.wording import message, remedy
from tests.specimens import plain_barn

__all__ = ["SCANNED", "breaches", "only", "passed", "report", "with_fixture"]

Meshes = Mapping[str, Mesh]
_NONE: Meshes = MappingProxyType({})


@cache
def _plain() -> Analysis:
    return analyse(plain_barn())


def report(barn: Barn, meshes: Meshes = _NONE) -> Report:
    """Analyse a barn; what it shares with the plain one is kept."""
    return analyse(barn, meshes=meshes, previous=_plain()).report


def _of(barn: Barn, rule: str, meshes: Meshes) -> list[Finding]:
    found = [item for item in report(barn, meshes).findings if item.rule == rule]
    for item in found:  # every sentence can be filled
        assert "{" not in message(item) + remedy(item)
        assert item.outcome is Outcome.PASS or remedy(item)
    return found


def breaches(barn: Barn, rule: str, meshes: Meshes = _NONE) -> list[Finding]:
    """Return what a rule has against a barn, what it could not check included."""
    found = _of(barn, rule, meshes)
    return [item for item in found if item.outcome is not Outcome.PASS]


def only(barn: Barn, rule: str, code: str, meshes: Meshes = _NONE) -> Finding:
    """Return the one thing that a rule has against a barn; it has this code."""
    (finding,) = breaches(barn, rule, meshes)
    assert finding.code == code
    return finding


def passed(barn: Barn, rule: str, meshes: Meshes = _NONE) -> list[Finding]:
    """Return the passes of a rule that has nothing against a barn."""
    assert breaches(barn, rule, meshes) == []
    return _of(barn, rule, meshes)


def with_fixture(fixture: Fixture) -> Barn:
    """Return the plain barn with one more fixture."""
    barn = plain_barn()
    return replace(barn, fixtures=(*barn.fixtures, fixture))


SCANNED = with_fixture(Scan(id="scan-9", file="scan.ply", unit=LengthUnit.INCH))
