"""How a number of the document is written in a file, and back, without loss."""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from core.model.fields import Quantity
from core.model.spec import NumberSpec
from core.quantities import (
    FOOT_PER_MINUTE,
    RADIANS_PER_DEGREE,
    LengthUnit,
    parse_air_speed,
    parse_angle,
    parse_length,
    parse_voltage,
    parse_weight,
)

__all__ = ["Form", "form_of", "number_words", "plain_number", "written_number"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """How one quantity is written: its noun, unit, and the way there and back.

    `exact_unit` names the internal unit in a text, for numbers that have no
    exact counterpart in the file's unit. `parse` is None where text is not read.
    """

    noun: str
    unit: str
    exact_unit: str
    example: str
    from_file: Callable[[float], float]
    to_file: Callable[[float], float]
    parse: Callable[[str], float] | None


@cache
def form_of(quantity: Quantity | None, unit: LengthUnit) -> Form:
    """Return how a quantity is written in a file of a unit.

    Parameters
    ----------
    quantity : Quantity or None
        What the number stands for; None for a bare number.
    unit : LengthUnit
        Unit of the file's lengths.

    Returns
    -------
    Form
        Words and conversions.
    """
    if quantity is not Quantity.LENGTH:
        return _FORMS[quantity]

    def parse(text: str) -> float:
        return parse_length(text, unit=unit)

    return Form(
        noun="length",
        unit=unit.value,
        exact_unit="in",
        example="7 ft 3-1/2 in",
        from_file=_same if unit is LengthUnit.INCH else _by_digits(parse),
        to_file=unit.from_inches,
        parse=parse,
    )


def _same(number: float) -> float:
    """Leave a number as it is."""
    return number


def _by_digits(parse: Callable[[str], float]) -> Callable[[float], float]:
    """Convert the decimal digits, so that 0.7747 m is 30.5 in and not nearly so."""
    return lambda number: parse(repr(number))


_FORMS = {
    Quantity.ANGLE: Form(
        noun="angle",
        unit="degrees",
        exact_unit="rad",
        example="3 deg",
        from_file=_by_digits(parse_angle),
        to_file=lambda radians: float(Fraction(radians) / RADIANS_PER_DEGREE),
        parse=parse_angle,
    ),
    Quantity.VOLTAGE: Form(
        noun="voltage",
        unit="V",
        exact_unit="V",
        example="30 kV",
        from_file=_same,
        to_file=_same,
        parse=parse_voltage,
    ),
    Quantity.WEIGHT: Form(
        noun="weight",
        unit="lb",
        exact_unit="lb",
        example="40 lb",
        from_file=_same,
        to_file=_same,
        parse=parse_weight,
    ),
    Quantity.SPEED: Form(
        noun="air speed",
        unit="ft/min",
        exact_unit="in/s",
        example="2.5 m/s",
        from_file=_by_digits(parse_air_speed),
        to_file=lambda speed: float(Fraction(speed) / FOOT_PER_MINUTE),
        parse=parse_air_speed,
    ),
    Quantity.TEMPERATURE: Form(
        noun="temperature",
        unit="degrees Celsius",
        exact_unit="",
        example="",
        from_file=_same,
        to_file=_same,
        parse=None,
    ),
    None: Form(
        noun="number",
        unit="",
        exact_unit="",
        example="",
        from_file=_same,
        to_file=_same,
        parse=None,
    ),
}


def written_number(value: float, form: Form) -> float | str:
    """Write a number of the document so that reading gives the same bits.

    Parameters
    ----------
    value : float
        Number in internal units.
    form : Form
        How it is written.

    Returns
    -------
    float or str
        The shortest number of the file's unit that reads back exactly, or,
        where no such number exists, a text in the internal unit.
    """
    for number in _near(form.to_file(value)):
        if form.from_file(number) == value:
            return plain_number(number)
    return f"{plain_number(value)!r} {form.exact_unit}".rstrip()


def _near(number: float) -> Iterator[float]:
    """Yield a number to more and more digits, then its neighbours."""
    for digits in (15, 16, 17):
        yield float(f"{number:.{digits}g}")
    for towards in (-math.inf, math.inf):
        yield math.nextafter(number, towards)


def plain_number(number: float) -> float:
    """Drop the point of a whole number and the sign of a zero.

    Parameters
    ----------
    number : float
        Any finite number [-].

    Returns
    -------
    float
        The same value; an int where it is whole and small enough to be exact.
    """
    return int(number) if number.is_integer() and abs(number) < 1e15 else number


def number_words(spec: NumberSpec, unit: LengthUnit, *, found: float) -> str:
    """Say which numbers a field takes, in the file's unit.

    Parameters
    ----------
    spec : NumberSpec
        What the field allows.
    unit : LengthUnit
        Unit of the file's lengths.
    found : float
        The number found, in internal units [-]; NaN if there was none. Its
        limits of last resort are named only when it breaks them.

    Returns
    -------
    str
        Such as "a length of more than 0 (in ft, or text like 7 ft 3-1/2 in)".
    """
    form = form_of(spec.quantity, unit)
    noun = "whole number" if spec.whole else form.noun
    article = "an" if noun[0] in "ai" else "a"
    parts = [f"{article} {noun}", *_limit_words(spec, form, found=found)]
    return " ".join(parts) + _hint(form)


def _limit_words(spec: NumberSpec, form: Form, *, found: float) -> Iterator[str]:
    """Say the limits that a spec sets, in the file's unit."""
    limits = [
        ("more than", spec.above, math.isfinite(spec.above)),
        ("at least", spec.least, math.isfinite(spec.least)),
        ("at most", spec.most, math.isfinite(spec.most)),
        ("at least", -spec.reach, found < -spec.reach),
        ("at most", spec.reach, found > spec.reach),
    ]
    shown = [
        f"{words} {form.to_file(limit):.6g}" for words, limit, said in limits if said
    ]
    if shown:
        yield "of"
        yield " and ".join(shown)


def _hint(form: Form) -> str:
    """Say the unit and give an example."""
    if not form.unit:
        return ""
    text = f", or text like {form.example}" if form.parse else ""
    return f" (in {form.unit}{text})"
