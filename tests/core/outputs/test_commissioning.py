"""The record: good, one value spoilt, mended again."""

from dataclasses import replace

import pytest

from core.analysis.analyse import analyse
from core.barnfile.files import read_barn
from core.barnfile.writing import barn_text
from core.catalogue.standard import standard_catalogue
from core.errors import QuantityError
from core.model.barn import Barn
from core.model.job import CommissioningRecord, HeightReading, Reading
from core.outputs.commissioning import (
    Expected,
    HeightCheck,
    Judged,
    ReadingCheck,
    blanks,
    expected_readings,
    height_checks,
    out_of_tolerance,
    parse_ohms,
    reading_checks,
)
from core.outputs.record_entries import read_entry, with_height, with_reading
from core.outputs.record_tables import commissioning_tables
from core.quantities import LengthUnit
from tests.specimens import plain_barn

GOOD = {
    Expected.YES: "yes",
    Expected.OHMS: "0.4 ohm",
    Expected.VOLTS: "29.5 kV",
    Expected.STATIC: "120 V",
    Expected.NOTE: "fine",
}


PARTS = standard_catalogue()


def recorded(
    *, heights: dict[str, float] | None = None, spoilt: dict[str, str] | None = None
) -> Barn:
    """Return the plain barn with all measured well but what is spoilt."""
    blank = plain_barn()
    readings = {item.id: GOOD[item.expected] for item in expected_readings(blank)}
    readings |= spoilt or {}
    measured = {c.support: (c.run, c.set_to) for c in height_checks(blank, PARTS)}
    record = CommissioningRecord(
        date="2026-11-24",
        by="two installers",
        heights=tuple(
            HeightReading(run=run, support=key, measured=(heights or {}).get(key, z))
            for key, (run, z) in measured.items()
        ),
        readings=tuple(Reading(id=k, value=v) for k, v in readings.items()),
    )
    return replace(blank, record=record)


def first_height() -> HeightCheck:
    """Return the height of the first support, as it is set."""
    return height_checks(plain_barn(), PARTS)[0]


def test_without_a_record_everything_is_blank() -> None:
    barn = plain_barn()
    assert {c.judged for c in height_checks(barn, PARTS)} == {Judged.BLANK}
    assert {c.judged for c in reading_checks(barn)} == {Judged.BLANK}
    assert out_of_tolerance(barn, PARTS) == ()
    count = len(height_checks(barn, PARTS)) + len(reading_checks(barn))
    assert blanks(barn, PARTS) == (count, count)


def test_a_good_record_has_nothing_out_of_tolerance() -> None:
    assert out_of_tolerance(recorded(), PARTS) == ()
    assert blanks(recorded(), PARTS)[0] == 0


@pytest.mark.parametrize(
    ("off", "judged"),
    # common practice, no published source: 1/4 in either way
    [
        (0.25, Judged.IN),
        (-0.25, Judged.IN),
        (0.3125, Judged.OUT),
        (-0.3125, Judged.OUT),
    ],
)
def test_a_height_is_level_within_a_quarter_inch(off: float, judged: Judged) -> None:
    first = first_height()
    barn = recorded(heights={first.support: first.set_to + off})
    check = height_checks(barn, PARTS)[0]
    assert check.judged is judged
    assert check.difference == pytest.approx(off)


@pytest.mark.parametrize(
    ("kind", "value"),
    [
        (Expected.YES, "no"),
        (Expected.OHMS, "40 ohm"),
        (Expected.OHMS, "open"),
        (Expected.OHMS, "0.4 kohm"),
        (Expected.OHMS, "0.4 megohm"),
        (Expected.OHMS, "0.4 mohm"),  # may be meant either way
        (Expected.VOLTS, "12 kV"),
        (Expected.VOLTS, "dead"),
    ],
)
def test_a_spoilt_reading_is_flagged(kind: Expected, value: str) -> None:
    item = next(i for i in expected_readings(plain_barn()) if i.expected is kind)
    words = out_of_tolerance(recorded(spoilt={item.id: value}), PARTS)
    assert words == (f"{item.what}: {value}",)


@pytest.mark.parametrize(
    ("before", "after", "flagged"),
    [
        ("100 V", "900 V", 1),
        ("900 V", "100 V", 0),
        ("100 V", "3 kV", 1),  # units count: 3000 V is more than 100 V
        ("-3 kV", "100 V", 0),
        ("none felt", "100 V", 0),  # nothing to hold it against
    ],
)
def test_more_static_after_bonding_than_before_is_flagged(
    before: str, after: str, flagged: int
) -> None:
    key = next(i.id for i in expected_readings(plain_barn()) if i.id.endswith("before"))
    spoilt = {key: before, key.removesuffix("before") + "after": after}
    assert len(out_of_tolerance(recorded(spoilt=spoilt), PARTS)) == flagged


def test_the_switch_that_does_not_cut_off_is_flagged() -> None:
    (words,) = out_of_tolerance(recorded(spoilt={"switch/cuts-off": "no"}), PARTS)
    assert "cut the supply off" in words


@pytest.mark.parametrize(
    ("text", "ohms"),
    [
        ("0.4", 0.4),
        (".4 Ohm", 0.4),
        ("400 milliohm", 0.4),
        ("1,500", 1500.0),
        ("1.5k", 1500.0),
        ("2 M\N{GREEK CAPITAL LETTER OMEGA}", 2e6),
        ("2 \N{OHM SIGN}", 2.0),
    ],
)
def test_a_resistance_is_read_with_its_unit(text: str, ohms: float) -> None:
    assert parse_ohms(text) == pytest.approx(ohms)


@pytest.mark.parametrize("text", ["", "ohm", "-1", "5 mohm", "5 MOHMS", "5 V", "1e3x"])
def test_what_is_no_resistance_is_refused(text: str) -> None:
    with pytest.raises(QuantityError, match="not a resistance"):
        parse_ohms(text)


def entry(expected: Expected) -> ReadingCheck:
    return ReadingCheck(id="x", what="x", expected=expected, limit=1.0)


@pytest.mark.parametrize(
    ("expected", "typed", "kept"),
    [
        (Expected.YES, "Y", "yes"),
        (Expected.YES, " no ", "no"),
        (Expected.OHMS, "0.4", "0.4 ohm"),
        (Expected.OHMS, "3 kohm", "3 kohm"),
        (Expected.OHMS, "OL", "open"),
        (Expected.VOLTS, "29.5 kV", "29.5 kV"),
        (Expected.STATIC, "120 V", "120 V"),
        (Expected.NOTE, " 0.4 mA ", "0.4 mA"),
        *((each, "  ", "") for each in Expected),
    ],
)
def test_what_is_typed_is_kept_with_its_unit(
    expected: Expected, typed: str, kept: str
) -> None:
    assert read_entry(entry(expected), typed) == kept


@pytest.mark.parametrize(
    ("expected", "typed", "words"),
    [
        (Expected.YES, "maybe", "neither yes nor no"),
        (Expected.OHMS, "good", "not a resistance"),
        (Expected.VOLTS, "29.5", "29.5 V or 29.5 kV"),
        (Expected.STATIC, "much", "voltage"),
    ],
)
def test_what_cannot_be_meant_is_refused(
    expected: Expected, typed: str, words: str
) -> None:
    with pytest.raises(QuantityError, match=words):
        read_entry(entry(expected), typed)


def test_entries_are_put_changed_and_taken_out_again() -> None:
    record = with_height(None, "run-1", "s1", 50.25)
    record = with_reading(record, "rod/1", value="12 ohm")
    record = with_reading(record, "rod/1", note="dry soil")
    assert record == CommissioningRecord(
        heights=(HeightReading(run="run-1", support="s1", measured=50.25),),
        readings=(Reading(id="rod/1", value="12 ohm", note="dry soil"),),
    )
    record = with_height(record, "run-1", "s1", None)
    record = with_reading(record, "rod/1", value="")
    assert record is not None
    assert record.heights == ()
    assert with_reading(record, "rod/1", note="") is None


def test_readings_that_nobody_asked_for_are_printed_with_their_notes() -> None:
    record = CommissioningRecord(
        readings=(
            Reading(id="humidity", value="60 %", note="fogged"),
            Reading(id="bond/sold-fan", value="0.3 ohm"),
        )
    )
    readings = commissioning_tables(analyse(replace(plain_barn(), record=record)))[1]
    assert ("humidity", "", "60 % (fogged)", "noted") in readings.rows
    assert ("bond/sold-fan", "", "0.3 ohm", "noted") in readings.rows


def test_the_record_stays_with_the_barn_file() -> None:
    barn = recorded()
    text = barn_text(barn, unit=LengthUnit.INCH)
    assert read_barn(text, where="test").record == barn.record


def test_the_tables_say_what_is_out_what_is_blank_and_leave_names_as_typed() -> None:
    first = first_height()
    barn = recorded(
        heights={first.support: first.set_to + 1.0}, spoilt={"meter/bleed-down": ""}
    )
    heights, _, _, names = commissioning_tables(analyse(barn))
    assert heights.rows[0][-1] == "OUT OF TOLERANCE"
    assert ("Measured by", "two installers") in names.rows
    assert first.support in names.notes[0]
    assert names.notes[1].startswith("Still blank: 1 of ")
