"""Refusals name the thing, its value, unit and limit."""

import math

import pytest

from core.errors import ValueRangeError
from core.ranges import require_above, require_at_least, require_between


def test_limits_themselves() -> None:
    require_at_least("span", 0.0, 0.0, "in")
    require_between("span", 1.0, 0.0, 1.0, "in")
    with pytest.raises(ValueRangeError, match=r"span = 0 in must be greater than 0 in"):
        require_above("span", 0.0, 0.0, "in")


@pytest.mark.parametrize("value", [math.nan, -1.0])
def test_what_is_no_number_is_refused(value: float) -> None:
    for check in (require_above, require_at_least):
        with pytest.raises(ValueRangeError):
            check("span", value, 0.0, "in")
    with pytest.raises(ValueRangeError, match="from 0 to 2 in"):
        require_between("span", value, 0.0, 2.0, "in")
