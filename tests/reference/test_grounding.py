"""Group N, grounding.

- Published: H. B. Dwight, Calculation of Resistances to Ground, 1936, and IEEE 142
  (N01, N02, N04); second method: numerical average potential, Dwight's series.
- From memory: two rods closer than their length (N05); second method: Dwight's
  series for s < L.
- Published: NEC 250.52 and 250.53 (N07 to N10).
"""

import pytest

from core.electrics.ground import (
    LEAST_ROD_DIAMETER,
    LEAST_ROD_LENGTH,
    LEAST_ROD_SPACING,
    SINGLE_ROD_LIMIT,
    rod_resistance,
    two_rod_resistance,
)
from tests.reference.check_values import assert_case, ids, inputs

pytestmark = pytest.mark.reference

ONE, TWO = ["N01", "N02"], ["N04", "N05"]


def test_every_case_of_the_group_is_used() -> None:
    assert {*ONE, *TWO, "N07", "N08", "N09", "N10"} == set(ids(group="N"))


@pytest.mark.parametrize("case_id", ONE)
def test_one_rod(case_id: str) -> None:
    n = inputs(case_id)
    length, diameter = 12 * n["length_ft"], n["dia_in"]
    assert_case(
        case_id, rod_resistance(n["soil_ohm_m"], length=length, diameter=diameter)
    )


@pytest.mark.parametrize("case_id", TWO)
def test_two_rods(case_id: str) -> None:
    n = inputs(case_id)
    ohms = two_rod_resistance(
        n["soil_ohm_m"],
        length=12 * n["length_ft"],
        diameter=n["dia_in"],
        spacing=12 * n["spacing_ft"],
    )
    assert_case(case_id, ohms)


def test_limits_of_the_code() -> None:
    assert_case("N07", LEAST_ROD_LENGTH / 12)
    assert_case("N08", LEAST_ROD_DIAMETER)
    assert_case("N09", SINGLE_ROD_LIMIT)
    assert_case("N10", LEAST_ROD_SPACING / 12)
