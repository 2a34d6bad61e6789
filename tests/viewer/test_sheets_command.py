"""`liftlane sheets` in a process of its own: files, exit codes, nothing left behind."""

import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from viewer.cli import sheets
from viewer.paper.sheets.job_files import KINDS
from viewer.paper.sheets.page import Paper

pytestmark = pytest.mark.gui

ROOT = Path(__file__).resolve().parents[2]
PLAIN, TUNNEL = (ROOT / "sample_barns" / name for name in ("plain.json", "tunnel.json"))
# a shell starts what it runs in the background deaf to Ctrl-C
_HEEDS = "import signal; signal.signal(signal.SIGINT, signal.default_int_handler); "
CALL = "import sys; from viewer.cli.main import main; sys.exit(main(sys.argv[1:]))"
Run = Callable[..., subprocess.CompletedProcess[str]]


def test_the_command_offers_what_can_be_written() -> None:
    assert sheets._KINDS == KINDS
    assert tuple(Paper) == sheets._PAPERS


@pytest.mark.slow
def test_it_writes_what_is_asked_for(run_python: Run, tmp_path: Path) -> None:
    out = tmp_path / "out"
    done = run_python(
        *("-c", CALL, "sheets", str(PLAIN), "--out", str(out)),
        *("--only", "report", "tables", "json", "--paper", "Letter"),
    )
    assert done.returncode == 0, done.stderr
    names = sorted(path.name for path in out.iterdir())
    assert names == ["findings-report.pdf", "job.json", "tables", "tables.xlsx"]
    assert done.stdout.splitlines()[0] == str(out / "findings-report.pdf")
    assert "100%" in done.stderr
    assert [p.name for p in tmp_path.iterdir()] == ["out"]


def test_a_stop_gives_one(run_python: Run, tmp_path: Path) -> None:
    done = run_python(
        "-c",
        CALL,
        "sheets",
        str(TUNNEL),
        "--out",
        str(tmp_path / "o"),
        "--only",
        "json",
    )
    assert done.returncode == 1, done.stderr


def test_a_place_that_cannot_be_written_gives_four(
    run_python: Run, tmp_path: Path
) -> None:
    (tmp_path / "file").write_bytes(b"")
    out = tmp_path / "file" / "out"
    done = run_python(
        "-c", CALL, "sheets", str(PLAIN), "--out", str(out), "--only", "json"
    )
    assert done.returncode == 4
    assert "could not be written" in done.stderr
    assert [p.name for p in tmp_path.iterdir()] == ["file"]


def test_a_barn_that_is_not_there_gives_three(run_python: Run, tmp_path: Path) -> None:
    done = run_python(
        "-c", CALL, "sheets", str(tmp_path / "no.json"), "--out", str(tmp_path / "o")
    )
    assert done.returncode == 3
    assert list(tmp_path.iterdir()) == []


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="Ctrl-C is sent otherwise there")
def test_ctrl_c_leaves_nothing(tmp_path: Path) -> None:
    process = subprocess.Popen(
        [
            sys.executable,
            "-c",
            _HEEDS + CALL,
            "sheets",
            str(TUNNEL),
            "--out",
            str(tmp_path / "o"),
        ],
        cwd=ROOT,
        env={**os.environ, "QT_QPA_PLATFORM": "offscreen"},
        stderr=subprocess.PIPE,
        stdout=subprocess.PIPE,
    )
    assert process.stderr is not None
    # the first words of progress: the work has begun
    assert process.stderr.read(1), "the work never began"
    process.send_signal(signal.SIGINT)
    process.communicate(timeout=60)
    assert process.returncode == 130
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(not hasattr(os, "geteuid"), reason="needs a POSIX file system")
@pytest.mark.skipif(
    hasattr(os, "geteuid") and os.geteuid() == 0, reason="root may write everywhere"
)
def test_a_read_only_folder_gives_four(run_python: Run, tmp_path: Path) -> None:
    place = tmp_path / "locked"
    place.mkdir()
    place.chmod(0o500)
    done = run_python(
        "-c", CALL, "sheets", str(PLAIN), "--out", str(place / "o"), "--only", "json"
    )
    place.chmod(0o700)
    shutil.rmtree(place)
    assert done.returncode == 4
