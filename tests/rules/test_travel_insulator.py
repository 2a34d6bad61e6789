"""travel.insulator: a gap between insulator and pulley when stowed.

Hand-worked: stowed the tube's top is 9 in below the ceiling, the 6-in insulator
stands on it and leans with its rope, which meets its wheel 0.875 in aside: it is
6 cos(lean) high. The gap is what is left to the pulley's middle.
"""

from math import hypot

import pytest

from core.rules.finding import Outcome
from core.rules.wording import message
from tests.rules.judging import only, passed
from tests.rules.spoiling import with_support
from tests.specimens import plain_barn

RULE = "travel.insulator"


def _gap(pulley_drop: float) -> float:
    rise = 100.0 - pulley_drop - 50.461  # from the tube at work to the wheel
    return 9.0 - pulley_drop - 6.0 * rise / hypot(rise, 0.875)


def test_half_an_inch_passes() -> None:
    first, _ = passed(plain_barn(), RULE)
    assert first.value == pytest.approx(_gap(2.5), abs=1e-9)


@pytest.mark.parametrize(
    ("drop", "words"),
    [(2.875, "is 0.13 in under its pulley"), (4.0, "is pulled 1.00 in into its")],
)
def test_a_pulley_hung_too_low_is_a_stop(drop: float, words: str) -> None:
    finding = only(with_support(1, pulley_drop=drop), RULE, "pulled-in")

    assert finding.outcome is Outcome.STOP
    assert (finding.subject, finding.other) == ("run-1", "support-1-2")
    assert finding.value == pytest.approx(_gap(drop), abs=1e-9)
    assert (finding.limit, finding.lift, finding.station) == (0.25, 1.0, 168.0)
    assert words in message(finding)

    passed(with_support(1, pulley_drop=2.625), RULE)


def test_a_longer_insulator_needs_a_lower_run() -> None:
    only(with_support(1, insulator="rod-insulator-9"), RULE, "pulled-in")
