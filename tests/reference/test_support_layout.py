"""Group R: fewest supports on truss lines.

Published: truss spacings of 2, 4 and 8 ft (post-frame practice). Second method:
dynamic programming outside this package.
"""

from itertools import pairwise

import pytest

from core.mechanics.support_layout import fewest_supports
from tests.reference.check_values import assert_case, ids, inputs

pytestmark = pytest.mark.reference


@pytest.mark.parametrize("case", ids(group="R"))
def test_fewest_supports(case):
    given = inputs(case)
    end, spacing = given["run_ft"] * 12.0, given["truss_spacing_ft"] * 12.0
    first = given["first_truss_ft"] * 12.0
    trusses = [first + spacing * k for k in range(int((end - first) // spacing) + 1)]
    found = fewest_supports(
        0.0,
        end,
        trusses=trusses,
        max_span=given["max_span_ft"] * 12.0,
        max_overhang=given["max_overhang_ft"] * 12.0,
    )
    assert_case(case, len(found))
    gaps = [b - a for a, b in pairwise(found)]
    assert max(gaps) <= given["max_span_ft"] * 12.0
    assert max(found[0], end - found[-1]) <= given["max_overhang_ft"] * 12.0
