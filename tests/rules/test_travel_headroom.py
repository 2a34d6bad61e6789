"""travel.headroom: the lowest part of a stowed run 80 in above the floor."""

from dataclasses import replace

import pytest

from core.model.barn import Barn
from core.model.room import FlatCeiling
from core.rules.finding import Outcome
from tests.rules.judging import breaches, passed, report
from tests.specimens import plain_barn

RULE = "travel.headroom"


def _under(ceiling: float) -> Barn:
    barn = plain_barn()
    return replace(barn, room=replace(barn.room, ceiling=FlatCeiling(height=ceiling)))


def test_a_high_ceiling_passes() -> None:
    assert len(passed(plain_barn(), RULE)) == 2


def test_sag_and_points_count_under_a_low_ceiling() -> None:
    barn = _under(91.0)
    first, second = breaches(barn, RULE)

    assert (first.code, second.code) == ("too-low", "too-low")
    assert first.outcome is Outcome.CAUTION
    assert first.limit == 80.0
    sag = report(barn).runs["run-1"].evidence.body.sag
    assert sag is not None
    # hand-worked: 91 - 9 - 0.461 = 81.539 in is the axis at its supports; the tips
    # are 2 in below it and the sag of the pipe's own rule comes off
    assert first.value == pytest.approx(81.539 - 2.0 - max(sag.depths), abs=1e-9)
    assert first.height == pytest.approx(81.539, abs=1e-9)

    passed(_under(92.0), RULE)
