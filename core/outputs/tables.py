"""A table as data: headings with units, rows of plain values; paper and files alike."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum

from core.model.job import Display
from core.quantities import LengthStyle, format_length

__all__ = ["Cell", "Column", "Kind", "Table", "cell_text", "length_style"]

Cell = str | float | None


class Kind(StrEnum):
    """What the cells of a column hold."""

    TEXT = "text"
    LENGTH = "length"  # [in]
    GAP = "gap"  # a small distance, with hundredths [in]
    POUNDS = "pounds"  # [lbf]
    NUMBER = "number"
    COUNT = "count"
    TICK = "tick"  # an empty box to tick
    BLANK = "blank"  # left free to write in


_UNITS: Mapping[Kind, str] = {Kind.POUNDS: "lb"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One column: its heading, what it holds, its share of the width [-]."""

    heading: str
    kind: Kind = Kind.TEXT
    share: float = 1.0

    @property
    def is_length(self) -> bool:
        """Whether the cells are lengths in inches."""
        return self.kind in (Kind.LENGTH, Kind.GAP)


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """Rows under headings, with a key for file names and notes to stand below."""

    key: str
    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    notes: tuple[str, ...] = ()

    @classmethod
    def of(
        cls,
        key: str,
        title: str,
        columns: Iterable[Column],
        rows: Iterable[tuple[Cell, ...]],
        notes: Iterable[str] = (),
    ) -> "Table":
        """Collect a table from any iterables."""
        return cls(
            key=key,
            title=title,
            columns=tuple(columns),
            rows=tuple(rows),
            notes=tuple(notes),
        )


def cell_text(cell: Cell, kind: Kind, *, style: LengthStyle) -> str:
    """Return what a cell says on paper.

    Parameters
    ----------
    cell : str, float or None
        The value; None and what is left to be written are empty.
    kind : Kind
        What the column holds.
    style : LengthStyle
        How lengths are written.

    Examples
    --------
    >>> cell_text(87.5, Kind.LENGTH, style=LengthStyle.FEET)
    '7 ft 3-1/2 in'
    >>> cell_text(12.25, Kind.POUNDS, style=LengthStyle.FEET)
    '12.2 lb'
    >>> cell_text(None, Kind.COUNT, style=LengthStyle.FEET)
    ''
    """
    if cell is None or kind in (Kind.TICK, Kind.BLANK):
        return cell if isinstance(cell, str) else ""
    if isinstance(cell, str):
        return cell
    if kind is Kind.LENGTH:
        return format_length(cell, style=style)
    if kind is Kind.GAP:
        return _gap(cell, style)
    if kind is Kind.COUNT:
        return f"{cell:.0f}"
    number = f"{cell:.1f}".removesuffix(".0") if kind is Kind.POUNDS else f"{cell:.4g}"
    return f"{number} {_UNITS.get(kind, '')}".rstrip()


def length_style(display: Display) -> LengthStyle:
    """Return how a job writes its lengths."""
    metric = display is Display.MILLIMETRES
    return LengthStyle.MILLIMETRES if metric else LengthStyle.FEET


def _gap(inches: float, style: LengthStyle) -> str:
    if style is LengthStyle.MILLIMETRES:
        return f"{inches * 25.4:.1f} mm"
    return f"{inches:.2f} in"
