import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.catalogue.standard import standard_catalogue
from core.errors import UnknownPartError, ValueRangeError
from core.geometry.runs import SagProfile, SweptRun, Swing
from core.model.room import Bulkhead
from core.model.runs import PointDirection, PointRow, Run
from core.placement.runs import (
    height_at,
    point_at,
    run_body,
    run_direction,
    run_length,
    stow_height,
    travel,
    tube_radius,
)
from tests.core.placement.rooms import ALONG, FLAT, GABLE, SLOPED, room_with

PARTS = standard_catalogue()
ASKEW = Run(id="r", start=(50.0, 60.0), end=(350.0, 160.0))
RADIUS = 0.461  # published: 3/4 EMT, OD 0.922 in (ANSI C80.3)


def test_plan_of_an_askew_run() -> None:
    # hand-worked: 300 along, 100 across: length sqrt(100000) = 316.227766
    assert run_length(ASKEW) == pytest.approx(316.227766)
    assert run_direction(ASKEW) == pytest.approx((0.9486833, 0.3162278))
    assert point_at(ASKEW, 0.0) == ASKEW.start
    assert point_at(ASKEW, 158.113883) == pytest.approx((200.0, 110.0))
    assert point_at(ASKEW, run_length(ASKEW)) == pytest.approx(ASKEW.end)


def test_a_run_of_no_length_has_no_direction() -> None:
    with pytest.raises(ValueRangeError, match=r'run "r": length = 0 in'):
        run_direction(replace(ASKEW, end=ASKEW.start))


def test_an_unknown_tube_is_an_error() -> None:
    with pytest.raises(UnknownPartError, match="emt-9"):
        tube_radius(replace(ASKEW, tube="emt-9"), PARTS)


@pytest.mark.parametrize(
    ("room", "lowest"),
    [  # hand-worked: lowest ceiling over (50, 60) to (350, 160)
        (room_with(FLAT), 96.0),
        (room_with(SLOPED), 102.0),  # at its near end, y = 60
        (room_with(GABLE), 114.0),  # y = 60: 96 + 30 x 0.6; y = 160: 113.142857
        (room_with(ALONG), 84.0),
        (
            room_with(
                FLAT,
                bulkheads=(
                    Bulkhead(
                        id="b", x=190.0, y=100.0, length=20.0, width=20.0, depth=12.0
                    ),
                ),
            ),
            84.0,
        ),
    ],
    ids=["flat", "mono-slope", "gable", "stepped", "bulkhead"],
)
def test_stow_height_is_below_the_lowest_ceiling_over_the_run(
    room: object, lowest: float
) -> None:
    if lowest == 114.0:
        lowest = 126.0 - 30.0 * 60.0 / 140.0  # the far end of the gable is lower
    stowed = stow_height(ASKEW, room, PARTS)
    assert stowed == pytest.approx(lowest - 9.0 - RADIUS, abs=1e-9)
    assert travel(ASKEW, room, PARTS) == pytest.approx(stowed - 50.0)
    assert height_at(ASKEW, room, PARTS, lift=0.0) == 50.0
    assert height_at(ASKEW, room, PARTS, lift=1.0) == pytest.approx(stowed)
    assert height_at(ASKEW, room, PARTS, lift=0.25) == pytest.approx(37.5 + stowed / 4)


def test_a_run_under_too_low_a_ceiling_stays_where_it_is() -> None:
    high = replace(ASKEW, working_height=90.0)
    assert travel(high, room_with(), PARTS) == 0.0
    assert stow_height(high, room_with(), PARTS) == 90.0


@pytest.mark.parametrize(
    ("direction", "extents"),
    [  # hand-worked: reach 2 less radius 0.461
        (PointDirection.DOWN, (1.539, 0.0, 0.0)),
        (PointDirection.UP, (0.0, 1.539, 0.0)),
        (PointDirection.SIDES, (0.0, 0.0, 1.539)),
        (PointDirection.RING, (1.539, 1.539, 1.539)),
    ],
)
def test_points_extend_the_body_their_way(
    direction: PointDirection, extents: tuple[float, float, float]
) -> None:
    run = replace(ASKEW, points=PointRow(direction=direction))
    body = run_body(run, room_with(), PARTS)
    assert (body.down, body.up, body.side) == pytest.approx(extents)
    assert (body.radius, body.limit, body.low) == (RADIUS, 6.0, 50.0)


def test_points_shorter_than_the_tube_extend_nothing() -> None:
    run = replace(ASKEW, points=PointRow(reach=0.3, direction=PointDirection.RING))
    body = run_body(run, room_with(), PARTS)
    assert (body.down, body.up, body.side) == (0.0, 0.0, 0.0)


def in_section(body: SweptRun, side: float, above: float) -> float:
    """Distance of a point of the cross-section outside the body (plain formula)."""
    dx = max(abs(side) - body.side, 0.0)
    dz = max(above - body.up, -body.down - above, 0.0)
    return math.hypot(dx, dz) - body.radius


@given(
    direction=st.sampled_from(PointDirection),
    reach=st.floats(0.0, 6.0),
    share=st.floats(0.0, 1.0),
    turn=st.floats(0.0, 6.3),
)
def test_tube_and_tips_lie_in_the_body(
    direction: PointDirection, reach: float, share: float, turn: float
) -> None:
    run = replace(ASKEW, points=PointRow(reach=reach, direction=direction))
    body = run_body(run, room_with(), PARTS)
    tips = {
        PointDirection.DOWN: [-math.pi / 2],
        PointDirection.UP: [math.pi / 2],
        PointDirection.SIDES: [0.0, math.pi],
        PointDirection.RING: [turn],
    }[direction]
    for angle in tips:
        along_point = reach * share
        tip = (along_point * math.cos(angle), along_point * math.sin(angle))
        assert in_section(body, *tip) <= 1e-9
    skin = (RADIUS * math.cos(turn), RADIUS * math.sin(turn))
    assert in_section(body, *skin) <= 1e-9


@pytest.mark.parametrize("direction", [d for d in PointDirection if d != "ring"])
def test_the_body_ends_at_the_tips(direction: PointDirection) -> None:
    run = replace(ASKEW, points=PointRow(reach=3.0, direction=direction))
    body = run_body(run, room_with(), PARTS)
    tip = {"down": (0.0, -3.0), "up": (0.0, 3.0), "sides": (3.0, 0.0)}[direction]
    assert in_section(body, *tip) == pytest.approx(0.0, abs=1e-12)


def test_a_ring_body_is_too_large_by_no_more_than_stated() -> None:
    run = replace(ASKEW, points=PointRow(reach=3.0, direction=PointDirection.RING))
    body = run_body(run, room_with(), PARTS)
    # second method: sampled places on the rim of the body, 45 degrees included
    turns = np.radians(np.arange(0.0, 90.0, 1.0)).tolist()
    furthest = max(
        math.hypot(
            body.side + body.radius * math.cos(t), body.up + body.radius * math.sin(t)
        )
        for t in turns
    )
    assert furthest - 3.0 == pytest.approx(
        (math.sqrt(2) - 1) * (3.0 - RADIUS), abs=1e-6
    )


def test_sag_sway_and_limit_pass_through() -> None:
    sag = SagProfile(stations=(0.0, 50.0), depths=(0.0, 0.5))
    swing = Swing(pulley_height=94.5, angle=0.02)
    body = run_body(
        ASKEW,
        room_with(),
        PARTS,
        sag=sag,
        side_allowance=0.75,
        swing=swing,
        limit=7.0,
    )
    assert (body.sag, body.swing, body.side, body.limit) == (sag, swing, 0.75, 7.0)
    assert (body.start, body.end) == (ASKEW.start, ASKEW.end)
