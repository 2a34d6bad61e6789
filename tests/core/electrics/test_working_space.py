"""Code distances: rows, edges of rows, and the words that go with them."""

import pytest

from core.electrics.working_space import (
    REACH_HEIGHT_HIGH_RISK,
    WorkingCondition,
    power_line_clearance,
    unguarded_height,
    working_depth,
)
from core.errors import ValueRangeError

CONDITIONS = tuple(WorkingCondition)


@pytest.mark.parametrize(
    ("volts", "feet"),
    # Published: NEC 2008, Table 110.34(A); each row at its upper end.
    [
        (601, (3, 4, 5)),
        (2500, (3, 4, 5)),
        (2501, (4, 5, 6)),
        (9000, (4, 5, 6)),
        (25_000, (5, 6, 9)),
        (25_001, (6, 8, 10)),
        (75_000, (6, 8, 10)),
        (75_001, (8, 10, 12)),
    ],
)
def test_depth_by_row_and_condition(volts: float, feet: tuple[int, ...]) -> None:
    found = tuple(working_depth(volts, condition) / 12 for condition in CONDITIONS)
    assert found == feet


def test_height_by_row() -> None:
    """Published: NEC 2008, Table 110.34(E): 9 ft, 9 ft 6 in, + 0.37 in a kV."""
    assert unguarded_height(7500) == 108
    assert unguarded_height(7501) == unguarded_height(35_000) == 114
    assert unguarded_height(45_000) == pytest.approx(114 + 3.7)


def test_line_clearance_by_row() -> None:
    """Published: 29 CFR 1926.1408 Table A."""
    volts = (50e3, 50_001, 200e3, 350e3, 500e3, 750e3, 1e6)
    feet = [power_line_clearance(each) / 12 for each in volts]
    assert feet == [10, 15, 15, 20, 25, 35, 45]


def test_no_barn_ceiling_is_out_of_reach() -> None:
    # 96 in: common practice, no published source; a usual ceiling
    assert unguarded_height(30e3) > 96
    assert REACH_HEIGHT_HIGH_RISK > 96


@pytest.mark.parametrize("volts", [600, 1.1e6, float("nan")])
def test_voltages_outside_the_tables_are_refused(volts: float) -> None:
    with pytest.raises(ValueRangeError, match="voltage"):
        working_depth(volts, WorkingCondition.LIVE_PARTS)
    with pytest.raises(ValueRangeError, match="voltage"):
        unguarded_height(volts)
