"""travel.stow-gap: stowed 8.5 to 9.5 in below the lowest ceiling over the run."""

import pytest

from core.rules.finding import Outcome
from tests.rules.judging import only, passed
from tests.rules.spoiling import with_run
from tests.specimens import plain_barn

RULE = "travel.stow-gap"


def test_nine_inches_pass() -> None:
    first, _ = passed(plain_barn(), RULE)
    assert first.value == 9.0
    # hand-worked: ceiling 100 - 9 - radius 0.461
    assert first.height == pytest.approx(90.539, abs=1e-9)


@pytest.mark.parametrize(("gap", "limit"), [(8.25, 8.5), (9.75, 9.5)])
def test_a_quarter_inch_beyond_is_a_caution(gap: float, limit: float) -> None:
    finding = only(with_run(stow_drop=gap), RULE, "gap-off")

    assert finding.outcome is Outcome.CAUTION
    assert (finding.subject, finding.value, finding.limit) == ("run-1", gap, limit)

    passed(with_run(stow_drop=limit), RULE)
