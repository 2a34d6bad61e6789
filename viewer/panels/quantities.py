"""How a number of the document is typed, shown and stepped, by what it measures."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from core.errors import QuantityError
from core.model.spec import NumberSpec
from core.quantities import (
    LengthStyle,
    LengthUnit,
    Quantity,
    format_air_speed,
    format_angle,
    format_exact,
    format_length,
    format_voltage,
    format_weight,
    parse_air_speed,
    parse_angle,
    parse_length,
    parse_voltage,
    parse_weight,
)

__all__ = ["Typing", "limit_words", "stepped", "typing_of"]

_MILLIMETRE = LengthUnit.MILLIMETRE.inches  # [in]
_SIXTEENTH = 1 / 16  # [in]
_FOOT_PER_MINUTE = 0.2  # [in/s]


@dataclass(frozen=True, slots=True, kw_only=True)
class Typing:
    """The border between text and number of one quantity; `step` is one key press."""

    parse: Callable[[str], float]
    format: Callable[[float], str]
    step: float
    exact: Callable[[float], str] | None = None

    def read(self, text: str, spec: NumberSpec) -> float:
        """Read a text and hold it against the limits of its field.

        Parameters
        ----------
        text : str
            What was typed.
        spec : NumberSpec
            The limits.

        Returns
        -------
        float
            The number in internal units [-].

        Raises
        ------
        QuantityError
            If it is no such quantity or out of its limits.
        """
        value = self.parse(text)
        if not spec.allows(value):
            msg = f"{self.format(value)} is {limit_words(value, spec, self.format)}"
            raise QuantityError(msg)
        return value


def limit_words(value: float, spec: NumberSpec, shown: Callable[[float], str]) -> str:
    """Say which limit a number breaks, in the units that the reader sees.

    Examples
    --------
    >>> limit_words(-1.0, NumberSpec(least=0.0), str)
    'too small; it must be at least 0.0'
    """
    if value <= spec.above:
        return f"too small; it must be more than {shown(spec.above)}"
    if value < spec.least:
        return f"too small; it must be at least {shown(spec.least)}"
    most = min(spec.most, spec.reach)
    if value > most:
        return f"too large; it must be at most {shown(most)}"
    return f"out of range; it must be at least {shown(-spec.reach)}"


def stepped(value: float, step: float, steps: int) -> float:
    """Return a value some steps on, on the grid of the steps.

    Examples
    --------
    >>> stepped(1.03, 0.0625, 1)
    1.0625
    >>> stepped(1.0, 0.0625, -1)
    0.9375
    """
    ratio = value / step
    near = round(ratio)
    if abs(ratio - near) < 1e-6:
        return (near + steps) * step
    start = math.floor(ratio) if steps > 0 else math.ceil(ratio)
    return (start + steps) * step


def _parse_plain(text: str, *, unit: str = "") -> float:
    plain = text.strip().removesuffix(unit).strip() if unit else text.strip()
    try:
        value = float(plain.replace("\N{MINUS SIGN}", "-"))
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        msg = f'"{text.strip()}" is not a number; write it like 12.5'
        raise QuantityError(msg)
    return value


def _parse_whole(text: str) -> float:
    value = _parse_plain(text)
    if value != int(value):
        msg = f'"{text.strip()}" is not a whole number; write it like 3'
        raise QuantityError(msg)
    return int(value)


def _parse_celsius(text: str) -> float:
    plain = text.replace("\N{DEGREE SIGN}", "").replace("deg", "").strip()
    return _parse_plain(plain.removesuffix("C").removesuffix("c"))


def _plain(value: float) -> str:
    return f"{value:.10g}"


def _feet() -> Typing:
    return Typing(
        parse=parse_length, format=format_length, step=_SIXTEENTH, exact=format_exact
    )


def _millimetres() -> Typing:
    unit = LengthUnit.MILLIMETRE
    return Typing(
        parse=lambda text: parse_length(text, unit=unit),
        format=lambda value: format_length(value, style=LengthStyle.MILLIMETRES),
        exact=lambda value: format_exact(value, unit=unit),
        step=_MILLIMETRE,
    )


_OTHERS: Mapping[Quantity, Typing] = {
    Quantity.ANGLE: Typing(
        parse=parse_angle, format=format_angle, step=math.radians(1.0)
    ),
    Quantity.VOLTAGE: Typing(parse=parse_voltage, format=format_voltage, step=1000.0),
    Quantity.WEIGHT: Typing(parse=parse_weight, format=format_weight, step=1.0),
    Quantity.SPEED: Typing(
        parse=parse_air_speed, format=format_air_speed, step=10 * _FOOT_PER_MINUTE
    ),
    Quantity.TEMPERATURE: Typing(
        parse=_parse_celsius,
        format=lambda value: f"{value:.10g} \N{DEGREE SIGN}C",
        step=1.0,
    ),
}


def typing_of(spec: NumberSpec, *, style: LengthStyle) -> Typing:
    """Return how a number is typed and shown.

    Parameters
    ----------
    spec : NumberSpec
        What the field allows.
    style : LengthStyle
        How lengths are written.

    Returns
    -------
    Typing
        Reading, writing and stepping of such a number.
    """
    if spec.quantity is Quantity.LENGTH:
        metric = style is LengthStyle.MILLIMETRES
        return _millimetres() if metric else _feet()
    if spec.quantity is not None:
        return _OTHERS[spec.quantity]
    parse = _parse_whole if spec.whole else _parse_plain
    return Typing(parse=parse, format=_plain, step=1.0)
