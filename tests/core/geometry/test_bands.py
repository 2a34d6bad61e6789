"""Unions of intervals against a plain sort and merge, and the degenerate cases."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from core.geometry.bands import clip_bands, free_gaps, union_bands

HEIGHT = st.floats(-50, 50).map(lambda x: round(x, 1))
INTERVALS = st.lists(st.tuples(st.integers(0, 3), HEIGHT, HEIGHT), max_size=40)


def merged(rows: list[tuple[int, float, float]]) -> list[tuple[int, float, float]]:
    """Second method: sort, then merge one after the other."""
    result: list[tuple[int, float, float]] = []
    for group, lo, hi in sorted(row for row in rows if row[2] >= row[1]):
        if result and result[-1][0] == group and lo <= result[-1][2]:
            result[-1] = (group, result[-1][1], max(hi, result[-1][2]))
        else:
            result.append((group, lo, hi))
    return result


@given(INTERVALS)
def test_union_is_that_of_sort_and_merge(rows):
    group, lo, hi = (
        np.array([row[k] for row in rows], dtype=kind)
        for k, kind in enumerate((np.int64, np.float64, np.float64))
    )
    found = union_bands(group, lo, hi)
    assert list(zip(*(part.tolist() for part in found), strict=True)) == merged(rows)


def test_intervals_without_ends_are_left_out():
    nan = np.array([np.nan, 1.0])
    _, lo, hi = union_bands(np.array([0, 0]), nan, nan + 1)
    assert (lo.tolist(), hi.tolist()) == ([1.0], [2.0])


def test_touching_intervals_join_and_no_digit_is_lost():
    # 2**52 + 1 groups apart, heights one last place apart: kept exactly
    high = np.nextafter(1.0, 2.0)
    group, lo, hi = union_bands(
        np.array([2**52, 2**52, 2**52 + 1]),
        np.array([0.0, high, 1.0]),
        np.array([1.0, 2.0, 1.0]),
    )
    assert group.tolist() == [2**52, 2**52, 2**52 + 1]
    assert lo.tolist() == [0.0, high, 1.0]
    assert hi.tolist() == [1.0, 2.0, 1.0]


def test_clipping_keeps_what_is_inside():
    lo, hi = clip_bands(
        np.array([-5.0, 1.0, 9.0]), np.array([0.5, 2, 12]), low=0, high=8
    )
    assert (lo.tolist(), hi.tolist()) == ([0.0, 1.0], [0.5, 2.0])


@given(INTERVALS)
def test_gaps_and_blocked_heights_fill_the_travel(rows):
    blocked = merged([(0, lo, hi) for _, lo, hi in rows])
    lo = np.array([row[1] for row in blocked])
    hi = np.array([row[2] for row in blocked])
    start, end = free_gaps(lo, hi, low=-10.0, high=10.0)
    inner_lo, inner_hi = clip_bands(lo, hi, low=-10.0, high=10.0)
    total = (end - start).sum() + (inner_hi - inner_lo).sum()
    assert abs(total - 20.0) < 1e-9
    middle = (start + end) / 2
    assert not ((middle[:, None] > lo) & (middle[:, None] < hi)).any()
