"""Group M, headroom.

- Hand-worked: ceiling - stow drop - diameter - sag - hang of the points (M01, M02).
- Published: 29 CFR 1910.36(g)(1) and (2) (M04, M05); 1928.21(b) (M06).
"""

import pytest

from core.mechanics.headroom import (
    BINDS_FARM_OPERATIONS,
    EXIT_CEILING_HEIGHT,
    EXIT_PROJECTION_HEIGHT,
    EXIT_WIDTH,
    stowed_headroom,
)
from tests.reference.check_values import assert_case, check_values, ids, inputs

pytestmark = pytest.mark.reference


def test_every_case_of_the_group_is_used() -> None:
    assert {"M01", "M02", "M04", "M05", "M06"} == set(ids(group="M"))


@pytest.mark.parametrize("case_id", ["M01", "M02"])
def test_height_under_the_lowest_part(case_id: str) -> None:
    each = inputs(case_id)
    height = stowed_headroom(
        each["ceiling_in"],
        stow_drop=each["stow_drop_to_pipe_top_in"],
        outside_diameter=each["OD_in"],
        sag=each["sag_in"],
        point_hang=each["point_hang_in"],
    )
    assert_case(case_id, height)


def test_exit_route_heights_and_width() -> None:
    assert_case("M04", EXIT_CEILING_HEIGHT, EXIT_PROJECTION_HEIGHT)
    assert_case("M05", EXIT_WIDTH)


def test_the_exit_rule_is_a_design_target_on_a_farm() -> None:
    assert check_values()["M06"]["expected"] == "no"
    assert BINDS_FARM_OPERATIONS is False
