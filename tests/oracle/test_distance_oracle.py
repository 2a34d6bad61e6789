"""Still capsules and pairs of runs against second methods."""

from dataclasses import replace

import numpy as np
import pytest
from shapely import LineString

from core.geometry.distance import Motion, run_clearance, segment_clearances
from core.geometry.obstacles import ObstacleSet
from core.geometry.runs import SweptRun
from tests.oracle.gap_oracle import Segments, gap_at, pack
from tests.oracle.scenes import random_shape, trial_run

pytestmark = pytest.mark.oracle

CLOSE = 1e-6


def still_gaps(starts: np.ndarray, ends: np.ndarray, shapes: list) -> np.ndarray:
    """Second method: golden section on the distance of points to shape `i`."""
    length = np.linalg.norm(ends - starts, axis=1)
    along = (ends - starts) / np.where(length > 0.0, length, 1.0)[:, None]
    gaps = np.zeros(len(shapes))
    kinds = np.array([type(shape).__name__ for shape in shapes])
    for kind in np.unique(kinds):
        rows = np.nonzero(kinds == kind)[0]
        axes = Segments(
            start=starts[rows],
            direction=along[rows],
            length=length[rows],
            move=np.zeros((len(rows), 3)),
        )
        still = np.zeros(len(rows))
        gaps[rows] = gap_at(axes, pack([shapes[i] for i in rows]), still)
    return gaps


def test_still_capsules_agree_with_the_second_method() -> None:
    rng = np.random.default_rng(40)
    count = 1500
    starts = rng.uniform(-200.0, 200.0, (count, 3))
    ends = starts + rng.normal(size=(count, 3)) * rng.choice(
        [0.0, 5.0, 80.0], (count, 1)
    )
    ends[::5, :2] = starts[::5, :2]  # plumb ropes
    radii = rng.uniform(0.05, 1.0, count)
    share = rng.uniform(0.0, 1.0, (count, 1))
    places = starts + share * (ends - starts) + rng.normal(size=(count, 3)) * 12.0
    shapes = [random_shape(rng, place, rng.uniform(0.5, 15.0)) for place in places]
    expected = still_gaps(starts, ends, shapes) - radii
    table = segment_clearances(
        starts, ends, radii, ObstacleSet.of(shapes), horizon=30.0
    )
    own = table.segment == table.obstacle
    found = np.full(count, np.inf)
    found[table.segment[own]] = table.clearance[own]
    near = expected < 30.0 - CLOSE
    assert np.all(np.isfinite(found[near]))
    wrong = near & ~(np.abs(found - expected) <= CLOSE)
    bad = [(starts[i], ends[i], radii[i], shapes[i]) for i in np.nonzero(wrong)[0][:5]]
    assert not bad
    assert (expected < 0.0).sum() > 50
    assert near.sum() > 1000
    apart = np.linalg.norm(table.on_segment - table.on_obstacle, axis=1)
    clear = table.clearance > 0.0
    assert np.all(np.abs(apart - table.clearance)[clear] <= CLOSE)


def plan_distance(a: SweptRun, b: SweptRun) -> float:
    return float(LineString([a.start, a.end]).distance(LineString([b.start, b.end])))


@pytest.mark.parametrize("seed", range(60))
def test_runs_against_each_other_agree_with_the_plan_distance(seed: int) -> None:
    # Second method: plan distance by shapely; the difference in height is linear in
    # the common lift, or anything between the extremes for independent runs.
    rng = np.random.default_rng(seed)
    a, b = trial_run(rng), trial_run(rng)
    if seed % 3 == 0:
        shift = rng.uniform(0.0, 20.0)
        b = replace(b, start=(a.start[0], a.start[1] + shift), end=(a.end[0], a.end[1]))
    plan = plan_distance(a, b)
    first, last = b.low - a.low, b.low + b.travel - a.low - a.travel
    linked = 0.0 if first * last <= 0.0 else min(abs(first), abs(last))
    free = max(b.low - a.low - a.travel, a.low - b.low - b.travel, 0.0)
    for motion, height in ((Motion.LINKED, linked), (Motion.INDEPENDENT, free)):
        found = run_clearance(a, b, motion=motion)
        gap = np.hypot(plan, height)
        expected = gap - a.radius - b.radius
        if gap > CLOSE:
            assert found.clearance == pytest.approx(expected, abs=CLOSE)
        else:
            assert found.clearance <= CLOSE - min(a.radius, b.radius)
        assert 0.0 <= found.lift_a <= 1.0
        assert 0.0 <= found.lift_b <= 1.0
