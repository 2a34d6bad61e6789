"""The commissioning record: what is expected, what was measured, what is out.

Readings are kept in the barn file under ids that this module makes, such as
`bond/probe-1`; a reading that is not there is left blank on the sheet.
"""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

from core.analysis.analyse import Analysis
from core.errors import QuantityError
from core.model.job import CommissioningRecord
from core.outputs.tables import Cell, Column, Kind, Table, length_style
from core.placement.hanging import support_points
from core.quantities import format_length, format_voltage, parse_voltage

__all__ = [
    "BOND_OHMS",
    "HEIGHT_TOLERANCE",
    "ROD_OHMS",
    "VOLTAGE_SHARE",
    "Expected",
    "HeightCheck",
    "Judged",
    "ReadingCheck",
    "commissioning_tables",
    "expected_readings",
    "height_checks",
    "out_of_tolerance",
    "reading_checks",
]

HEIGHT_TOLERANCE = 0.25  # [in] common practice, no published source
BOND_OHMS = 1.0  # [ohm] common practice, no published source
ROD_OHMS = 25.0  # [ohm] NEC (NFPA 70) 250.53(A)(2) exception, from memory
VOLTAGE_SHARE = 0.1  # [-] of the job's voltage; common practice, no published source

_NONE = CommissioningRecord()
_PRACTICE = "common practice, no published source"


class Judged(StrEnum):
    """What is said of one thing that was to be measured."""

    BLANK = "not measured"
    IN = "in tolerance"
    OUT = "OUT OF TOLERANCE"
    NOTED = "noted"


class Expected(StrEnum):
    """What a reading is compared with."""

    YES = "yes"
    OHMS = "ohm"
    VOLTS = "V"
    NOTE = "note"


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingCheck:
    """One reading: its id in the barn file, what it says, what it is held to."""

    id: str
    what: str
    expected: Expected
    limit: float | None
    value: str = ""
    judged: Judged = Judged.BLANK
    note: str = ""

    @property
    def found(self) -> str | None:
        """Return what was noted, with its note; None where nothing was."""
        note = f" ({self.note})" if self.note else ""
        return f"{self.value}{note}".strip() or None

    @property
    def wanted(self) -> str:
        """Return what is wanted, in words."""
        if self.expected is Expected.YES:
            return "yes"
        if self.limit is None:
            return ""
        if self.expected is Expected.VOLTS:
            return f"{format_voltage(self.limit)}, within {VOLTAGE_SHARE:.0%}"
        return f"at most {self.limit:g} ohm"


@dataclass(frozen=True, slots=True, kw_only=True)
class HeightCheck:
    """The height of a pipe's middle at one support: set and measured [in]."""

    run: str
    support: str
    set_to: float
    measured: float | None

    @property
    def difference(self) -> float | None:
        """Return measured minus set [in]."""
        return None if self.measured is None else self.measured - self.set_to

    @property
    def judged(self) -> Judged:
        """Return whether it is level within the tolerance."""
        if self.difference is None:
            return Judged.BLANK
        level = abs(self.difference) <= HEIGHT_TOLERANCE + 1e-9
        return Judged.IN if level else Judged.OUT


def height_checks(analysis: Analysis) -> tuple[HeightCheck, ...]:
    """Return the height of every support at working height, run by run."""
    barn = analysis.report.barn
    measured = {
        (item.run, item.support): item.measured
        for item in (barn.record or _NONE).heights
    }
    return tuple(
        HeightCheck(
            run=run.id,
            support=place.support,
            set_to=place.pipe[2],
            measured=measured.get((run.id, place.support)),
        )
        for run in barn.runs
        for place in support_points(run, barn.room, analysis.catalogue, lift=0.0)
    )


def expected_readings(analysis: Analysis) -> tuple[ReadingCheck, ...]:
    """Return every reading that the job asks for, left blank."""
    return (*_lift_readings(analysis), *_ground_readings(analysis), *_meter(analysis))


def _lift_readings(analysis: Analysis) -> Iterator[ReadingCheck]:
    for hoist in analysis.report.barn.hoists:
        for way in ("lifting", "lowering"):
            for what in ("smooth", "stopped in time"):
                yield ReadingCheck(
                    id=f"hoist/{hoist.id}/{way}/{what.replace(' ', '-')}",
                    what=f"{hoist.id}: {way}, {what}",
                    expected=Expected.YES,
                    limit=None,
                )


def _ground_readings(analysis: Analysis) -> Iterator[ReadingCheck]:
    evidence = analysis.report.electrical
    if evidence is None:
        return
    for rod in evidence.rods:
        yield _ohms(f"rod/{rod.id}", f"ground rod {rod.id}", ROD_OHMS)
    for bond in evidence.bonds:
        yield _ohms(f"bond/{bond.subject}", f"bond of {bond.subject}", BOND_OHMS)
        for when in ("before", "after"):
            yield ReadingCheck(
                id=f"static/{bond.subject}/{when}",
                what=f"static on {bond.subject}, {when} bonding",
                expected=Expected.NOTE,
                limit=None,
            )


def _ohms(key: str, what: str, limit: float) -> ReadingCheck:
    return ReadingCheck(id=key, what=what, expected=Expected.OHMS, limit=limit)


def _meter(analysis: Analysis) -> Iterator[ReadingCheck]:
    electrical = analysis.report.barn.electrical
    yield ReadingCheck(
        id="meter/supply-voltage",
        what="voltage at the supply",
        expected=Expected.VOLTS,
        limit=electrical.voltage,
    )
    yield ReadingCheck(
        id="meter/supply-current",
        what="current of the supply",
        expected=Expected.NOTE,
        limit=None,
    )
    for run in analysis.report.barn.runs:
        yield ReadingCheck(
            id=f"meter/{run.id}/voltage",
            what=f"voltage at the far end of {run.id}",
            expected=Expected.VOLTS,
            limit=electrical.voltage,
        )


def reading_checks(analysis: Analysis) -> tuple[ReadingCheck, ...]:
    """Return every expected reading with what was noted and what is said of it.

    Readings under ids that nothing expects come last, as they were noted.

    Notes
    -----
    Ohms must not exceed their limit; volts must be within 10 % of the job's in size;
    a yes-or-no check must read yes; static after bonding must not exceed that before.
    A text that is no number where one is wanted is out of tolerance.
    """
    record = analysis.report.barn.record or _NONE
    noted = {reading.id: reading.value.strip() for reading in record.readings}
    notes = {reading.id: reading.note.strip() for reading in record.readings}
    checked = [_checked(item, noted) for item in expected_readings(analysis)]
    known = {item.id for item in checked}
    others = [_other(key, value) for key, value in noted.items() if key not in known]
    return tuple(
        replace(item, note=notes.get(item.id, "")) for item in (*checked, *others)
    )


def _other(key: str, value: str) -> ReadingCheck:
    return ReadingCheck(
        id=key,
        what=key,
        expected=Expected.NOTE,
        limit=None,
        value=value,
        judged=Judged.NOTED if value else Judged.BLANK,
    )


def _checked(item: ReadingCheck, noted: Mapping[str, str]) -> ReadingCheck:
    value = noted.get(item.id, "")
    if not value:
        return item
    return replace(item, value=value, judged=_judged(item, value, noted))


def _judged(item: ReadingCheck, value: str, noted: Mapping[str, str]) -> Judged:
    match item.expected:
        case Expected.YES:
            return Judged.IN if value.lower() in ("yes", "y") else Judged.OUT
        case Expected.OHMS:
            return _within(_leading_number(value), item.limit)
        case Expected.VOLTS:
            return _near_voltage(value, item.limit)
        case Expected.NOTE:
            return _static(item.id, value, noted)


def _within(number: float | None, limit: float | None) -> Judged:
    kept = number is not None and limit is not None and 0.0 <= number <= limit
    return Judged.IN if kept else Judged.OUT


def _near_voltage(value: str, limit: float | None) -> Judged:
    try:
        volts = abs(parse_voltage(value))
    except QuantityError:
        return Judged.OUT
    wanted = abs(limit or 0.0)
    near = abs(volts - wanted) <= VOLTAGE_SHARE * wanted
    return Judged.IN if near else Judged.OUT


def _static(key: str, value: str, noted: Mapping[str, str]) -> Judged:
    if not key.startswith("static/") or not key.endswith("/after"):
        return Judged.NOTED
    after = _leading_number(value)
    before = _leading_number(noted.get(key.removesuffix("after") + "before", ""))
    if after is None or before is None:
        return Judged.NOTED
    return Judged.IN if abs(after) <= abs(before) else Judged.OUT


def _leading_number(value: str) -> float | None:
    """Return the number that a reading begins with, None when there is none."""
    try:
        number = float(value.split()[0].replace(",", "")) if value.split() else math.nan
    except ValueError:
        return None
    return number if math.isfinite(number) else None


def out_of_tolerance(analysis: Analysis) -> tuple[str, ...]:
    """Return in words everything that was measured and is out of tolerance."""
    heights = [
        f"{item.run}, {item.support}: height"
        for item in height_checks(analysis)
        if item.judged is Judged.OUT
    ]
    readings = [
        f"{item.what}: {item.value}"
        for item in reading_checks(analysis)
        if item.judged is Judged.OUT
    ]
    return (*heights, *readings)


def commissioning_tables(analysis: Analysis) -> tuple[Table, ...]:
    """Return the record: heights, checks and readings, bonds, the names."""
    checks = reading_checks(analysis)
    ground = ("bond/", "static/")
    plain = [item for item in checks if not item.id.startswith(ground)]
    return (
        _heights(analysis),
        _plain_checks(plain),
        _bonds({item.id: item for item in checks}, analysis),
        _names(analysis.report.barn.record or _NONE, analysis),
    )


def _said(judged: Judged) -> Cell:
    return None if judged is Judged.BLANK else str(judged)


def _heights(analysis: Analysis) -> Table:
    return Table.of(
        "record-heights",
        "Commissioning: heights at working height",
        (
            Column(heading="Run", share=1.3),
            Column(heading="Support", share=1.3),
            Column(heading="Set: floor to middle of pipe", kind=Kind.LENGTH, share=2),
            Column(heading="Measured", kind=Kind.LENGTH, share=2),
            Column(heading="Difference", kind=Kind.GAP, share=1.4),
            Column(heading="Level or not", share=2),
        ),
        (
            (h.run, h.support, h.set_to, h.measured, h.difference, _said(h.judged))
            for h in height_checks(analysis)
        ),
        (f"Level: within {_tolerance(analysis)} of what is set; {_PRACTICE}.",),
    )


def _tolerance(analysis: Analysis) -> str:
    style = length_style(analysis.report.barn.job.display)
    return format_length(HEIGHT_TOLERANCE, style=style)


def _plain_checks(checks: list[ReadingCheck]) -> Table:
    return Table.of(
        "record-readings",
        "Commissioning: lift, rods and meter readings",
        (
            Column(heading="Check", share=3),
            Column(heading="Wanted", share=2),
            Column(heading="Found", share=1.6),
            Column(heading="Result", share=1.8),
        ),
        ((c.what, c.wanted, c.found, _said(c.judged)) for c in checks),
    )


def _bonds(checks: Mapping[str, ReadingCheck], analysis: Analysis) -> Table:
    evidence = analysis.report.electrical
    return Table.of(
        "record-bonds",
        "Commissioning: bonds and static readings",
        (
            Column(heading="Part", share=2),
            Column(heading="Bonded to", share=1.6),
            Column(heading="Ohm to ground", share=1.4),
            Column(heading="Static before", share=1.4),
            Column(heading="Static after", share=1.4),
            Column(heading="Result", share=1.8),
        ),
        (
            _bond_row(b.subject, b.to, checks)
            for b in (evidence.bonds if evidence else ())
        ),
        (
            f"Bond: at most {BOND_OHMS:g} ohm; {_PRACTICE}.",
            "Static after bonding must not exceed that before.",
        ),
    )


def _bond_row(
    subject: str, to: str | None, checks: Mapping[str, ReadingCheck]
) -> tuple[Cell, ...]:
    keys = (f"bond/{subject}", f"static/{subject}/before", f"static/{subject}/after")
    found = [checks[key] for key in keys]
    said = {item.judged for item in found}
    result = next((j for j in (Judged.OUT, Judged.IN) if j in said), None)
    values = (item.found for item in found)
    return (subject, to or "UNKNOWN", *values, result and str(result))


def _names(record: CommissioningRecord, analysis: Analysis) -> Table:
    out = out_of_tolerance(analysis)
    note = "; ".join(out) if out else "nothing that was measured"
    return Table.of(
        "record-names",
        "Commissioning: names",
        (Column(heading="What", share=1.5), Column(heading="", share=4)),
        (
            ("Measured by", record.by or None),
            ("Date", record.date or None),
            ("Signed", None),
            ("Owner or witness", None),
        ),
        (f"Out of tolerance: {note}.",),
    )
