"""Cables on random cases against differential equations and plain sums.

Second method: the cable equation integrated from end to end (scipy solve_ivp) with
its length as a further unknown; the capstan and the pendulum as equations of motion;
the cable tree as a closed sum over its drops.
"""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from core.mechanics.cable import Branch, Drop, Turn, walk_cable
from core.mechanics.catenary import hang_by_length, hang_by_pull
from core.mechanics.pulley import Motion, friction_ratio, seized_ratio
from core.mechanics.rope_path import PathCircle, tangent_length
from core.mechanics.sway import GRAVITY, sway
from core.mechanics.winch import Drum, wind

pytestmark = pytest.mark.oracle
EXACT = {"rtol": 1e-10, "atol": 1e-12}


def integrated_cable(weight, span, pull, rise):
    """Shoot the cable equation H y'' = w sqrt(1 + y'^2) from the near end."""

    def shape(_, state):
        slant = math.hypot(1.0, state[1])
        return [state[1], weight / pull * slant, slant]

    def shot(slope):
        return solve_ivp(shape, (0.0, span), [0.0, slope, 0.0], **EXACT)

    steep = weight * span / pull + abs(rise) / span + 2.0
    slope = brentq(lambda s: shot(s).y[0, -1] - rise, -steep * 3, steep * 3)
    along = np.linspace(0.0, span, 2001)
    ends = solve_ivp(shape, (0.0, span), [0.0, slope, 0.0], t_eval=along, **EXACT)
    height, slopes, length = ends.y
    return {
        "sag": (rise * along / span - height).max(),
        "dip": max(min(0.0, rise) - height.min(), 0.0),
        "length": length[-1],
        "near": pull * math.hypot(1.0, slopes[0]),
        "far": pull * math.hypot(1.0, slopes[-1]),
    }


@pytest.mark.parametrize("seed", range(15))
def test_uneven_cable_agrees_with_the_cable_equation(seed):
    rng = np.random.default_rng(seed)
    weight, span = rng.uniform(0.002, 0.02), rng.uniform(24.0, 360.0)
    pull = weight * span * 10 ** rng.uniform(-0.4, 1.5)
    rise = span * rng.uniform(-0.8, 0.8)
    hung = hang_by_pull(weight, span, pull=pull, rise=rise)
    truth = integrated_cable(weight, span, pull, rise)
    assert hung.sag == pytest.approx(truth["sag"], rel=1e-5)
    assert hung.dip == pytest.approx(truth["dip"], rel=1e-4, abs=1e-4)
    assert hung.length == pytest.approx(truth["length"], rel=1e-7)
    assert hung.near_tension == pytest.approx(truth["near"], rel=1e-6)
    assert hung.far_tension == pytest.approx(truth["far"], rel=1e-6)


@pytest.mark.parametrize("seed", range(15))
def test_cable_by_length_is_the_one_that_the_equation_makes_so_long(seed):
    rng = np.random.default_rng(50 + seed)
    weight, span = rng.uniform(0.002, 0.02), rng.uniform(24.0, 360.0)
    rise = span * rng.uniform(-0.8, 0.8)
    length = math.hypot(span, rise) * (1 + 10 ** rng.uniform(-5, 0.0))
    hung = hang_by_length(weight, span, length=length, rise=rise)
    truth = integrated_cable(weight, span, hung.pull, rise)
    assert truth["length"] == pytest.approx(length, rel=1e-6)
    assert hung.sag == pytest.approx(truth["sag"], rel=1e-4)


@pytest.mark.parametrize("seed", range(6))
def test_seized_pulley_agrees_with_the_capstan_equation(seed):
    rng = np.random.default_rng(seed)
    wrap, friction = rng.uniform(0.1, math.pi), rng.uniform(0.05, 0.4)
    run = solve_ivp(lambda _, t: friction * t, (0.0, wrap), [1.0], **EXACT)
    assert seized_ratio(wrap, friction=friction) == pytest.approx(run.y[0, -1])


@pytest.mark.parametrize("seed", range(10))
def test_plain_pin_is_in_balance(seed):
    """Second method: root of the torque balance, forces summed as vectors."""
    rng = np.random.default_rng(seed)
    wrap, friction = rng.uniform(0.05, math.pi), rng.uniform(0.05, 0.3)
    pin, sheave = rng.uniform(0.1, 0.4), rng.uniform(0.6, 3.0)

    def torque(ratio):
        force = math.hypot(ratio * math.cos(wrap) - 1, ratio * math.sin(wrap))
        return (ratio - 1) * sheave - friction * pin * force

    expected = brentq(torque, 1.0 + 1e-12, 5.0)
    got = friction_ratio(wrap, friction=friction, pin_radius=pin, sheave_radius=sheave)
    assert got == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("seed", range(10))
@pytest.mark.parametrize("motion", Motion)
def test_tree_agrees_with_the_closed_sum(seed, motion):
    """Second method: every drop times all the ratios between it and the winch."""
    rng = np.random.default_rng(seed)

    def branch(depth):
        elements, pending = [], []
        for k in range(rng.integers(2, 6)):
            kind = rng.integers(0, 3 if depth else 2)
            ratio = float(rng.uniform(1.0, 1.2))
            if kind == 0:
                load = float(rng.uniform(0.5, 9.0))
                elements.append(Drop(name=f"D{k}", load=load, ratio=ratio))
                pending.append(load * ratio**motion.value)
            elif kind == 1:
                elements.append(Turn(name=f"T{k}", ratio=ratio))
                pending = [pull * ratio**motion.value for pull in pending]
            else:
                joined, pulls = branch(depth - 1)
                elements.append(joined)
                pending += pulls
        return Branch(name=f"B{depth}", elements=tuple(elements)), pending

    tree, pulls = branch(2)
    assert walk_cable(tree, motion).pull == pytest.approx(sum(pulls))


@pytest.mark.parametrize("seed", range(4))
def test_gust_peak_agrees_with_the_pendulum(seed):
    rng = np.random.default_rng(seed)
    side, weight, rope = rng.uniform(0.1, 1.0), 1.0, rng.uniform(20.0, 90.0)

    def motion(_, state):
        angle, speed = state
        pull = side / weight * math.cos(angle) - math.sin(angle)
        return [speed, GRAVITY / rope * pull]

    run = solve_ivp(motion, (0.0, 6.0), [0.0, 0.0], max_step=0.01)
    assert sway(side, weight).gust == pytest.approx(run.y[0].max(), rel=1e-3)


@pytest.mark.parametrize("seed", range(6))
def test_route_agrees_with_a_finely_broken_line(seed):
    """Second method: shortest path round each circle, walked in small steps."""
    rng = np.random.default_rng(seed)
    radius, turn = rng.uniform(0.5, 3.0), int(rng.choice([-1, 1]))
    far = (rng.uniform(20.0, 60.0), turn * rng.uniform(20.0, 60.0))
    circles = [
        PathCircle(x=-40.0, y=-turn * radius),
        PathCircle(x=0.0, y=0.0, radius=radius, turn=turn),
        PathCircle(x=far[0], y=far[1]),
    ]
    start = -math.pi / 2 * turn
    reach = math.hypot(*far)
    end = math.atan2(far[1], far[0]) - turn * math.acos(radius / reach)
    angles = np.linspace(start, end, 20001)
    arc = radius * np.column_stack([np.cos(angles), np.sin(angles)])
    line = np.vstack([[-40.0, -turn * radius], arc, far])
    walked = np.linalg.norm(np.diff(line, axis=0), axis=1).sum()
    assert tangent_length(circles) == pytest.approx(walked, rel=1e-7)


@pytest.mark.parametrize("seed", range(6))
def test_winding_agrees_with_small_steps(seed):
    """Second method: the drum turned by a thousandth of a turn at a time."""
    rng = np.random.default_rng(seed)
    drum = Drum(core=2.5, rope=0.1875, width=float(rng.uniform(1.0, 3.0)))
    length, dead = float(rng.uniform(10.0, 400.0)), 2
    per_layer = int(drum.width / drum.rope + 1e-6)
    step, on_drum, wound = 1e-3, float(dead), 0.0
    while wound < length:
        layer = int(on_drum / per_layer + 1e-12) + 1
        wound += step * math.pi * (drum.core + (2 * layer - 1) * drum.rope)
        on_drum += step
    reached = wind(drum, length, dead_wraps=dead)
    assert reached.turns == pytest.approx(on_drum - dead, abs=5e-3)
    assert reached.layer == int((on_drum - step) / per_layer) + 1
