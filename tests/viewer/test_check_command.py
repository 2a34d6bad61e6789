"""The check command: its exit codes, its two outputs, and what it says of trouble."""

import errno
import json
import os
import shutil
from pathlib import Path
from typing import Any

import pytest

from core.barnfile import atomic
from core.rules.book import rules
from viewer.cli import check
from viewer.cli.main import main

PLAIN, AWKWARD = "sample_barns/plain.json", "sample_barns/awkward.json"
FINDING_KEYS = {
    "rule",
    "code",
    "result",
    "subject",
    "other",
    "value",
    "limit",
    "unit",
    "lift",
    "height",
    "station",
    "points",
    "message",
    "remedy",
}
RUN_KEYS = {
    "id",
    "working_height",
    "stow_height",
    "working_free",
    "stow_free",
    "way_free",
    "usable",
    "blocked",
}
BLOCKED_KEYS = {
    "other",
    "part",
    "lo",
    "hi",
    "least_clearance",
    "at_height",
    "stations",
}
TOP_KEYS = {
    "schema",
    "barn",
    "name",
    "cautions",
    "not_checked",
    "overrides",
    "findings",
    "runs",
    "loads",
    "grounding",
}
CANNOT_READ, CANNOT_WRITE, OWN_FAULT, INTERRUPTED = 3, 4, 70, 130


@pytest.fixture
def spoilt(tmp_path: Path) -> str:
    path = tmp_path / "spoilt.json"
    path.write_text('{"liftlane": 1, "unit": "in"', encoding="utf-8")
    return str(path)


@pytest.fixture
def broken(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the program itself have a fault."""

    def fails(barn: str, unit: str | None) -> check.Checked:
        message = f"the sum of {barn} in {unit}\nis wrong"
        raise ZeroDivisionError(message)

    monkeypatch.setattr(check, "_report", fails)


def _json(capsys: pytest.CaptureFixture[str]) -> Any:
    return json.loads(capsys.readouterr().out)


def test_nothing_to_stop_for_is_0(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", PLAIN]) == 0
    out, err = capsys.readouterr()
    assert out.startswith("Sedgebank Farm, room 1 (sample_barns/plain.json)\n")
    assert "\nStop:" not in out
    assert "High voltage" in out
    assert err == ""


def test_it_is_said_which_wall_is_the_front_one(
    capsys: pytest.CaptureFixture[str],
) -> None:
    main(["check", AWKWARD])
    out, _ = capsys.readouterr()
    assert "The front wall is the one with the main door" in out


def test_a_stop_is_1_and_its_place_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", AWKWARD]) == 1
    out, _ = capsys.readouterr()
    # hand-worked: low-drop-2 is at x = 240, the run starts at 60: 180 in are 15 ft;
    # trusses stand 96 in apart from x = 0: the third at 192, the fourth at 288
    assert (
        "At 15 ft 0 in from the front end of run-4, height 4 ft 2 in, between "
        "trusses 3 and 4." in out
    )
    assert "low headroom is marked at both doors" in out  # the reason of the override


def test_what_is_kept_is_one_line_a_rule(capsys: pytest.CaptureFixture[str]) -> None:
    main(["check", PLAIN])
    out, _ = capsys.readouterr()
    kept = out.split("\nKept: ")[1].split("\n\n")[0].splitlines()[1:]
    names = [line.split()[0] for line in kept]
    assert names == sorted(set(names))
    assert set(names) <= {rule.id for rule in rules()}


@pytest.mark.parametrize(
    "arguments",
    [["check"], ["check", PLAIN, "--unit", "miles"], ["chek", PLAIN]],
)
def test_wrong_usage_is_2(
    arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as left:
        main(arguments)
    assert left.value.code == 2
    assert "usage: liftlane" in capsys.readouterr().err


def test_unreadable_input_is_3(spoilt: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", spoilt]) == CANNOT_READ
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith(f"liftlane: {spoilt}: 1 fault\n")


def test_nothing_is_written_for_unreadable_input(spoilt: str, tmp_path: Path) -> None:
    target = tmp_path / "report.json"
    assert main(["check", spoilt, "--json", str(target)]) == CANNOT_READ
    assert not target.exists()


def test_a_missing_scan_names_the_command_that_makes_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    copy = tmp_path / "scan.json"
    shutil.copy("sample_barns/scan.json", copy)
    assert main(["check", str(copy)]) == CANNOT_READ
    assert "python -m sample_barns.make_scan" in capsys.readouterr().err


def test_a_bad_file_among_good_ones_loses_no_report(
    spoilt: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["check", PLAIN, spoilt, AWKWARD, "--json", "-"]) == CANNOT_READ
    out, err = capsys.readouterr()
    first, bad, last = json.loads(out)
    assert (first["barn"], last["barn"]) == (PLAIN, AWKWARD)
    assert set(bad) == {"schema", "barn", "fault"}
    assert bad["barn"] == spoilt
    assert f"liftlane: {spoilt}: 1 fault" in err
    progress = [line for line in err.splitlines() if line.startswith("checked ")]
    assert [line.split(":")[0] for line in progress] == [
        "checked 1 of 3",
        "checked 2 of 3",
        "checked 3 of 3",
    ]


def test_side_by_side_says_what_one_by_one_says(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["check", AWKWARD, PLAIN]) == 1
    together = capsys.readouterr().out
    main(["check", AWKWARD])
    alone = capsys.readouterr().out
    main(["check", PLAIN])
    assert together == f"{alone}\n{capsys.readouterr().out}"


def test_the_json_has_the_documented_keys(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", AWKWARD, "--json", "-"]) == 1
    report = _json(capsys)
    assert set(report) == TOP_KEYS
    assert report["schema"] == 1
    assert {frozenset(item) for item in report["findings"]} == {frozenset(FINDING_KEYS)}
    assert {item["result"] for item in report["findings"]} <= {
        "pass",
        "caution",
        "stop",
        "not-checked",
    }
    assert {frozenset(run) for run in report["runs"]} == {frozenset(RUN_KEYS)}
    blocked = [row for run in report["runs"] for row in run["blocked"]]
    assert {frozenset(row) for row in blocked} == {frozenset(BLOCKED_KEYS)}
    for run in report["runs"]:
        for row in run["blocked"]:
            assert run["working_height"] <= row["lo"] < row["hi"] <= run["stow_height"]
    (override,) = report["overrides"]
    assert (override["rule"], override["value"]) == ("travel.headroom", 77.0)


def test_json_goes_to_a_file_and_words_to_the_terminal(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "report.json"
    assert main(["check", PLAIN, "--json", str(target)]) == 0
    out, err = capsys.readouterr()
    assert out.startswith("Sedgebank Farm")
    assert err == ""
    assert json.loads(target.read_text("utf-8"))["barn"] == PLAIN
    assert [path.name for path in tmp_path.iterdir()] == ["report.json"]


def test_millimetres_are_written_on_request(capsys: pytest.CaptureFixture[str]) -> None:
    main(["check", PLAIN, "--unit", "mm"])
    out, _ = capsys.readouterr()
    assert "run-1: works at 1270 mm" in out
    assert " ft " not in out.split("Runs")[1].split("Loads")[0]


def test_the_units_are_those_of_the_job(capsys: pytest.CaptureFixture[str]) -> None:
    main(["check", "sample_barns/nursery.json"])
    assert "works at 1270 mm" in capsys.readouterr().out


def test_a_folder_that_takes_no_file_is_4(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(atomic.os, "fsync", full)
    target = tmp_path / "report.json"
    assert main(["check", PLAIN, "--json", str(target)]) == CANNOT_WRITE
    _, err = capsys.readouterr()
    assert f'liftlane: "{target}" could not be written (No space left' in err
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(
    os.name == "nt" or os.geteuid() == 0, reason="the superuser may write anywhere"
)
def test_a_read_only_folder_is_4(tmp_path: Path) -> None:
    tmp_path.chmod(0o500)
    assert main(["check", PLAIN, "--json", str(tmp_path / "x.json")]) == CANNOT_WRITE


def test_a_missing_folder_is_4(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "no" / "report.json"
    assert main(["check", PLAIN, "--json", str(target)]) == CANNOT_WRITE
    assert "could not be written" in capsys.readouterr().err


@pytest.mark.usefixtures("broken")
def test_a_fault_of_the_program_is_70_in_one_line(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["check", PLAIN]) == OWN_FAULT
    out, err = capsys.readouterr()
    assert out == ""
    assert "Traceback" not in err
    assert err.count("\n") == 1
    assert "ZeroDivisionError: the sum of sample_barns/plain.json" in err


@pytest.mark.usefixtures("broken")
def test_the_trace_of_a_fault_comes_on_request(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("LIFTLANE_TRACE", "1")
    assert main(["check", PLAIN]) == OWN_FAULT
    assert "Traceback" in capsys.readouterr().err


def test_a_fault_outside_the_barns_is_70_too(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def fails(*_: object) -> None:
        raise KeyError(PLAIN)

    monkeypatch.setattr(check, "_write", fails)
    assert main(["check", PLAIN]) == OWN_FAULT
    assert "KeyError" in capsys.readouterr().err


def test_an_interrupt_is_130_without_a_word(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def interrupted(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(check, "_report", interrupted)
    assert main(["check", PLAIN]) == INTERRUPTED
    assert capsys.readouterr() == ("", "")
