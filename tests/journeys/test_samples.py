"""The sample barns: drawn as files should be, with exactly the findings meant."""

import json
from collections import Counter
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import jsonschema
import pytest

from core.analysis.analyse import analyse
from core.analysis.report import Report
from core.barnfile.files import BarnFile, load_barn, open_barn, save_barn
from core.rules.finding import Outcome
from core.rules.wording import message, remedy
from sample_barns.make_scan import TARGET, scan_mesh, write_ply

ROOT = Path(__file__).resolve().parents[2]
SAMPLES = ROOT / "sample_barns"
NAMES = ("plain", "awkward", "tunnel", "nursery", "scan")
Row = tuple[str, ...]


@pytest.fixture(scope="session", autouse=True)
def _scan() -> None:
    """Make the scan of the scanned room as the script does."""
    write_ply(TARGET, *scan_mesh())


@cache
def _opened(name: str) -> BarnFile:
    return open_barn(SAMPLES / f"{name}.json")


@cache
def _report(name: str) -> Report:
    opened = _opened(name)
    return analyse(opened.barn, meshes=opened.meshes).report


def _meant(name: str) -> Iterator[Row]:
    """Yield outcome, rule, code, subject and other of each row of a table."""
    text = (SAMPLES / f"{name}.findings.md").read_text("utf-8")
    outcomes = {str(outcome) for outcome in Outcome}
    for line in text.splitlines():
        cells = [cell.strip() for cell in line.strip("|").split("|")]
        if cells[0] in outcomes:
            *row, why = cells
            assert why, line
            yield tuple(row)


def _found(name: str) -> Iterator[Row]:
    for item in _report(name).findings:
        if item.outcome is not Outcome.PASS:
            yield (
                str(item.outcome),
                item.rule,
                item.code,
                item.subject,
                item.other or "-",
            )


@pytest.mark.parametrize("name", NAMES)
def test_a_sample_has_exactly_the_findings_that_it_is_meant_to_have(name: str) -> None:
    meant, found = Counter(_meant(name)), Counter(_found(name))
    assert (list((meant - found).elements()), list((found - meant).elements())) == (
        [],
        [],
    ), "missing, and not meant"


@pytest.mark.parametrize("name", NAMES)
def test_every_stop_has_words_and_something_to_do(name: str) -> None:
    for item in _report(name).findings:
        words = message(item) + remedy(item)
        assert "{" not in words
        assert "nan" not in words.split()
        if item.outcome is Outcome.STOP:
            assert remedy(item)


@pytest.mark.parametrize("name", NAMES)
def test_the_schema_knows_every_sample(name: str) -> None:
    schema = json.loads((ROOT / "core/barnfile/barn.schema.json").read_text("utf-8"))
    data = json.loads((SAMPLES / f"{name}.json").read_text("utf-8"))
    jsonschema.Draft202012Validator(schema).validate(data)
    assert (SAMPLES / data["$schema"]).resolve() == ROOT / "core/barnfile" / (
        "barn.schema.json"
    )


@pytest.mark.parametrize("name", NAMES)
def test_a_sample_saved_again_is_the_same_barn(name: str, tmp_path: Path) -> None:
    opened = _opened(name)
    save_barn(opened.barn, tmp_path / "again.json", unit=opened.unit)
    assert load_barn(tmp_path / "again.json") == opened.barn


@pytest.mark.parametrize("name", NAMES)
def test_a_sample_has_all_that_a_job_needs(name: str) -> None:
    barn = _opened(name).barn
    lifted = {cable.run for hoist in barn.hoists for cable in hoist.cables}
    assert lifted == {run.id for run in barn.runs}
    assert barn.electrical.leads
    assert barn.electrical.bonds
    assert barn.electrical.rods
    assert barn.electrical.switch is not None
    assert barn.electrical.supply is not None
    assert barn.eyes


def test_the_tunnel_is_full_of_fixtures() -> None:
    room = _opened("tunnel").barn.room
    assert (room.width, room.length) == (41 * 12.0, 200 * 12.0)
    assert len(_opened("tunnel").barn.fixtures) >= 250


def test_the_awkward_room_clashes_at_every_time_of_the_travel() -> None:
    codes = Counter(
        item.code
        for item in _report("awkward").stops
        if item.rule == "clearance.envelope"
    )
    assert set(codes) == {
        "inside-envelope-at-work",
        "inside-envelope-stowed",
        "inside-envelope-on-the-way",
    }
    assert min(codes.values()) >= 3


def test_the_scan_is_large_and_the_same_each_time(tmp_path: Path) -> None:
    points, triangles = scan_mesh()
    assert len(triangles) >= 200_000
    write_ply(tmp_path / "again.ply", points, triangles)
    assert (tmp_path / "again.ply").read_bytes() == TARGET.read_bytes()
    # the file's own numbers: metres, a room of 60 x 30 ft under 8 ft
    spread = points.max(axis=0) - points.min(axis=0)
    assert spread[0] == pytest.approx(718 * 0.0254, rel=1e-3)  # hand-worked: 720 - 2 in
