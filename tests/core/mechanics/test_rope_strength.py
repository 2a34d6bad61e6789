"""Strength left in a bent rope with an end."""

import math

import pytest

from core.errors import ValueRangeError
from core.mechanics.rope_strength import bend_efficiency, design_factor


def test_a_wider_sheave_keeps_more() -> None:
    shares = [bend_efficiency(0.125 * ratio, 0.125) for ratio in range(1, 60)]
    assert shares == sorted(shares)
    assert shares[-1] == 0.95  # from memory: a rope maker's table, last row


def test_a_sheave_thinner_than_its_rope_is_refused() -> None:
    with pytest.raises(ValueRangeError, match="sheave diameter"):
        bend_efficiency(0.1, 0.125)


def test_no_tension_is_no_limit() -> None:
    assert design_factor(2000.0, 0.0) == math.inf
    with pytest.raises(ValueRangeError, match="tension"):
        design_factor(2000.0, -1.0)
    with pytest.raises(ValueRangeError, match="bend efficiency"):
        design_factor(2000.0, 1.0, bend=1.2)
