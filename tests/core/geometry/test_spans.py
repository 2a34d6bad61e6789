"""United intervals of several owners, against a count on a fine grid."""

import numpy as np
import pytest

from core.geometry.shapes import FloatArray, IntArray
from core.geometry.spans import Spans

HEIGHTS = np.arange(0.0, 40.0, 0.25) + 0.125


def some_intervals(seed: int) -> tuple[IntArray, FloatArray, FloatArray]:
    """Return intervals of four owners out of five on quarter inches, some of none."""
    rng = np.random.default_rng(seed)
    count = int(rng.integers(0, 40))
    lo = rng.integers(0, 120, count) / 4.0
    hi = lo + rng.integers(-4, 12, count) / 4.0
    return rng.choice([0, 1, 3, 4], count), lo, hi


def covered(intervals: tuple[IntArray, FloatArray, FloatArray], owner: int) -> IntArray:
    """Return how many intervals of an owner hold each height."""
    owners, lo, hi = intervals
    holds = (lo[:, None] < HEIGHTS) & (hi[:, None] > HEIGHTS)
    return holds[owners == owner].sum(axis=0)


@pytest.mark.parametrize("seed", range(20))
def test_the_union_covers_what_any_interval_covers_and_once(seed: int) -> None:
    intervals = some_intervals(seed)
    spans = Spans.united(*intervals)
    for owner in range(5):
        united = covered((spans.owner, spans.lo, spans.hi), owner)
        assert np.array_equal(united, np.minimum(covered(intervals, owner), 1))
        mine = spans.owner == owner
        assert (spans.lo[mine][1:] > spans.hi[mine][:-1]).all()
    assert (np.diff(spans.owner) >= 0).all()


@pytest.mark.parametrize("seed", range(20))
def test_joining_is_uniting_all_together(seed: int) -> None:
    one, other = some_intervals(seed), some_intervals(seed + 100)
    joined = Spans.united(*one).joined(*other)
    together = Spans.united(
        *(np.concatenate(pair) for pair in zip(one, other, strict=True))
    )
    assert joined.owner.tolist() == together.owner.tolist()
    assert joined.lo.tolist() == together.lo.tolist()
    assert joined.hi.tolist() == together.hi.tolist()


@pytest.mark.parametrize("seed", range(20))
def test_what_reaches_out_holds_a_height_that_is_not_covered(seed: int) -> None:
    spans = Spans.united(*some_intervals(seed))
    owner, lo, hi = some_intervals(seed + 200)
    order = np.argsort(owner, kind="stable")
    owner, lo, hi = owner[order], lo[order], hi[order]
    excess = spans.excess(owner, lo, hi)
    for k in range(owner.size):
        if lo[k] < hi[k]:
            bare = covered((spans.owner, spans.lo, spans.hi), int(owner[k])) == 0
            inside = (lo[k] < HEIGHTS) & (hi[k] > HEIGHTS)
            assert (excess[k] > 0.0) == (bare & inside).any()


def test_no_interval_reaches_nowhere() -> None:
    nothing = np.array([0, 1]), np.full(2, np.inf), np.full(2, -np.inf)
    for spans in (
        Spans.united(*nothing),
        Spans.united(np.zeros(1, dtype=np.int64), np.zeros(1), np.ones(1)),
    ):
        assert (spans.excess(*nothing) < 0.0).all()
