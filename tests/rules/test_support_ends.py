"""support.ends: at most 4 ft of pipe beyond the first and the last support."""

import pytest

from core.rules.finding import Outcome
from core.rules.wording import message
from tests.rules.judging import only, passed
from tests.rules.spoiling import with_run, with_support
from tests.specimens import plain_barn

RULE = "support.ends"


def test_two_and_four_feet_pass() -> None:
    front, far, *_ = passed(plain_barn(), RULE)
    assert (front.value, far.value, far.limit) == (24.0, 48.0, 48.0)


def test_five_feet_at_the_front_are_a_stop() -> None:
    finding = only(with_support(0, station=60.0), RULE, "long-end")

    assert finding.outcome is Outcome.STOP
    assert (finding.subject, finding.other) == ("run-1", "support-1-1")
    assert (finding.value, finding.limit) == (60.0, 48.0)
    assert "at its front end" in message(finding)

    passed(with_support(0, station=48.0), RULE)


def test_five_feet_at_the_far_end_are_a_stop() -> None:
    # hand-worked: the run is 396 - 24 = 372 in long, its last support at 312 in
    finding = only(with_run(end=(396.0, 60.0)), RULE, "long-end")
    assert (finding.other, finding.value) == ("support-1-3", 60.0)
    assert "at its far end" in message(finding)


def test_a_slanted_run_is_measured_along_itself() -> None:
    # hand-worked: hypot(360, 27) - 312 = 49.0111 in
    finding = only(with_run(end=(384.0, 87.0)), RULE, "long-end")
    assert finding.value == pytest.approx((360.0**2 + 27.0**2) ** 0.5 - 312.0, abs=1e-9)
