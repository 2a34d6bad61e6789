"""Group L, floor coverage.

Hand-worked: union of rectangles clipped to the room, as stored with each case;
second method: raster of 0.05 ft (L01 to L03, L09), search (L06, L07).
"""

import math
from typing import Any

import pytest

from core.geometry.coverage import fewest_lanes, floor_coverage, lane_outline
from tests.reference.check_values import assert_case, ids, inputs

pytestmark = pytest.mark.reference

STRAIGHT = ["L01", "L02", "L03"]
FEWEST = ["L06", "L07"]


def test_every_case_of_the_group_is_used() -> None:
    assert {*STRAIGHT, *FEWEST, "L09"} == set(ids(group="L"))


def room(each: dict[str, Any]) -> list[tuple[float, float]]:
    along, across = (12 * feet for feet in each["room_ft"])
    return [(0, 0), (along, 0), (along, across), (0, across)]


@pytest.mark.parametrize("case_id", STRAIGHT)
def test_share_inside_straight_lanes(case_id: str) -> None:
    each = inputs(case_id)
    first, last = (12 * feet for feet in each["run_x_ft"])
    width = 12 * each["lane_ft"]
    lanes = [
        lane_outline((first, 12 * y), (last, 12 * y), width=width)
        for y in each["run_y_ft"]
    ]
    assert_case(case_id, floor_coverage(lanes, [room(each)]).share)


@pytest.mark.parametrize("case_id", FEWEST)
def test_fewest_lanes(case_id: str) -> None:
    each = inputs(case_id)
    width, lane_width = 12 * each["width_ft"], 12 * each["lane_ft"]
    count, spacing = fewest_lanes(width, lane_width=lane_width)
    assert_case(case_id, count, spacing / 12)


def test_share_inside_a_turned_lane() -> None:
    each = inputs("L09")
    start = (12 * each["run_x_ft"][0], 12 * each["run_y_ft"])
    length = 12 * (each["run_x_ft"][1] - each["run_x_ft"][0])
    turn = math.radians(each["angle_deg"])
    end = (start[0] + length * math.cos(turn), start[1] + length * math.sin(turn))
    lane = lane_outline(start, end, width=12 * each["lane_ft"])
    assert_case("L09", floor_coverage([lane], [room(each)]).share)
