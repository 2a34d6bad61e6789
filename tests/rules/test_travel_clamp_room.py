"""travel.clamp-room: no clamp reaches the next pulley.

Hand-worked: from the first pulley of run-1 to the rim of the next are 144 - 0.875 -
0.25 in, the rim a rope of 1/4 in beyond the rope's axis; the run rises by 90.539 - 50
= 40.539 in and half of the clamp is 0.75 in.
"""

from dataclasses import replace

import pytest

from core.rules.finding import Outcome
from core.rules.wording import message
from tests.rules.judging import breaches, only, passed
from tests.rules.spoiling import with_support
from tests.specimens import plain_barn

RULE = "travel.clamp-room"
FREE = 144.0 - 0.875 - 0.25 - 40.539 - 0.75


def test_the_clamps_of_the_plain_barn_have_room() -> None:
    first, _ = passed(plain_barn(), RULE)
    assert first.other == "support-1-3"  # the one before the turning pulley


@pytest.mark.parametrize(
    ("gap", "words"),
    [
        (101.25, "has 0.34 in of way left"),
        (104.0, "meets the next pulley 2.41 in before the run is stowed"),
    ],
)
def test_a_clamp_set_too_far_on_is_a_stop(gap: float, words: str) -> None:
    finding = only(with_support(0, clamp_gap=gap), RULE, "meets-pulley")

    assert finding.outcome is Outcome.STOP
    assert (finding.subject, finding.other) == ("run-1", "support-1-1")
    assert finding.value == pytest.approx(FREE - gap, abs=1e-9)
    assert (finding.limit, finding.station) == (1.0, 24.0)
    assert words in message(finding)

    passed(with_support(0, clamp_gap=100.0), RULE)


def test_a_run_without_a_cable_is_not_checked() -> None:
    found = breaches(replace(plain_barn(), hoists=()), RULE)
    assert [(item.code, item.subject) for item in found] == [
        ("no-cable", "run-1"),
        ("no-cable", "run-2"),
    ]
    assert {item.outcome for item in found} == {Outcome.NOT_CHECKED}
