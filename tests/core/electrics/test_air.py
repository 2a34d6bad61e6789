"""Air gaps: monotone, in range, and the larger of the two criteria governs."""

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.electrics.air import (
    SphereSize,
    air_pressure,
    needle_gap,
    relative_air_density,
    required_gap,
    sphere_gap_voltage,
    streamer_length,
)
from core.errors import ValueRangeError

voltages = st.floats(5e3, 300e3)


@given(one=voltages, two=voltages)
def test_more_voltage_needs_more_air(one: float, two: float) -> None:
    low, high = sorted((one, two))
    assert needle_gap(low) <= needle_gap(high)
    lower, higher = (required_gap(volts, density=1.0) for volts in (low, high))
    assert lower.required <= higher.required


@given(voltage=voltages, density=st.floats(0.4, 1.5))
def test_required_gap_is_at_least_twice_both_criteria(
    voltage: float, density: float
) -> None:
    gap = required_gap(voltage, density=density)
    needed = gap.required * density
    assert needed >= 2 * gap.sparkover - 1e-9
    assert needed >= 2 * gap.streamer - 1e-9
    assert needed == pytest.approx(2 * max(gap.sparkover, gap.streamer))


def test_table_rows_are_met_and_between_them_it_is_linear() -> None:
    """Published: AIEE needle column, 25 kV 2.20 cm, 30 kV 2.69 cm."""
    assert needle_gap(25e3) * 2.54 == pytest.approx(2.20)
    assert needle_gap(27.5e3) * 2.54 == pytest.approx((2.20 + 2.69) / 2)
    assert needle_gap(5e3) * 2.54 == pytest.approx(0.42)
    assert needle_gap(300e3) * 2.54 == pytest.approx(54.7)


def test_the_mean_field_of_needle_gaps_falls_with_the_gap() -> None:
    """A slip in one row of the table breaks the order."""
    kilovolts = [*range(5, 50, 5), *range(50, 200, 10), 200, 250, 300]
    fields = [volts / (needle_gap(1000.0 * volts) * 2.54) for volts in kilovolts]
    assert fields == sorted(fields, reverse=True)
    assert 5 < fields[-1] < fields[0] < 12


def test_the_field_of_sphere_gaps_falls_with_the_gap() -> None:
    for spheres, last in ((SphereSize.CM_5, 2.0), (SphereSize.CM_10, 5.0)):
        gaps = [0.5 * step for step in range(1, int(2 * last) + 1)]
        fields = [
            sphere_gap_voltage(gap / 2.54, spheres=spheres) / gap / 1000 for gap in gaps
        ]
        assert all(late < early * 1.001 for early, late in pairwise(fields))
        assert 24 < fields[-1] < fields[0] < 35


@given(altitude=st.floats(-1500 * 12, 16_000 * 12))
def test_thin_or_hot_air_needs_more_room(altitude: float) -> None:
    pressure = air_pressure(altitude)
    cool = relative_air_density(pressure=pressure, temperature=0)
    hot = relative_air_density(pressure=pressure, temperature=30)
    assert hot < cool
    assert required_gap(30e3, density=hot).required > (
        required_gap(30e3, density=cool).required
    )


@pytest.mark.parametrize(
    ("feet", "kilopascals"),
    # Published: U.S. Standard Atmosphere 1976, tables (from memory of the digits).
    [(0, 101.325), (1000, 97.72), (5000, 84.31), (10_000, 69.68)],
)
def test_standard_pressure(feet: float, kilopascals: float) -> None:
    assert air_pressure(feet * 12) == pytest.approx(kilopascals, abs=0.01)


@pytest.mark.parametrize("spheres", SphereSize)
def test_sphere_gaps_lie_near_the_uniform_field(spheres: SphereSize) -> None:
    """Second method: 24.22 d + 6.08 sqrt(d) kV, a lower bound near within 10 %."""
    for centimetres in (0.5, 0.75, 1.0, 1.5):
        uniform = 24.22 * centimetres + 6.08 * math.sqrt(centimetres)
        spark = sphere_gap_voltage(centimetres / 2.54, spheres=spheres) / 1000
        assert 0.97 * uniform <= spark <= 1.10 * uniform


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: needle_gap(4e3), "voltage = 4 kV"),
        (lambda: needle_gap(math.nan), "voltage = nan kV"),
        (lambda: needle_gap(301e3), "from 5 to 300 kV"),
        (lambda: air_pressure(20_000 * 12), "altitude = 20000 ft"),
        (lambda: relative_air_density(pressure=1, temperature=20), "pressure"),
        (lambda: relative_air_density(pressure=100, temperature=200), "temperature"),
        (lambda: sphere_gap_voltage(0.1, spheres=SphereSize.CM_5), "gap = 0.254 cm"),
        (lambda: sphere_gap_voltage(1.0, spheres=SphereSize.CM_5), "0.5 to 2 cm"),
        (lambda: streamer_length(-1), "voltage = -1 V"),
        (lambda: streamer_length(30e3, gradient=0), "gradient = 0 V/in"),
        (lambda: required_gap(30e3, density=0.1), "air density = 0.1"),
    ],
)
def test_what_is_outside_a_table_is_refused(call, words: str) -> None:
    with pytest.raises(ValueRangeError, match=words):
        call()
