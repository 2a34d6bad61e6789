"""Winches, drums and blocks."""

import math

import pytest

from core.errors import ValueRangeError
from core.mechanics.pulley import Motion
from core.mechanics.winch import (
    Drum,
    block_room,
    block_take_up,
    drum_capacity,
    handle_force,
    layer_pull,
    lift_time,
    nested_layer_rise,
    stop_place,
    two_part_pull,
    wind,
    wraps_per_layer,
)

DRUM = Drum(core=2.5, rope=0.1875, width=2.8125)
NESTED = Drum(core=2.5, rope=0.1875, width=2.8125, layer_rise=nested_layer_rise(0.1875))


def test_a_full_layer_is_not_yet_the_next() -> None:
    # hand-worked: 2.8125 / 0.1875 = 15 wraps a layer, two of them dead
    layer = drum_capacity(DRUM, 1, dead_wraps=2)
    assert wind(DRUM, layer).layer == 1
    assert wind(DRUM, layer).turns == pytest.approx(13)
    assert wind(DRUM, layer + 0.1).layer == 2


def test_capacity_wound_up_gives_its_turns_back() -> None:
    # hand-worked: 15 wraps a layer
    wound = wind(DRUM, drum_capacity(DRUM, 3, dead_wraps=3), dead_wraps=3)
    assert wound.turns == pytest.approx(3 * 15 - 3)
    assert wound.layer == 3


def test_nested_layers_hold_less_and_pull_more() -> None:
    assert drum_capacity(NESTED, 4) < drum_capacity(DRUM, 4)
    assert layer_pull(1.0, NESTED, 4) > layer_pull(1.0, DRUM, 4)


def test_the_block_halves_at_rest_and_its_parts_add_up() -> None:
    for motion in Motion:
        line = two_part_pull(
            80.0,
            ratio=1.06,
            motion=motion,
            distance=20.0,
            winch_offset=4.0,
            dead_end_offset=7.0,
        )
        along = line.pull * math.cos(math.atan2(4, 20))
        along += line.dead_end * math.cos(math.atan2(7, 20))
        assert along == pytest.approx(80.0)
        assert line.pull / line.dead_end == pytest.approx(1.06**motion.value)


def test_take_up_shrinks_near_pull_in() -> None:
    # hand-worked: both slants shorten by less than the block's way of 90 in
    near = block_take_up(
        distance_low=96, distance_high=6, winch_offset=6, dead_end_offset=6
    )
    assert near < 2 * 90


def test_time_is_that_of_the_first_layer_speed() -> None:
    turns = 15.0
    one_layer = turns * DRUM.turn_length(1)
    assert lift_time(turns, DRUM, line_speed=2.0) == pytest.approx(one_layer / 2)


def test_a_quick_winch_trips_early_or_not_at_all() -> None:
    # hand-worked: 50 in/s for 1 s is more than the travel
    assert stop_place(40.0, speed=0.0, stopping_time=1.0) == 40.0
    with pytest.raises(ValueRangeError, match="runs on for 50 in"):
        stop_place(40.0, speed=50.0, stopping_time=1.0)


def test_a_block_that_meets_the_winch_has_less_than_no_room() -> None:
    # hand-worked: 50 - 48 - 10
    assert block_room(distance=50, travel=48, block_length=10) == -8


def test_handle_force_is_the_balance_of_work() -> None:
    # one turn of the drum against its turns of the handle, by hand
    force = handle_force(
        90.0, DRUM, layer=1, gear_ratio=4.0, handle=8.0, efficiency=1.0
    )
    assert force * 4 * 2 * math.pi * 8 == pytest.approx(90 * DRUM.turn_length(1))


@pytest.mark.parametrize(
    "drum", [Drum(core=0, rope=0.2, width=2), Drum(core=2, rope=0.2, width=0.1)]
)
def test_a_drum_that_cannot_wind_is_refused(drum: Drum) -> None:
    with pytest.raises(ValueRangeError):
        wraps_per_layer(drum)


def test_too_many_dead_wraps_are_refused() -> None:
    with pytest.raises(ValueRangeError, match="dead wraps = 16"):
        wind(DRUM, 10.0, dead_wraps=16)
    with pytest.raises(ValueRangeError, match="rope wound"):
        wind(DRUM, -1.0)


def test_efficiency_above_one_is_refused() -> None:
    with pytest.raises(ValueRangeError, match="efficiency"):
        handle_force(1.0, DRUM, layer=1, gear_ratio=4, handle=8, efficiency=1.1)
