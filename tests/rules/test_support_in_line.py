"""support.in-line: drop pulleys straight above the run."""

import pytest

from core.rules.finding import Outcome
from tests.rules.judging import only, passed
from tests.rules.spoiling import with_support
from tests.specimens import plain_barn

RULE = "support.in-line"


def test_pulleys_straight_above_pass() -> None:
    first, _ = passed(plain_barn(), RULE)
    assert (first.value, first.limit) == (0.0, 1.0)


@pytest.mark.parametrize(
    ("along", "across", "off"),
    [(0.0, 1.5, 1.5), (0.0, -1.5, 1.5), (1.5, 2.0, 2.5)],  # hand-worked: 3-4-5 halved
)
def test_a_pulley_off_plumb_is_a_caution(
    along: float, across: float, off: float
) -> None:
    spoilt = with_support(1, along=along, across=across)
    finding = only(spoilt, RULE, "not-plumb")

    assert finding.outcome is Outcome.CAUTION
    assert (finding.subject, finding.other) == ("run-1", "support-1-2")
    assert finding.value == pytest.approx(off, abs=1e-9)
    assert (finding.limit, finding.station) == (1.0, 168.0)

    passed(with_support(1, across=1.0), RULE)
