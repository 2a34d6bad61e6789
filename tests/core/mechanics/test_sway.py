"""Sway: ranges and limits."""

import math

import pytest

from core.errors import ValueRangeError
from core.mechanics.sway import (
    drag_coefficient,
    pendulum_period,
    reynolds_number,
    sway,
    sway_offsets,
    wind_load,
)


def test_still_air_moves_nothing() -> None:
    assert wind_load(0.0, 0.922) == 0.0
    assert sway(0.0, 0.04).gust == 0.0


def test_a_gust_beyond_level_swings_out_by_the_whole_rope() -> None:
    swing = sway(4.0, 1.0)
    assert swing.gust > math.pi / 2
    assert sway_offsets(swing.gust, [60.0]).tolist() == [60.0]


def test_the_constant_is_the_larger_drag_at_barn_air_speeds() -> None:
    for speed in (50.0, 100.0, 200.0, 300.0):
        assert drag_coefficient(reynolds_number(speed, 0.706)) < 1.2
    assert drag_coefficient(5.0e4) == 1.2


def test_the_drag_crisis_is_out_of_range() -> None:
    with pytest.raises(ValueRangeError, match="Reynolds number"):
        drag_coefficient(3.0e5)


def test_out_of_range_is_refused() -> None:
    with pytest.raises(ValueRangeError, match="weight = 0 lbf/in"):
        sway(0.1, 0.0)
    with pytest.raises(ValueRangeError, match="rope length"):
        pendulum_period(-1.0)
    with pytest.raises(ValueRangeError, match="air speed"):
        wind_load(-1.0, 0.9)
