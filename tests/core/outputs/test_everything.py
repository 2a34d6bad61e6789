"""Everything as JSON: the barn reads back, the tables are all there."""

import json

from core.analysis.analyse import Analysis
from core.barnfile.files import BarnFile, read_barn
from core.outputs.everything import everything_bytes
from core.outputs.job_tables import job_tables


def test_the_barn_in_it_is_the_barn(full: Analysis) -> None:
    tables = job_tables(full)
    file = BarnFile(barn=full.report.barn)
    whole = json.loads(everything_bytes(file, full.report, tables))
    assert read_barn(json.dumps(whole["barn"]), where="test") == full.report.barn
    assert [t["key"] for t in whole["tables"]] == [t.key for t in tables.all]
    assert len(whole["report"]["findings"]) == len(full.report.findings)


def test_a_cell_is_what_its_table_says(plain: Analysis) -> None:
    tables = job_tables(plain)
    whole = json.loads(
        everything_bytes(BarnFile(barn=plain.report.barn), plain.report, tables)
    )
    drilling = next(t for t in whole["tables"] if t["key"] == "drilling")
    place = [c["heading"] for c in drilling["columns"]].index("From the front wall")
    assert drilling["columns"][place]["unit"] == "in"
    assert [r[place] for r in drilling["rows"]] == [h.at[0] for h in tables.holes]


def test_no_table_says_safe_or_complies(full: Analysis) -> None:
    tables = job_tables(full)
    text = everything_bytes(BarnFile(barn=full.report.barn), full.report, tables)
    words = text.decode().lower()
    assert "complies" not in words
    assert " safe" not in words
