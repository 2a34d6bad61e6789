"""Driven rods against numerical integrals of the potential."""

import math

import pytest
from scipy.integrate import dblquad

from core.electrics.ground import rod_resistance, two_rod_resistance
from core.errors import ValueRangeError


def mutual_by_integral(resistivity: float, length: float, spacing: float) -> float:
    """Mean potential along one rod from the other's even current and its image."""
    metres, apart = length * 0.0254, spacing * 0.0254
    total, _ = dblquad(
        lambda z, s: 1 / math.hypot(apart, z - s) + 1 / math.hypot(apart, z + s),
        *(0, metres, 0, metres),
        epsabs=1e-8,
    )
    return resistivity / (4 * math.pi * metres**2) * total


@pytest.mark.oracle
@pytest.mark.parametrize("spacing", [24.0, 72.0, 96.0, 192.0, 960.0])
def test_pairs_agree_with_the_integral(spacing: float) -> None:
    """Second method: double integral of 1/r with the image in the surface."""
    one = rod_resistance(100, length=96, diameter=0.625)
    expected = (one + mutual_by_integral(100, 96, spacing)) / 2
    pair = two_rod_resistance(100, length=96, diameter=0.625, spacing=spacing)
    assert pair == pytest.approx(expected, rel=1e-6)


def test_two_rods_are_between_half_and_one() -> None:
    one = rod_resistance(80, length=96, diameter=0.75)
    near = two_rod_resistance(80, length=96, diameter=0.75, spacing=24)
    far = two_rod_resistance(80, length=96, diameter=0.75, spacing=9600)
    assert one / 2 < far < near < one
    assert far == pytest.approx(one / 2, rel=0.01)


def test_resistance_follows_the_soil() -> None:
    one = rod_resistance(50, length=96, diameter=0.625)
    assert rod_resistance(500, length=96, diameter=0.625) == pytest.approx(10 * one)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"resistivity": 0}, "resistivity"),
        ({"length": 0}, "length of the rod"),
        ({"diameter": 0}, "diameter of the rod"),
        ({"diameter": 12.0}, "length in diameters"),
        ({"spacing": 0.1}, "spacing in diameters"),
        ({"resistivity": math.nan}, "resistivity"),
    ],
)
def test_what_is_no_rod_is_refused(change: dict, words: str) -> None:
    rods = {"resistivity": 100, "length": 96, "diameter": 0.625, "spacing": 72} | change
    with pytest.raises(ValueRangeError, match=words):
        two_rod_resistance(rods.pop("resistivity"), **rods)
