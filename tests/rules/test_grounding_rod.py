"""A rod of eight feet, or the building's electrode."""

from dataclasses import replace

import pytest

from core.model.electrical import Known
from core.rules.finding import Outcome
from core.rules.wording import message
from tests.rules.spoiling import GOOD, codes, goes_wrong, one, with_electrical

RULE = "grounding.rod"
ROD = GOOD.electrical.rods[0]


def test_a_short_rod() -> None:
    short = with_electrical(rods=(replace(ROD, length=72.0),))
    item = goes_wrong(short, RULE, "short-rod", Outcome.STOP)
    # published: NEC 250.53(G), 8 ft
    assert (item.value, item.limit) == (72.0, 96.0)


@pytest.mark.parametrize(
    ("known", "expected"),
    [
        (Known.NO, {"no-electrode": Outcome.STOP}),
        (Known.UNKNOWN, {"electrode-unknown": Outcome.NOT_CHECKED}),
        (Known.YES, {}),
    ],
)
def test_no_rod(known: Known, expected: dict[str, Outcome]) -> None:
    assert codes(with_electrical(rods=(), building_electrode=known), RULE) == expected


def test_the_resistance_of_two_rods_is_not_half() -> None:
    """Published: two rods 6 ft apart have 0.58 of one, 23.3 against 39.9 ohm."""
    x, y = ROD.at
    pair = (ROD, replace(ROD, id="rod-2", at=(x, y + 72.0)))
    both = with_electrical(rods=pair, soil_resistivity=100.0)
    words = message(one(both, RULE, "kept"))
    assert f"{ROD.id} and rod-2 together have about 23 ohm" in words


def test_one_of_two_unlike_rods_is_told_of_alone() -> None:
    """Published: an 8-ft rod of 5/8 in has 39.9 ohm in 100 ohm m."""
    x, y = ROD.at
    pair = (ROD, replace(ROD, id="rod-2", at=(x, y + 72.0), length=120.0))
    told = one(with_electrical(rods=pair, soil_resistivity=100.0), RULE, "kept")
    assert "; it alone has about 40 ohm" in message(told)
    single = with_electrical(rods=(ROD,), soil_resistivity=100.0)
    assert "; it has about 40 ohm" in message(one(single, RULE, "kept"))
