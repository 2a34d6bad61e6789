"""The drum takes the rope in and keeps dead wraps."""

from core.rules.finding import Outcome
from tests.rules.spoiling import goes_wrong, with_hoist, with_part, with_winch

RULE = "hoist.drum"


def test_too_few_dead_wraps() -> None:
    item = goes_wrong(with_winch(dead_wraps=1), RULE, "too-few-wraps", Outcome.STOP)
    assert (item.value, item.limit) == (1.0, 2.0)


def test_a_small_drum_is_overfull() -> None:
    small = with_part("hand-winch-1000", layers=1, drum_width=1.0)
    item = goes_wrong(small, RULE, "overfull", Outcome.STOP)
    # hand-worked: 5 turns less 3 dead ones, pi (2.5 + 0.1875) each
    assert item.limit is not None
    assert abs(item.limit - 2 * 3.14159265 * 2.6875) < 1e-6


def test_spare_rope_lies_on_the_drum() -> None:
    goes_wrong(with_hoist(spare_rope=900.0), RULE, "overfull", Outcome.STOP)


def test_a_rope_too_thick_for_the_winch() -> None:
    thin = with_part("hand-winch-1000", largest_rope=0.125)
    goes_wrong(thin, RULE, "rope-too-thick", Outcome.STOP)
