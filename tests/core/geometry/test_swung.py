"""Swinging runs: leaving wedges out changes no bit of what all wedges give."""

from dataclasses import fields, replace

import numpy as np
import pytest

from core.geometry import swung as module
from core.geometry.obstacles import ObstacleSet
from core.geometry.runs import SagProfile, Swing
from core.geometry.sweep import PairTable, sweep_pairs
from tests.oracle.scenes import shape_near, trial_run

SAG = SagProfile(stations=(0.0, 90.0, 200.0), depths=(0.1, 1.5, -0.2))


@pytest.mark.parametrize("sag", [None, SAG])
def test_pruned_wedges_give_what_all_wedges_give(monkeypatch, sag):
    rng = np.random.default_rng(7)
    plain = [trial_run(rng, down=1.0, up=0.5, side=0.4 * (k % 2)) for k in range(6)]
    shapes = [shape_near(rng, run) for run in plain for _ in range(8)]
    runs = [
        replace(
            run,
            sag=sag,
            swing=Swing(pulley_height=run.low + run.travel + 4.0, angle=0.06),
        )
        for run in plain
    ]
    pairs = np.repeat(np.arange(6), 8), np.arange(48)
    pruned = sweep_pairs(runs, ObstacleSet.of(shapes), *pairs)
    monkeypatch.setattr(module, "_at_least", lambda *args: np.zeros(args[2].size))
    every = sweep_pairs(runs, ObstacleSet.of(shapes), *pairs)
    for field in fields(PairTable):
        np.testing.assert_array_equal(
            getattr(pruned, field.name), getattr(every, field.name)
        )
    assert np.isnan(pruned.lo).any()
    assert np.isfinite(pruned.lo).sum() > 20
