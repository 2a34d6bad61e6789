"""Refuse a number outside the range in which a formula or a table holds."""

from core.errors import ValueRangeError

__all__ = ["require"]


def require(name: str, value: float, low: float, high: float, *, unit: str) -> None:
    """Raise unless a value lies in the range of a formula, both ends allowed.

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
        If the value is below `low`, above `high` or not a number.
    """
    if low <= value <= high:
        return
    msg = (
        f"{name} = {value:g} {unit} is outside {low:g} to {high:g} {unit}, the range "
        "that is known; check the value"
    )
    raise ValueRangeError(msg)
