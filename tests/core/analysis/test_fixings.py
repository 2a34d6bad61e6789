"""What holds a winch and a dead end, by hand-worked places and forces."""

import math
from dataclasses import replace

import pytest

from core.analysis.analyse import analyse
from core.analysis.fixings import on_wall
from core.catalogue.parts import HandWinch, Wood
from core.catalogue.standard import standard_catalogue
from core.mechanics.lag_side import lag_side_value
from core.model.hoists import Fixing, Hoist, Parts, Winch
from core.model.room import Wall
from core.rules.hoist_evidence import FixingLoads, HoistEvidence
from tests.specimens import plain_barn

CATALOGUE = standard_catalogue()
BARN = plain_barn()
(HOIST,) = BARN.hoists


def evidence(hoist: Hoist) -> HoistEvidence:
    (found,) = analyse(replace(BARN, hoists=(hoist,))).report.hoists.values()
    return found


def upright(**changes: object) -> Hoist:
    """Return the hoist with its winch under the pull point, on the front wall."""
    winch = replace(HOIST.winch, at=(4.0, 114.0, 20.0))
    point, towards = (4.0, 114.0, 90.0), (4.0, 114.0, 30.0)
    hoist = replace(HOIST, winch=winch, pull_point=point, pull_towards=towards)
    return replace(hoist, **changes)


def only(hoist: Hoist) -> FixingLoads:
    (row,) = evidence(hoist).fixings
    return row


def test_a_pull_straight_up_a_wall_pries_and_shears() -> None:
    """Hand-worked: hand-winch-1000 has a flange of 4 in across: rows 4 in apart, rope
    4 + 1/2 in off the wood. F up: F / 4 sideways, F x 4.5 / 4 / 2 out of the wood."""
    found = evidence(upright())
    row = found.fixings[0]
    assert found.winch is not None
    force = found.winch.pull
    assert row.force == pytest.approx((0.0, 0.0, force))
    assert row.side == pytest.approx(force / 4)
    assert row.withdrawal == pytest.approx(force * 4.5 / 8)
    assert (row.id, row.at, row.wall) == ("winch-1", (0.0, 114.0, 20.0), "front")


def test_a_pull_straight_out_of_a_wall_is_shared_by_all_screws() -> None:
    """The specimen's winch is on the front wall and pulls to the back of the room."""
    pull = (440.0 - 4.0, 0.0, 97.5 - 48.0)
    row = evidence(HOIST).fixings[0]
    size = math.hypot(*row.force)
    # hand-worked: the pull point moves back by its travel, along x
    assert row.force[1] == 0.0
    assert row.force[0] / row.force[2] == pytest.approx(pull[0] / pull[2], rel=0.1)
    along = row.force[2]
    assert row.withdrawal == pytest.approx(row.force[0] / 4 + along * 4.5 / 8)
    assert row.side == pytest.approx(along / 4)
    assert size == pytest.approx(evidence(HOIST).winch.pull)


def test_what_a_screw_holds_ends_where_its_lumber_does() -> None:
    """Hand-worked: a 3/8 x 4 in lag has 2.5 in of thread, from 1.5 in on: 1.5 in of it
    in 3 in of lumber, 2.28125 in (the tip off) in thick wood."""
    thin, thick = only(upright()), only(upright(winch=_on(lumber=6.0)))
    assert thin.thread == pytest.approx(1.5)
    assert thick.thread == pytest.approx(4.0 - 0.21875 - 1.5)
    assert thick.allowed > thin.allowed


def test_the_hold_is_the_hankinson_value_of_both_pulls() -> None:
    """Second method: NDS 2018 12.2 and 12.4.1 put together here from the two reference
    values; 0.9 x 0.7 are its factors for permanent load and wet service."""
    row = only(upright())
    gravity = CATALOGUE.find(Wood, BARN.room.trusses.wood).specific_gravity
    out = 1800.0 * gravity**1.5 * 0.375**0.75 * 1.5 * 0.9 * 0.7
    side = (
        0.9
        * 0.7
        * lag_side_value(
            gravity,
            0.375,
            root=0.265,
            bending_yield=45_000.0,
            penetration=3.0,
            plate=0.105,
        )
    )
    square = row.load**2
    share_out, share_side = row.withdrawal**2 / square, row.side**2 / square
    allowed = out * side / (out * share_side + side * share_out)
    assert row.allowed == pytest.approx(allowed)
    assert row.use == pytest.approx(row.load / allowed)


def _on(**changes: object) -> Winch:
    winch = upright().winch
    return replace(winch, fixing=replace(winch.fixing, **changes))


def test_a_dead_end_has_screws_of_its_own_or_hangs_on_the_winch() -> None:
    """Hand-worked: both parts of line pull at the winch that holds the dead end too."""
    own = upright(parts=Parts.TWO, dead_end=(4.0, 118.0, 20.0))
    winch, end = evidence(own).fixings
    loads = evidence(own).winch
    assert loads is not None
    assert (end.id, end.at) == ("end-1", (0.0, 118.0, 20.0))
    assert math.hypot(*winch.force) == pytest.approx(loads.pull)
    assert math.hypot(*end.force) == pytest.approx(loads.dead_end)
    # hand-worked: a pad eye 1 in high on rows 2.5 in apart
    along = math.hypot(*end.force[1:])
    out = max(end.force[0], 0.0) / 4
    assert end.withdrawal == pytest.approx(out + along / 2.5 / 2)
    shared = only(upright(parts=Parts.TWO))
    both = evidence(upright(parts=Parts.TWO)).winch
    assert both is not None
    assert math.hypot(*shared.force) == pytest.approx(both.pull + both.dead_end)


def test_the_makers_own_base_counts() -> None:
    own = replace(
        CATALOGUE.find(HandWinch, "hand-winch-1000"),
        line_height=3.0,
        screw_spread=6.0,
    )
    barn = replace(BARN, hoists=(upright(),), parts=(*BARN.parts, own))
    (found,) = analyse(barn).report.hoists.values()
    row = found.fixings[0]
    # hand-worked: F x 3 / 6 / 2
    assert row.withdrawal == pytest.approx(math.hypot(*row.force) * 3.0 / 12.0)


def test_without_lumber_the_load_is_known_and_the_hold_is_not() -> None:
    row = only(upright(winch=replace(upright().winch, on_lumber=False)))
    assert row.load > 0.0
    assert row.trouble == "it stands on no added lumber"
    assert math.isinf(row.use)


@pytest.mark.parametrize(
    ("wall", "place"),
    [
        (Wall.FRONT, (0.0, 30.0, 20.0)),
        (Wall.BACK, (480.0, 30.0, 20.0)),
        (Wall.LEFT, (6.0, 0.0, 20.0)),
        (Wall.RIGHT, (6.0, 240.0, 20.0)),
        (None, (6.0, 30.0, 20.0)),
    ],
)
def test_a_base_is_on_its_wall_across_from_where_it_is(
    wall: Wall | None, place: tuple[float, float, float]
) -> None:
    room = replace(BARN.room, length=480.0, width=240.0)
    assert on_wall(room, wall, (6.0, 30.0, 20.0)) == place


def test_other_screws_are_told_by_their_part_and_number() -> None:
    fixing = Fixing(anchor="lag-screw-1-2x5", screws=6)
    row = only(upright(winch=replace(upright().winch, fixing=fixing)))
    assert (row.part, row.screws) == ("lag-screw-1-2x5", 6)
    assert row.side == pytest.approx(math.hypot(*row.force) / 6)
