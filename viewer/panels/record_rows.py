"""The commissioning record as rows with cells to type into, sheet by sheet."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import partial

from core.analysis.electrical import bond_register
from core.catalogue.catalogue import Catalogue
from core.model.barn import Barn
from core.model.job import CommissioningRecord
from core.outputs.commissioning import (
    BOND_OHMS,
    HEIGHT_TOLERANCE,
    Expected,
    HeightCheck,
    Judged,
    ReadingCheck,
    bond_keys,
    height_checks,
    reading_checks,
    worst,
)
from core.outputs.record_entries import read_entry, with_height, with_reading
from core.outputs.tables import Kind, cell_text
from core.quantities import LengthStyle, LengthUnit, format_length, parse_length

__all__ = ["Cell", "Entry", "Row", "Section", "record_sections"]

Kept = CommissioningRecord | None
_HINTS: Mapping[Expected, str] = {
    Expected.YES: "yes or no",
    Expected.OHMS: "ohm",
    Expected.VOLTS: "kV",
    Expected.STATIC: "V or kV",
    Expected.NOTE: "",
}
_PRACTICE = "common practice, no published source"


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """A cell to type into.

    `what` names it for the undo list and for screen readers; `put` takes a record and
    what was typed and gives the record with it. A note is neither blank nor judged.
    """

    what: str
    text: str
    put: Callable[[Kept, str], Kept] = field(compare=False)
    hint: str = ""
    judged: Judged | None = None


Cell = str | Judged | Entry


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One line; its key stays while its texts change."""

    key: str
    cells: tuple[Cell, ...]

    @property
    def entries(self) -> Iterator[Entry]:
        """The cells to type into."""
        return (cell for cell in self.cells if isinstance(cell, Entry))


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """The rows of one sheet under their headings, and what they are held to."""

    title: str
    columns: tuple[str, ...]
    rows: tuple[Row, ...]
    note: str

    def count(self, judged: Judged) -> int:
        """Return how many things of which this is said stand here."""
        return sum(e.judged is judged for row in self.rows for e in row.entries)

    @property
    def size(self) -> int:
        """How many things are to be measured here, notes left out."""
        return sum(e.judged is not None for row in self.rows for e in row.entries)


def record_sections(
    barn: Barn, catalogue: Catalogue, style: LengthStyle
) -> tuple[Section, ...]:
    """Return the record of a barn: heights, lift and meters, bonds and static.

    Parameters
    ----------
    barn : Barn
        The barn with its record.
    catalogue : Catalogue
        Its parts.
    style : LengthStyle
        How lengths are written, and what a bare number is meant in.
    """
    checks = {item.id: item for item in reading_checks(barn)}
    bonds = bond_register(barn.fixtures, barn.hoists, barn.electrical)
    of_bonds = {key for bond in bonds for key in bond_keys(bond.subject)}
    plain = [item for key, item in checks.items() if key not in of_bonds]
    tolerance = format_length(HEIGHT_TOLERANCE, style=style)
    return (
        Section(
            title="Heights",
            columns=(
                *("Run", "Support", "Set, floor to middle of pipe", "Measured"),
                *("Difference", "Level or not"),
            ),
            rows=tuple(_height(h, style) for h in height_checks(barn, catalogue)),
            note=f"At working height; level is within {tolerance}: {_PRACTICE}",
        ),
        Section(
            title="Lift and meters",
            columns=("Check", "Wanted", "Found", "Note", "Result"),
            rows=tuple(_reading(item) for item in plain),
            note="Voltages with their unit, V or kV",
        ),
        Section(
            title="Bonds and static",
            columns=(
                *("Part", "Bonded to", "Ohm to ground", "Static before"),
                *("Static after", "Note", "Result"),
            ),
            rows=tuple(_bond(b.subject, b.to, checks) for b in bonds),
            note=f"At most {BOND_OHMS:g} ohm: {_PRACTICE}; static after not above that "
            "before",
        ),
    )


def _height(check: HeightCheck, style: LengthStyle) -> Row:
    measured = check.measured
    text = "" if measured is None else format_length(measured, style=style)
    metric = style is LengthStyle.MILLIMETRES
    entry = Entry(
        what=f"height at {check.support}",
        text=text,
        hint="mm" if metric else "ft in",
        judged=check.judged,
        put=partial(_put_height, check, style),
    )
    return Row(
        key=f"{check.run}/{check.support}",
        cells=(
            check.run,
            check.support,
            format_length(check.set_to, style=style),
            entry,
            _signed(check.difference, style),
            check.judged,
        ),
    )


def _signed(difference: float | None, style: LengthStyle) -> str:
    if difference is None:
        return ""
    words = cell_text(abs(difference), Kind.GAP, style=style)
    return f"{'-' if difference < 0.0 else '+'}{words}"


def _put_height(
    check: HeightCheck, style: LengthStyle, record: Kept, text: str
) -> Kept:
    unit = LengthUnit.INCH
    if style is LengthStyle.MILLIMETRES:
        unit = LengthUnit.MILLIMETRE
    measured = parse_length(text, unit=unit) if text.strip() else None
    return with_height(record, check.run, check.support, measured)


def _reading(item: ReadingCheck) -> Row:
    return Row(
        key=item.id,
        cells=(item.what, item.wanted, _value(item), _note(item), item.judged),
    )


def _bond(subject: str, to: str | None, checks: Mapping[str, ReadingCheck]) -> Row:
    found = [checks[key] for key in bond_keys(subject)]
    values = (_value(item) for item in found)
    said = worst(item.judged for item in found)
    return Row(
        key=subject,
        cells=(subject, to or "UNKNOWN", *values, _note(found[0]), said),
    )


def _value(item: ReadingCheck) -> Entry:
    return Entry(
        what=item.what,
        text=item.value,
        hint=_HINTS[item.expected],
        judged=item.judged,
        put=partial(_put_value, item),
    )


def _put_value(item: ReadingCheck, record: Kept, text: str) -> Kept:
    return with_reading(record, item.id, value=read_entry(item, text))


def _note(item: ReadingCheck) -> Entry:
    return Entry(
        what=f"note on {item.what}", text=item.note, put=partial(_put_note, item)
    )


def _put_note(item: ReadingCheck, record: Kept, text: str) -> Kept:
    return with_reading(record, item.id, note=text.strip())
