"""layout.coverage: share of the pen floor in lanes 10 ft wide.

Hand-worked: each strip of pens is 396 in long and as wide as a lane, 120 in; run
and lane go from x = 24 to 384: 360 / 396 of it is served, and two ends of 24 in and
12 in by 120 in are left of each strip.
"""

from dataclasses import replace

import pytest

from core.rules.finding import Outcome
from core.rules.wording import message
from tests.rules.judging import breaches, only, passed
from tests.specimens import plain_barn

RULE = "layout.coverage"


def test_most_of_the_plain_floor_is_served() -> None:
    (found,) = passed(plain_barn(), RULE)
    assert found.value == pytest.approx(100.0 * 360.0 / 396.0, abs=1e-9)
    assert found.limit == 90.0
    # the largest is 24 in by 120 in, 20 sq ft
    assert "4 places are left out, the largest 20 sq ft" in message(found)


def test_shorter_runs_leave_floor_unserved() -> None:
    barn = plain_barn()
    runs = tuple(replace(run, end=(348.0, run.end[1])) for run in barn.runs)
    finding = only(replace(barn, runs=runs), RULE, "floor-not-served")

    assert finding.outcome is Outcome.CAUTION
    assert finding.value == pytest.approx(100.0 * 324.0 / 396.0, abs=1e-9)  # 348 - 24


def test_a_strip_without_a_run_is_named() -> None:
    barn = plain_barn()
    runs = (barn.runs[0],)
    alone = replace(
        barn,
        runs=runs,
        hoists=(),
        electrical=replace(barn.electrical, leads=barn.electrical.leads[:1]),
    )
    found = {(item.code, item.subject) for item in breaches(alone, RULE)}
    assert found == {("floor-not-served", "room"), ("strip-not-served", "strip-2")}


def test_a_room_without_pens_is_not_checked() -> None:
    barn = plain_barn()
    finding = only(replace(barn, room=replace(barn.room, pens=())), RULE, "no-pens")
    assert finding.outcome is Outcome.NOT_CHECKED
