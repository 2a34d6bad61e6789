"""A screw is judged by its combined pull, its thread in the wood, and its edge."""

from dataclasses import replace

from core.model.barn import Barn
from core.model.hoists import Fixing
from core.rules.finding import Outcome
from core.rules.wording import message
from tests.rules.spoiling import (
    GOOD,
    codes,
    findings,
    goes_wrong,
    one,
    with_part,
    with_turn,
)

RULE = "support.anchor"


def test_a_turning_pulley_off_its_truss_has_no_wood() -> None:
    goes_wrong(with_turn(blocking=False), RULE, "no-wood", Outcome.STOP)


def test_a_screw_in_soft_wood_is_overloaded() -> None:
    """A heavy pipe on a small lag: the pull of the turn is all sideways."""
    heavy = with_part("emt-3-4", weight_per_foot=6.0)
    assert codes(heavy, RULE)["overloaded"] is Outcome.STOP
    assert "overloaded" not in codes(GOOD, RULE)


def test_a_short_screw_holds_nothing_past_the_ceiling_sheet() -> None:
    short = with_part("screw-eye-lag-1-4x3", length=0.6, thread_length=0.6)
    assert codes(short, RULE) == {"hold-unknown": Outcome.NOT_CHECKED}


def test_a_winch_on_one_thin_screw_is_overloaded() -> None:
    """Of its 2 in of thread, which begin an inch from the head, 1/4 in is in wood."""
    thin = Fixing(anchor="lag-screw-1-4x3", screws=1, lumber=1.25)
    item = goes_wrong(_held(thin), RULE, "fixing-overloaded", Outcome.STOP)
    words = message(item)
    assert words.startswith("The hardest pulled of the 1 screw that hold the winch")
    assert item.value is not None
    assert item.limit is not None
    assert item.value > item.limit


def test_a_winch_whose_screws_have_no_thread_in_their_lumber_is_not_checked() -> None:
    thin = Fixing(lumber=1.0)
    item = goes_wrong(_held(thin), RULE, "fixing-unknown", Outcome.NOT_CHECKED)
    assert "no thread of lag-screw-3-8x4 reaches the wood of 1 in" in message(item)


def test_a_winch_without_lumber_is_told_by_its_own_rule() -> None:
    (hoist,) = GOOD.hoists
    bare = replace(hoist, winch=replace(hoist.winch, on_lumber=False))
    found = [item.code for item in findings(replace(GOOD, hoists=(bare,)), RULE)]
    assert not [code for code in found if code.startswith("fixing")]


def _held(fixing: Fixing) -> Barn:
    (hoist,) = GOOD.hoists
    return replace(
        GOOD, hoists=(replace(hoist, winch=replace(hoist.winch, fixing=fixing)),)
    )


def test_screws_near_an_edge_are_told_of_once_a_room() -> None:
    """Every run on a hoist of its own: the worst screw of all, and how many."""
    (hoist,) = GOOD.hoists
    apart = replace(
        GOOD,
        hoists=tuple(
            replace(hoist, id=f"hoist-{i}", cables=(cable,))
            for i, cable in enumerate(hoist.cables, 1)
        ),
    )
    assert len(apart.hoists) == 2
    item, whole = one(apart, RULE, "near-edge"), one(GOOD, RULE, "near-edge")
    # second method: one hoist has the same screws; every drop's is a 1/4-in lag
    count = sum(len(run.supports) for run in GOOD.runs)
    assert f"the worst of {count} such screws in the room" in message(item)
    assert item.other == whole.other
    # hand-worked: 1.5 / 2 - 4 x 0.25
    assert (item.value, item.limit) == (-0.25, 0.0)


def test_blocking_mends_the_edge_of_a_chord() -> None:
    """1/4-in lag square to a 1.5-in chord: 0.75 in is less than 4 D = 1 in."""
    assert codes(GOOD, RULE) == {"near-edge": Outcome.CAUTION}
    runs = tuple(
        replace(run, supports=tuple(replace(s, blocking=True) for s in run.supports))
        for run in GOOD.runs
    )
    assert codes(replace(GOOD, runs=runs), RULE) == {}
