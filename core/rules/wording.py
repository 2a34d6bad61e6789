"""A finding's sentence in the units that the reader has chosen."""

import math
import string
from typing import Any

from core.quantities import (
    MILLIMETRES_PER_INCH,
    LengthStyle,
    LengthUnit,
    format_length,
)
from core.rules.finding import Finding

__all__ = ["fill", "measure", "message", "remedy"]

_UNIT_WORDS = {"lb": "lb", "-": "", "%": "%", "V": "V", "s": "s", "deg": "deg"}


def measure(value: float, unit: str, *, style: LengthStyle) -> str:
    """Write a value with its unit.

    Parameters
    ----------
    value : float
        The number, in `unit` [-].
    unit : str
        `in` for a place or height, `gap` for a small distance in inches with
        hundredths, `altitude` for a height above the sea in inches, or any other
        unit's own sign.
    style : LengthStyle
        How lengths are written.

    Returns
    -------
    str
        The value as text, `none` for a value that is not finite.

    Examples
    --------
    >>> measure(87.5, "in", style=LengthStyle.FEET)
    '7 ft 3-1/2 in'
    >>> measure(5.4321, "gap", style=LengthStyle.MILLIMETRES)
    '138.0 mm'
    >>> measure(12_600.0, "altitude", style=LengthStyle.FEET)
    '1,050 ft'
    """
    if not math.isfinite(value):
        return "none"
    if unit == "in":
        return format_length(value, style=style)
    if unit == "gap":
        return _small(value, style)
    if unit == "altitude":
        return _altitude(value, style)
    word = _UNIT_WORDS.get(unit, unit)
    number = f"{value:z.1f}".removesuffix(".0")
    return f"{number} {word}".rstrip() if word != "%" else f"{number} %"


def _small(value: float, style: LengthStyle) -> str:
    if style is LengthStyle.MILLIMETRES:
        return f"{value * float(MILLIMETRES_PER_INCH):.1f} mm"
    return f"{value:.2f} in"


def _altitude(value: float, style: LengthStyle) -> str:
    metric = style is LengthStyle.MILLIMETRES
    unit = LengthUnit.METRE if metric else LengthUnit.FOOT
    return f"{unit.from_inches(value):z,.0f} {unit.value}"


class _Filler(string.Formatter):
    """Fills `{name}` and `{name:unit}` with measures."""

    def __init__(self, style: LengthStyle) -> None:
        self._style = style

    def format_field(self, value: Any, format_spec: str) -> str:
        """Write a number with the unit of the gap; text as it stands."""
        if isinstance(value, float | int):
            return measure(float(value), format_spec or "in", style=self._style)
        return str(value)


def fill(text: str, finding: Finding, *, style: LengthStyle) -> str:
    """Return the text with its gaps filled from the finding."""
    gaps: dict[str, Any] = {
        "subject": finding.subject,
        "other": finding.other or "",
        "height": _known(finding.height),
        "station": _known(finding.station),
        "lift": f"{_known(finding.lift) * 100:.0f} %",
        "value": measure(_known(finding.value), finding.unit, style=style),
        "limit": measure(_known(finding.limit), finding.unit, style=style),
        **finding.details,
    }
    return _Filler(style).vformat(text, (), gaps)


def _known(number: float | None) -> float:
    return math.nan if number is None else number


def message(finding: Finding, *, style: LengthStyle = LengthStyle.FEET) -> str:
    """Return what was found, as one sentence."""
    return fill(finding.message, finding, style=style)


def remedy(finding: Finding, *, style: LengthStyle = LengthStyle.FEET) -> str:
    """Return what to do about it, or an empty text."""
    return fill(finding.remedy, finding, style=style)
