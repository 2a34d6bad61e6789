"""kill -9 while a person edits, a new start, and the work is there again."""

import shutil
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from time import monotonic

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from core.barnfile.files import load_barn
from tests.conftest import ROOT
from tests.specimens import plain_barn
from viewer.app.window import MainWindow
from viewer.panels.asking import RecoveryDialog
from viewer.preferences import Preferences
from viewer.session import Session

pytestmark = [
    pytest.mark.gui,
    pytest.mark.slow,
    pytest.mark.skipif(sys.platform == "win32", reason="no SIGKILL on Windows"),
]

MOST_LOST = 5.0  # what may be lost [s]

# drags the winch with the mouse, then types a new name every 100 ms, for ever
_EDITING = """
import sys
from itertools import count
from pathlib import Path
from PySide6.QtCore import QSettings, Qt, QTimer
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from core.barnfile.files import BarnFile
from core.drawing.records import Grip
from tests.gui import drag, handle_at, settle
from viewer.app.start_barn import start_barn
from viewer.app.window import MainWindow
from viewer.preferences import Preferences
from viewer.session import Session

file, folder, settings = sys.argv[1:4]
app = QApplication([])
window = MainWindow(
    Session(BarnFile(barn=start_barn())),
    Preferences(QSettings(settings, QSettings.Format.IniFormat)),
    recovery=Path(folder),
)
window.show()
assert window.open_path(file)
settle(window)
window.session.select(["hoist-L"])
settle(window)
start = handle_at(window.plan, "hoist-L", Grip.WINCH)
drag(window.plan, start, (start[0], start[1] + 24.0))
assert not window.session.is_clean
numbers = count(1)

def type_a_name():
    number = next(numbers)
    entry = window.panels.job.name
    entry.selectAll()
    QTest.keyClicks(entry, f"edit {number}")
    QTest.keyClick(entry, Qt.Key.Key_Return)
    print(f"edit {number}", flush=True)

timer = QTimer()
timer.timeout.connect(type_a_name)
timer.start(100)
window.care.autosave.written.connect(lambda: print("copied", flush=True))
sys.exit(app.exec())
"""


@contextmanager
def edited_elsewhere(file: Path, folder: Path) -> Iterator[Iterator[str]]:
    """Give what a window says that is edited in a process; kill it in the end."""
    arguments = [str(file), str(folder), str(folder.with_suffix(".ini"))]
    process = subprocess.Popen(
        [sys.executable, "-c", _EDITING, *arguments],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        text=True,
    )
    assert process.stdout is not None
    try:
        yield (line.strip() for line in process.stdout)
    finally:
        process.send_signal(signal.SIGKILL)
        process.wait()
        process.stdout.close()


def test_after_kill_9_no_more_than_the_last_seconds_are_lost(
    make_session: Callable[..., Session],
    preferences: Preferences,
    tmp_path: Path,
    qtbot: QtBot,
) -> None:
    file = Path(shutil.copy(ROOT / "sample_barns" / "awkward.json", tmp_path))
    text, folder, said = file.read_bytes(), tmp_path / "recovery", {}
    before = load_barn(file)
    with edited_elsewhere(file, folder) as lines:
        copies = after = 0
        for line in lines:
            said[line] = monotonic()
            copies += line == "copied"
            after += copies >= 2
            if after > 10:  # it is killed between two copies, while it is edited
                break
    killed = monotonic()
    assert file.read_bytes() == text

    window = MainWindow(make_session(plain_barn()), preferences, recovery=folder)
    qtbot.addWidget(window)
    with qtbot.waitActive(window):
        window.show()
        window.activateWindow()
    assert window.care.offer_recovery()
    (dialog,) = window.findChildren(RecoveryDialog)
    assert dialog.isVisible()
    assert str(file) in dialog.copies.item(0).text()
    with qtbot.waitSignal(window.care.autosave.written, timeout=30_000):
        qtbot.mouseClick(dialog.recover_button, Qt.MouseButton.LeftButton)
    barn = window.session.document
    assert killed - said[barn.name] < MOST_LOST
    assert barn.hoists[0].winch.at[1] == pytest.approx(
        before.hoists[0].winch.at[1] - 24.0, abs=2.0
    )
    assert window.session.path == file
    assert window.isWindowModified()
    assert window.save()
    assert load_barn(file) == barn
    assert not window.care.offer_recovery()
