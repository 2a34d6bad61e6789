"""Text to number at the border, number to text on the screen and on paper.

Inside, lengths are inches, forces pounds-force, angles radians, speeds inches a
second and potentials volts. Nothing else in the program knows another unit.
"""

import math
import re
from collections.abc import Mapping
from difflib import get_close_matches
from enum import Enum, StrEnum
from fractions import Fraction
from typing import Annotated

from annotated_types import Ge, Gt

from core.errors import QuantityError

__all__ = [
    "Angle",
    "Gap",
    "Length",
    "LengthStyle",
    "LengthUnit",
    "Quantity",
    "Size",
    "Speed",
    "Voltage",
    "Weight",
    "format_air_speed",
    "format_angle",
    "format_exact",
    "format_length",
    "format_voltage",
    "format_weight",
    "parse_air_speed",
    "parse_angle",
    "parse_length",
    "parse_voltage",
    "parse_weight",
]

MILLIMETRES_PER_INCH = Fraction(254, 10)  # exact, international inch of 1959
NEWTONS_PER_POUND = Fraction(45359237, 10**8) * Fraction(980665, 10**5)  # exact
POUNDS_PER_KILOGRAM = Fraction(10**8, 45359237)  # exact, international pound
RADIANS_PER_DEGREE = Fraction(math.pi) / 180
FOOT_PER_MINUTE = Fraction(12, 60)  # [in/s]
_LONGEST_TEXT = 100  # no quantity needs more characters


class Quantity(StrEnum):
    """What a float stands for; the unit inside is fixed, the file may differ."""

    LENGTH = "length"  # [in]; in a file: the file's unit, or text with a unit
    ANGLE = "angle"  # [rad]; in a file: degrees
    VOLTAGE = "voltage"  # [V]; in a file: volts, or text with V or kV
    WEIGHT = "weight"  # [lbf]; in a file: pounds
    SPEED = "speed"  # [in/s]; in a file: feet per minute
    TEMPERATURE = "temperature"  # [degC]; in a file: degrees Celsius


Length = Annotated[float, Quantity.LENGTH]
Size = Annotated[float, Quantity.LENGTH, Gt(0)]
Gap = Annotated[float, Quantity.LENGTH, Ge(0)]
Angle = Annotated[float, Quantity.ANGLE]
Voltage = Annotated[float, Quantity.VOLTAGE, Gt(0)]
Weight = Annotated[float, Quantity.WEIGHT, Ge(0)]
Speed = Annotated[float, Quantity.SPEED, Ge(0)]


class LengthUnit(StrEnum):
    """A unit of length that a file or a field may be written in."""

    INCH = "in"
    FOOT = "ft"
    MILLIMETRE = "mm"
    CENTIMETRE = "cm"
    METRE = "m"

    @property
    def inches(self) -> float:
        """Size of the unit [in]."""
        return float(_INCHES_PER_UNIT[self])

    def to_inches(self, number: float) -> float:
        """Turn a number of this unit into inches, rounded once.

        Parameters
        ----------
        number : float
            Count of this unit [-].

        Returns
        -------
        float
            Length [in].
        """
        size = _INCHES_PER_UNIT[self]
        return number * size.numerator / size.denominator

    def from_inches(self, inches: float) -> float:
        """Turn inches into a number of this unit.

        Parameters
        ----------
        inches : float
            Length [in].

        Returns
        -------
        float
            Count of this unit [-].
        """
        size = _INCHES_PER_UNIT[self]
        return inches * size.denominator / size.numerator


class LengthStyle(Enum):
    """How a length is shown to people."""

    FEET = "feet"
    INCHES = "inches"
    MILLIMETRES = "millimetres"


_INCHES_PER_UNIT: Mapping[LengthUnit, Fraction] = {
    LengthUnit.INCH: Fraction(1),
    LengthUnit.FOOT: Fraction(12),
    LengthUnit.MILLIMETRE: 1 / MILLIMETRES_PER_INCH,
    LengthUnit.CENTIMETRE: 10 / MILLIMETRES_PER_INCH,
    LengthUnit.METRE: 1000 / MILLIMETRES_PER_INCH,
}

_SPELLINGS: Mapping[LengthUnit, tuple[str, ...]] = {
    LengthUnit.INCH: ("in", "inch", "inches", '"'),
    LengthUnit.FOOT: ("ft", "foot", "feet", "'"),
    LengthUnit.MILLIMETRE: (
        *("mm", "millimetre", "millimetres"),
        *("millimeter", "millimeters"),
    ),
    LengthUnit.CENTIMETRE: (
        *("cm", "centimetre", "centimetres"),
        *("centimeter", "centimeters"),
    ),
    LengthUnit.METRE: ("m", "metre", "metres", "meter", "meters"),
}
_LENGTHS: Mapping[str, Fraction] = {
    name: _INCHES_PER_UNIT[unit] for unit, names in _SPELLINGS.items() for name in names
}

_RADIANS: Mapping[str, Fraction] = {
    **dict.fromkeys(("deg", "degree", "degrees", "°"), RADIANS_PER_DEGREE),
    **dict.fromkeys(("rad", "radian", "radians"), Fraction(1)),
}
_POUNDS: Mapping[str, Fraction] = {
    **dict.fromkeys(("lb", "lbs", "lbf", "pound", "pounds"), Fraction(1)),
    **dict.fromkeys(("kg", "kgf", "kilogram", "kilograms"), POUNDS_PER_KILOGRAM),
    **dict.fromkeys(("oz", "ounce", "ounces"), Fraction(1, 16)),
    **dict.fromkeys(("n", "newton", "newtons"), 1 / NEWTONS_PER_POUND),
}
_VOLTS: Mapping[str, Fraction] = {
    **dict.fromkeys(("v", "volt", "volts"), Fraction(1)),
    **dict.fromkeys(("kv", "kilovolt", "kilovolts"), Fraction(1000)),
}
_INCHES_PER_SECOND: Mapping[str, Fraction] = {
    **dict.fromkeys(("ft/min", "fpm"), FOOT_PER_MINUTE),
    "ft/s": Fraction(12),
    "in/s": Fraction(1),
    "mph": Fraction(5280 * 12, 3600),
    "m/s": 1000 / MILLIMETRES_PER_INCH,
}

_LOOKALIKES = str.maketrans(
    {
        **dict.fromkeys("\u2032\u2019\u2018\u02b9\u00b4`", "'"),  # primes, quotes
        **dict.fromkeys("\u2033\u201d\u201c\u02ba", '"'),  # double primes, quotes
        **dict.fromkeys("\u2212\u2013\u2012\u2010\u2011", "-"),  # minus, dashes
        **dict.fromkeys("\u00a0\u2007\u2009\u202f\t", " "),  # unbreakable, thin
        "\u2044": "/",  # fraction slash
        "\u00ba": "\u00b0",  # ordinal typed for a degree sign
    }
)
_VULGAR = str.maketrans(
    {
        "½": " 1/2",
        "¼": " 1/4",
        "¾": " 3/4",
        "⅛": " 1/8",
        "⅜": " 3/8",
        "⅝": " 5/8",
        "⅞": " 7/8",
        "⅓": " 1/3",
        "⅔": " 2/3",
    }
)

_NUMBER = (
    r"(?:(?:\d+(?: +| *- *))?\d+ */ *\d+"
    r"|(?:\d+(?:\.\d*)?|\.\d+)(?:e[+-]?\d{1,3}(?!\d))?)"
)
_UNIT = r"(?:[^\W\d_]+(?:/[a-z]+)?\.?|°|'|\")"
_QUANTITY = re.compile(
    rf"(?P<sign>[+-]?) *(?P<number>{_NUMBER}) *(?P<unit>{_UNIT})?", re.ASCII
)
_FEET_AND_INCHES = re.compile(
    rf"(?P<sign>[+-]?) *(?P<feet>{_NUMBER}) *(?P<foot>{_UNIT})"
    rf"(?: *|-| - )(?P<inches>{_NUMBER}) *(?P<inch>{_UNIT})?",
    re.ASCII,
)
_LENGTH_EXAMPLE = "7 ft 3-1/2 in, 7'3.5\", 87-1/2, 2.22 m or 55 cm"


def parse_length(text: str, *, unit: LengthUnit = LengthUnit.INCH) -> float:
    """Read a length as people write it.

    Feet and inches with decimals or fractions, or one number in inches, feet,
    millimetres, centimetres or metres. Primes, typographic quotes and vulgar
    fractions are read too. A minus sign in front covers the whole length.

    Parameters
    ----------
    text : str
        What was written.
    unit : LengthUnit
        Unit of a number that has none.

    Returns
    -------
    float
        Length [in], the nearest double to what was written.

    Raises
    ------
    QuantityError
        If the text is no length, names an unknown unit or is not finite.

    Examples
    --------
    >>> parse_length("7 ft 3-1/2 in")
    87.5
    >>> parse_length("-55.88 cm")
    -22.0
    >>> parse_length("0")
    0.0
    """
    plain = _plain(text, what="length", example=_LENGTH_EXAMPLE)
    both = _FEET_AND_INCHES.fullmatch(plain)
    if both and not _QUANTITY.fullmatch(plain):
        return _feet_and_inches(both, text)
    return _scaled(
        text,
        _LENGTHS,
        bare=_INCHES_PER_UNIT[unit],
        what="length",
        example=_LENGTH_EXAMPLE,
    )


def parse_angle(text: str) -> float:
    """Read an angle; a number without a unit is in degrees.

    Parameters
    ----------
    text : str
        What was written.

    Returns
    -------
    float
        Angle [rad].

    Raises
    ------
    QuantityError
        If the text is no angle.

    Examples
    --------
    >>> round(parse_angle("180 deg"), 6)
    3.141593
    """
    return _scaled(
        text, _RADIANS, bare=RADIANS_PER_DEGREE, what="angle", example="3 deg"
    )


def parse_weight(text: str) -> float:
    """Read a weight or a force; a number without a unit is in pounds.

    A mass in kilograms or ounces is read as its weight.

    Parameters
    ----------
    text : str
        What was written.

    Returns
    -------
    float
        Force [lbf].

    Raises
    ------
    QuantityError
        If the text is no weight.

    Examples
    --------
    >>> parse_weight("40 lb")
    40.0
    """
    return _scaled(
        text, _POUNDS, bare=Fraction(1), what="weight", example="40 lb or 18 kg"
    )


def parse_voltage(text: str) -> float:
    """Read a potential; a number without a unit is in volts.

    Parameters
    ----------
    text : str
        What was written.

    Returns
    -------
    float
        Potential [V].

    Raises
    ------
    QuantityError
        If the text is no potential.

    Examples
    --------
    >>> parse_voltage("-30 kV")
    -30000.0
    """
    return _scaled(
        text, _VOLTS, bare=Fraction(1), what="voltage", example="30 kV or 30000 V"
    )


def parse_air_speed(text: str) -> float:
    """Read a speed of air; a number without a unit is in feet a minute.

    Parameters
    ----------
    text : str
        What was written.

    Returns
    -------
    float
        Speed [in/s].

    Raises
    ------
    QuantityError
        If the text is no speed.

    Examples
    --------
    >>> parse_air_speed("500 ft/min")
    100.0
    """
    return _scaled(
        text,
        _INCHES_PER_SECOND,
        bare=FOOT_PER_MINUTE,
        what="air speed",
        example="500 ft/min or 2.5 m/s",
    )


def format_length(inches: float, *, style: LengthStyle = LengthStyle.FEET) -> str:
    """Write a length for people, to the nearest 1/16 in or whole millimetre.

    Halves are rounded away from zero, and 11-31/32 in carries into the next foot.

    Parameters
    ----------
    inches : float
        Length [in].
    style : LengthStyle
        Feet and fractions, inches and fractions, or millimetres.

    Returns
    -------
    str
        Text that `parse_length` reads back.

    Raises
    ------
    QuantityError
        If the length is not finite.

    Examples
    --------
    >>> format_length(87.5)
    '7 ft 3-1/2 in'
    >>> format_length(83.97)
    '7 ft 0 in'
    >>> format_length(-0.01)
    '0 in'
    """
    _require_finite(inches, what="length")
    if style is LengthStyle.MILLIMETRES:
        count = int(abs(inches) * float(MILLIMETRES_PER_INCH) + 0.5)
        return _signed(inches, count, f"{count} mm")
    sixteenths = int(abs(inches) * 16 + 0.5)
    feet, rest = (
        divmod(sixteenths, 192) if style is LengthStyle.FEET else (0, sixteenths)
    )
    shown = f"{feet} ft {_inches_text(rest, after_feet=feet > 0)}" if feet else ""
    return _signed(inches, sixteenths, shown or _inches_text(rest, after_feet=False))


def format_exact(inches: float, *, unit: LengthUnit = LengthUnit.INCH) -> str:
    """Write a length with every digit that it has, for files.

    Parameters
    ----------
    inches : float
        Length [in].
    unit : LengthUnit
        Unit to write it in.

    Returns
    -------
    str
        Text that `parse_length` reads back as the same number: exactly in
        inches, within one part in 10^15 in other units.

    Raises
    ------
    QuantityError
        If the length is not finite.

    Examples
    --------
    >>> format_exact(87.53)
    '87.53 in'
    """
    _require_finite(inches, what="length")
    return f"{_shortest(unit.from_inches(inches))} {unit.value}"


def format_angle(radians: float) -> str:
    """Write an angle in degrees to a tenth.

    Parameters
    ----------
    radians : float
        Angle [rad].

    Returns
    -------
    str
        Text that `parse_angle` reads.

    Raises
    ------
    QuantityError
        If the angle is not finite.
    """
    _require_finite(radians, what="angle")
    return f"{_decimal(math.degrees(radians), 1)} deg"


def format_weight(pounds: float) -> str:
    """Write a weight or a force in pounds to a tenth.

    Parameters
    ----------
    pounds : float
        Force [lbf].

    Returns
    -------
    str
        Text that `parse_weight` reads.

    Raises
    ------
    QuantityError
        If the force is not finite.
    """
    _require_finite(pounds, what="weight")
    return f"{_decimal(pounds, 1)} lb"


def format_voltage(volts: float) -> str:
    """Write a potential: in volts below 1 kV, else in kilovolts to a tenth.

    Parameters
    ----------
    volts : float
        Potential [V].

    Returns
    -------
    str
        Text that `parse_voltage` reads.

    Raises
    ------
    QuantityError
        If the potential is not finite.

    Examples
    --------
    >>> format_voltage(-30000.0)
    '-30 kV'
    """
    _require_finite(volts, what="voltage")
    if abs(volts) < 1000:
        return f"{_decimal(volts, 0)} V"
    return f"{_decimal(volts / 1000, 1)} kV"


def format_air_speed(speed: float) -> str:
    """Write a speed of air in whole feet a minute.

    Parameters
    ----------
    speed : float
        Speed [in/s].

    Returns
    -------
    str
        Text that `parse_air_speed` reads.

    Raises
    ------
    QuantityError
        If the speed is not finite.
    """
    _require_finite(speed, what="air speed")
    return f"{_decimal(speed / float(FOOT_PER_MINUTE), 0)} ft/min"


def _scaled(
    text: str,
    scales: Mapping[str, Fraction],
    *,
    bare: Fraction,
    what: str,
    example: str,
) -> float:
    """Read one number with at most one unit."""
    found = _QUANTITY.fullmatch(_plain(text, what=what, example=example))
    if found is None:
        raise QuantityError(_not_a(what, text, example))
    scale = (
        bare if found["unit"] is None else _scale(found["unit"], scales, text, example)
    )
    return _finite(found["sign"], _number(found["number"], text) * scale, text)


def _scale(
    name: str, scales: Mapping[str, Fraction], text: str, example: str
) -> Fraction:
    """Look a unit up, or name the nearest one."""
    scale = scales.get(name.rstrip("."))
    if scale is not None:
        return scale
    near = get_close_matches(name, scales, n=1, cutoff=0.5)
    hint = f'did you mean "{near[0]}"? ' if near else ""
    msg = (
        f'"{text.strip()}": "{name}" is not a unit here; {hint}Write it like {example}'
    )
    raise QuantityError(msg)


def _feet_and_inches(found: re.Match[str], text: str) -> float:
    """Add feet and inches; refuse any other pair of units."""
    first = _scale(found["foot"], _LENGTHS, text, _LENGTH_EXAMPLE)
    second = _scale(found["inch"] or "in", _LENGTHS, text, _LENGTH_EXAMPLE)
    if first != 12 or second != 1:
        msg = (
            f'"{text.strip()}": only feet and then inches go together in one '
            f"length; write it like {_LENGTH_EXAMPLE}"
        )
        raise QuantityError(msg)
    inches = 12 * _number(found["feet"], text) + _number(found["inches"], text)
    return _finite(found["sign"], inches, text)


def _plain(text: str, *, what: str, example: str) -> str:
    """Replace typographic marks by plain ones."""
    if len(text) > _LONGEST_TEXT:
        msg = (
            f"a {what} of {len(text)} characters is longer than the limit of "
            f"{_LONGEST_TEXT}; write it like {example}"
        )
        raise QuantityError(msg)
    plain = text.translate(_LOOKALIKES).translate(_VULGAR).replace("''", '"')
    plain = plain.strip().lower()
    if not plain:
        msg = f"a {what} is missing; write it like {example}"
        raise QuantityError(msg)
    return plain


def _number(number: str, text: str) -> Fraction:
    """Read a decimal, a fraction or a whole number with a fraction, exactly."""
    if "/" not in number:
        return Fraction(number)
    head, denominator = number.replace("-", " ").split("/")
    *whole, numerator = head.split()
    if int(denominator) == 0 or (whole and int(numerator) >= int(denominator)):
        msg = f'"{text.strip()}": {number} is no fraction of a whole; write 3-1/2'
        raise QuantityError(msg)
    return Fraction(int(numerator), int(denominator)) + sum(map(int, whole))


def _finite(sign: str, value: Fraction, text: str) -> float:
    """Turn the exact value into a double."""
    try:
        number = float(value)
    except OverflowError:
        msg = f'"{text.strip()}" is too large a number; check the digits'
        raise QuantityError(msg) from None
    return -number if sign == "-" and number else number


def _not_a(what: str, text: str, example: str) -> str:
    """Say that a text is not what was expected, with an example."""
    if "," in text:
        return (
            f'"{text.strip()}" has a comma; write the {what} with a point and '
            f"without thousands marks, like {example}"
        )
    return f'"{text.strip()}" is not a {what}; write it like {example}'


def _require_finite(value: float, *, what: str) -> None:
    """Refuse infinity and NaN."""
    if not math.isfinite(value):
        msg = f"{what} = {value} is not a finite number and cannot be written"
        raise QuantityError(msg)


def _inches_text(sixteenths: int, *, after_feet: bool) -> str:
    """Write sixteenths of an inch as whole inches and the shortest fraction."""
    whole, rest = divmod(sixteenths, 16)
    if not rest:
        return f"{whole} in"
    fraction = Fraction(rest, 16)
    return f"{whole}-{fraction} in" if whole or after_feet else f"{fraction} in"


def _signed(value: float, count: int, shown: str) -> str:
    """Put a minus sign in front of what is not shown as zero."""
    return f"-{shown}" if value < 0 and count else shown


def _decimal(value: float, places: int) -> str:
    """Write a number half away from zero, without trailing zeros."""
    scale = 10**places
    count = int(abs(value) * scale + 0.5)
    return _signed(value, count, _shortest(count / scale))


def _shortest(value: float) -> str:
    """Write the shortest text that reads back as the same number."""
    return repr(value).removesuffix(".0")
