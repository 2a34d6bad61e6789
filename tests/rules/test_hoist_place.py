"""The winch is by the main door, on lumber, with way for its block."""

from dataclasses import replace

from core.rules.finding import Outcome
from tests.rules.spoiling import GOOD, HOIST, goes_wrong, one, with_hoist, with_winch

RULE = "hoist.place"


def test_a_winch_on_sheet() -> None:
    goes_wrong(with_winch(on_lumber=False), RULE, "no-lumber", Outcome.STOP)


def test_a_winch_far_from_the_door() -> None:
    far = with_winch(at=(60.0, 270.0, 48.0))
    item = goes_wrong(far, RULE, "out-of-reach", Outcome.CAUTION)
    # hand-worked: from (60, 270) to the door's far jamb (0, 156)
    assert item.value is not None
    assert abs(item.value - (60.0**2 + 114.0**2) ** 0.5) < 1e-9


def test_no_way_for_the_turnbuckle() -> None:
    """Hand-worked: pull line 45 in long, travel 100 - 9 - 0.461 - 50 = 40.539 in,
    turnbuckle 12 in: 7.5 in too little."""
    x, y, z = HOIST.pull_point
    short = with_hoist(pull_towards=(x - 45.0, y, z))
    item = one(short, RULE, "no-room")
    assert item.outcome is Outcome.STOP
    assert item.value is not None
    assert abs(item.value - (45.0 - 40.539 - 12.0)) < 1e-6


def test_no_main_door() -> None:
    doors = tuple(replace(door, main=False) for door in GOOD.room.doors)
    bare = replace(GOOD, room=replace(GOOD.room, doors=doors))
    goes_wrong(bare, RULE, "no-main-door", Outcome.NOT_CHECKED)
