"""Supports on trusses."""

from itertools import combinations, pairwise

import numpy as np
import pytest

from core.errors import ValueRangeError
from core.mechanics.support_layout import fewest_supports


def keeps_limits(chosen: tuple[float, ...], end: float) -> bool:
    gaps = [b - a for a, b in pairwise(chosen)]
    return chosen[0] <= 48 and end - chosen[-1] <= 48 and max(gaps) <= 144


@pytest.mark.parametrize("seed", range(20))
def test_no_smaller_choice_keeps_the_limits(seed: int) -> None:
    """Second method: every choice of trusses."""
    rng = np.random.default_rng(seed)
    trusses = np.unique(rng.integers(0, 59, 12) * 8.0).tolist()
    end = 470.0
    fits = [
        chosen
        for count in range(2, len(trusses) + 1)
        for chosen in combinations(trusses, count)
        if keeps_limits(chosen, end)
    ]
    limits = {"trusses": trusses, "max_span": 144.0, "max_overhang": 48.0}
    if not fits:
        with pytest.raises(ValueRangeError):
            fewest_supports(0.0, end, **limits)
        return
    found = fewest_supports(0.0, end, **limits)
    assert keeps_limits(found, end)
    assert len(found) == len(fits[0])

    def unevenness(chosen: tuple[float, ...]) -> float:
        edges = [0.0, *chosen, end]
        return sum((b - a) ** 2 for a, b in pairwise(edges))

    rivals = [chosen for chosen in fits if len(chosen) == len(found)]
    assert unevenness(found) == pytest.approx(min(map(unevenness, rivals)))


def test_a_gap_too_wide_is_named() -> None:
    with pytest.raises(ValueRangeError, match="the ropes get to 96 in only"):
        fewest_supports(
            0.0, 400.0, trusses=[0, 96, 300, 396], max_span=144, max_overhang=48
        )


def test_no_truss_near_the_front_is_named() -> None:
    with pytest.raises(ValueRangeError, match="front end"):
        fewest_supports(0.0, 400.0, trusses=[96, 192], max_span=144, max_overhang=48)


def test_one_rope_never_holds_a_run() -> None:
    with pytest.raises(ValueRangeError):
        fewest_supports(0.0, 60.0, trusses=[30.0], max_span=144, max_overhang=48)
