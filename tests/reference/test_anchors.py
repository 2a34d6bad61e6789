"""Group H: screws in wood, and the side values of NDS 2018 Table 12K.

Published: NDS 2015/2018 Table 12.2A and Eq. 12.2-1, 12.2-2, Table 11.3.1; Table
12K as printed (a county's scanned copy). From memory: CD, CM, 12.4.1 and the
specific gravities. Second method: vector sum for the load of a drop pulley.
"""

import math

import pytest

from core.mechanics.anchor import (
    anchor_load,
    combined_value,
    lag_withdrawal,
    withdrawal_value,
    wood_screw_withdrawal,
)
from core.mechanics.lag_side import lag_side_value
from tests.reference.check_values import assert_case, ids, inputs

pytestmark = pytest.mark.reference

LAGS = ["H01", "H02", "H03", "H05"]
WOOD_SCREWS = ["H08", "H09", "H11"]
ALLOWED = ["H12", "H13", "H14"]
COMBINED = ["H16", "H18", "H19"]
DROPS = ["H20", "H21"]

# Specific gravities of the columns of Table 12K, and its printed values [lbf] along
# and square to the grain by plate thickness and lag diameter [in].
GRAVITIES = (0.67, 0.55, 0.50, 0.46, 0.43, 0.42, 0.37, 0.36)
TABLE_12K = {
    (0.105, 0.25): (
        (180, 170, 160, 160, 150, 150, 140, 140),
        (140, 130, 120, 110, 110, 110, 100, 100),
    ),
    (0.105, 0.3125): (
        (230, 210, 200, 190, 190, 190, 180, 170),
        (170, 150, 140, 130, 130, 120, 110, 110),
    ),
    (0.105, 0.375): (
        (230, 210, 200, 200, 190, 190, 180, 180),
        (160, 140, 140, 130, 120, 120, 110, 110),
    ),
    (0.134, 0.25): (
        (200, 180, 180, 170, 160, 160, 150, 150),
        (150, 140, 130, 120, 120, 110, 110, 100),
    ),
}
# Root diameter [in] and bending yield strength [lbf/in2] by lag diameter [in]: NDS
# 2018 App. L2 and footnote 2 of Table 12K, from memory.
LAGS_12K = {0.25: (0.173, 70e3), 0.3125: (0.227, 60e3), 0.375: (0.265, 45e3)}


def test_every_case_of_the_group_is_used():
    used = {*LAGS, *WOOD_SCREWS, *ALLOWED, *COMBINED, *DROPS}
    assert used == set(ids(group="H"))


@pytest.mark.parametrize("case", LAGS)
def test_lag_withdrawal(case):
    given = inputs(case)
    assert_case(case, lag_withdrawal(given["G"], given["dia_in"]))


@pytest.mark.parametrize("case", WOOD_SCREWS)
def test_wood_screw_withdrawal(case):
    given = inputs(case)
    assert_case(case, wood_screw_withdrawal(given["G"], given["dia_in"]))


@pytest.mark.parametrize("case", ALLOWED)
def test_allowed_withdrawal(case):
    given = inputs(case)
    value = withdrawal_value(
        lag_withdrawal(given["G"], given["dia_in"]),
        given["thread_penetration_in"],
        duration=given["CD"],
        service=given["CM"],
        screws=given["screws"],
    )
    assert_case(case, value)


@pytest.mark.parametrize("case", COMBINED)
def test_combined_withdrawal_and_side_pull(case):
    given = inputs(case)
    angle = math.radians(given["alpha_deg"])
    value = combined_value(given["Wprime_p_lb"], given["Zprime_lb"], angle)
    assert_case(case, value)


@pytest.mark.parametrize("case", DROPS)
def test_load_of_a_drop_pulley_on_its_screw(case):
    given = inputs(case)
    load = anchor_load((given["K"] * given["drop_lb"], 0.0, -given["drop_lb"]))
    assert_case(case, load.size, math.degrees(load.angle))


@pytest.mark.parametrize(("plate", "diameter"), TABLE_12K)
def test_side_value_gives_back_table_12k(plate, diameter):
    root, bending_yield = LAGS_12K[diameter]

    def row(angle):
        return tuple(
            round(
                lag_side_value(
                    gravity,
                    diameter,
                    root=root,
                    bending_yield=bending_yield,
                    penetration=8 * diameter,
                    plate=plate,
                    grain_angle=angle,
                ),
                -1,
            )
            for gravity in GRAVITIES
        )

    assert (row(0.0), row(math.pi / 2)) == TABLE_12K[plate, diameter]
