"""layout.working-height: marked 50 in above the floor, above the partitions."""

from dataclasses import replace

import pytest

from core.model.barn import Barn
from core.rules.finding import Outcome
from tests.rules.judging import only, passed
from tests.rules.spoiling import with_run
from tests.specimens import plain_barn

RULE = "layout.working-height"


def _partitions(height: float) -> Barn:
    barn = plain_barn()
    pens = tuple(replace(pen, partition_height=height) for pen in barn.room.pens)
    return replace(barn, room=replace(barn.room, pens=pens))


def test_the_marked_height_passes() -> None:
    first, _ = passed(plain_barn(), RULE)
    assert (first.value, first.limit, first.lift) == (50.0, 50.0, 0.0)


@pytest.mark.parametrize("height", [53.0, 47.0])
def test_three_inches_off_the_mark_are_a_caution(height: float) -> None:
    finding = only(with_run(working_height=height), RULE, "not-as-marked")

    assert finding.outcome is Outcome.CAUTION
    assert (finding.value, finding.limit) == (height, 50.0)

    passed(with_run(working_height=52.0), RULE)


def test_points_below_the_partitions_are_a_stop() -> None:
    # hand-worked: the tips are 2 in below the axis at 50 in, less a sag under 3/4 in
    pens = plain_barn().room.pens
    barn = _partitions(48.0)
    room = replace(barn.room, pens=(*barn.room.pens[:4], *pens[4:]))
    finding = only(replace(barn, room=room), RULE, "below-partitions")

    assert finding.outcome is Outcome.STOP
    assert (finding.subject, finding.limit) == ("run-1", 48.0)
    assert finding.value is not None
    assert 47.25 < finding.value < 48.0

    passed(_partitions(47.0), RULE)
