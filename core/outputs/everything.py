"""Everything of a job as one JSON document: barn, report, tables."""

import json
import math
from typing import Any

from core.analysis.report import Report
from core.barnfile.files import BarnFile
from core.outputs.job_tables import JobTables
from core.outputs.report_json import report_json
from core.outputs.tables import Cell, Kind, Table

__all__ = ["EVERYTHING_SCHEMA", "everything_bytes", "table_json"]

EVERYTHING_SCHEMA = 1
_UNITS = {Kind.LENGTH: "in", Kind.GAP: "in", Kind.POUNDS: "lb"}


def everything_bytes(file: BarnFile, report: Report, tables: JobTables) -> bytes:
    """Return barn, report and every table as JSON, lengths in inches in the tables.

    The barn is written as in its own file, in the unit that it names.
    """
    whole = {
        "schema": EVERYTHING_SCHEMA,
        "barn": json.loads(file.text),
        "report": report_json(report, style=tables.style, barn=report.barn.name),
        "tables": [table_json(table) for table in tables.all],
    }
    return (json.dumps(whole, indent=1, allow_nan=False) + "\n").encode("utf-8")


def table_json(table: Table) -> dict[str, Any]:
    """Return a table as JSON values."""
    return {
        "key": table.key,
        "title": table.title,
        "columns": [
            {"heading": c.heading, "kind": str(c.kind), "unit": _UNITS.get(c.kind)}
            for c in table.columns
        ],
        "rows": [[_plain(cell) for cell in row] for row in table.rows],
        "notes": list(table.notes),
    }


def _plain(cell: Cell) -> Cell:
    finite = not isinstance(cell, float) or math.isfinite(cell)
    return cell if finite else None
