"""The isolating switch is outside, by the main door, away from controllers."""

from dataclasses import replace

import pytest

from core.model.electrical import Known
from core.rules.finding import Outcome
from tests.rules.spoiling import GOOD, goes_wrong, with_electrical

RULE = "electrical.switch"
SWITCH = GOOD.electrical.switch
assert SWITCH is not None


def test_a_switch_near_a_controller() -> None:
    near = replace(SWITCH, at=(-8.0, 150.0, 60.0))
    item = goes_wrong(
        with_electrical(switch=near), RULE, "near-controller", Outcome.STOP
    )
    # the window chooses the switch by this name
    assert item.subject == "switch"
    # hand-worked: controller from x = 0, y = 202 (210 less half of 16), z 48 to 68
    assert item.value == pytest.approx((8.0**2 + 52.0**2) ** 0.5)


def test_a_switch_far_from_the_door() -> None:
    far = replace(SWITCH, at=(-8.0, -20.0, 60.0))
    goes_wrong(with_electrical(switch=far), RULE, "far-from-door", Outcome.STOP)


def test_a_switch_inside() -> None:
    inside = replace(SWITCH, outside_room=Known.NO)
    goes_wrong(with_electrical(switch=inside), RULE, "inside-room", Outcome.STOP)


def test_a_switch_that_nobody_has_looked_at() -> None:
    unknown = replace(SWITCH, outside_room=Known.UNKNOWN)
    goes_wrong(
        with_electrical(switch=unknown),
        RULE,
        "inside-room-unknown",
        Outcome.NOT_CHECKED,
    )


def test_no_switch() -> None:
    goes_wrong(with_electrical(switch=None), RULE, "no-switch", Outcome.NOT_CHECKED)
