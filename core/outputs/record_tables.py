"""The commissioning record as tables: heights, checks and readings, bonds, names."""

from collections.abc import Iterable, Mapping

from core.analysis.analyse import Analysis
from core.analysis.electrical import bond_register
from core.model.job import CommissioningRecord
from core.outputs.commissioning import (
    BOND_OHMS,
    HEIGHT_TOLERANCE,
    Judged,
    ReadingCheck,
    blanks,
    bond_keys,
    height_checks,
    out_of_tolerance,
    reading_checks,
    worst,
)
from core.outputs.tables import Cell, Column, Kind, Table, length_style
from core.quantities import format_length
from core.rules.electrical_evidence import Bonding

__all__ = ["commissioning_tables"]

_NONE = CommissioningRecord()
_PRACTICE = "common practice, no published source"


def commissioning_tables(analysis: Analysis) -> tuple[Table, ...]:
    """Return the record: heights, checks and readings, bonds, the names."""
    barn = analysis.report.barn
    checks = {item.id: item for item in reading_checks(barn)}
    bonds = bond_register(barn.fixtures, barn.hoists, barn.electrical)
    of_bonds = {key for bond in bonds for key in bond_keys(bond.subject)}
    return (
        _heights(analysis),
        _plain_checks([item for key, item in checks.items() if key not in of_bonds]),
        _bonds(bonds, checks),
        _names(barn.record or _NONE, analysis),
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
            for h in height_checks(analysis.report.barn, analysis.catalogue)
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


def _bonds(bonds: Iterable[Bonding], checks: Mapping[str, ReadingCheck]) -> Table:
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
        (_bond_row(bond.subject, bond.to, checks) for bond in bonds),
        (
            f"Bond: at most {BOND_OHMS:g} ohm; {_PRACTICE}.",
            "Static after bonding must not exceed that before.",
        ),
    )


def _bond_row(
    subject: str, to: str | None, checks: Mapping[str, ReadingCheck]
) -> tuple[Cell, ...]:
    found = [checks[key] for key in bond_keys(subject)]
    result = worst(item.judged for item in found)
    values = (item.found for item in found)
    return (subject, to or "UNKNOWN", *values, _said(result))


def _names(record: CommissioningRecord, analysis: Analysis) -> Table:
    barn, catalogue = analysis.report.barn, analysis.catalogue
    out = out_of_tolerance(barn, catalogue)
    note = "; ".join(out) if out else "nothing that was measured"
    left, every = blanks(barn, catalogue)
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
        (f"Out of tolerance: {note}.", f"Still blank: {left} of {every}."),
    )
