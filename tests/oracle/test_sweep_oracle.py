"""The sweep against the second method: all kinds, run ends, grazing pairs."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import pytest

from core.geometry.obstacles import ObstacleSet
from core.geometry.runs import SweptRun
from core.geometry.shapes import Shape
from core.geometry.sweep import PairTable, sweep, sweep_pairs
from tests.oracle.run_oracle import Verdicts, gap_at_height, verdicts
from tests.oracle.scenes import (
    KINDS,
    level_cylinder,
    shape_near,
    square_box,
    trial_run,
    turned_box,
    upright_cylinder,
)

pytestmark = [pytest.mark.oracle, pytest.mark.slow]

CLOSE = 1e-6
BODY = {"down": 1.5, "up": 0.25}


@dataclass(frozen=True, kw_only=True)
class Trial:
    """Pairs of runs and shapes, what the sweep says, what the second method says."""

    runs: list[SweptRun]
    shapes: list[Shape]
    found: PairTable
    expected: Verdicts

    def places(self, wrong: np.ndarray) -> str:
        """Return the pairs that are wrong, as text to rebuild them from."""
        rows = np.nonzero(wrong)[0]
        head = f"{len(rows)} of {len(wrong)} pairs wrong; first ones:"
        return "\n".join(
            [head, *(f"{i}: {self.runs[i]} {self.shapes[i]}" for i in rows[:5])]
        )


def trial(runs: Sequence[SweptRun], shapes: Sequence[Shape]) -> Trial:
    """Return pairs `(runs[i // k], shapes[i])`, k shapes to a run."""
    share = len(shapes) // len(runs)
    run_of = np.repeat(np.arange(len(runs)), share)
    found = sweep_pairs(runs, ObstacleSet.of(shapes), run_of, np.arange(len(shapes)))
    paired = [runs[i] for i in run_of]
    return Trial(
        runs=paired,
        shapes=list(shapes),
        found=found,
        expected=verdicts(paired, shapes),
    )


@pytest.fixture(scope="module")
def mixed() -> Trial:
    """10,000 pairs: 100 runs, half of them with points, and 100 shapes near each."""
    rng = np.random.default_rng(20)
    runs = [trial_run(rng, **(BODY if i % 2 else {})) for i in range(100)]
    return trial(runs, [shape_near(rng, run) for run in runs for _ in range(100)])


@pytest.fixture(scope="module")
def grazing() -> Trial:
    """600 pairs whose least clearance misses the limit by 1e-3 to 1e-5 in."""
    rng = np.random.default_rng(22)
    runs = [trial_run(rng) for _ in range(800)]
    shapes = [shape_near(rng, run) for run in runs]
    gaps = verdicts(runs, shapes).clearance
    rows = np.nonzero(gaps > 0.1)[0][:600]
    miss = rng.choice([1e-3, 1e-4, 1e-5], len(rows)) * rng.choice(
        [-1.0, 1.0], len(rows)
    )
    graze = [
        replace(runs[i], limit=float(gaps[i] + m))
        for i, m in zip(rows, miss, strict=True)
    ]
    return trial(graze, [shapes[i] for i in rows])


def ends_differ(found: np.ndarray, expected: np.ndarray) -> np.ndarray:
    """Return which ends are apart, or there on one side only."""
    alone = np.isnan(found) != np.isnan(expected)
    return alone | (np.abs(found - expected) > CLOSE)


ALL = pytest.mark.parametrize("name", ["mixed", "grazing"])


@ALL
def test_least_clearance_agrees(name: str, request: pytest.FixtureRequest) -> None:
    t = request.getfixturevalue(name)
    wrong = ~(np.abs(t.found.clearance - t.expected.clearance) <= CLOSE)
    assert not wrong.any(), t.places(wrong)


@ALL
def test_no_verdict_is_wrong(name: str, request: pytest.FixtureRequest) -> None:
    t = request.getfixturevalue(name)
    limit = np.array([run.limit for run in t.runs])
    wrong = (t.found.clearance < limit) != (t.expected.clearance < limit)
    assert not wrong.any(), t.places(wrong)


@ALL
def test_ends_of_bands_agree(name: str, request: pytest.FixtureRequest) -> None:
    t = request.getfixturevalue(name)
    wrong = ends_differ(t.found.lo, t.expected.lo) | ends_differ(
        t.found.hi, t.expected.hi
    )
    assert not wrong.any(), t.places(wrong)


@ALL
def test_stations_agree(name: str, request: pytest.FixtureRequest) -> None:
    t = request.getfixturevalue(name)
    wrong = ends_differ(t.found.station_lo, t.expected.station_lo)
    wrong |= ends_differ(t.found.station_hi, t.expected.station_hi)
    assert not wrong.any(), t.places(wrong)


def test_height_of_least_clearance_is_in_the_travel_and_has_it(mixed: Trial) -> None:
    low = np.array([run.low for run in mixed.runs])
    high = low + np.array([run.travel for run in mixed.runs])
    height = mixed.found.at_height
    assert np.all((height >= low) & (height <= high))
    there = gap_at_height(mixed.runs, mixed.shapes, height)
    wrong = ~(np.abs(there - mixed.expected.clearance) <= CLOSE)
    assert not wrong.any(), mixed.places(wrong)


def test_height_of_least_clearance_is_the_lowest_of_equal_ones() -> None:
    # Upright faces beside the travel: all heights over a face have the least gap.
    rng = np.random.default_rng(23)
    run = SweptRun(
        start=(0.0, 0.0), end=(600.0, 0.0), low=30.0, travel=60.0, radius=1.0
    )
    middles = rng.uniform((-40, -30, 40), (640, 30, 80), (400, 3))
    makers = (square_box, turned_box, upright_cylinder, level_cylinder)
    shapes = [
        makers[i % 4](rng, middle, rng.uniform(4.0, 12.0))
        for i, middle in enumerate(middles)
    ]
    t = trial([run], shapes)
    below = np.maximum(t.found.at_height - 0.05, run.low)
    there = gap_at_height(t.runs, t.shapes, below)
    clear = t.expected.clearance > -run.radius
    lowest = (below == run.low) | (there > t.expected.clearance + 1e-12)
    assert not (clear & ~lowest).any(), t.places(clear & ~lowest)
    assert (clear & (t.found.at_height > run.low)).sum() > 100


def test_witness_points_are_as_far_apart_as_the_clearance(mixed: Trial) -> None:
    found = mixed.found
    apart = np.linalg.norm(found.on_run - found.on_obstacle, axis=1)
    clear = mixed.expected.clearance > 0.0
    wrong = clear & ~(np.abs(apart - found.clearance) <= CLOSE)
    assert not wrong.any(), mixed.places(wrong)


def test_the_trial_is_no_easy_one(mixed: Trial) -> None:
    expected = mixed.expected
    assert len(mixed.shapes) >= 10_000
    assert {type(shape).__name__ for shape in mixed.shapes} == {
        *("Box", "Cylinder", "Capsule", "Sphere", "Hull")
    }
    assert len(KINDS) == 8
    blocked = np.isfinite(expected.lo)
    assert 0.3 < blocked.mean() < 0.9
    length = np.array([np.hypot(*np.subtract(r.end, r.start)) for r in mixed.runs])
    at_end = (expected.station_lo == 0.0) | (expected.station_hi == length)
    assert at_end.sum() > 1000
    assert (expected.clearance < 0.0).sum() > 300


def test_broad_search_drops_no_near_pair(mixed: Trial) -> None:
    runs = mixed.runs[::100]
    table = sweep(runs, ObstacleSet.of(mixed.shapes), horizon=24.0)
    listed = set(zip(table.run.tolist(), table.obstacle.tolist(), strict=True))
    near = np.nonzero(mixed.expected.clearance < 24.0 - CLOSE)[0]
    assert all((i // 100, i) in listed for i in near.tolist())
    assert np.all(table.clearance <= 24.0 + CLOSE)
