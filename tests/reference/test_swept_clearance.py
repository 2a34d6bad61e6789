"""Group J: least clearance over the travel, still pipes, and a swinging pipe.

Each case carries its source and second method in check_values.json (exact geometry;
coal, skew-line formula, or brute force). J12 is a mesh and is held elsewhere.
"""

import numpy as np
import pytest

from core.geometry.distance import segment_clearances
from core.geometry.obstacles import ObstacleSet
from core.geometry.runs import SweptRun, Swing
from core.geometry.shapes import Capsule, upright_box
from core.geometry.sweep import sweep
from tests.reference.check_values import assert_case, ids, inputs

pytestmark = pytest.mark.reference

LEVEL = ["J01", "J02", "J03"]
STILL_BOX = ["J05"]
CROSSING = ["J07", "J08"]
SWINGING = ["J10"]
HELD_ELSEWHERE = ["J12"]


def test_every_case_of_the_group_is_used():
    used = {*LEVEL, *STILL_BOX, *CROSSING, *SWINGING, *HELD_ELSEWHERE}
    assert used == set(ids("swept_clearance", group="J"))


@pytest.mark.parametrize("case", LEVEL)
def test_level_pipe_past_a_box(case):
    given = inputs(case)
    low, high = given["travel_z_in"]
    first, last = given["pipe_x_in"]
    run = SweptRun(
        start=(first, given["pipe_y_in"]),
        end=(last, given["pipe_y_in"]),
        low=low,
        travel=high - low,
        radius=given["OD_in"] / 2,
    )
    box = upright_box(given["box_min_in"], given["box_max_in"])
    assert_case(case, sweep([run], ObstacleSet.of([box])).clearance[0])


@pytest.mark.parametrize("case", STILL_BOX)
def test_tilted_pipe_past_a_box(case):
    given = inputs(case)
    box = upright_box(given["box_min_in"], given["box_max_in"])
    gaps = segment_clearances(
        np.array([given["end_a_in"]], dtype=float),
        np.array([given["end_b_in"]], dtype=float),
        np.array([given["OD_in"] / 2]),
        ObstacleSet.of([box]),
    )
    assert_case(case, gaps.clearance[0])


@pytest.mark.parametrize("case", CROSSING)
def test_pipe_past_a_crossing_tube(case):
    given = inputs(case)
    a, b = given["tube"]
    tube = Capsule(a=tuple(a), b=tuple(b), radius=given["tube_radius_in"])
    start, end = given["pipe"]
    run = SweptRun(
        start=tuple(start[:2]),
        end=tuple(end[:2]),
        low=start[2],
        travel=0.0,
        radius=given["pipe_radius_in"],
    )
    assert_case(case, sweep([run], ObstacleSet.of([tube])).clearance[0])


@pytest.mark.parametrize("case", SWINGING)
def test_swinging_pipe_past_an_edge(case):
    given = inputs(case)
    top, (short, long) = given["rope_top_in"], given["rope_length_in"]
    run = SweptRun(
        start=(0.0, 0.0),
        end=(240.0, 0.0),
        low=top - long,
        travel=long - short,
        radius=given["pipe_radius_in"],
        swing=Swing(pulley_height=top, angle=np.radians(given["sway_deg"])),
    )
    y, z = given["edge_y_in"], given["edge_z_in"]
    edge = Capsule(a=(-100.0, y, z), b=(340.0, y, z), radius=0.0)
    assert_case(case, sweep([run], ObstacleSet.of([edge])).clearance[0])
