"""The sweep against coal at a tolerance of 1e-9: wide bodies, all kinds, run ends."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pytest

from core.geometry.obstacles import ObstacleSet
from core.geometry.runs import SweptRun
from core.geometry.shapes import Shape
from core.geometry.sweep import PairTable, sweep_pairs
from tests.oracle.library_solids import Judge
from tests.oracle.scenes import shape_near, trial_run

pytestmark = [pytest.mark.oracle, pytest.mark.slow]

CLOSE = 1e-6
# Distances of coal scatter by this much near 0, where its search ends in touch [in].
TOUCH = 1e-4


@dataclass(frozen=True, kw_only=True)
class Trial:
    """Pairs, the judge of each, and what the sweep says."""

    runs: list[SweptRun]
    shapes: list[Shape]
    judges: list[Judge]
    found: PairTable

    def wrong(self, right: Callable[[int], bool]) -> str:
        """Return the pairs that are not right, as text to rebuild them from."""
        bad = [i for i in range(len(self.runs)) if not right(i)]
        pairs = [f"{i}: {self.runs[i]} {self.shapes[i]}" for i in bad[:5]]
        return "\n".join([f"{len(bad)} pairs wrong", *pairs]) if bad else ""


@pytest.fixture(scope="module")
def coal_trial() -> Trial:
    """6,000 pairs: 300 runs, two in three with points, one in three wide as well."""
    rng = np.random.default_rng(30)
    bodies = [{}, {"down": 1.5, "up": 0.25}, {"down": 0.5, "up": 0.0, "side": 4.0}]
    runs = [trial_run(rng, **bodies[i % 3]) for i in range(300)]
    shapes = [shape_near(rng, run) for run in runs for _ in range(20)]
    run_of = np.repeat(np.arange(300), 20)
    found = sweep_pairs(runs, ObstacleSet.of(shapes), run_of, np.arange(6000))
    paired = [runs[i] for i in run_of]
    judges = [Judge(run, shape) for run, shape in zip(paired, shapes, strict=True)]
    return Trial(runs=paired, shapes=shapes, judges=judges, found=found)


def test_least_clearance_agrees(coal_trial: Trial) -> None:
    def right(i: int) -> bool:
        least = coal_trial.judges[i].least()
        found = coal_trial.found.clearance[i] + coal_trial.runs[i].radius
        return abs(found - least) <= CLOSE or (least <= TOUCH and found <= TOUCH)

    assert not coal_trial.wrong(right)


def test_no_verdict_is_wrong(coal_trial: Trial) -> None:
    def right(i: int) -> bool:
        run = coal_trial.runs[i]
        least = coal_trial.judges[i].least() - run.radius
        return (least < run.limit) == (coal_trial.found.clearance[i] < run.limit)

    assert not coal_trial.wrong(right)


def crosses(excess: Callable[[float], float], place: float, outward: float) -> bool:
    """Whether a distance falls below the reach within CLOSE of a place.

    Outside, 1e-6 in off, it must be above the reach and inside below it, by coal's
    own scatter at most; 0.1 in off there is no doubt.
    """
    scatter = 1e-8
    return (
        excess(place + outward * CLOSE) > -scatter
        and excess(place - outward * CLOSE) < scatter
        and excess(place + outward * 0.1) > 0.0
    )


@pytest.mark.parametrize(("name", "outward"), [("lo", -1.0), ("hi", 1.0)])
def test_ends_of_bands_agree(coal_trial: Trial, name: str, outward: float) -> None:
    ends = getattr(coal_trial.found, name)

    def right(i: int) -> bool:
        run, judge = coal_trial.runs[i], coal_trial.judges[i]
        reach = run.radius + run.limit
        if np.isnan(ends[i]):
            return judge.gap((0.0, judge.length), (-500.0, 500.0)) > reach - CLOSE
        return crosses(lambda z: judge.gap_at(z) - reach, float(ends[i]), outward)

    assert not coal_trial.wrong(right)


@pytest.mark.parametrize(
    ("name", "outward"), [("station_lo", -1.0), ("station_hi", 1.0)]
)
def test_stations_agree(coal_trial: Trial, name: str, outward: float) -> None:
    ends = getattr(coal_trial.found, name)

    def right(i: int) -> bool:
        run, judge = coal_trial.runs[i], coal_trial.judges[i]
        reach = run.radius + run.limit
        if np.isnan(ends[i]):
            return judge.least() > reach - CLOSE
        if ends[i] < CLOSE or ends[i] > judge.length - CLOSE:
            return judge.gap_at_station(float(ends[i])) < reach + CLOSE
        return crosses(
            lambda u: judge.gap_at_station(u) - reach, float(ends[i]), outward
        )

    assert not coal_trial.wrong(right)


def test_the_trial_is_no_easy_one(coal_trial: Trial) -> None:
    found = coal_trial.found
    assert len(found.lo) == 6000
    assert 0.3 < np.isfinite(found.lo).mean() < 0.9
    assert (found.clearance > 0.0).sum() > 500
    assert (found.clearance < 0.0).sum() > 100
