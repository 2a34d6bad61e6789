"""The table in README.md names the file of every group of check values."""

import re
from pathlib import Path

from tests.reference.check_values import check_values

HERE = Path(__file__).parent
ROW = re.compile(r"^\| (?P<group>[A-Z]) \|[^|]+\| (?P<file>\w+\.py) \|$", re.M)
TEXT = (HERE / "README.md").read_text(encoding="utf-8")
ROWS = [(row["group"], row["file"]) for row in ROW.finditer(TEXT)]


def test_every_group_is_in_the_table_or_explained() -> None:
    groups = {case_id[0] for case_id in check_values()}
    explained = set(re.findall(r"Group ([A-Z]) \(", TEXT))
    assert groups == {group for group, _ in ROWS} | explained


def test_every_file_of_the_table_takes_the_whole_group() -> None:
    for group, name in ROWS:
        text = (HERE / name).read_text(encoding="utf-8")
        assert f'group="{group}"' in text, name


def test_every_reference_file_with_a_group_is_in_the_table() -> None:
    listed = {name for _, name in ROWS}
    for path in HERE.glob("test_*.py"):
        if path != Path(__file__) and 'group="' in path.read_text(encoding="utf-8"):
            assert path.name in listed
