"""Runs of one hoist have one travel, for their clamps move alike."""

import pytest

from core.rules.finding import Outcome
from tests.rules.spoiling import goes_wrong, with_run

RULE = "hoist.travel"


def test_a_run_with_less_way_is_named() -> None:
    item = goes_wrong(with_run(working_height=54.0), RULE, "unequal", Outcome.STOP)
    # hand-worked: 54 in instead of 50 in
    assert item.value == pytest.approx(4.0)
    assert item.other == "run-1"
