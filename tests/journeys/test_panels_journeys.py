"""A person at the window: findings, typing, adding, a crash and its recovery."""

import json
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from core.barnfile.files import load_barn, save_barn
from core.model.fixtures import Light
from core.rules.finding import Outcome
from tests.conftest import ROOT
from tests.gui import Answers, settle
from tests.specimens import plain_barn
from viewer.app.window import MainWindow
from viewer.care.recovery import abandoned

pytestmark = pytest.mark.gui


@pytest.fixture
def barn_file(tmp_path: Path) -> Path:
    path = tmp_path / "room.json"
    save_barn(plain_barn(), path)
    return path


@pytest.fixture
def opened(window: MainWindow, barn_file: Path) -> MainWindow:
    assert window.open_path(str(barn_file))
    settle(window)
    return window


def answers(window: MainWindow) -> Answers:
    assert isinstance(window.questions, Answers)
    return window.questions


def checked(window: MainWindow, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: not window.session.is_checking, timeout=30_000)
    settle(window)


def retype(qtbot: QtBot, entry, text: str) -> None:
    entry.setFocus()
    entry.selectAll()
    qtbot.keyClicks(entry, text)
    qtbot.keyClick(entry, Qt.Key.Key_Return)


def stops(window: MainWindow) -> int:
    report = window.session.report
    assert report is not None
    return sum(f.outcome is Outcome.STOP for f in report.findings)


def test_a_light_is_added_typed_into_the_way_found_and_typed_out_again(
    opened: MainWindow, qtbot: QtBot
) -> None:
    session, panels = opened.session, opened.panels
    checked(opened, qtbot)
    first, before = session.document, stops(opened)
    panels.objects.add(Light)
    (light,) = session.selection
    checked(opened, qtbot)
    fields = panels.details.form.record.editors
    for name, text in (("x", "16 ft"), ("y", "5 ft"), ("drop", "20 in")):
        retype(qtbot, fields[name].edit, text)
    checked(opened, qtbot)
    assert stops(opened) > before
    qtbot.waitUntil(lambda: panels.findings.model.report is session.report)
    number = next(
        n
        for n, f in enumerate(session.report.findings, 1)
        if f.outcome is Outcome.STOP and f.other == light and f.lift is not None
    )
    panels.findings.choose(number)
    finding = session.report.findings[number - 1]
    assert session.selection == (finding.subject, light)
    assert session.lift == finding.lift
    session.select([light])
    retype(qtbot, panels.details.form.record.editors["y"].edit, "11 ft 6 in")
    retype(qtbot, panels.details.form.record.editors["drop"].edit, "0")
    checked(opened, qtbot)
    assert not any(
        f.other == light and f.outcome is Outcome.STOP for f in session.report.findings
    )
    while session.undo_name:
        session.undo()
    assert session.document is first
    checked(opened, qtbot)
    assert stops(opened) == before


def test_space_in_a_panel_does_not_sweep_the_lift(
    opened: MainWindow, qtbot: QtBot
) -> None:
    button = opened.panels.findings.outcomes[Outcome.PASS]
    opened.activateWindow()
    button.setFocus()
    qtbot.waitUntil(button.hasFocus)
    was = button.isChecked()
    qtbot.keyClick(button, Qt.Key.Key_Space)
    assert button.isChecked() is not was
    assert opened.session.lift == 0.0


def test_the_same_file_in_a_second_window_is_refused_with_words(
    opened: MainWindow, make_window, make_session, barn_file: Path
) -> None:
    other = make_window(make_session(plain_barn()))
    assert not other.open_path(str(barn_file))
    assert answers(other).of_care.asked == ["held"]
    answers(other).path = str(barn_file)
    assert not other.save_to(str(barn_file))
    ((words, _),) = answers(other).told
    assert "is open in" in words
    assert opened.session.path == barn_file


def test_a_spoiled_file_lists_its_faults_and_leaves_the_window_as_it_is(
    opened: MainWindow, barn_file: Path, tmp_path: Path
) -> None:
    held = json.loads(barn_file.read_text("utf-8"))
    held["runs"][1]["start"] = "somewhere"
    bad = tmp_path / "bad.json"
    bad.write_text(json.dumps(held), "utf-8")
    before = opened.session.document
    assert not opened.open_path(str(bad))
    assert answers(opened).of_care.asked == ["faults"]
    assert opened.session.document is before
    assert opened.session.path == barn_file


def test_a_change_by_another_program_is_told(
    opened: MainWindow, barn_file: Path, qtbot: QtBot
) -> None:
    save_barn(plain_barn(), barn_file, schema="elsewhere.json")
    qtbot.waitUntil(lambda: answers(opened).of_care.asked == ["changed"])
    answers(opened).of_care.offered["reload"]()
    assert opened.session.file.schema == "elsewhere.json"


_EDIT_FOR_EVER = """
import sys
from functools import partial
from pathlib import Path
from PySide6.QtCore import QSettings, QTimer
from PySide6.QtWidgets import QApplication
from core.barnfile.files import BarnFile
from core.model import edits
from tests.specimens import plain_barn
from viewer.app.window import MainWindow
from viewer.preferences import Preferences
from viewer.session import Session

file, folder, settings = sys.argv[1:4]
app = QApplication([])
window = MainWindow(
    Session(BarnFile(barn=plain_barn())),
    Preferences(QSettings(settings, QSettings.Format.IniFormat)),
    recovery=Path(folder),
)
window.show()
assert window.open_path(file)
edit = partial(edits.rename_barn, name="not saved")
QTimer.singleShot(0, lambda: window.session.ask("Rename", edit))
window.care.autosave.written.connect(lambda: print("copied", flush=True))
print("open", flush=True)
sys.exit(app.exec())
"""


@pytest.fixture
def killed(tmp_path: Path, barn_file: Path) -> Path:
    """Return the folder of copies of a window that was killed while it was edited."""
    folder = tmp_path / "recovery"
    arguments = [str(barn_file), str(folder), str(tmp_path / "other.ini")]
    process = subprocess.Popen(
        [sys.executable, "-c", _EDIT_FOR_EVER, *arguments],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        text=True,
    )
    try:
        assert process.stdout is not None
        assert process.stdout.readline() == "open\n"
        assert process.stdout.readline() == "copied\n"
        assert abandoned(folder) == ()  # it is still alive
    finally:
        process.send_signal(signal.SIGKILL)
        process.wait()
        process.stdout.close()
    return folder


@pytest.mark.skipif(sys.platform == "win32", reason="there is no SIGKILL on Windows")
@pytest.mark.slow
def test_work_survives_kill_9(
    killed: Path, window: MainWindow, barn_file: Path, qtbot: QtBot
) -> None:
    assert load_barn(barn_file).name == "plain barn"  # the file itself is untouched
    assert [copy.name for copy in abandoned(killed)] == ["not saved"]
    assert window.care.offer_recovery()
    offered = answers(window).of_care.offered
    with qtbot.waitSignal(window.care.autosave.written):
        offered["take"](offered["found"][0])
    assert window.session.document.name == "not saved"
    assert window.session.path == barn_file
    assert window.isWindowModified()
    assert abandoned(killed) == ()
    assert window.save()
    assert load_barn(barn_file).name == "not saved"
