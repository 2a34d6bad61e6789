"""Side value of a lag screw."""

import math

import pytest

from core.errors import ValueRangeError
from core.mechanics.lag_side import lag_side_value

LAG = {"root": 0.173, "bending_yield": 70e3, "penetration": 2.0, "plate": 0.105}


def test_more_wood_and_a_thicker_plate_hold_no_less() -> None:
    base = lag_side_value(0.42, 0.25, **LAG)
    assert lag_side_value(0.55, 0.25, **LAG) > base
    assert lag_side_value(0.42, 0.25, **LAG | {"plate": 0.134}) >= base
    assert lag_side_value(0.42, 0.25, **LAG | {"penetration": 1.0}) <= base


def test_the_pull_along_the_grain_is_the_strongest() -> None:
    values = [
        lag_side_value(0.5, 0.25, grain_angle=math.radians(a), **LAG)
        for a in (0, 30, 60, 90)
    ]
    assert values == sorted(values, reverse=True)


@pytest.mark.parametrize(
    ("change", "text"),
    [
        ({"penetration": 0.9}, "penetration of the lag = 0.9 in must be at least 1 in"),
        ({"plate": 0.0}, "plate"),
        ({"root": 0.3}, "root diameter"),
    ],
)
def test_out_of_range_is_refused(change: dict[str, float], text: str) -> None:
    with pytest.raises(ValueRangeError, match=text):
        lag_side_value(0.5, 0.25, **LAG | change)
