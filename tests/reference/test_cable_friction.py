"""Group D: friction along the cable.

Published: Wire Rope Users Manual, 4th ed., p. 87-88 (lead-line factors, K of 1.09
and 1.04); rigger's handbook table of ratios p. 137. Second method: closed sum for
the cable tree, ODE dT/dphi = mu T for the capstan, (1+q)/(1-q) for the journal.
"""

import math

import pytest

from core.mechanics.cable import Branch, Drop, Turn, walk_cable
from core.mechanics.pulley import Motion, friction_ratio, seized_ratio
from core.mechanics.tackle import lead_line_factor, tackle_ratio
from tests.reference.check_values import assert_case, ids, inputs

pytestmark = pytest.mark.reference

LEAD_LINES = ["D01", "D02", "D03", "D05"]
RATIOS = ["D06", "D07", "D09", "D10", "D12"]
TREES = ["D13", "D14", "D15", "D18"]
JOURNALS = ["D19", "D20", "D22"]
MOTIONS = {
    "lift": Motion.LIFTING,
    "hold": Motion.AT_REST,
    "lower": Motion.LOWERING,
}


def cable(given):
    elements = []
    for place, load in enumerate(given["drop_loads_lb_far_to_near"]):
        elements.append(Drop(name=f"D{place}", load=load, ratio=given["K_drop"]))
        turns = given["turning_after_drop_index"].count(place)
        elements += [Turn(name=f"T{place}", ratio=given["K_turn"])] * turns
    return Branch(name="A", elements=tuple(elements))


def test_every_case_of_the_group_is_used():
    used = {*LEAD_LINES, *RATIOS, *TREES, *JOURNALS, "D23"}
    assert used == set(ids(group="D"))


@pytest.mark.parametrize("case", LEAD_LINES)
def test_lead_line_of_a_tackle(case):
    given = inputs(case)
    factor = lead_line_factor(
        given["parts"], given["K"], extra_sheaves=given.get("extra", 0)
    )
    assert_case(case, factor * given.get("load_lb", 1.0))


@pytest.mark.parametrize("case", RATIOS)
def test_ratio_of_a_tackle(case):
    given = inputs(case)
    assert_case(case, tackle_ratio(given["parts"], given["K"]))


@pytest.mark.parametrize("case", TREES)
def test_pull_of_a_cable_tree(case):
    given = inputs(case)
    assert_case(case, walk_cable(cable(given), MOTIONS[given["motion"]]).pull)


@pytest.mark.parametrize("case", JOURNALS)
def test_ratio_of_a_plain_pin(case):
    given = inputs(case)
    ratio = friction_ratio(
        math.radians(given["wrap_deg"]),
        friction=given["mu"],
        pin_radius=given["pin_radius_in"],
        sheave_radius=given["sheave_radius_in"],
    )
    assert_case(case, ratio)


def test_ratio_of_a_seized_pulley():
    given = inputs("D23")
    wrap = math.radians(given["wrap_deg"])
    assert_case("D23", seized_ratio(wrap, friction=given["mu"]))
