"""Tables as CSV and as one workbook: numbers stay numbers, with a text beside."""

import csv
import io
from collections.abc import Iterable, Iterator

import xlsxwriter  # type: ignore[import-untyped]  # ships no type marker

from core.outputs.tables import Cell, Column, Kind, Table, cell_text
from core.quantities import LengthStyle

__all__ = ["csv_bytes", "workbook_bytes"]

_LONGEST_NAME = 31  # a sheet's name in a workbook, by its own format
_WIDEST = 60


def csv_bytes(table: Table, *, style: LengthStyle) -> bytes:
    """Return a table as CSV in UTF-8 with the mark that spreadsheets look for.

    A column of lengths becomes two: inches as a number, and the words.
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(_headings(table))
    for row in table.rows:
        writer.writerow("" if c is None else c for c in _cells(table, row, style))
    return out.getvalue().encode("utf-8-sig")


def _headings(table: Table) -> list[str]:
    return [name for column in table.columns for name in _names(column)]


def _names(column: Column) -> Iterator[str]:
    if column.is_length:
        yield f"{column.heading} [in]"
    elif column.kind is Kind.POUNDS:
        yield f"{column.heading} [lb]"
        return
    yield column.heading


def _cells(
    table: Table, row: tuple[Cell, ...], style: LengthStyle
) -> Iterator[str | float | None]:
    for column, cell in zip(table.columns, row, strict=True):
        if column.is_length:
            yield cell
            yield cell_text(cell, column.kind, style=style)
        else:
            yield cell


def workbook_bytes(tables: Iterable[Table], *, style: LengthStyle) -> bytes:
    """Return a workbook with a sheet for each table."""
    out = io.BytesIO()
    book = xlsxwriter.Workbook(
        out, {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False}
    )
    head = book.add_format({"bold": True, "text_wrap": True, "bottom": 1})
    for table in tables:
        sheet = book.add_worksheet(table.key[:_LONGEST_NAME])
        _fill(sheet, table, style, head)
    book.close()
    return out.getvalue()


def _fill(
    sheet: "xlsxwriter.worksheet.Worksheet",
    table: Table,
    style: LengthStyle,
    head: object,
) -> None:
    headings = _headings(table)
    widths = [len(name) for name in headings]
    sheet.write_row(0, 0, headings, head)
    for number, row in enumerate(table.rows, 1):
        for place, cell in enumerate(_cells(table, row, style)):
            if cell is not None and cell != "":
                sheet.write(number, place, cell)
            widths[place] = max(widths[place], len(str(cell or "")))
    for place, width in enumerate(widths):
        sheet.set_column(place, place, min(width + 2, _WIDEST))
    sheet.freeze_panes(1, 0)
    for line, note in enumerate(table.notes):
        sheet.write_string(len(table.rows) + 2 + line, 0, note)
