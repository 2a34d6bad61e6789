"""Opening what takes long: the window lives on, and Cancel changes nothing."""

import json
from collections.abc import Iterator
from functools import partial
from pathlib import Path

import psutil
import pytest
from PySide6.QtCore import Qt, QTimer
from PySide6.QtWidgets import QPushButton
from pytestqt.qtbot import QtBot

from core.barnfile.files import load_barn, open_barn
from core.errors import NotWrittenError
from core.model import edits
from sample_barns.make_scan import scan_mesh, write_ply
from tests.conftest import ROOT
from tests.gui import Answers
from tests.viewer.app import work
from viewer.app.window import MainWindow
from viewer.care import copying
from viewer.care.reading import of_file
from viewer.jobs import Ticket

pytestmark = pytest.mark.gui


@pytest.fixture
def scan_file(tmp_path: Path) -> Path:
    """Return the scanned sample with its mesh of 232,812 triangles beside it."""
    path = tmp_path / "scan.json"
    path.write_bytes((ROOT / "sample_barns" / "scan.json").read_bytes())
    (tmp_path / "generated").mkdir()
    write_ply(tmp_path / "generated" / "barn_scan.ply", *scan_mesh())
    return path


@pytest.fixture
def beats() -> Iterator[list[int]]:
    """Return a list that grows with each turn of the event loop."""
    turns = [0]

    def beat() -> None:
        turns[0] += 1

    timer = QTimer()
    timer.timeout.connect(beat)
    timer.start(10)
    yield turns
    timer.stop()


def cancel(window: MainWindow, qtbot: QtBot) -> None:
    dialog = window.waiting.dialog
    assert dialog is not None
    button = dialog.close_button
    assert isinstance(button, QPushButton)
    assert button.text() == "Cancel"
    with qtbot.waitSignal(window.waiting.idle, timeout=30_000):
        qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
    assert window.waiting.dialog is None


def test_a_scan_is_opened_while_the_window_lives_on(
    window: MainWindow, scan_file: Path, beats: list[int], qtbot: QtBot
) -> None:
    said: list[str] = []
    before = window.session.document
    with qtbot.waitSignal(window.waiting.idle, timeout=60_000):
        assert not window.open_path(str(scan_file))
        dialog = window.waiting.dialog
        assert dialog is not None
        assert dialog.isVisible()
        assert dialog.windowModality() is Qt.WindowModality.WindowModal
        assert dialog.head.text() == "Opening scan.json"
        window.waiting._jobs.progressed.connect(lambda _share, what: said.append(what))
        assert window.session.document is before
    assert beats[0] > 5
    assert any("barn_scan.ply" in what for what in said)
    assert window.session.path == scan_file
    (mesh,) = window.session.meshes.values()
    assert len(mesh.faces) == 232_812
    assert window.waiting.dialog is None


def test_a_scan_that_was_opened_is_not_read_again(
    window: MainWindow,
    scan_file: Path,
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    with qtbot.waitSignal(window.waiting.idle, timeout=60_000):
        window.open_path(str(scan_file))
    session = window.session

    def fail(*_args: object, **_options: object) -> None:
        pytest.fail("the mesh was read again")

    monkeypatch.setattr("core.geometry.meshes.load_mesh", fail)
    (key,) = session.meshes
    old = session.meshes[key].vertices[:, 1].min()
    nudge = partial(edits.move_objects, ids=[key], by=(0.0, 1.0, 0.0))
    assert session.ask("Move the scan", nudge)
    assert session.meshes[key].vertices[:, 1].min() == pytest.approx(old + 1.0)
    session.save_as(scan_file.with_name("other.json"))
    assert session.ask("Move the scan again", nudge)
    session.undo()
    assert session.is_clean


def test_cancel_leaves_the_room_that_was_open(
    window: MainWindow, scan_file: Path, qtbot: QtBot
) -> None:
    before, path = window.session.document, window.session.path
    window.open_path(str(scan_file))
    cancel(window, qtbot)
    assert window.session.document is before
    assert window.session.path == path
    assert window.care.holder_of(scan_file) == ""
    assert window.preferences.recent == ()
    assert window.care._lock.path is None


def test_cancel_ends_the_work_itself(
    window: MainWindow, tmp_path: Path, qtbot: QtBot, beats: list[int]
) -> None:
    begun = tmp_path / "begun"
    heard: list[object] = []
    window.waiting.wait(
        "Working for ever",
        partial(work.endless, begun),
        done=heard.append,
        refused=heard.append,
    )
    qtbot.waitUntil(lambda: begun.exists() and begun.read_text() != "", timeout=30_000)
    other = int(begun.read_text())
    turns = beats[0]
    qtbot.waitUntil(lambda: beats[0] > turns + 3)
    window.waiting.wait(
        "Something else", work.hello, done=heard.append, refused=heard.append
    )  # one thing at a time
    cancel(window, qtbot)
    assert heard == []
    assert not psutil.pid_exists(other)


def test_a_large_spoiled_file_is_read_out(
    window: MainWindow, tmp_path: Path, qtbot: QtBot
) -> None:
    held = json.loads((ROOT / "sample_barns" / "plain.json").read_text("utf-8"))
    held["fixtures"] = [
        {"kind": "light", "id": f"light-{number}", "x": "far"} for number in range(3000)
    ]
    path = tmp_path / "large.json"
    path.write_text(json.dumps(held), "utf-8")
    assert of_file(path).is_long
    before = window.session.document
    with qtbot.waitSignal(window.waiting.idle, timeout=60_000):
        window.open_path(str(path))
    assert isinstance(window.questions, Answers)
    care = window.questions.of_care
    assert care.asked == ["faults"]
    places = {fault.path for fault in care.offered["error"].faults}
    assert "fixtures[7].x" in places
    assert window.session.document is before


def test_work_that_ends_by_itself_is_a_fault_of_the_file(
    window: MainWindow, qtbot: QtBot
) -> None:
    refused: list[Exception] = []
    with qtbot.waitSignal(window.waiting.idle, timeout=60_000):
        window.waiting.wait(
            "Ending", work.ended, done=refused.append, refused=refused.append
        )
    assert "try again" in str(refused[0])
    window.care._refuse(Path("a.json"), refused[0])
    assert isinstance(window.questions, Answers)
    assert window.questions.of_care.asked == ["faults"]


def test_a_window_that_closes_waits_for_nothing(
    window: MainWindow, scan_file: Path
) -> None:
    window.open_path(str(scan_file))
    window.close()
    assert not window.isVisible()
    assert window.session.path is None


@pytest.mark.parametrize("name", ["plain", "awkward", "nursery", "tunnel"])
def test_what_is_quick_is_opened_at_once(name: str) -> None:
    assert not of_file(ROOT / "sample_barns" / f"{name}.json").is_long


def test_what_is_not_there_is_quick(tmp_path: Path) -> None:
    assert not of_file(tmp_path / "nothing.json").is_long
    assert not of_file(tmp_path).is_long


def test_a_large_barn_is_there_whole(
    window: MainWindow, tmp_path: Path, qtbot: QtBot
) -> None:
    held = json.loads((ROOT / "sample_barns" / "tunnel.json").read_text("utf-8"))
    held["fixtures"] += [
        {**fixture, "id": f"{fixture['id']}-{number}"}
        for fixture in held["fixtures"]
        for number in range(3)
    ]
    path = tmp_path / "large.json"
    path.write_text(json.dumps(held), "utf-8")
    assert of_file(path).is_long
    with qtbot.waitSignal(window.waiting.idle, timeout=60_000):
        window.open_path(str(path))
    assert window.session.document == load_barn(path)
    assert len(window.session.document.fixtures) == 4 * 251
    # what came from another process is edited as any other barn is
    key = window.session.document.runs[0].id
    assert window.session.ask(
        "Move", partial(edits.move_objects, ids=[key], by=(0.0, 1.0, 0.0))
    )


def test_large_scans_are_copied_along_before_a_room_is_saved_elsewhere(
    window: MainWindow,
    scan_file: Path,
    tmp_path: Path,
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    with qtbot.waitSignal(window.waiting.idle, timeout=60_000):
        window.open_path(str(scan_file))
    monkeypatch.setattr(copying, "LARGE", 0)
    other = tmp_path / "elsewhere" / "copy.json"
    other.parent.mkdir()
    assert not window.save_to(str(other))
    cancel(window, qtbot)
    assert window.session.path == scan_file
    assert not other.exists()
    assert list(other.parent.rglob("*.ply*")) == []
    with qtbot.waitSignal(window.waiting.idle, timeout=60_000):
        assert not window.save_to(str(other))
        dialog = window.waiting.dialog
        assert dialog is not None
        assert dialog.head.text() == "Copying the scans"
    assert window.session.path == other
    assert open_barn(other).barn == window.session.document
    (mesh,) = other.parent.rglob("*.ply")
    assert (
        mesh.read_bytes()
        == scan_file.with_name("generated").joinpath("barn_scan.ply").read_bytes()
    )
    assert list(other.parent.rglob("*.part")) == []


def test_a_scan_that_cannot_be_copied_leaves_nothing(tmp_path: Path) -> None:
    gone = copying.Copy(source=tmp_path / "no.ply", target=tmp_path / "x.ply", size=1)
    with pytest.raises(NotWrittenError, match="could not be copied"):
        copying.copy_files([gone], Ticket(lambda _share, _words: None))
    assert list(tmp_path.iterdir()) == []
