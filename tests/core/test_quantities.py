"""Reading and writing of quantities at the border of the program."""

import math
from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import QuantityError
from core.quantities import (
    LengthStyle,
    LengthUnit,
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

# Hand-worked: feet x 12 + inches; 127 mm are 5 in, rounded once.
WRITTEN_LENGTHS = {
    "7 ft 3-1/2 in": 87.5,
    "7'3.5\"": 87.5,
    "7' 3-1/2\"": 87.5,
    "7'-3 1/2\"": 87.5,
    "7' - 3\"": 87.0,
    "7 feet 3 inches": 87.0,
    "7 ft 3": 87.0,
    "6 ft. 2 in.": 74.0,
    "7ft3in": 87.0,
    "7.5 ft": 90.0,
    "1/2 ft": 6.0,
    "7 ft 0-1/16 in": 84.0625,
    "3 1/2 in": 3.5,
    "3-1/2": 3.5,
    '1/2"': 0.5,
    "87-1/2": 87.5,
    "3''": 3.0,
    "2.22 m": 2220 * 5 / 127,
    "2220 mm": 2220 * 5 / 127,
    "55 cm": 550 * 5 / 127,
    "25.4 millimeters": 1.0,
    "-3 in": -3.0,
    "-7 ft 3 in": -87.0,
    "+3 in": 3.0,
    "7\u2032 3\u00bd\u2033": 87.5,
    "7\u2019\u00a03\u201d": 87.0,
    "\u00bd in": 0.5,
    "3\u215c": 3.375,
    "\u22123 in": -3.0,
    "  4 FT  ": 48.0,
    "1e3 mm": 1000 * 5 / 127,
}

NO_LENGTHS = {
    "": "missing",
    "   ": "missing",
    "nan": "not a length",
    "inf": "not a length",
    "-inf in": "not a length",
    "4 fooot": 'did you mean "foot"',
    "7 ft 3 inchs": 'did you mean "inches"',
    "12 mn": 'did you mean "m"',
    "4 parsec": "not a unit",
    "1,5 m": "comma",
    "1,200 mm": "comma",
    "7 ft -3 in": "not a length",
    "7 3 in": "not a length",
    "2 m 20 cm": "only feet and then inches",
    "5 in 3 ft": "only feet and then inches",
    "1/0 in": "no fraction",
    "3-9/2 in": "no fraction",
    "3.5 1/2 in": "not a length",
    "--3 in": "not a length",
    "0x10": "not a unit",
    "1e999 m": "too large",
    "1e9999999 m": "not a unit",
    "\u0667 in": "not a length",
    "9" * 5000: "longer than the limit",
}


@pytest.mark.parametrize(("text", "inches"), WRITTEN_LENGTHS.items())
def test_lengths_are_read_as_people_write_them(text: str, inches: float) -> None:
    assert parse_length(text) == inches


@pytest.mark.parametrize(("text", "words"), NO_LENGTHS.items())
def test_what_is_no_length_is_refused_in_words(text: str, words: str) -> None:
    with pytest.raises(QuantityError, match=words):
        parse_length(text)


@pytest.mark.parametrize("text", list(NO_LENGTHS))
def test_every_refusal_shows_how_to_write_it(text: str) -> None:
    with pytest.raises(QuantityError) as refusal:
        parse_length(text)
    assert any(word in str(refusal.value) for word in ("like", "write", "check"))


def test_a_bare_number_takes_the_unit_of_the_file() -> None:
    assert parse_length("7.5", unit=LengthUnit.FOOT) == 90.0
    assert parse_length("254", unit=LengthUnit.MILLIMETRE) == 10.0
    assert parse_length("3 in", unit=LengthUnit.METRE) == 3.0


def test_fraction_is_not_lost_before_the_unit() -> None:
    """Trap of pint: it reads 3 1/2 in as 1.5 in."""
    assert pint.UnitRegistry()("3 1/2 in").to("in").magnitude == 1.5
    assert parse_length("3 1/2 in") == 3.5


@pytest.mark.parametrize(
    ("inches", "feet", "plain", "metric"),
    [
        # Hand-worked: sixteenths with halves up, carried; inches x 25.4.
        (87.5, "7 ft 3-1/2 in", "87-1/2 in", "2223 mm"),
        (84.0, "7 ft 0 in", "84 in", "2134 mm"),
        (84.5, "7 ft 0-1/2 in", "84-1/2 in", "2146 mm"),
        (83.97, "7 ft 0 in", "84 in", "2133 mm"),
        (11.96875, "1 ft 0 in", "12 in", "304 mm"),
        (11.9375, "11-15/16 in", "11-15/16 in", "303 mm"),
        (0.5, "1/2 in", "1/2 in", "13 mm"),
        (0.0, "0 in", "0 in", "0 mm"),
        (-0.01, "0 in", "0 in", "0 mm"),
        (-3.0, "-3 in", "-3 in", "-76 mm"),
        (-87.5, "-7 ft 3-1/2 in", "-87-1/2 in", "-2223 mm"),
        (75.53, "6 ft 3-1/2 in", "75-1/2 in", "1918 mm"),
    ],
)
def test_lengths_are_written_for_a_tape(
    inches: float, feet: str, plain: str, metric: str
) -> None:
    assert format_length(inches) == feet
    assert format_length(inches, style=LengthStyle.INCHES) == plain
    assert format_length(inches, style=LengthStyle.MILLIMETRES) == metric


def test_halves_of_a_sixteenth_go_up() -> None:
    """Trap of round(): half to even sends 5/32 down to 1/8 and 3/32 up to 1/8."""
    assert round(5 / 32 * 16) == round(3 / 32 * 16) == 2
    assert format_length(5 / 32) == "3/16 in"
    assert format_length(3 / 32) == "1/8 in"


def test_fractions_are_those_of_a_tape() -> None:
    """Trap of limit_denominator(16): it offers fifteenths."""
    assert Fraction(75.53).limit_denominator(16) == Fraction(1133, 15)
    assert format_length(75.53, style=LengthStyle.INCHES) == "75-1/2 in"


finite = st.floats(allow_nan=False, allow_infinity=False, width=64)
room_size = st.floats(min_value=-1e5, max_value=1e5)


@given(inches=finite)
def test_exact_text_in_inches_reads_back_to_the_bit(inches: float) -> None:
    assert parse_length(format_exact(inches)) == inches


@given(inches=room_size, unit=st.sampled_from(LengthUnit))
def test_exact_text_in_any_unit_reads_back(inches: float, unit: LengthUnit) -> None:
    assert abs(parse_length(format_exact(inches, unit=unit)) - inches) <= 1e-9


@given(inches=room_size, unit=st.sampled_from(LengthUnit))
def test_numbers_in_a_unit_come_back(inches: float, unit: LengthUnit) -> None:
    assert abs(unit.to_inches(unit.from_inches(inches)) - inches) <= 1e-10


@given(inches=room_size, style=st.sampled_from(LengthStyle))
def test_shown_length_is_the_nearest_mark(inches: float, style: LengthStyle) -> None:
    mark = 1 / 25.4 if style is LengthStyle.MILLIMETRES else 1 / 16
    shown = parse_length(format_length(inches, style=style))
    assert abs(shown - inches) <= mark / 2 + 1e-9
    again = format_length(shown, style=style)
    assert again == format_length(inches, style=style)


@given(st.text(alphabet="0123456789 -/.'\"ftincme+", max_size=20) | st.text())
def test_any_text_is_a_finite_length_or_refused(text: str) -> None:
    try:
        inches = parse_length(text)
    except QuantityError:
        return
    assert math.isfinite(inches)


@given(number=st.integers(0, 10**6), unit=st.sampled_from(LengthUnit))
def test_conversions_agree_with_pint(number: int, unit: LengthUnit) -> None:
    """Second method: pint's registry of units."""
    expected = UNITS.Quantity(number, unit.value).to("inch").magnitude
    assert parse_length(f"{number} {unit.value}") == pytest.approx(expected, rel=1e-14)
    assert unit.to_inches(number) == pytest.approx(expected, rel=1e-14)
    assert unit.inches * number == pytest.approx(expected, rel=1e-14)


UNITS = pint.UnitRegistry()


@pytest.mark.parametrize(
    ("read", "text", "from_unit", "to_unit", "number"),
    [
        (parse_weight, "18 kg", "kg", "lb", 18),
        (parse_weight, "40 lb", "lb", "lb", 40),
        (parse_weight, "8 oz", "oz", "lb", 8),
        (parse_weight, "100 N", "newton", "force_pound", 100),
        (parse_weight, "2.5", "lb", "lb", 2.5),
        (parse_angle, "3 deg", "degree", "radian", 3),
        (parse_angle, "3\u00b0", "degree", "radian", 3),
        (parse_angle, "-3", "degree", "radian", -3),
        (parse_angle, "0.05 rad", "radian", "radian", 0.05),
        (parse_voltage, "30 kV", "kilovolt", "volt", 30),
        (parse_voltage, "-30000", "volt", "volt", -30000),
        (parse_air_speed, "500 ft/min", "foot/minute", "inch/second", 500),
        (parse_air_speed, "500", "foot/minute", "inch/second", 500),
        (parse_air_speed, "2.5 m/s", "meter/second", "inch/second", 2.5),
        (parse_air_speed, "6 mph", "mile/hour", "inch/second", 6),
    ],
)
def test_other_quantities_agree_with_pint(
    read, text, from_unit, to_unit, number
) -> None:
    """Second method: pint's registry of units."""
    expected = UNITS.Quantity(number, from_unit).to(to_unit).magnitude
    assert read(text) == pytest.approx(expected, rel=1e-14)


@pytest.mark.parametrize(
    ("read", "text", "words"),
    [
        (parse_weight, "40 lbz", 'did you mean "lb"'),
        (parse_weight, "heavy", "not a weight"),
        (parse_angle, "3 dge", 'did you mean "deg"'),
        (parse_voltage, "30 kVolt", "did you mean"),
        (parse_voltage, "", "voltage is missing"),
        (parse_air_speed, "500 ft/mn", 'did you mean "ft/min"'),
        (parse_air_speed, "500 in", "not a unit"),
    ],
)
def test_other_refusals_name_the_nearest_unit(read, text: str, words: str) -> None:
    with pytest.raises(QuantityError, match=words):
        read(text)


@given(value=st.floats(min_value=-1e5, max_value=1e5))
def test_other_shown_quantities_read_back(value: float) -> None:
    assert abs(parse_weight(format_weight(value)) - value) <= 0.05 + 1e-9
    assert abs(parse_angle(format_angle(value)) - value) <= math.radians(0.05) + 1e-9
    assert abs(parse_voltage(format_voltage(value)) - value) <= 50 + 1e-6
    assert abs(parse_air_speed(format_air_speed(value)) - value) <= 0.1 + 1e-9


def test_other_quantities_are_written_for_people() -> None:
    """Hand-worked: a tenth, halves up; 100 in/s are 500 ft a minute."""
    assert format_weight(46.14) == "46.1 lb"
    assert format_angle(math.radians(3)) == "3 deg"
    assert format_angle(math.radians(-2.26)) == "-2.3 deg"
    assert format_voltage(-30000) == "-30 kV"
    assert format_voltage(480) == "480 V"
    assert format_air_speed(100) == "500 ft/min"
    assert format_weight(-0.01) == "0 lb"


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
@pytest.mark.parametrize(
    "write",
    [
        *(format_length, format_exact, format_angle),
        *(format_weight, format_voltage, format_air_speed),
    ],
)
def test_what_is_not_finite_is_never_written(write, value: float) -> None:
    with pytest.raises(QuantityError, match="not a finite number"):
        write(value)
