"""Group E: two-part line, drum, layers.

From memory: statics of a moving block. Published: reel capacity formula 0.2618 W
h (B + h)/d^2 (Handbook of Oceanographic Winch, Wire and Cable Technology, ch. 12),
second method for the layer sum; least dead wraps 29 CFR 1910.179(h)(2)(iii)(a).
Second method for the turns: time-stepped winding.
"""

import pytest

from core.mechanics.pulley import Motion
from core.mechanics.winch import (
    LEAST_DEAD_WRAPS,
    Drum,
    drum_capacity,
    layer_pull,
    nested_layer_rise,
    two_part_pull,
    wind,
    wraps_per_layer,
)
from tests.reference.check_values import assert_case, ids, inputs

pytestmark = pytest.mark.reference

BLOCKS = {
    "E01": Motion.LIFTING,
    "E02": Motion.LIFTING,
    "E04": Motion.LOWERING,
    "E05": Motion.LOWERING,
}
CAPACITIES = ["E07", "E08"]
PULLS = ["E10", "E11"]


def test_every_case_of_the_group_is_used():
    used = {*BLOCKS, *CAPACITIES, *PULLS, "E13", "E15", "E16"}
    assert used == set(ids(group="E"))


@pytest.mark.parametrize(("case", "motion"), BLOCKS.items())
def test_pull_of_a_two_part_line(case, motion):
    given = inputs(case)
    line = two_part_pull(given["block_pull_lb"], ratio=given["K"], motion=motion)
    assert_case(case, line.pull)
    assert line.pull + line.dead_end == pytest.approx(given["block_pull_lb"])


@pytest.mark.parametrize("case", CAPACITIES)
def test_drum_capacity(case):
    given = inputs(case)
    drum = Drum(core=given["core_in"], rope=given["rope_in"], width=given["width_in"])
    assert_case(case, drum_capacity(drum, given["layers"]) / 12)


@pytest.mark.parametrize("case", PULLS)
def test_pull_on_a_layer(case):
    given = inputs(case)
    drum = Drum(core=given["core_in"], rope=given["rope_in"], width=3.0)
    assert_case(case, layer_pull(1.0, drum, given["layer"]))


def test_turns_and_layer_reached():
    given = inputs("E13")
    rope, wraps = given["rope_in"], given["wraps_per_layer"]
    drum = Drum(core=given["core_in"], rope=rope, width=wraps * rope)
    assert wraps_per_layer(drum) == wraps
    length = given["lift_in"] * given["parts"]
    wound = wind(drum, length, dead_wraps=given["dead_wraps"])
    assert_case("E13", wound.turns, wound.layer)


def test_rise_of_a_layer_stacked_and_nested():
    rope = inputs("E15")["rope_in"]
    stacked = Drum(core=2.5, rope=rope, width=3.0).rise
    assert_case("E15", stacked, nested_layer_rise(rope))


def test_least_dead_wraps():
    assert_case("E16", LEAST_DEAD_WRAPS)
