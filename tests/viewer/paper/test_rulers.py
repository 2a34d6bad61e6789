"""Rulers have round numbers, at their places, far enough apart."""

from itertools import pairwise

import pytest

from core.quantities import LengthStyle, parse_length
from viewer.paper.rulers import ticks


@pytest.mark.parametrize("style", [LengthStyle.FEET, LengthStyle.MILLIMETRES])
@pytest.mark.parametrize("scale", [0.05, 0.4, 1.0, 3.3, 20.0, 120.0])
def test_words_of_long_ticks_are_their_places(style: LengthStyle, scale: float) -> None:
    found = list(ticks(-100.0, 2400.0, scale=scale, style=style))
    long = [tick for tick in found if tick.words]
    assert long
    for tick in long:
        shown = parse_length(tick.words)
        assert shown == pytest.approx(tick.at, abs=0.02)
    apart = [b.at - a.at for a, b in pairwise(long)]
    assert all(gap * scale >= 63.9 for gap in apart)


def test_a_ruler_in_feet_has_whole_feet_and_four_parts() -> None:
    # hand-worked: 64 px apart at 6 px an inch is 10.7 in, the next step is 1 ft
    found = list(ticks(0.0, 24.0, scale=6.0, style=LengthStyle.FEET))
    assert [tick.at for tick in found] == [0, 3, 6, 9, 12, 15, 18, 21, 24]
    assert [tick.at for tick in found if tick.words] == [0, 12, 24]
