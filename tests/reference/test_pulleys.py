"""Group C: load on a pulley and wrap.

Published: rigging-handbook table of angle factors, by the angle between the
lines. From memory with a vector sum as second method: unequal tensions. The wrap
in space: vector geometry, second method atan2.
"""

import math

import pytest

from core.mechanics.pulley import (
    pulley_forces,
    pulley_load,
    wrap_angle,
    wrap_from_included_angle,
)
from tests.reference.check_values import assert_case, ids, inputs

pytestmark = pytest.mark.reference

FACTORS = ["C01", "C02", "C04", "C05", "C07"]
UNEQUAL = ["C08", "C09", "C11"]
IN_SPACE = ["C12", "C13"]


def test_every_case_of_the_group_is_used():
    assert {*FACTORS, *UNEQUAL, *IN_SPACE} == set(ids(group="C"))


@pytest.mark.parametrize("case", FACTORS)
def test_handbook_factor_by_angle_between_lines(case):
    given = inputs(case)
    wrap = wrap_from_included_angle(math.radians(given["angle_between_lines_deg"]))
    assert math.degrees(wrap) == pytest.approx(given["wrap_deg"])
    assert_case(case, pulley_load(1.0, 1.0, wrap))


@pytest.mark.parametrize("case", UNEQUAL)
def test_unequal_tensions(case):
    given = inputs(case)
    wrap = math.radians(given["wrap_deg"])
    assert_case(case, pulley_load(given["T1_lb"], given["T2_lb"], wrap))
    forces = pulley_forces(
        given["T1_lb"],
        given["T2_lb"],
        came_from=(-1.0, 0.0, 0.0),
        pulley=(0.0, 0.0, 0.0),
        goes_to=(math.cos(wrap), math.sin(wrap), 0.0),
    )
    assert_case(case, float(forces.sizes[0]))


@pytest.mark.parametrize("case", IN_SPACE)
def test_wrap_from_directions_in_space(case):
    given = inputs(case)
    wrap = wrap_angle(given["dir_in"], given["dir_out"])
    assert_case(case, math.degrees(wrap))
