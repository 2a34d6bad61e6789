"""Group G: strength of wire rope.

Published in secondary copies only: MIL-DTL-83420 7x19 strengths (1/4 in from
memory) and the bending efficiency table of a rope maker. The design factors are
the same arithmetic by hand.
"""

from fractions import Fraction

import pytest

from core.catalogue.parts import Rope
from core.catalogue.standard import standard_catalogue
from core.mechanics.rope_strength import bend_efficiency, design_factor
from tests.reference.check_values import assert_case, ids, inputs

pytestmark = pytest.mark.reference

ROPES = ["G01", "G02", "G03"]
FACTORS = ["G06", "G07"]
BENDS = ["G09", "G10", "G12"]


def test_every_case_of_the_group_is_used():
    assert {*ROPES, *FACTORS, *BENDS} == set(ids(group="G"))


@pytest.mark.parametrize("case", ROPES)
def test_strength_and_weight_of_a_rope(case):
    diameter = float(Fraction(inputs(case)["dia"]))
    ropes = standard_catalogue().all_of(Rope)
    (rope,) = (r for r in ropes if r.kind == "wire-rope" and r.diameter == diameter)
    assert_case(case, rope.breaking_strength, 100 * rope.weight_per_foot)


@pytest.mark.parametrize("case", FACTORS)
def test_design_factor(case):
    given = inputs(case)
    factor = design_factor(
        given["mbs_lb"],
        given["tension_lb"],
        bend=given["bend_eff"],
        termination=given["term_eff"],
    )
    assert_case(case, factor)


@pytest.mark.parametrize("case", BENDS)
def test_bend_efficiency(case):
    given = inputs(case)
    assert_case(case, 100 * bend_efficiency(given["sheave_in"], given["rope_in"]))
