"""The screws of a base, by the balance of forces and moments."""

import math

import pytest

from core.errors import ValueRangeError
from core.mechanics.fixing import screw_pull


def test_four_screws_share_the_side_pull_and_two_hold_the_prying() -> None:
    """Hand-worked: 240 lb along the wood 4.5 in off it, rows 4 in apart.

    Side 240 / 4 = 60 lb; moment 240 x 4.5 = 1080 lb in about the far row, held by
    two screws 4 in away: 1080 / 4 / 2 = 135 lb.
    """
    pull = screw_pull(0.0, 240.0, height=4.5, spread=4.0, screws=4)
    assert (pull.withdrawal, pull.side) == pytest.approx((135.0, 60.0))
    assert pull.size == pytest.approx(math.hypot(135.0, 60.0))
    assert math.tan(pull.angle) == pytest.approx(135.0 / 60.0)


def test_forces_and_moments_are_in_balance() -> None:
    """Second method: sums over all screws; the far row neither pulls nor pushes."""
    out, along, height, spread, screws = 80.0, 150.0, 3.0, 5.0, 6
    pull = screw_pull(out, along, height=height, spread=spread, screws=screws)
    assert screws * pull.side == pytest.approx(along)
    row = screws / 2
    prying = pull.withdrawal - out / screws
    assert prying * row * spread == pytest.approx(along * height)


def test_a_push_presses_the_base_on_and_pulls_no_screw() -> None:
    pressed = screw_pull(-500.0, 100.0, height=2.0, spread=4.0, screws=4)
    assert pressed == screw_pull(0.0, 100.0, height=2.0, spread=4.0, screws=4)


def test_a_single_screw_holds_with_half_the_spread() -> None:
    # hand-worked: 100 x 2 / (4 / 2)
    pull = screw_pull(0.0, 100.0, height=2.0, spread=4.0, screws=1)
    assert (pull.withdrawal, pull.side) == pytest.approx((100.0, 100.0))


def test_more_screws_never_carry_more_each() -> None:
    pulls = [
        screw_pull(50.0, 200.0, height=3.0, spread=4.0, screws=n).size
        for n in range(1, 13)
    ]
    assert pulls == sorted(pulls, reverse=True)


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"spread": 0.0}, "spread"),
        ({"height": -1.0}, "height"),
        ({"screws": 0}, "screws"),
    ],
)
def test_a_base_that_cannot_be_is_refused(
    changed: dict[str, float], words: str
) -> None:
    good = {"height": 2.0, "spread": 4.0, "screws": 4}
    with pytest.raises(ValueRangeError, match=words):
        screw_pull(0.0, 1.0, **{**good, **changed})
    with pytest.raises(ValueRangeError, match="along"):
        screw_pull(0.0, -1.0, height=2.0, spread=4.0, screws=4)
