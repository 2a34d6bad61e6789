"""The winch pulls the load on the layer that it reaches when stowed."""

import pytest

from core.model.hoists import Parts
from core.rules.finding import Outcome
from tests.rules.spoiling import GOOD, codes, goes_wrong, one, with_hoist, with_part

RULE = "hoist.pull"


def test_a_weak_winch_stalls_at_the_top() -> None:
    goes_wrong(
        with_part("hand-winch-1000", first_layer_pull=20.0),
        RULE,
        "too-weak",
        Outcome.STOP,
    )


def test_the_layer_at_the_top_counts_and_not_the_label() -> None:
    """Rated just over the pull on the bare drum, under it on the second layer."""
    pull = one(GOOD, RULE, "kept").value
    assert pull is not None
    enough = with_part("hand-winch-1000", first_layer_pull=1.05 * pull)
    assert codes(enough, RULE) == {}
    # a drum of 3 turns: 3 dead wraps fill layer 1, the lift winds on layers 2 to 4
    narrow = with_part(
        "hand-winch-1000",
        first_layer_pull=1.05 * pull,
        drum_width=0.6,
        layers=9,
        flange_diameter=8.0,
    )
    item = one(narrow, RULE, "too-weak")
    assert item.limit is not None
    assert item.limit < pull


def test_a_heavy_handle_is_a_caution() -> None:
    goes_wrong(
        with_part("hand-winch-1000", gear_ratio=0.1),
        RULE,
        "heavy-handle",
        Outcome.CAUTION,
    )


def test_a_block_past_its_winch_has_no_answer() -> None:
    near = with_hoist(
        parts=Parts.TWO,
        dead_end=(430.0, 110.0, 97.0),
    )
    assert codes(near, RULE) == {"winch-unknown": Outcome.NOT_CHECKED}


def test_two_parts_of_line_halve_the_pull_but_not_all_of_it() -> None:
    """F/(1 + 1/K), K = 1.04: 0.51 of the pull, published (traps, two-part line)."""
    two = with_hoist(parts=Parts.TWO, dead_end=(4.0, 114.0, 48.0))
    whole, half = one(GOOD, RULE, "kept").value, one(two, RULE, "kept").value
    assert whole is not None
    assert half is not None
    assert half / whole == pytest.approx(1.04 / 2.04, rel=0.02)
