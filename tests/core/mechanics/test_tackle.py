"""Tackles."""

import pytest

from core.errors import ValueRangeError
from core.mechanics.tackle import lead_line_factor, tackle_ratio


def test_without_friction_the_pull_is_shared_evenly() -> None:
    assert lead_line_factor(4, 1.0) == pytest.approx(0.25)
    assert tackle_ratio(4, 1.0) == 4.0


@pytest.mark.parametrize("parts", [1, 3, 6])
def test_closed_form_of_the_manual(parts: int) -> None:
    ratio = 1.09
    closed = ratio**parts * (ratio - 1) / (ratio**parts - 1)
    assert lead_line_factor(parts, ratio) == pytest.approx(closed)


@pytest.mark.parametrize(("parts", "ratio"), [(0, 1.0), (2, 0.99)])
def test_out_of_range_is_refused(parts: int, ratio: float) -> None:
    with pytest.raises(ValueRangeError):
        tackle_ratio(parts, ratio)
    with pytest.raises(ValueRangeError):
        lead_line_factor(2, 1.04, extra_sheaves=-1)
