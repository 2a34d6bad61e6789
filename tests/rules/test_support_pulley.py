"""A pulley that carries more than its rating is named, with its load."""

from dataclasses import replace

import pytest

from core.model.hoists import Parts
from core.model.job import RuleOverride
from core.rules.finding import Outcome
from tests.rules.spoiling import (
    GOOD,
    codes,
    findings,
    goes_wrong,
    with_hoist,
    with_part,
)

RULE = "support.pulley"


def test_a_weak_drop_pulley_is_overloaded() -> None:
    weak = with_part("drop-pulley-40", rating=10.0)
    item = goes_wrong(weak, RULE, "drop-overloaded", Outcome.STOP)
    assert item.other in {"support-1-2", "support-2-2"}
    assert item.limit == 10.0
    # hand-worked: 7.4 lb of pipe + 0.15 lb insulator over a right angle, the rope
    # 1.04 times tighter behind it: 7.7 sqrt(1 + 1.04^2) = 11 lb, with the cable's
    # own weight of 0.8 lb about 12 lb
    assert item.value == pytest.approx(12.0, abs=1.0)


def test_a_weak_turning_pulley_is_overloaded() -> None:
    weak = with_part("turning-pulley-175", rating=20.0)
    item = goes_wrong(weak, RULE, "turning-overloaded", Outcome.STOP)
    assert item.unit == "lb"


def test_a_stronger_part_counts_with_its_own_rating() -> None:
    """The limit is the rating of the part, not the usual 40 lb."""
    weak = with_part("drop-pulley-40", rating=10.0)
    run, other = weak.runs
    strong = tuple(replace(s, pulley="drop-pulley-100") for s in run.supports)
    mended = replace(weak, runs=(replace(run, supports=strong), other))
    over = [f for f in findings(mended, RULE) if f.code == "drop-overloaded"]
    assert {item.other for item in over} == {"support-2-2"}


def test_a_lower_limit_of_the_job_counts() -> None:
    override = RuleOverride(rule=RULE, value=10.0, reason="old pulleys")
    job = replace(GOOD.job, overrides=(override,))
    goes_wrong(replace(GOOD, job=job), RULE, "drop-overloaded", Outcome.STOP)


def test_a_weak_block_is_overloaded() -> None:
    two = with_hoist(parts=Parts.TWO, dead_end=(12.0, 110.0, 97.0))
    assert codes(two, RULE) == {}
    weak = with_part("snatch-block-3", rating=20.0)
    both = replace(weak, hoists=two.hoists)
    assert codes(both, RULE) == {"block-overloaded": Outcome.STOP}


def test_a_barn_without_a_hoist_is_not_passed_in_silence() -> None:
    bare = replace(GOOD, hoists=())
    assert codes(bare, RULE) == {"no-hoist": Outcome.NOT_CHECKED}
    assert {item.subject for item in findings(bare, RULE)} == {"run-1", "run-2"}
