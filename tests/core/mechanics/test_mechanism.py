"""Counting free motions."""

import pytest

from core.errors import ValueRangeError
from core.mechanics.mechanism import folding_hinges, zero_modes


def test_a_free_bar_has_two_motions_and_each_hinge_one_more() -> None:
    assert zero_modes(start=0, end=10, supports=[]) == 2
    assert zero_modes(start=0, end=10, supports=[], hinges=[4]) == 3


def test_a_hinge_out_on_an_overhang_folds() -> None:
    assert folding_hinges(start=0, end=100, supports=[20, 80], hinges=[90]) == (90,)


def test_a_hinge_over_an_end_rope_only_needs_a_rope_on_each_side() -> None:
    assert zero_modes(start=0, end=100, supports=[0, 40, 100], hinges=[40]) == 0
    assert folding_hinges(start=0, end=100, supports=[0, 40, 100], hinges=[40]) == ()


def test_a_pipe_without_length_is_refused() -> None:
    with pytest.raises(ValueRangeError):
        zero_modes(start=5, end=5, supports=[5])
