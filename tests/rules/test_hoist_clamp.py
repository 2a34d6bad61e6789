"""hoist.clamp: every clamp slips only at twice the pull of its drop rope."""

from dataclasses import replace

import pytest

from core.analysis.analyse import analyse
from core.catalogue.standard import standard_catalogue
from core.model.barn import Barn
from core.rules.finding import Outcome
from core.rules.wording import message, remedy
from tests.rules.spoiling import GOOD, codes, findings, one

RULE = "hoist.clamp"
PART = GOOD.runs[0].supports[0].clamp


def with_slip_load(load: float) -> Barn:
    part = replace(standard_catalogue().by_id[PART], slip_load=load)
    return replace(GOOD, parts=(*GOOD.parts, part))


def hardest() -> float:
    pull = one(GOOD, RULE, "no-slip-load").details["pull"]
    assert isinstance(pull, float)
    return pull


def test_clamps_without_a_slip_load_are_not_checked() -> None:
    (item,) = findings(GOOD, RULE)
    assert (item.code, item.outcome) == ("no-slip-load", Outcome.NOT_CHECKED)
    assert (item.subject, item.other) == ("hoist-1", PART)
    assert "slip load" in message(item)
    assert "maker" in remedy(item)


def test_a_clamp_that_slips_too_soon_is_a_stop() -> None:
    pull = hardest()
    assert codes(with_slip_load(2.0 * pull + 0.01), RULE) == {}
    spoilt = with_slip_load(2.0 * pull - 0.01)
    assert set(codes(spoilt, RULE).values()) == {Outcome.STOP}
    worst = max(findings(spoilt, RULE), key=lambda item: item.value or 0.0)
    assert worst.code == "slips"
    assert worst.value == pytest.approx(pull)
    assert worst.limit == pytest.approx(pull - 0.005)
    words = message(worst) + remedy(worst)
    assert "{" not in words


def test_a_clamp_holds_its_drop_rope_behind_the_pulley() -> None:
    """Hand-worked: stowed, the rope leans by atan(0.875 / 6.5) = 7.667 degrees, the
    wheel's radius over the way from the tube's top to its centre. The wrap is 97.667
    degrees, q = 0.09 / 2.09 x sin(48.833 deg) = 0.032418 and K = 1.03242 / 0.96758
    = 1.06701; the pull is the drop x K / cos(7.667 deg) = 1.07663 times the drop.
    """
    passed = one(with_slip_load(1000.0), RULE, "kept")
    cables = analyse(GOOD).report.hoists["hoist-1"].cables
    drops = {key: load for cable in cables for key, load in cable.drops.items()}
    assert passed.other is not None
    assert passed.value == pytest.approx(1.07663 * drops[passed.other], rel=1e-4)
    assert passed.value == hardest()
