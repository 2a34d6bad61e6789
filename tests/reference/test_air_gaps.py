"""Group K, air gaps and code distances.

- Published: AIEE needle-gap table, 25 degC, 760 mmHg (K01 to K03, K11); IEC 60052
  sphere gaps in a secondary copy (K06 to K08); twice the sparking distance, 29 CFR
  1926.66(e), 1910.107(h), NFPA 33 (K11); NEC 2008 Tables 110.34(A) and (E) (K27 to
  K31); ISO 13857:2019 4.2.1 (K33); 29 CFR 1926.1408 Table A (K34).
- From memory: streamer gradient of Raizer and Bazelyan (K13); Peek's constants of
  the relative air density (K15, K16), with the ideal gas law as second method.
"""

import pytest

from core.electrics.air import (
    SphereSize,
    needle_gap,
    relative_air_density,
    required_gap,
    sphere_gap_voltage,
    streamer_length,
)
from core.electrics.working_space import (
    REACH_HEIGHT_HIGH_RISK,
    REACH_HEIGHT_LOW_RISK,
    WorkingCondition,
    power_line_clearance,
    unguarded_height,
    working_depth,
)
from tests.reference.check_values import assert_case, ids, inputs

pytestmark = pytest.mark.reference

SPHERES = ["K06", "K07", "K08"]
NEEDLES = ["K01", "K02", "K03"]
DENSITIES = ["K15", "K16"]
DEPTHS = ["K27", "K28", "K29"]
SINGLE = ["K11", "K13", "K31", "K33", "K34"]


def test_every_case_on_air_and_codes_is_used() -> None:
    used = {*SPHERES, *NEEDLES, *DENSITIES, *DEPTHS, *SINGLE}
    kinds = ("air_breakdown", "clearance_rule", "code_distance")
    assert used == {*ids(*kinds, group="K"), *DENSITIES}


KILOPASCALS_PER_CMHG = 1.333224


@pytest.mark.parametrize("case_id", NEEDLES)
def test_needle_gaps(case_id: str) -> None:
    k = inputs(case_id)
    assert_case(case_id, needle_gap(1000 * k["peak_kV"]) * 2.54)


@pytest.mark.parametrize("case_id", SPHERES)
def test_sphere_gaps(case_id: str) -> None:
    k = inputs(case_id)
    spheres = SphereSize(k["sphere_cm"])
    assert_case(case_id, sphere_gap_voltage(k["gap_cm"] / 2.54, spheres=spheres) / 1000)


def test_twice_the_sparking_distance() -> None:
    k = inputs("K11")
    gap = required_gap(1000 * k["kV"], density=1.0)
    assert_case("K11", 2 * gap.sparkover)


def test_streamer_length() -> None:
    k = inputs("K13")
    gradient = k["gradient_kV_per_cm"] * 2540
    assert_case("K13", streamer_length(1000 * k["kV"], gradient=gradient))
    assert_case("K13", streamer_length(1000 * k["kV"]))


@pytest.mark.parametrize("case_id", DENSITIES)
def test_relative_air_density(case_id: str) -> None:
    k = inputs(case_id)
    pressure = k["pressure_cmHg"] * KILOPASCALS_PER_CMHG
    assert_case(
        case_id, relative_air_density(pressure=pressure, temperature=k["temp_C"])
    )


@pytest.mark.parametrize("case_id", DEPTHS)
def test_working_depth(case_id: str) -> None:
    k = inputs(case_id)
    condition = WorkingCondition(k["condition"])
    assert_case(case_id, working_depth(1000 * k["kV_to_ground"], condition) / 12)


def test_height_of_unguarded_parts() -> None:
    k = inputs("K31")
    assert_case("K31", unguarded_height(1000 * k["kV"]) / 12)


def test_reach_upwards() -> None:
    low, high = REACH_HEIGHT_LOW_RISK * 25.4, REACH_HEIGHT_HIGH_RISK * 25.4
    assert_case("K33", low, high)


def test_power_line_clearance() -> None:
    k = inputs("K34")
    assert_case("K34", power_line_clearance(1000 * k["kV"]) / 12)
