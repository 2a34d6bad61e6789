"""Sag, slack ropes, joints at insulators, and a pipe that has no answer."""

from dataclasses import replace

from core.rules.finding import Outcome
from tests.rules.spoiling import (
    GOOD,
    codes,
    findings,
    goes_wrong,
    one,
    with_loose_rope,
    with_part,
    with_run,
)

RULE = "pipe.sag"


def test_a_smaller_limit_of_the_job_is_broken() -> None:
    strict = replace(GOOD, job=replace(GOOD.job, sag_limit=0.25))
    item = goes_wrong(strict, RULE, "sags", Outcome.STOP)
    assert item.limit == 0.25


def test_a_rope_that_is_too_long_goes_slack() -> None:
    assert "slack-rope" not in codes(GOOD, RULE)
    item = one(with_loose_rope(1), RULE, "slack-rope")
    assert (item.other, item.outcome) == ("support-1-2", Outcome.CAUTION)


def test_a_first_joint_under_an_insulator_is_named() -> None:
    item = goes_wrong(
        with_run(first_joint=24.5), RULE, "joint-at-insulator", Outcome.CAUTION
    )
    # hand-worked: joint at 24.5, insulator at 24
    assert item.value == 0.5


def test_hinged_joints_between_ropes_are_a_mechanism() -> None:
    """Three sticks on three ropes with hinges: two joints in one span fold."""
    limp = with_part("set-screw-coupling", rotational_stiffness=0.0)
    run = replace(limp.runs[0], stick_length=50.0)
    folded = replace(limp, runs=(run, limp.runs[1]))
    assert codes(folded, RULE)["unsolved"] is Outcome.STOP
    whys = [str(f.details["why"]) for f in findings(folded, RULE) if f.details]
    assert any("folds" in why for why in whys)


def test_a_run_without_ropes_has_no_answer() -> None:
    goes_wrong(with_run(supports=()), RULE, "unsolved", Outcome.STOP)
