"""Weight and stiffness of a tube."""

import math

import pytest

from core.errors import ValueRangeError
from core.mechanics.tube import bending_stress, run_weight, second_moment, tube_weight


def test_a_tube_walled_to_its_middle_is_a_bar() -> None:
    assert second_moment(1.0, 0.5) == pytest.approx(math.pi / 64)  # by hand
    # 0.2836 lb/in3 of steel, second method: area times density
    assert tube_weight(1.0, 0.5) == pytest.approx(math.pi / 4 * 0.2836, rel=2e-3)


@pytest.mark.parametrize(("diameter", "wall"), [(1.0, 0.51), (1.0, 0.0), (0.0, 0.1)])
def test_a_section_that_cannot_be_made_is_refused(diameter: float, wall: float) -> None:
    with pytest.raises(ValueRangeError, match=" in must be "):
        tube_weight(diameter, wall)
    with pytest.raises(ValueRangeError):
        second_moment(diameter, wall)


def test_stress_has_no_sign() -> None:
    assert bending_stress(-50, 0.922, 0.049) == bending_stress(50, 0.922, 0.049)


def test_weight_of_nothing_is_nothing() -> None:
    assert run_weight(0.0, 0.04) == 0.0
