"""Hanging ropes: degenerate ends and refusals."""

import math

import pytest

from core.errors import ValueRangeError
from core.mechanics.catenary import (
    clipped_sag,
    hang_by_length,
    hang_by_pull,
    off_plumb,
    parabola_sag,
    slack_droop,
)


def test_a_mirrored_rope_hangs_mirrored() -> None:
    up = hang_by_pull(0.01, 100.0, pull=2.0, rise=30.0)
    down = hang_by_pull(0.01, 100.0, pull=2.0, rise=-30.0)
    assert (up.near_tension, up.far_tension) == pytest.approx(
        (down.far_tension, down.near_tension)
    )
    assert up.sag == pytest.approx(down.sag)
    assert up.dip == pytest.approx(down.dip)


def test_a_taut_rope_is_a_parabola() -> None:
    taut = hang_by_pull(0.005, 120.0, pull=60.0)
    assert taut.sag == pytest.approx(parabola_sag(0.005, 120.0, pull=60.0), rel=1e-5)


def test_tensions_differ_by_the_weight_of_the_rise() -> None:
    hung = hang_by_pull(0.01, 100.0, pull=2.0, rise=30.0)
    assert hung.far_tension - hung.near_tension == pytest.approx(0.01 * 30.0)


def test_a_long_rope_falls_straight_down() -> None:
    hung = hang_by_length(0.01, 10.0, length=190.0)
    assert hung.sag == pytest.approx(95.0, rel=0.12)
    assert hung.sag < 95.0
    assert hung.length == pytest.approx(190.0)


def test_a_hair_of_slack_follows_the_square_root() -> None:
    for slack in (1e-9, 1e-6, 1e-3):
        shallow = math.sqrt(3 * 120.0 * slack / 8)
        assert slack_droop(120.0, slack) == pytest.approx(shallow, rel=1e-4)


def test_more_slack_droops_more() -> None:
    droops = [slack_droop(120.0, slack) for slack in (0, 0.01, 0.5, 6, 60, 600, 2000)]
    assert droops == sorted(set(droops))


@pytest.mark.parametrize("length", [99.0, 100.0, 2001.0])
def test_a_rope_that_cannot_hang_so_is_refused(length: float) -> None:
    with pytest.raises(ValueRangeError, match="length of the rope"):
        hang_by_length(0.01, 100.0, length=length)


def test_a_pull_far_too_small_is_refused() -> None:
    with pytest.raises(ValueRangeError, match=r"pull = 0\.005 lbf"):
        hang_by_pull(0.01, 100.0, pull=0.005)
    with pytest.raises(ValueRangeError, match="pull"):
        parabola_sag(0.01, 100.0, pull=0.0)


def test_a_weight_beside_the_rope_is_refused() -> None:
    with pytest.raises(ValueRangeError, match="place of the weight"):
        clipped_sag(1.0, 130.0, 120.0, pull=40.0)


def test_a_drop_of_nothing_is_refused() -> None:
    with pytest.raises(ValueRangeError, match="drop"):
        off_plumb(5.0, offset=1.0, drop=0.0)
