"""Length of a cable, way of its clamps, its stretch."""

import math

import pytest

from core.errors import ValueRangeError
from core.mechanics.rope_path import (
    PathCircle,
    clamp_travel,
    elastic_stretch,
    far_end_lag,
    tangent_length,
)


def test_straight_past_a_pulley_that_is_just_touched() -> None:
    path = [
        PathCircle(x=0.0, y=0.0),
        PathCircle(x=50.0, y=2.0, radius=2.0, turn=1),
        PathCircle(x=100.0, y=0.0),
    ]
    assert tangent_length(path) == pytest.approx(100.0)


def test_a_crossed_belt_is_longer_than_an_open_one() -> None:
    a, b = PathCircle(x=0, y=0, radius=2), PathCircle(x=20, y=0, radius=2)
    crossed = PathCircle(x=20, y=0, radius=2, turn=-1)
    assert tangent_length([a, b], closed=True) == pytest.approx(40 + 4 * math.pi)
    assert tangent_length([a, crossed], closed=True) > 40 + 4 * math.pi


def test_overlapping_pulleys_are_refused() -> None:
    a = PathCircle(x=0, y=0, radius=2)
    with pytest.raises(ValueRangeError, match="must be over 4 in apart"):
        tangent_length([a, PathCircle(x=3, y=0, radius=2, turn=-1)])


def test_an_off_plumb_rope_moves_its_clamp_less_than_the_lift() -> None:
    assert clamp_travel(drop_low=60, drop_high=12, offset=6) < 48
    with pytest.raises(ValueRangeError):
        clamp_travel(drop_low=60, drop_high=-1)


def test_lag_is_the_sum_of_the_stretches() -> None:
    parts = [(5.0, 100.0), (9.0, 50.0)]
    single = sum(elastic_stretch(t, x, axial_stiffness=2e5) for t, x in parts)
    lag = far_end_lag(*zip(*parts, strict=True), axial_stiffness=2e5)
    assert lag == pytest.approx(single)


@pytest.mark.parametrize(("tension", "length", "stiffness"), [(-1, 1, 1), (1, 1, 0)])
def test_out_of_range_is_refused(
    tension: float, length: float, stiffness: float
) -> None:
    with pytest.raises(ValueRangeError):
        elastic_stretch(tension, length, axial_stiffness=stiffness)
