"""Group K, corona and stored energy.

- Peek's law (F. W. Peek, Dielectric Phenomena in High-Voltage Engineering, 1929;
  form confirmed, constants from memory): K18, K19; second method: charge simulation.
- From memory: hyperboloid field of a point (K21, K22), second method the exact
  prolate-spheroidal field; pipe over floor, ``2 pi e0 L / acosh(h/r)`` (K24, K25),
  second method: charge simulation.
"""

import math

import pytest

from core.electrics.corona import onset_gradient, onset_voltage, point_field
from core.electrics.stored_energy import run_capacitance, stored_energy
from tests.reference.check_values import assert_case, ids, inputs

pytestmark = pytest.mark.reference

ONSETS = ["K18", "K19"]
POINTS = ["K21", "K22"]
RUNS = ["K24", "K25"]
DENSITIES = ["K15", "K16"]  # in test_air_gaps.py


def test_every_case_on_corona_and_energy_is_used() -> None:
    used = {*ONSETS, *POINTS, *RUNS, *DENSITIES}
    assert used == set(ids("corona", "stored_energy", group="K"))


@pytest.mark.parametrize("case_id", ONSETS)
def test_corona_onset_of_a_smooth_pipe(case_id: str) -> None:
    """The third number is the simple estimate E r ln(2h/r), worked here by hand."""
    k = inputs(case_id)
    radius, height = k["OD_in"] / 2, 12 * k["height_ft"]
    air = {"surface": k["m"], "density": k["delta"]}
    gradient = onset_gradient(radius, **air)
    onset = onset_voltage(radius=radius, height=height, **air)
    simple = gradient * radius * math.log(2 * height / radius)
    assert_case(case_id, gradient / 2540, onset / 1000, simple / 1000)


@pytest.mark.parametrize("case_id", POINTS)
def test_field_at_a_point(case_id: str) -> None:
    k = inputs(case_id)
    tip, gap = k["tip_radius_cm"] / 2.54, k["gap_cm"] / 2.54
    assert_case(case_id, point_field(1000 * k["kV"], tip_radius=tip, gap=gap) / 2540)


@pytest.mark.parametrize("case_id", RUNS)
def test_capacitance_and_energy_of_a_run(case_id: str) -> None:
    k = inputs(case_id)
    farads = run_capacitance(
        12 * k["length_ft"],
        radius=k["OD_in"] / 2,
        height=12 * k["height_ft"],
    )
    assert_case(case_id, farads * 1e12, stored_energy(farads, 1000 * k["kV"]))
