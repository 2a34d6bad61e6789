"""Stored energy, leads and bleeding down."""

import math

import pytest
from scipy.integrate import solve_ivp

from core.electrics.stored_energy import (
    TOUCH_VOLTAGE,
    bleed_time,
    lead_capacitance,
    run_capacitance,
    stored_energy,
)
from core.errors import ValueRangeError


def test_capacitance_grows_with_length_and_falls_with_height() -> None:
    one = run_capacitance(1000, radius=0.5, height=60)
    assert run_capacitance(2000, radius=0.5, height=60) == pytest.approx(2 * one)
    assert run_capacitance(1000, radius=0.5, height=90) < one
    assert run_capacitance(0, radius=0.5, height=60) == 0


def test_a_lead_adds_its_share() -> None:
    # hand-worked: 20 ft of 20 pF
    assert lead_capacitance(240, capacitance_per_foot=20) == pytest.approx(400e-12)
    both = 400e-12 + 600e-12
    assert stored_energy(both, -30e3) == pytest.approx(0.45)  # 1e-9 x 9e8 / 2


@pytest.mark.oracle
def test_bleeding_agrees_with_the_differential_equation() -> None:
    """Second method: dV/dt = -V / RC integrated to the touch voltage."""
    farads, ohms = 1.5e-9, 500e6

    def reached(_time: float, volts: list[float]) -> float:
        return volts[0] - TOUCH_VOLTAGE

    reached.terminal = True
    answer = solve_ivp(
        lambda _time, volts: -volts / (farads * ohms),
        (0, 100),
        [30e3],
        events=reached,
        rtol=1e-10,
        atol=1e-6,
    )
    expected = float(answer.t_events[0][0])
    assert bleed_time(farads, resistance=ohms, voltage=30e3) == pytest.approx(
        expected, rel=1e-6
    )
    assert bleed_time(farads, resistance=ohms, voltage=-30e3) == pytest.approx(
        expected, rel=1e-6
    )


def test_what_is_not_charged_needs_no_time() -> None:
    assert bleed_time(1e-9, resistance=1e9, voltage=49) == 0.0


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: run_capacitance(-1, radius=1, height=9), "length"),
        (lambda: run_capacitance(1, radius=0, height=9), "radius"),
        (lambda: run_capacitance(1, radius=1, height=1), "height of the axis"),
        (lambda: lead_capacitance(-1, capacitance_per_foot=20), "length"),
        (lambda: lead_capacitance(1, capacitance_per_foot=-2), "capacitance"),
        (lambda: stored_energy(-1e-9, 1), "capacitance"),
        (lambda: bleed_time(1e-9, resistance=0, voltage=1), "bleed resistance"),
        (lambda: bleed_time(1e-9, resistance=1e9, voltage=1, down_to=0), "end voltage"),
        (lambda: bleed_time(math.nan, resistance=1e9, voltage=1), "capacitance"),
    ],
)
def test_what_cannot_be_is_refused(call, words: str) -> None:
    with pytest.raises(ValueRangeError, match=words):
        call()
