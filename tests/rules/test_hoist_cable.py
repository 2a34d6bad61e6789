"""Every rope holds five times its tension, bends and ends counted."""

import pytest

from core.rules.finding import Outcome
from tests.rules.spoiling import GOOD, goes_wrong, one, with_part

RULE = "hoist.cable"


def test_a_weak_cable_is_too_thin() -> None:
    weak = with_part("cable-7x19-3-16", breaking_strength=100.0)
    item = goes_wrong(weak, RULE, "too-thin", Outcome.STOP)
    assert item.limit == 5.0


def test_the_factor_counts_bend_and_end_fitting() -> None:
    """Hand-worked: 900 x 0.835 x 0.5 / tension; D/d = 1.5625/0.1875 = 8.33 gives
    0.83 + 0.33/2 x 0.03 = 0.835 by the published rows 8 and 10."""
    item = one(GOOD, RULE, "kept")
    tension = item.details["tension"]
    assert isinstance(tension, float)
    assert item.value == pytest.approx(900.0 * 0.835 * 0.5 / tension, rel=1e-3)


def test_a_weak_turnbuckle_is_overloaded() -> None:
    weak = with_part("turnbuckle-3-8", rating=10.0)
    goes_wrong(weak, RULE, "turnbuckle-overloaded", Outcome.STOP)
