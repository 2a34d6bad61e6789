"""Headroom under a stowed run."""

import pytest

from core.errors import ValueRangeError
from core.mechanics.headroom import stowed_headroom

DROPS = {"stow_drop": 7.0, "outside_diameter": 1.0, "sag": 0.25, "point_hang": 3.0}


def test_everything_that_hangs_is_taken_off() -> None:
    assert stowed_headroom(96, **DROPS) == 84.75  # 96 - 7 - 1 - 0.25 - 3, by hand
    assert stowed_headroom(96, stretch=0.5, **DROPS) == 84.25


@pytest.mark.parametrize("name", [*DROPS, "stretch"])
def test_a_negative_drop_is_refused(name: str) -> None:
    with pytest.raises(ValueRangeError, match="at least 0 in"):
        stowed_headroom(96, **(DROPS | {name: -1.0}))
