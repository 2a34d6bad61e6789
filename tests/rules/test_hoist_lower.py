"""A far rope that goes slack while lowering is named."""

import pytest

from core.rules.finding import Outcome
from tests.rules.spoiling import (
    codes,
    goes_wrong,
    one,
    with_loose_rope,
    with_part,
    with_run,
)

RULE = "hoist.lower"


def test_a_stiff_pulley_leaves_the_far_rope_slack() -> None:
    """Light as it is, the far end cannot pull its rope back through."""
    stiff = with_part("drop-pulley-40", friction_ratio=40.0)
    item = goes_wrong(stiff, RULE, "goes-slack", Outcome.STOP)
    assert "support-1-1" in str(item.details["names"])
    assert item.value is not None
    assert item.limit is not None
    assert item.value < item.limit


def test_a_rope_that_carries_nothing_is_slack_while_lowering() -> None:
    """A rope a foot too long holds its insulator, 0.15 lb, less 0.25 lb of drag.

    Hand-worked: without it the pipe sags 5 w L^4 / 384 EI = 9 in there.
    """
    item = one(with_loose_rope(1), RULE, "goes-slack")
    assert item.details["names"] == "support-1-2"
    assert item.limit == 0.1  # common practice, no published source
    # hand-worked: 0.8 x (0.15 lb and 0.04 lb of rope) / (1 + 2 x 0.064) - 0.25 lb
    assert item.value == pytest.approx(-0.113, abs=0.003)


def test_an_unsolved_pipe_is_not_judged() -> None:
    assert codes(with_run(supports=()), RULE) == {"loads-unknown": Outcome.NOT_CHECKED}
