"""The cable tree."""

import pytest

from core.errors import ValueRangeError
from core.mechanics.cable import (
    Branch,
    Drop,
    PulleyKind,
    Turn,
    slack_while_lowering,
    walk_cable,
)
from core.mechanics.pulley import Motion


def drop(name: str, load: float, **parts: float) -> Drop:
    return Drop(name=name, load=load, **{"ratio": 1.1} | parts)


def turn(name: str, **parts: float) -> Turn:
    return Turn(name=name, **{"ratio": 1.05} | parts)


SIDE = Branch(name="side", elements=(drop("S1", 4.0), drop("S2", 6.0), turn("TS")))
MAIN = Branch(
    name="main",
    elements=(drop("M1", 5.0), turn("T1"), SIDE, drop("M2", 3.0), turn("T2")),
)


def test_segments_of_a_tree_by_hand() -> None:
    walked = walk_cable(MAIN, Motion.LIFTING)
    side = (4.0 + 6.0) * 1.1 * 1.05
    main = 5.0 * 1.1 * 1.05
    assert [p.name for p in walked.pulleys] == [
        "M1",
        "T1",
        "S1",
        "S2",
        "TS",
        "M2",
        "T2",
    ]
    assert [p.cable for p in walked.pulleys] == pytest.approx(
        [5.5, main, 4.4, 11.0, side, main + side + 3.3, (main + side + 3.3) * 1.05]
    )
    assert walked.pull == pytest.approx((main + side + 3.3) * 1.05)


def test_a_drop_pulley_sees_its_own_rope_only() -> None:
    # hand-worked: 3 x 1.1
    last = walk_cable(MAIN, Motion.LIFTING).pulleys[5]
    assert last.kind is PulleyKind.DROP
    assert (last.load_side, last.winch_side) == pytest.approx((3.0, 3.3))


def test_a_turning_pulley_sees_all_beyond_it() -> None:
    walked = walk_cable(MAIN, Motion.LOWERING)
    last = walked.pulleys[-1]
    assert last.kind is PulleyKind.TURN
    assert last.winch_side == pytest.approx(last.load_side / 1.05)
    assert last.load_side == pytest.approx(walked.pulleys[-2].cable)


def test_lifting_lies_above_rest_and_rest_above_lowering() -> None:
    lift, rest, lower = (walk_cable(MAIN, motion).pull for motion in Motion)
    assert rest == pytest.approx(18.0)  # hand-worked: 5 + 4 + 6 + 3
    assert lift > rest > lower


def test_a_rope_that_carries_nothing_is_slack() -> None:
    tree = Branch(name="A", elements=(drop("far", 0.0), drop("near", 5.0)))
    assert slack_while_lowering(tree) == ("far",)


def test_a_stiff_turn_holds_up_all_drops_beyond_it() -> None:
    # hand-worked: 0.8 / 1.1 / 1.05 = 0.69 lb pull against a drag of 1 lb, then 1.39
    tree = Branch(
        name="A", elements=(drop("D1", 0.4), drop("D2", 0.4), turn("T", drag=1.0))
    )
    assert slack_while_lowering(tree) == ("D1", "D2")
    heavier = Branch(
        name="A", elements=(drop("D1", 0.8), drop("D2", 0.8), turn("T", drag=1.0))
    )
    assert slack_while_lowering(heavier) == ()


def test_a_light_run_goes_slack_where_the_full_one_does_not() -> None:
    # hand-worked: (3 / 1.1 - 0.5) / 1.05 - 1 = 1.12 lb are left, with half the load
    # (1.5 / 1.1 - 0.5) / 1.05 - 1 < 0
    tree = Branch(
        name="A", elements=(drop("D1", 3.0, drag=0.5), turn("T", drag=1.0), SIDE)
    )
    assert slack_while_lowering(tree) == ()
    assert slack_while_lowering(tree, load_share=0.5) == ("D1",)
    assert slack_while_lowering(tree, least_tension=1.5) == ("D1",)


def test_a_slack_branch_is_named_where_it_joins() -> None:
    stuck = Branch(name="stuck", elements=(drop("S1", 1.0), turn("TS", drag=2.0)))
    tree = Branch(name="A", elements=(drop("D1", 6.0), stuck, drop("D2", 6.0)))
    assert slack_while_lowering(tree) == ("S1",)


def test_no_name_comes_twice() -> None:
    tree = Branch(
        name="A",
        elements=(drop("D1", 0.0), turn("T1", drag=1.0), turn("T2", drag=1.0)),
    )
    assert slack_while_lowering(tree) == ("D1",)


@pytest.mark.parametrize(
    ("numbers", "text"),
    [
        ({"load": -1.0}, "load of D9 = -1 lbf"),
        ({"drag": -0.1}, r"drag of D9 = -0\.1 lbf"),
        ({"ratio": 0.5}, r"friction ratio of D9 = 0\.5 - must be at least 1"),
    ],
)
def test_out_of_range_is_refused(numbers: dict[str, float], text: str) -> None:
    with pytest.raises(ValueRangeError, match=text):
        drop("D9", **{"load": 1.0} | numbers)


def test_a_turn_without_sense_is_refused() -> None:
    with pytest.raises(ValueRangeError, match="friction ratio of T9"):
        turn("T9", ratio=0.9)


@pytest.mark.parametrize("motion", Motion)
def test_the_walk_is_that_of_one_pulley_after_the_other(motion: Motion) -> None:
    tree = Branch(
        name="A", elements=(drop("D", 9.0, drag=0.5), turn("T", ratio=1.2, drag=0.7))
    )
    # hand-worked: (9 x 1.1 + 0.5) x 1.2 + 0.7, and (9 / 1.1 - 0.5) / 1.2 - 0.7
    pull = {Motion.LIFTING: 13.18, Motion.AT_REST: 9.0, Motion.LOWERING: 5.701515}
    assert walk_cable(tree, motion).pull == pytest.approx(pull[motion], rel=1e-6)
