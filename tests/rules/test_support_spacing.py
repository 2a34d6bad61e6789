"""support.spacing: at most 12 ft from support to support."""

from dataclasses import replace

import pytest

from core.rules.finding import Outcome
from core.rules.wording import message
from tests.rules.judging import breaches, only, passed
from tests.rules.spoiling import with_run, with_support
from tests.specimens import plain_barn

RULE = "support.spacing"


def test_twelve_feet_pass() -> None:
    first, _ = passed(plain_barn(), RULE)
    assert (first.value, first.limit) == (144.0, 144.0)


def test_sixteen_feet_are_a_stop() -> None:
    # hand-worked: 312 - 120 = 192 in, their middle at 216 in
    finding = only(with_support(1, station=120.0), RULE, "too-far-apart")

    assert finding.outcome is Outcome.STOP
    assert (finding.subject, finding.other) == ("run-1", "support-1-3")
    assert (finding.value, finding.limit, finding.station) == (192.0, 144.0, 216.0)
    assert "support-1-2 and support-1-3 of run-1 are 16 ft 0 in apart" in message(
        finding
    )

    # the fourth support halves the span
    run = plain_barn().runs[0]
    extra = replace(run.supports[0], id="support-1-4", station=216.0)
    row = (run.supports[0], replace(run.supports[1], station=120.0), run.supports[2])
    passed(with_run(supports=(*row, extra)), RULE)


def test_trusses_eight_feet_apart_allow_eight_feet() -> None:
    # 16 ft is the next truss: a stop; 8 ft passes
    run = plain_barn().runs[0]
    row = tuple(
        replace(run.supports[0], id=f"support-1-{k}", station=24.0 + 96.0 * k)
        for k in range(4)
    )
    passed(with_run(supports=row), RULE)
    assert len(breaches(with_run(supports=row[::2]), RULE)) == 1


@pytest.mark.parametrize(("count", "words"), [(0, "no support"), (1, "one support")])
def test_a_run_hangs_on_two_at_least(count: int, words: str) -> None:
    supports = plain_barn().runs[0].supports[:count]
    finding = only(with_run(supports=supports), RULE, "too-few")
    assert (finding.value, finding.limit) == (float(count), 2.0)
    assert message(finding).startswith(f"run-1 has {words};")
