"""clearance.runs: the envelope between two runs.

Hand-worked: two tubes of radius 0.461 in side by side, their axes 0.922 + gap
apart, leave that gap; both hang on one hoist and rise together.
"""

from dataclasses import replace

import pytest

from core.model.barn import Barn
from core.rules.wording import message
from tests.rules.judging import only, passed
from tests.specimens import plain_barn

RULE = "clearance.runs"


def _apart(gap: float) -> Barn:
    barn = plain_barn()
    first, second = barn.runs
    y = 60.0 + 0.922 + gap
    return replace(barn, runs=(first, replace(second, start=(24.0, y), end=(384.0, y))))


def test_runs_in_their_own_strips_are_well_apart() -> None:
    assert passed(plain_barn(), RULE) == []


def test_two_runs_five_inches_apart_are_told_once() -> None:
    spoilt = only(_apart(5.0), RULE, "too-near")

    assert (spoilt.subject, spoilt.other) == ("run-1", "run-2")
    assert spoilt.value == pytest.approx(5.0, abs=1e-9)  # hand-worked, see above
    assert spoilt.limit == 6.0

    passed(_apart(6.001), RULE)


def test_runs_through_each_other_meet() -> None:
    barn = plain_barn()
    first, second = barn.runs
    crossing = replace(second, start=(100.0, 40.0), end=(300.0, 80.0))
    spoilt = only(replace(barn, runs=(first, crossing)), RULE, "too-near")
    words = message(spoilt)
    assert words.startswith("run-1 and run-2 meet ")
    assert "from the front end of run-1" in words
