"""Group O, the high-voltage lead, and group F's hanging lines through its shape.

Hand-worked: Pythagoras (O01, O03); second method: scan of the travel. The droop of
a slack line (F06, F07) and the uneven catenary (F09) are published in Irvine, Cable
Structures, and serve the lead here.
"""

import math

import pytest

from core.electrics.lead import lead_low_points, lead_reach, lead_shape
from tests.reference.check_values import assert_case, check_values, ids, inputs

pytestmark = pytest.mark.reference


def test_every_case_of_the_group_is_used() -> None:
    assert {"O01", "O03"} == set(ids(group="O"))


def test_ends_of_the_travel_and_slack_when_stowed() -> None:
    o = inputs("O01")
    lowered, stowed = o["drop_lowered_in"], o["drop_stowed_in"]
    hold = (o["anchor_offset_in"], 0.0, lowered)
    reach = lead_reach(hold, (0.0, 0.0, 0.0), travel=lowered - stowed)
    assert_case("O01", reach.lowered, reach.stowed, reach.slack(reach.longest))


def test_anchor_at_half_height_has_the_shortest_line_inside_the_travel() -> None:
    o = inputs("O03")
    low, high = o["pipe_z_relative_to_anchor_in"]
    hold = (o["anchor_offset_in"], 0.0, 0.0)
    reach = lead_reach(hold, (0.0, 0.0, low), travel=high - low)
    assert_case("O03", reach.longest, reach.shortest)
    assert 0 < reach.shortest_at < high - low


@pytest.mark.parametrize("case_id", ["F06", "F07"])
def test_droop_of_a_level_lead(case_id: str) -> None:
    f = inputs(case_id)
    span, excess = 12 * f["span_ft"], 12 * f["excess_ft"]
    low = lead_low_points((0, 0, 0), [(span, 0, 0)], length=span + excess)
    assert_case(case_id, -low[0, 2] / 12, part=slice(1, 2))


def test_uneven_lead_hangs_as_far_below_its_chord() -> None:
    f = inputs("F09")
    span, rise = 12 * f["span_ft"], 12 * f["rise_ft"]
    length = 12 * check_values()["F09"]["expected"][1]
    points = lead_shape((0, 0, 0), (span, 0, rise), length=length, tolerance=1e-4)
    below = points[:, 0] * rise / span - points[:, 2]
    assert_case("F09", below.max() / 12, part=slice(0, 1))
    assert math.hypot(span, rise) < length
