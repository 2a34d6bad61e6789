"""Load and friction of one pulley."""

import math

import numpy as np
import pytest

from core.errors import ValueRangeError
from core.mechanics.pulley import (
    friction_ratio,
    pulley_forces,
    pulley_load,
    ratio_at_wrap,
    wrap_angle,
)


def test_direction_of_the_force_turns_through_the_travel() -> None:
    # a clamp that comes nearer: the rope behind it gets steeper
    heights = np.array([[0.0, 0.0, z] for z in (20.0, 60.0, 89.0)])
    forces = pulley_forces(
        10.0, 10.0, came_from=heights, pulley=(0, 30.0, 90.0), goes_to=(0, 300.0, 90.0)
    )
    assert forces.vectors.shape == (3, 3)
    assert (np.diff(forces.sizes) < 0).all()
    assert forces.worst == 0
    loads = [pulley_load(10.0, 10.0, float(wrap)) for wrap in forces.wraps]
    assert forces.sizes == pytest.approx(loads)


def test_tensions_may_change_with_the_position_too() -> None:
    # hand-worked: the two parts are square to each other
    forces = pulley_forces(
        [5.0, 6.0], [5.5, 6.6], came_from=(0, 0, 0), pulley=(0, 0, 9), goes_to=(9, 0, 9)
    )
    assert forces.sizes == pytest.approx([math.hypot(5, 5.5), math.hypot(6, 6.6)])


def test_force_is_that_of_turning_by_hand() -> None:
    forces = pulley_forces(
        5.2, 1.09 * 5.2, came_from=(3, 4, 0), pulley=(3, 4, 80), goes_to=(3, 90, 80)
    )
    assert forces.vectors[0] == pytest.approx([0.0, 5.668, -5.2])
    assert forces.wraps[0] == pytest.approx(math.pi / 2)


def test_a_rope_point_in_the_pulley_is_refused() -> None:
    with pytest.raises(ValueRangeError, match="lies in the centre"):
        pulley_forces(1, 1, came_from=(0, 0, 0), pulley=(0, 0, 0), goes_to=(1, 0, 0))
    with pytest.raises(ValueRangeError, match="has no length"):
        wrap_angle((0, 0, 0), (1, 0, 0))


@pytest.mark.parametrize("wrap", [-0.1, 3.2])
def test_a_wrap_beyond_half_a_turn_is_refused(wrap: float) -> None:
    with pytest.raises(ValueRangeError, match="wrap"):
        pulley_load(1.0, 1.0, wrap)
    with pytest.raises(ValueRangeError, match="wrap"):
        ratio_at_wrap(1.1, wrap)


def test_ratio_at_half_a_turn_is_the_one_measured() -> None:
    assert ratio_at_wrap(1.09, math.pi) == pytest.approx(1.09)
    pin = {"friction": 0.1, "pin_radius": 0.25, "sheave_radius": 1.0}
    measured = friction_ratio(math.pi, **pin)
    for wrap in (0.3, 1.0, 2.0):
        exact = friction_ratio(wrap, **pin)
        assert ratio_at_wrap(measured, wrap) == pytest.approx(exact, abs=1e-4)
