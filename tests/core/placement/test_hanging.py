import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.catalogue.standard import standard_catalogue
from core.electrics.lead import route_length
from core.geometry.shapes import Sphere, Vec3
from core.model.barn import Barn
from core.model.hoists import Hoist, Parts, PullCable, RunEnd, TurningPulley, Winch
from core.model.runs import Run, Support
from core.placement.hanging import (
    PULL_POINT,
    clamp_point,
    hoist_strands,
    hoist_travel,
    pull_cable_path,
    pull_point,
    pulley_solids,
    run_strands,
    support_points,
    winch_line,
)
from core.placement.solids import Group, Strand
from tests.core.placement.rooms import SLOPED, room_with

PARTS = standard_catalogue()
# common practice, no published source: pitch radius of "drop-pulley-40"
WHEEL = 0.875
TUBE = 0.461  # published: 3/4 EMT (ANSI C80.3)
TRAVEL = 96.0 - 9.0 - TUBE - 50.0  # hand-worked: 36.539
# pulleys 2 in below the ceiling; moved by their radius so that ropes hang plumb
SUPPORTS = tuple(
    Support(id=f"s{k}", station=station, along=-WHEEL, pulley_drop=2.0)
    for k, station in enumerate((24.0, 120.0, 216.0), 1)
)
RUN = Run(id="run", start=(60.0, 80.0), end=(300.0, 80.0), supports=SUPPORTS)
TURN = TurningPulley(id="t1", at=(30.0, 80.0, 94.875))
CABLE = PullCable(id="cable", run="run", leaves=RunEnd.FRONT, turns=(TURN,))
HOIST = Hoist(
    id="hoist",
    winch=Winch(at=(4.0, 200.0, 48.0)),
    pull_point=(30.0, 140.0, 94.875),
    pull_towards=(30.0, 230.0, 94.875),
    cables=(CABLE,),
)
BARN = Barn(name="b", room=room_with(), runs=(RUN,), hoists=(HOIST,))


def strand(strands: tuple[Strand, ...], part: str) -> Strand:
    (found,) = (item for item in strands if item.part == part)
    return found


def test_a_plumb_rope_hangs_straight_above_the_run() -> None:
    first, *_ = support_points(RUN, BARN.room, PARTS, lift=0.0)
    # hand-worked: station 24 is x = 84; the wheel 2 in below 96
    assert first.pipe == (84.0, 80.0, 50.0)
    assert first.pulley == pytest.approx((83.125, 80.0, 94.0))
    assert first.anchor == pytest.approx((83.125, 80.0, 96.0))
    assert first.over[0] == pytest.approx((84.0, 80.0, 94.0))
    assert first.over[-1] == pytest.approx((83.125, 80.0, 94.875))
    assert first.insulator_low == pytest.approx((84.0, 80.0, 50.461))
    assert first.insulator_high == pytest.approx((84.0, 80.0, 56.461))


def test_ropes_rise_on_the_side_away_from_the_winch() -> None:
    room = BARN.room
    front = support_points(RUN, room, PARTS, lift=0.0, leaves=RunEnd.FRONT)[0]
    back = support_points(RUN, room, PARTS, lift=0.0, leaves=RunEnd.BACK)[0]
    assert front.over[0][0] - front.pulley[0] == pytest.approx(WHEEL)
    assert back.over[0][0] - back.pulley[0] == pytest.approx(-WHEEL)


def test_a_slack_rope_lets_the_pipe_hang_lower_at_every_lift() -> None:
    # hand-worked: 50 in at work, less 0.5 in
    slack = replace(RUN, supports=(replace(SUPPORTS[0], rope_slack=0.5),))
    for lift in (0.0, 0.5, 1.0):
        (place,) = support_points(slack, BARN.room, PARTS, lift=lift)
        assert place.pipe[2] == pytest.approx(49.5 + lift * TRAVEL)


def test_a_pulley_hangs_from_the_ceiling_where_it_is() -> None:
    run = replace(
        RUN,
        start=(60.0, 60.0),
        end=(300.0, 240.0),
        supports=(Support(id="s", station=100.0, across=10.0, pulley_drop=2.0),),
    )
    (place,) = support_points(run, room_with(SLOPED), PARTS, lift=0.0)
    # hand-worked: direction (0.8, 0.6); across (-0.6, 0.8): (140 - 6, 120 + 8);
    # ceiling 96 + 24 x 128/240 = 108.8
    assert place.pipe[:2] == pytest.approx((140.0, 120.0))
    assert place.pulley == pytest.approx((134.0, 128.0, 106.8))
    assert place.anchor == pytest.approx((134.0, 128.0, 108.8))


def test_the_pull_cable_runs_over_drop_pulleys_then_turns_to_the_pull_point() -> None:
    path = pull_cable_path(HOIST, CABLE, BARN, PARTS, lift=0.0)
    assert [bend.name for bend in path.bends] == ["s3", "s2", "s1", "t1", PULL_POINT]
    # hand-worked: from x = 275.125 along 94.875 to the turn at x = 30
    assert path.points[0] == pytest.approx((275.125, 80.0, 94.875))
    assert path.station("s1") == pytest.approx(192.0)
    assert path.points[-1] == (30.0, 140.0, 94.875)


def test_a_cable_that_leaves_at_the_back_starts_at_the_front() -> None:
    back = replace(CABLE, leaves=RunEnd.BACK)
    path = pull_cable_path(HOIST, back, BARN, PARTS, lift=0.0)
    assert [bend.name for bend in path.bends][:3] == ["s1", "s2", "s3"]


def test_the_pull_point_moves_by_the_travel() -> None:
    assert hoist_travel(HOIST, BARN, PARTS) == pytest.approx(TRAVEL)
    assert pull_point(HOIST, BARN, PARTS, lift=0.0) == HOIST.pull_point
    moved = pull_point(HOIST, BARN, PARTS, lift=0.5)
    assert moved == pytest.approx((30.0, 140.0 + TRAVEL / 2, 94.875))


def test_a_hoist_without_runs_does_not_move() -> None:
    assert hoist_travel(replace(HOIST, cables=()), BARN, PARTS) == 0.0


def test_clamps_sit_their_gap_from_the_pulley_and_move_by_the_travel() -> None:
    for lift in (0.0, 0.5, 1.0):
        path = pull_cable_path(HOIST, CABLE, BARN, PARTS, lift=lift)
        point, _ = clamp_point(path, SUPPORTS[2], moved=lift * TRAVEL)
        # hand-worked: 6 in and the travel towards the front
        assert point == pytest.approx((275.125 - 6.0 - lift * TRAVEL, 80.0, 94.875))


def test_a_clamp_goes_round_the_turn() -> None:
    path = pull_cable_path(HOIST, CABLE, BARN, PARTS, lift=1.0)
    near = replace(SUPPORTS[0], clamp_gap=40.0)
    point, station = clamp_point(path, near, moved=TRAVEL)
    # hand-worked: 83.125 - 30 = 53.125 to the wheel (0.015 more on the slant), a
    # quarter turn of 1.25 in, pi/2 x 1.25 = 1.963, the rest beyond it, from its side
    # at x = 28.75 straight to the pull point
    share = (point[1] - 80.0) / (140.0 + TRAVEL - 80.0)
    assert station == pytest.approx(192.0 + 40.0 + TRAVEL)
    assert point[0] == pytest.approx(28.75 + 1.25 * share, abs=1e-6)
    assert point[1] == pytest.approx(80.0 + 40.0 + TRAVEL - 53.14 - 1.963, abs=0.02)


def test_a_clamp_stops_at_the_pull_point() -> None:
    path = pull_cable_path(HOIST, CABLE, BARN, PARTS, lift=0.0)
    far = replace(SUPPORTS[0], clamp_gap=900.0)
    assert clamp_point(path, far, moved=0.0)[0] == pytest.approx(HOIST.pull_point)


@given(lift=st.floats(0.0, 1.0), gap=st.floats(1.0, 90.0))
@pytest.mark.parametrize("leaves", list(RunEnd))
def test_a_plumb_drop_rope_keeps_its_length_and_ends_at_its_clamp(
    leaves: RunEnd, lift: float, gap: float
) -> None:
    along = -WHEEL if leaves is RunEnd.FRONT else WHEEL
    supports = tuple(replace(s, along=along, clamp_gap=gap) for s in SUPPORTS)
    run, cable = replace(RUN, supports=supports), replace(CABLE, leaves=leaves)
    barn = replace(BARN, runs=(run,))
    hoist = HOIST
    if leaves is RunEnd.BACK:
        cable = replace(cable, turns=())
        hoist = replace(
            HOIST, pull_point=(470.0, 80.0, 94.875), pull_towards=(479.0, 80.0, 94.875)
        )
    path = pull_cable_path(hoist, cable, barn, PARTS, lift=lift)
    strands = run_strands(run, barn.room, PARTS, lift=lift, cable=cable, path=path)
    # hand-worked: insulator top 56.461 to the wheel at 94, two chords of 45 degrees
    # on it, and the clamp's gap
    whole = 94.0 - 56.461 + 4 * WHEEL * math.sin(math.pi / 8) + gap
    for number in ("s2", "s3") if leaves is RunEnd.FRONT else ("s1", "s2", "s3"):
        rope = strand(strands, f"rope {number}")
        assert route_length(rope.points) == pytest.approx(whole, abs=1e-6)
        clamp = strand(strands, f"clamp {number}").points
        assert math.dist(clamp[0], clamp[-1]) == pytest.approx(1.5, abs=0.2)


def test_without_a_cable_ropes_end_on_their_pulleys() -> None:
    strands = run_strands(RUN, BARN.room, PARTS, lift=0.0)
    assert len(strands) == 6
    assert strand(strands, "rope s1").points[-1] == pytest.approx(
        (83.125, 80.0, 94.875)
    )


def test_sizes_and_groups_come_from_the_parts() -> None:
    strands = hoist_strands(HOIST, BARN, PARTS, lift=0.0)
    kinds = {item.part.split()[0]: (item.group, item.radius) for item in strands}
    # common practice, no published source: the standard parts
    assert kinds == {
        "insulator": (Group.ROPE, 0.3125),
        "rope": (Group.ROPE, 0.09375),
        "clamp": (Group.CABLE, 0.5),
        "pull": (Group.CABLE, 0.09375),
        "winch": (Group.CABLE, 0.09375),
    }
    assert {item.owner for item in strands} == {"run", "cable", "hoist"}


def test_the_pull_cable_begins_at_its_last_clamp() -> None:
    cable = strand(hoist_strands(HOIST, BARN, PARTS, lift=1.0), "pull cable")
    assert cable.points[0] == pytest.approx((269.125 - TRAVEL, 80.0, 94.875))
    assert cable.points[-1] == pytest.approx((30.0, 140.0 + TRAVEL, 94.875))


def test_one_part_of_line_goes_from_the_winch_to_the_pull_point() -> None:
    line = winch_line(HOIST, BARN, PARTS, lift=0.0)
    assert line == ((4.0, 200.0, 48.0), (30.0, 140.0, 94.875))


def two_parts(dead_end: Vec3 | None) -> Hoist:
    return replace(
        HOIST,
        parts=Parts.TWO,
        winch=replace(HOIST.winch, at=(28.0, 235.0, 94.875)),
        dead_end=dead_end,
    )


def test_two_parts_of_line_go_round_the_block_to_the_dead_end() -> None:
    line = winch_line(two_parts((32.0, 235.0, 94.875)), BARN, PARTS, lift=0.0)
    radii = [math.dist(point, HOIST.pull_point) for point in line[1:-1]]
    assert radii == pytest.approx([radii[0]] * 5)
    # hand-worked: the line passes the wheel on its far side from winch and dead end,
    # from the winch's side (smaller x) to the dead end's
    assert line[3] == pytest.approx((30.0, 140.0 - radii[0], 94.875))
    assert line[1][0] == pytest.approx(30.0 - radii[0], abs=1e-9)
    assert line[5][0] == pytest.approx(30.0 + radii[0], abs=1e-9)
    assert (line[0], line[-1]) == ((28.0, 235.0, 94.875), (32.0, 235.0, 94.875))


def test_a_line_that_comes_back_to_the_winch_stands_upright_on_its_block() -> None:
    line = winch_line(two_parts(None), BARN, PARTS, lift=0.0)
    assert line[0] == line[-1]
    assert {round(point[2], 3) for point in line[1:-1]} == {
        round(94.875 + math.sin(k * math.pi / 4) * radius, 3)
        for radius in [math.dist(line[1], HOIST.pull_point)]
        for k in (-2, -1, 0, 1, 2)
    }


def test_turning_pulleys_are_solids() -> None:
    (solid,) = pulley_solids(HOIST, PARTS)
    # common practice, no published source: pitch radius 1.25, rope to 0.25 in
    assert (solid.owner, solid.group) == ("t1", Group.CABLE)
    assert solid.shape == Sphere(center=TURN.at, radius=1.5)
