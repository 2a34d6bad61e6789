"""Joints of a run and the cutting of its sticks."""

from itertools import permutations

import numpy as np
import pytest

from core.errors import ValueRangeError
from core.mechanics.joints import cut_sticks, lay_joints


def test_sticks_follow_each_other_where_nothing_is_in_the_way() -> None:
    layout = lay_joints(10.0, 1114.0, stick=120.0)
    assert layout.pieces == (120.0,) * 9 + (24.0,)
    assert layout.stations == tuple(10.0 + 120 * k for k in range(1, 10))


def test_no_joint_lies_at_an_insulator_and_no_piece_is_too_short() -> None:
    rng = np.random.default_rng(1)
    for _ in range(50):
        insulators = np.cumsum(rng.uniform(40.0, 144.0, 9)).tolist()
        end = float(rng.uniform(300.0, 1200.0))
        layout = lay_joints(0.0, end, stick=120.0, insulators=insulators, margin=4.0)
        gaps = [abs(s - i) for s in layout.stations for i in insulators]
        assert min(gaps, default=9.0) >= 4.0 - 1e-6
        assert min(layout.pieces) >= 12.0 - 1e-6
        assert max(layout.pieces) <= 120.0 + 1e-6
        assert sum(layout.pieces) == pytest.approx(end)


def test_an_end_piece_too_short_takes_from_the_stick_before() -> None:
    # hand-worked: 245 - 2 x 120 = 5 in left, 12 in is the shortest: 7 in less before
    assert lay_joints(0.0, 245.0, stick=120.0).pieces == (120.0, 113.0, 12.0)


def test_two_insulators_side_by_side_are_both_avoided() -> None:
    # hand-worked: 120 is within 3 in of 121, the next place before 116 is 113
    layout = lay_joints(0.0, 200.0, stick=120.0, insulators=[116.0, 121.0], margin=3.0)
    assert layout.stations == (113.0,)


def test_insulators_everywhere_leave_no_place() -> None:
    crowd = [float(x) for x in range(0, 200, 4)]
    with pytest.raises(ValueRangeError, match="no joint fits from 12 in to 120 in"):
        lay_joints(0.0, 200.0, stick=120.0, insulators=crowd, margin=3.0)


def test_a_shortest_piece_of_nothing_is_refused() -> None:
    with pytest.raises(ValueRangeError, match="shortest piece"):
        lay_joints(0.0, 200.0, stick=120.0, shortest=0.0)


def test_every_piece_is_cut_once_and_every_stick_is_long_enough() -> None:
    rng = np.random.default_rng(2)
    for _ in range(30):
        pieces = rng.uniform(5.0, 120.0, int(rng.integers(1, 60))).tolist()
        plan = cut_sticks(pieces, stick=120.0, kerf=0.125)
        assert sorted(k for stick in plan.sticks for k in stick) == list(
            range(len(pieces))
        )
        for stick in plan.sticks:
            # a piece that reaches the end of the stick needs no last cut
            needed = sum(pieces[k] for k in stick) + 0.125 * (len(stick) - 1)
            assert needed <= 120.0 + 1e-6
        assert plan.least <= len(plan.sticks)
        waste = len(plan.sticks) * 120.0 - sum(pieces)
        assert plan.waste == pytest.approx(waste)


def fewest_by_trying_all(pieces: list[float], stick: float, kerf: float) -> int:
    """Second method: fill sticks one after the other in every order of the pieces."""
    best = len(pieces)
    for order in set(permutations(pieces)):
        sticks, left = 1, stick + kerf
        for piece in order:
            if piece + kerf > left + 1e-9:
                sticks, left = sticks + 1, stick + kerf
            left -= piece + kerf
        best = min(best, sticks)
    return best


@pytest.mark.parametrize("seed", range(12))
def test_few_pieces_are_cut_from_as_few_sticks_as_there_can_be(seed: int) -> None:
    rng = np.random.default_rng(seed)
    pieces = rng.integers(8, 70, 7).astype(float).tolist()
    plan = cut_sticks(pieces, stick=120.0, kerf=0.125)
    assert len(plan.sticks) == fewest_by_trying_all(pieces, 120.0, 0.125)
    assert plan.is_least


def test_the_search_finds_what_longest_first_misses() -> None:
    # longest first needs 3 sticks: 6+4, 5+... ; by hand 6+5 = 11 and 4+4+3 = 11
    pieces = [6.0, 5.0, 4.0, 4.0, 3.0]
    plan = cut_sticks(pieces, stick=11.0, kerf=0.0)
    assert len(plan.sticks) == 2
    hard = [44.0, 24.0, 24.0, 22.0, 21.0, 17.0, 8.0, 8.0, 6.0, 6.0]
    assert cut_sticks(hard, stick=60.0, kerf=0.0).is_least


def test_the_saw_cut_counts() -> None:
    # hand-worked: 5 x 24 = 120, and four cuts of 1/8 in more
    assert len(cut_sticks([24.0] * 5, stick=120.0, kerf=0.0).sticks) == 1
    assert len(cut_sticks([24.0] * 5, stick=120.0, kerf=0.125).sticks) == 2


def test_a_piece_longer_than_a_stick_is_refused() -> None:
    with pytest.raises(ValueRangeError, match="piece = 121 in"):
        cut_sticks([121.0], stick=120.0, kerf=0.125)


def test_many_pieces_are_cut_without_a_search() -> None:
    rng = np.random.default_rng(3)
    pieces = rng.uniform(20.0, 70.0, 900).tolist()
    plan = cut_sticks(pieces, stick=120.0, kerf=0.125)
    assert len(plan.sticks) <= 1.05 * plan.least
