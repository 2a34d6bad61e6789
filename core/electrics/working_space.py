"""Distances of the codes round live parts, taken here as design targets.

Whether they bind a supply of limited current is for the listing body and the
inspector. In a barn no height guards people: interlock and lock-out do.
"""

from bisect import bisect_left
from enum import IntEnum

from core.ranges import require_between

__all__ = [
    "REACH_HEIGHT_HIGH_RISK",
    "REACH_HEIGHT_LOW_RISK",
    "WorkingCondition",
    "power_line_clearance",
    "unguarded_height",
    "working_depth",
]

REACH_HEIGHT_LOW_RISK = 2500 / 25.4
"""Height out of reach upwards, low risk [in]; ISO 13857:2019, 4.2.1."""

REACH_HEIGHT_HIGH_RISK = 2700 / 25.4
"""Height out of reach upwards, high risk [in]; ISO 13857:2019, 4.2.1."""


class WorkingCondition(IntEnum):
    """What faces the exposed live parts across the working space."""

    NOTHING_GROUNDED = 1
    GROUNDED_PARTS = 2
    LIVE_PARTS = 3


# NEC Table 110.34(A), 2008: up to [V] to ground; feet for conditions 1, 2, 3.
_DEPTHS = (
    (2_500.0, (3, 4, 5)),
    (9_000.0, (4, 5, 6)),
    (25_000.0, (5, 6, 9)),
    (75_000.0, (6, 8, 10)),
    (1e6, (8, 10, 12)),
)
# NEC Table 110.34(E), 2008: up to [V]; height [in].
_HEIGHTS = ((7_500.0, 108.0), (35_000.0, 114.0))
_HEIGHT_PER_KILOVOLT = 0.37  # [in/kV] above 35 kV
# 29 CFR 1926.1408 Table A: up to [V]; feet.
_LINE_CLEARANCES = (
    *((50e3, 10), (200e3, 15), (350e3, 20)),
    *((500e3, 25), (750e3, 35), (1e6, 45)),
)


def working_depth(voltage: float, condition: WorkingCondition) -> float:
    """Return the clear depth in front of exposed live parts, a design target.

    Parameters
    ----------
    voltage : float
        Voltage to ground [V], 601 V to 1 MV.
    condition : WorkingCondition
        What is on the other side of the working space. Concrete, brick and tile
        walls count as grounded.

    Returns
    -------
    float
        Depth [in].

    Raises
    ------
    ValueRangeError
        If the voltage is outside the table.

    References
    ----------
    NEC (NFPA 70), 2008, Table 110.34(A).

    Examples
    --------
    >>> working_depth(30e3, WorkingCondition.GROUNDED_PARTS)
    96.0
    """
    require_between("voltage", voltage, 601, 1e6, "V")
    row = bisect_left(_DEPTHS, voltage, key=lambda pair: pair[0])
    return 12.0 * _DEPTHS[row][1][condition - 1]


def unguarded_height(voltage: float) -> float:
    """Return the height of unguarded live parts over a working space, a target.

    Parameters
    ----------
    voltage : float
        Voltage [V], 601 V to 1 MV.

    Returns
    -------
    float
        Height above the floor [in].

    Raises
    ------
    ValueRangeError
        If the voltage is outside the table.

    References
    ----------
    NEC (NFPA 70), 2008, Table 110.34(E).

    Examples
    --------
    >>> unguarded_height(30e3)
    114.0
    """
    require_between("voltage", voltage, 601, 1e6, "V")
    for limit, height in _HEIGHTS:
        if voltage <= limit:
            return height
    top, height = _HEIGHTS[-1]
    return height + _HEIGHT_PER_KILOVOLT * (voltage - top) / 1000


def power_line_clearance(voltage: float) -> float:
    """Return how far equipment stays from energised power lines.

    Parameters
    ----------
    voltage : float
        Nominal voltage of the line [V], up to 1 MV.

    Returns
    -------
    float
        Distance [in].

    Raises
    ------
    ValueRangeError
        If the voltage is negative or above the table.

    References
    ----------
    29 CFR 1926.1408, Table A; 1910.333(c)(3) for overhead lines.

    Examples
    --------
    >>> power_line_clearance(30e3)
    120.0
    """
    require_between("voltage", voltage, 0, 1e6, "V")
    row = bisect_left(_LINE_CLEARANCES, voltage, key=lambda pair: pair[0])
    return 12.0 * _LINE_CLEARANCES[row][1]
