"""Time of the mechanics of a room of 20 runs: the least of several tries."""

import time
from collections.abc import Callable

import numpy as np
import pytest

from core.mechanics.anchor import anchor_load, combined_value, truss_loads
from core.mechanics.cable import (
    Branch,
    Drop,
    Turn,
    slack_while_lowering,
    walk_cable,
)
from core.mechanics.pipe import PipeStatics, solve_pipe
from core.mechanics.pipe_parts import Joint, Lump, Pipe, Rope
from core.mechanics.pipe_shape import largest_moment, largest_sag, sag, span_sags
from core.mechanics.pulley import Motion, pulley_forces

pytestmark = pytest.mark.slow

LENGTH = 1104.0  # 92 ft
LUMPS = [Lump(station=12.0 + 24 * k, weight=0.02) for k in range(46)]
JOINTS = [Joint(station=120.0 * k, stiffness=2e4) for k in range(1, 10)]
STATIONS = [24.0 + 96 * k for k in range(12)]
CURVE = np.linspace(0.0, LENGTH, 185)


def one_run(drop: float) -> PipeStatics:
    ropes = [Rope(station=x) for x in STATIONS]
    ropes[5] = Rope(station=STATIONS[5], drop=drop)
    pipe = Pipe(start=0.0, end=LENGTH, weight=0.038, stiffness=372444.0)
    hung = solve_pipe(pipe, ropes=ropes, lumps=LUMPS, joints=JOINTS)
    sag(hung, CURVE)
    largest_sag(hung)
    largest_moment(hung)
    span_sags(hung)
    return hung


def whole_room() -> None:
    branches = []
    for run in range(20):
        hung = one_run(0.01 * run)
        loads = hung.reactions
        drops = [
            Drop(name=f"D{run}-{k}", load=load, ratio=1.05)
            for k, load in enumerate(loads)
        ]
        branches.append(Branch(name=f"R{run}", elements=(*drops, turn(f"T{run}"))))
    tree = Branch(name="hoist", elements=(*branches, turn("T-a"), turn("T-b")))
    walked = [walk_cable(tree, motion) for motion in Motion]
    slack_while_lowering(tree, load_share=0.8)
    pulls = []
    for pulley in walked[0].pulleys:
        force = (pulley.winch_side, 0.0, -pulley.load_side)
        load = anchor_load(force)
        combined_value(150.0, 90.0, load.angle)
        pulls.append((pulley.name[:3], force))
    truss_loads(pulls)
    for _ in range(22):
        pulley_forces(
            20.0, 21.0, came_from=(0, 0, 90), pulley=(90, 0, 90), goes_to=(90, 90, 90)
        )


def turn(name: str) -> Turn:
    return Turn(name=name, ratio=1.04)


def least_time(work: Callable[[], object], tries: int) -> float:
    times = []
    for _ in range(tries):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def test_one_run_takes_under_a_millisecond_and_a_half() -> None:
    assert least_time(lambda: one_run(0.02), 30) < 1.5e-3


def test_a_room_of_twenty_runs_takes_under_thirty_milliseconds() -> None:
    assert least_time(whole_room, 20) < 30e-3
