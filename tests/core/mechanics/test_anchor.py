"""Screws in a truss."""

import math

import pytest

from core.errors import ValueRangeError
from core.mechanics.anchor import (
    anchor_load,
    combined_value,
    edge_room,
    lag_withdrawal,
    side_value,
    thread_in_wood,
    truss_loads,
    withdrawal_value,
    wood_screw_withdrawal,
)


def test_a_combined_value_lies_between_its_two_ends() -> None:
    values = [combined_value(150, 90, math.radians(a)) for a in range(0, 91, 10)]
    assert values == sorted(values)
    assert values[0] == pytest.approx(90)
    assert values[-1] == pytest.approx(150)


def test_a_load_on_a_turned_screw_keeps_its_size() -> None:
    # hand-worked: a triangle of 3, 4 and 5
    flat = anchor_load((3.0, 4.0, 0.0), outward=(1.0, 0.0, 0.0))
    assert flat.size == 5.0
    assert (flat.withdrawal, flat.side) == pytest.approx((3.0, 4.0))


def test_a_push_into_the_wood_is_no_withdrawal() -> None:
    assert anchor_load((0.0, 0.0, 5.0)).withdrawal == 0.0
    assert anchor_load((0.0, 0.0, 0.0)).size == 0.0


def test_a_direction_without_length_is_refused() -> None:
    with pytest.raises(ValueRangeError, match="direction"):
        anchor_load((1, 0, 0), outward=(0, 0, 0))


def test_a_screw_that_ends_in_the_strapping_holds_nothing() -> None:
    assert thread_in_wood(1.0, thread=0.9, tip=0.1, layers=(0.5, 0.6)) == 0.0
    assert withdrawal_value(lag_withdrawal(0.5, 0.25), 0.0) == 0.0


@pytest.mark.parametrize(
    ("wood", "thread"),
    # hand-worked: a screw of 4 in with 2.5 in of thread and a tip of 0.25 in; the
    # thread begins 1.5 in from its head
    [(1.0, 0.0), (1.5, 0.0), (2.0, 0.5), (3.0, 1.5), (3.75, 2.25), (9.0, 2.25)],
)
def test_thread_behind_thin_wood_holds_nothing(wood: float, thread: float) -> None:
    found = thread_in_wood(4.0, thread=2.5, tip=0.25, wood=wood)
    assert found == pytest.approx(thread)


def test_thread_longer_than_the_screw_is_refused() -> None:
    with pytest.raises(ValueRangeError, match="thread"):
        thread_in_wood(1.0, thread=1.1, tip=0.1)
    with pytest.raises(ValueRangeError, match="layer under the wood"):
        thread_in_wood(1.0, thread=0.9, tip=0.1, layers=(-0.1,))


def test_two_screws_hold_twice_as_much() -> None:
    assert side_value(80.0, screws=2) == pytest.approx(2 * side_value(80.0))
    one = withdrawal_value(200.0, 1.5, screws=1)
    assert withdrawal_value(200.0, 1.5, screws=2) == pytest.approx(2 * one)


@pytest.mark.parametrize(("gravity", "diameter"), [(0.2, 0.25), (0.5, 0.05)])
def test_wood_and_screws_outside_the_tables_are_refused(
    gravity: float, diameter: float
) -> None:
    with pytest.raises(ValueRangeError):
        lag_withdrawal(gravity, diameter)
    with pytest.raises(ValueRangeError):
        wood_screw_withdrawal(gravity, diameter)


def test_a_service_factor_above_one_is_refused() -> None:
    with pytest.raises(ValueRangeError, match="service factor"):
        withdrawal_value(200.0, 1.0, service=1.1)


def test_the_pulled_edge_needs_more_room_than_the_other() -> None:
    # hand-worked: 1.75 in from the middle to an edge, less 1.5 D, or 4 D if pulled at
    room = {"chord_width": 3.5, "diameter": 0.25}
    assert edge_room(offset=0.5, **room) == pytest.approx(1.75 - 0.5 - 0.375)
    assert edge_room(offset=0.5, side_pull=9.0, **room) == pytest.approx(0.25)
    assert edge_room(offset=-1.5, side_pull=9.0, **room) == pytest.approx(-0.125)


def test_anchors_are_summed_for_each_truss() -> None:
    # hand-worked: 5 + 6 down, 5 - 5 along, 0 + 2 across on T2
    sums = truss_loads([("T2", (5, 0, -5)), ("T1", (0, 1, -4)), ("T2", (-5, 2, -6))])
    assert [(s.truss, s.anchors, s.down, s.along_x, s.along_y) for s in sums] == [
        ("T2", 2, 11, 0, 2),
        ("T1", 1, 4, 0, 1),
    ]
    assert truss_loads([]) == ()
    with pytest.raises(ValueRangeError, match="3 parts"):
        truss_loads([("T1", (1.0, 2.0))])
