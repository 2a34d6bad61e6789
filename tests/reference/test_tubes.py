"""Group A: weight and section of tubes.

Published: ASME B36.10M plain-end mass formula and table; ANSI C80.3 sizes with
the steel tube industry's table of weights. From memory: I = pi (D^4 - d^4)/64
(Roark, App. A), second method a numerical integral of r^2 dA.
"""

import pytest

from core.mechanics.tube import run_weight, second_moment, tube_weight
from tests.reference.check_values import assert_case, ids, inputs

pytestmark = pytest.mark.reference

SECTIONS = ["A08", "A10"]
RUN = "A11"
WEIGHTS = [i for i in ids(group="A") if i not in (*SECTIONS, RUN)]


@pytest.mark.parametrize("case", WEIGHTS)
def test_tube_weight_matches_formula_and_printed_table(case):
    given = inputs(case)
    assert_case(case, 12 * tube_weight(given["OD_in"], given["wall_in"]))


@pytest.mark.parametrize("case", SECTIONS)
def test_second_moment_matches_numerical_integral(case):
    given = inputs(case)
    assert_case(case, second_moment(given["OD_in"], given["wall_in"]))


def test_run_weight_sums_tube_fittings_and_points():
    given = inputs(RUN)
    lumps = (given["fitting_lb"],) * given["fittings"]
    lumps += (given["point_lb"],) * given["points"]
    weight = tube_weight(given["OD_in"], given["wall_in"])
    assert_case(RUN, run_weight(12 * given["length_ft"], weight, lumps=lumps))
