"""layout.lane: a run keeps to the middle of its strip.

Hand-worked: strip-1 is 120 in wide from y = 0, its middle at y = 60.
"""

import pytest

from core.rules.finding import Outcome
from tests.rules.judging import only, passed
from tests.rules.spoiling import with_run
from tests.specimens import plain_barn

RULE = "layout.lane"


def test_a_run_in_the_middle_passes() -> None:
    first, _ = passed(plain_barn(), RULE)
    assert (first.value, first.other) == (0.0, "strip-1")


@pytest.mark.parametrize(
    ("start", "end", "station"),
    [
        ((24.0, 73.0), (384.0, 73.0), 0.0),
        ((24.0, 60.0), (384.0, 47.0), 360.2346),  # hand-worked: hypot(360, 13)
    ],
)
def test_a_run_thirteen_inches_off_is_a_caution(
    start: tuple[float, float], end: tuple[float, float], station: float
) -> None:
    finding = only(with_run(start=start, end=end), RULE, "off-middle")

    assert finding.outcome is Outcome.CAUTION
    assert (finding.subject, finding.other) == ("run-1", "strip-1")
    assert (finding.value, finding.limit) == (13.0, 12.0)
    assert finding.station == pytest.approx(station, abs=1e-4)

    passed(with_run(start=(24.0, 72.0), end=(384.0, 48.0)), RULE)


def test_a_run_that_names_no_strip_is_not_checked() -> None:
    finding = only(with_run(strip=None), RULE, "no-strip")
    assert finding.outcome is Outcome.NOT_CHECKED
