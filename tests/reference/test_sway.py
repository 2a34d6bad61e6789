"""Group I: sway in the air of the fans.

Published: drag with Cd 1.2 (subcritical). From memory: Cd ~ 1 + 10 Re^(-2/3)
(White, Viscous Fluid Flow). Second method: SI units and a non-linear ODE of the
pendulum.
"""

import math

import pytest

from core.mechanics.sway import (
    drag_coefficient,
    pendulum_period,
    reynolds_number,
    sway,
    sway_offsets,
    wind_load,
)
from tests.reference.check_values import assert_case, ids, inputs

pytestmark = pytest.mark.reference

SWAYS = ["I01", "I02", "I03"]
DRAGS = ["I06", "I07"]
SQUARE_INCHES_A_SQUARE_METRE = 1550.0031


def test_every_case_of_the_group_is_used():
    assert {*SWAYS, *DRAGS} == set(ids(group="I"))


@pytest.mark.parametrize("case", SWAYS)
def test_sway_steady_and_in_a_gust(case):
    given = inputs(case)
    load = wind_load(
        given["air_fpm"] / 5,
        given["OD_in"],
        drag=given["Cd"],
        air_weight=given["air_lb_per_ft3"] / 1728,
    )
    swing = sway(load, given["w_lb_per_ft"] / 12)
    rope = float(given["rope_in"])
    assert_case(
        case,
        12 * load,
        math.degrees(swing.steady),
        float(sway_offsets(swing.steady, [rope])[0]),
        float(sway_offsets(swing.gust, [rope])[0]),
        pendulum_period(rope),
    )


@pytest.mark.parametrize("case", DRAGS)
def test_reynolds_number_and_drag(case):
    given = inputs(case)
    viscosity = given["mu_Pa_s"] / given["rho_kg_m3"] * SQUARE_INCHES_A_SQUARE_METRE
    reynolds = reynolds_number(
        given["air_fpm"] / 5, given["OD_in"], kinematic_viscosity=viscosity
    )
    assert_case(case, reynolds, drag_coefficient(reynolds))
