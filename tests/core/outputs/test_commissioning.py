"""The record: good, one value spoilt, mended again."""

from dataclasses import replace

import pytest

from core.analysis.analyse import Analysis, analyse
from core.barnfile.files import read_barn
from core.barnfile.writing import barn_text
from core.model.job import CommissioningRecord, HeightReading, Reading
from core.outputs.commissioning import (
    Expected,
    Judged,
    commissioning_tables,
    expected_readings,
    height_checks,
    out_of_tolerance,
    reading_checks,
)
from core.quantities import LengthUnit
from tests.specimens import plain_barn

GOOD = {
    Expected.YES: "yes",
    Expected.OHMS: "0.4 ohm",
    Expected.VOLTS: "29.5 kV",
    Expected.NOTE: "120 V",
}


def recorded(
    *, heights: dict[str, float] | None = None, spoilt: dict[str, str] | None = None
) -> Analysis:
    """Return the plain barn with all measured well but what is spoilt."""
    blank = analyse(plain_barn())
    readings = {item.id: GOOD[item.expected] for item in expected_readings(blank)}
    readings |= spoilt or {}
    measured = {c.support: (c.run, c.set_to) for c in height_checks(blank)}
    record = CommissioningRecord(
        date="2026-11-24",
        by="two installers",
        heights=tuple(
            HeightReading(run=run, support=key, measured=(heights or {}).get(key, z))
            for key, (run, z) in measured.items()
        ),
        readings=tuple(Reading(id=k, value=v) for k, v in readings.items()),
    )
    return analyse(replace(plain_barn(), record=record))


def test_without_a_record_everything_is_blank() -> None:
    analysis = analyse(plain_barn())
    assert {c.judged for c in height_checks(analysis)} == {Judged.BLANK}
    assert {c.judged for c in reading_checks(analysis)} == {Judged.BLANK}
    assert out_of_tolerance(analysis) == ()


def test_a_good_record_has_nothing_out_of_tolerance() -> None:
    assert out_of_tolerance(recorded()) == ()


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
    first = height_checks(analyse(plain_barn()))[0]
    analysis = recorded(heights={first.support: first.set_to + off})
    check = height_checks(analysis)[0]
    assert check.judged is judged
    assert check.difference == pytest.approx(off)


@pytest.mark.parametrize(
    ("kind", "value"),
    [
        (Expected.YES, "no"),
        (Expected.OHMS, "40 ohm"),
        (Expected.OHMS, "open"),
        (Expected.VOLTS, "12 kV"),
        (Expected.VOLTS, "dead"),
    ],
)
def test_a_spoilt_reading_is_flagged(kind: Expected, value: str) -> None:
    item = next(
        i for i in expected_readings(analyse(plain_barn())) if i.expected is kind
    )
    words = out_of_tolerance(recorded(spoilt={item.id: value}))
    assert words == (f"{item.what}: {value}",)


def test_more_static_after_bonding_than_before_is_flagged() -> None:
    items = expected_readings(analyse(plain_barn()))
    before = next(i.id for i in items if i.id.endswith("/before"))
    after = before.removesuffix("before") + "after"
    analysis = recorded(spoilt={before: "100 V", after: "900 V"})
    assert len(out_of_tolerance(analysis)) == 1
    assert out_of_tolerance(recorded(spoilt={before: "900 V", after: "100 V"})) == ()


def test_a_reading_that_nobody_asked_for_is_printed_with_its_note() -> None:
    record = CommissioningRecord(
        readings=(Reading(id="humidity", value="60 %", note="fogged"),)
    )
    analysis = analyse(replace(plain_barn(), record=record))
    readings = commissioning_tables(analysis)[1]
    assert ("humidity", "", "60 % (fogged)", "noted") in readings.rows


def test_the_record_stays_with_the_barn_file() -> None:
    barn = recorded().report.barn
    text = barn_text(barn, unit=LengthUnit.INCH)
    assert read_barn(text, where="test").record == barn.record


def test_the_tables_say_what_is_out_and_leave_names_as_typed() -> None:
    first = height_checks(analyse(plain_barn()))[0]
    analysis = recorded(heights={first.support: first.set_to + 1.0})
    heights, _, _, names = commissioning_tables(analysis)
    assert heights.rows[0][-1] == "OUT OF TOLERANCE"
    assert ("Measured by", "two installers") in names.rows
    assert first.support in names.notes[0]
