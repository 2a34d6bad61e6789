"""Refuse a number outside the range in which a formula is defined."""

import math

from core.errors import ValueRangeError

__all__ = ["require_above", "require_at_least", "require_between"]


def require_above(name: str, value: float, limit: float, unit: str) -> None:
    """Raise unless `value` is finite or infinite and above `limit` [unit].

    Parameters
    ----------
    name : str
        What the value is.
    value : float
        The value [unit].
    limit : float
        What it must be greater than [unit].
    unit : str
        Unit of both.

    Raises
    ------
    ValueRangeError
        If `value` is not greater than `limit`, or not a number.
    """
    if math.isnan(value) or value <= limit:
        text = f"{name} = {value:g} {unit} must be greater than {limit:g} {unit}"
        raise ValueRangeError(text)


def require_at_least(name: str, value: float, limit: float, unit: str) -> None:
    """Raise unless `value` is at least `limit` [unit].

    Parameters
    ----------
    name : str
        What the value is.
    value : float
        The value [unit].
    limit : float
        The least it may be [unit].
    unit : str
        Unit of both.

    Raises
    ------
    ValueRangeError
        If `value` is less than `limit`, or not a number.
    """
    if math.isnan(value) or value < limit:
        text = f"{name} = {value:g} {unit} must be at least {limit:g} {unit}"
        raise ValueRangeError(text)


def require_between(
    name: str, value: float, low: float, high: float, unit: str
) -> None:
    """Raise unless `value` lies in low..high [unit], both ends allowed.

    Parameters
    ----------
    name : str
        What the value is.
    value : float
        The value [unit].
    low, high : float
        Ends of the range [unit].
    unit : str
        Unit of all three.

    Raises
    ------
    ValueRangeError
        If `value` is outside the range, or not a number.
    """
    if math.isnan(value) or not low <= value <= high:
        text = f"{name} = {value:g} {unit} must be from {low:g} to {high:g} {unit}"
        raise ValueRangeError(text)
