"""What a breach is, a stop or a caution, is declared with its rule and nowhere else."""

from dataclasses import replace

import pytest

from core.analysis.analyse import Analysis, analyse
from core.barnfile.files import open_barn
from core.rules import registry
from core.rules.finding import Outcome
from tests.conftest import ROOT

_OTHER = {Outcome.STOP: Outcome.CAUTION, Outcome.CAUTION: Outcome.STOP}


def _judged() -> Analysis:
    file = open_barn(ROOT / "sample_barns" / "awkward.json")
    return analyse(file.barn, meshes=file.meshes)


def test_the_outcome_of_every_breach_is_the_one_that_its_rule_declares(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    found = _judged().report.findings
    before = {(f.rule, f.code, f.subject, f.other): f.outcome for f in found}
    assert {Outcome.STOP, Outcome.CAUTION} <= set(before.values())
    for key, entry in registry._RULES.items():
        turned = replace(
            entry,
            breach=_OTHER[entry.breach],
            by_code={code: _OTHER[each] for code, each in entry.by_code.items()},
        )
        monkeypatch.setitem(registry._RULES, key, turned)
    for f in _judged().report.findings:
        was = before[(f.rule, f.code, f.subject, f.other)]
        assert f.outcome is _OTHER.get(was, was), (f.rule, f.code)


@pytest.mark.parametrize(
    ("rule", "code", "outcome"),
    [
        ("hoist.pull", "too-weak", Outcome.STOP),
        ("hoist.pull", "heavy-handle", Outcome.CAUTION),
        ("layout.working-height", "below-partitions", Outcome.STOP),
        ("layout.working-height", "not-as-marked", Outcome.CAUTION),
    ],
)
def test_a_code_may_have_an_outcome_of_its_own(
    rule: str, code: str, outcome: Outcome
) -> None:
    assert registry.breach_of(rule, code) is outcome
