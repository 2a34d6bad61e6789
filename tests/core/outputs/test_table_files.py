"""Tables read back by another library, and by the plain CSV reader."""

import csv
import io
from typing import Any

import openpyxl
import pytest

from core.analysis.analyse import Analysis
from core.outputs.job_tables import job_tables
from core.outputs.table_files import csv_bytes, workbook_bytes
from core.outputs.takeoff import take_off
from core.quantities import LengthStyle
from tests.core.outputs.test_takeoff import counted


def column(sheet: Any, heading: str) -> list[Any]:
    """Return the cells under a heading."""
    place = [cell.value for cell in sheet[1]].index(heading)
    return [row[place].value for row in sheet.iter_rows(min_row=2)]


def test_quantities_in_the_workbook_equal_an_independent_count(
    sample: tuple[Analysis, dict[str, Any]],
) -> None:
    analysis, raw = sample
    tables = job_tables(analysis)
    content = workbook_bytes(tables.all, style=tables.style)
    sheet = openpyxl.load_workbook(io.BytesIO(content))["take-off"]
    rows = zip(column(sheet, "Part"), column(sheet, "Needed"), strict=True)
    found: dict[str, float] = {}
    for part, needed in rows:
        found[part] = found.get(part, 0) + (needed or 0)
    for part, count in counted(raw).items():
        assert found[part] == count


def test_lengths_are_numbers_with_words_beside(plain: Analysis) -> None:
    tables = job_tables(plain)
    book = openpyxl.load_workbook(
        io.BytesIO(workbook_bytes(tables.all, style=LengthStyle.FEET))
    )
    sheet = book["drilling"]
    fronts = column(sheet, "From the front wall [in]")
    words = column(sheet, "From the front wall")
    assert len(tables.holes) > 0
    for hole, number, text in zip(tables.holes, fronts, words, strict=False):
        assert number == pytest.approx(hole.at[0], abs=1e-9)
        assert text.endswith(" in")


def test_the_csv_says_what_the_table_says(plain: Analysis) -> None:
    table = job_tables(plain).drilling
    content = csv_bytes(table, style=LengthStyle.FEET)
    assert content.startswith(b"\xef\xbb\xbf")  # the mark of utf-8-sig
    head, *rows = csv.reader(io.StringIO(content.decode("utf-8-sig")))
    assert len(rows) == len(table.rows)
    place = head.index("From the left wall [in]")
    assert [float(row[place]) for row in rows] == [row[4] for row in table.rows]


def test_the_drilling_schedule_has_a_row_for_each_screw_of_the_file(
    sample: tuple[Analysis, dict[str, Any]],
) -> None:
    analysis, raw = sample
    supports = sum(len(run.get("supports", [])) for run in raw["runs"])
    turns = sum(len(c.get("turns", [])) for h in raw["hoists"] for c in h["cables"])
    bases = sum(1 + ("dead_end" in hoist) for hoist in raw["hoists"])
    assert len(job_tables(analysis).drilling.rows) == supports + turns + bases


def test_text_that_looks_like_a_formula_stays_text(plain: Analysis) -> None:
    from core.outputs.tables import Column, Table

    table = Table.of("t", "t", (Column(heading="a"),), (("=1+1",), ("http://x.y",)))
    book = openpyxl.load_workbook(
        io.BytesIO(workbook_bytes((table,), style=LengthStyle.FEET))
    )
    assert book["t"]["A2"].value == "=1+1"
    assert book["t"]["A2"].data_type in ("s", "f")
    assert book["t"]["A3"].hyperlink is None
    assert take_off(plain)
