"""Corona onset and point fields against field solutions by another way."""

import math

import numpy as np
import pytest

from core.electrics.corona import (
    field_over_floor,
    onset_gradient,
    onset_voltage,
    point_field,
)
from core.errors import ValueRangeError


@pytest.mark.oracle
@pytest.mark.parametrize(
    ("radius", "height"), [(0.461, 78.0), (0.353, 96.0), (2.0, 8.0)]
)
def test_field_agrees_with_charge_simulation(radius: float, height: float) -> None:
    """Second method: 24 line charges in the pipe and their images, fitted."""
    count = 24
    angle = (np.arange(count) + 0.5) * 2 * math.pi / count
    x, y = 0.5 * radius * np.cos(angle), height + 0.5 * radius * np.sin(angle)
    on = np.linspace(0, 2 * math.pi, 4 * count, endpoint=False) + 1e-3
    px, py = radius * np.cos(on), height + radius * np.sin(on)
    away = np.hypot(px[:, None] - x, py[:, None] - y)
    mirrored = np.hypot(px[:, None] - x, py[:, None] + y)
    charge = np.linalg.lstsq(np.log(mirrored / away), np.ones(len(px)), rcond=None)[0]
    bottom = height - radius
    distance = (bottom - y) ** 2 + x**2
    image = (bottom + y) ** 2 + x**2
    field = charge * ((bottom - y) / distance - (bottom + y) / image)
    assert field_over_floor(1.0, radius=radius, height=height) == pytest.approx(
        abs(field.sum()), rel=1e-4
    )


def test_onset_voltage_gives_the_onset_field() -> None:
    volts = onset_voltage(radius=0.5, height=80, surface=0.9, density=0.95)
    field = field_over_floor(volts, radius=0.5, height=80)
    assert field == pytest.approx(onset_gradient(0.5, surface=0.9, density=0.95))


@pytest.mark.oracle
@pytest.mark.parametrize(("radius", "gap"), [(0.002, 39.37), (0.008, 23.6)])
def test_point_field_agrees_with_the_exact_hyperboloid(
    radius: float, gap: float
) -> None:
    """Second method: prolate spheroidal coordinates, E = 2 V / (r ln((1+c)/(1-c)))
    with c^2 = d / (d + r), times its focal factor."""
    cosine = math.sqrt(gap / (gap + radius))
    log = math.log((1 + cosine) / (1 - cosine))
    exact = 2 * 30e3 * cosine / (radius * log) * (1 + radius / gap)
    assert point_field(30e3, tip_radius=radius, gap=gap) == pytest.approx(
        exact, rel=1e-3
    )


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: onset_gradient(0, surface=1, density=1), "radius"),
        (lambda: onset_gradient(1, surface=0, density=1), "surface factor"),
        (lambda: onset_gradient(1, surface=1, density=9), "air density"),
        (lambda: field_over_floor(1, radius=1, height=1), "height of the axis"),
        (lambda: point_field(1, tip_radius=0, gap=1), "gap in tip radii"),
        (lambda: point_field(1, tip_radius=1, gap=1), "gap in tip radii"),
    ],
)
def test_what_is_outside_the_formulas_is_refused(call, words: str) -> None:
    with pytest.raises(ValueRangeError, match=words):
        call()
