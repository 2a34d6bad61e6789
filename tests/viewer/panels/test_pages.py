"""Start page, help, preferences, faults, and the questions of document care."""

from datetime import datetime
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QMessageBox, QPushButton, QWidget

from core.barnfile.files import load_barn
from core.errors import BarnFileError, Fault
from core.quantities import LengthStyle
from core.rules.cautions import CAUTIONS
from viewer.care.recovery import Recovered
from viewer.panels.asking import CareDialogs, RecoveryDialog
from viewer.panels.fault_list import FaultList
from viewer.panels.help_page import HelpPage
from viewer.panels.preferences_dialog import PreferencesDialog, set_text_size
from viewer.panels.start_page import StartPage, samples
from viewer.preferences import Scheme, Units

pytestmark = pytest.mark.gui


def test_the_samples_are_found_and_can_be_read():
    assert {path.stem for path in samples()} >= {"plain"}
    for path in samples():
        assert load_barn(path).name


def test_the_start_page_offers_recent_files_and_samples(qtbot, preferences, tmp_path):
    path = tmp_path / "room.json"
    path.write_text("{}", "utf-8")
    preferences.remember(path)
    page = StartPage(preferences)
    page.show()
    assert page.recent.item(0).text().startswith("room")
    with qtbot.waitSignal(page.file_wanted) as wanted:
        page.recent.setFocus()
        page.recent.setCurrentRow(0)
        qtbot.keyClick(page.recent, Qt.Key.Key_Return)
    assert wanted.args == [path.resolve()]


def test_the_start_page_leads_to_new_and_open(qtbot, preferences):
    page = StartPage(preferences)
    with qtbot.waitSignal(page.new_wanted):
        page.new.click()
    other = StartPage(preferences)
    with qtbot.waitSignal(other.open_wanted):
        other.open_file.click()
    assert not other.recent.isEnabled()  # nothing was open before


def test_the_help_begins_with_the_cautions_and_lists_the_keys():
    page = HelpPage([("Ctrl+K", "Do <this>")])
    text = page.text.toPlainText()
    places = [text.index(caution) for caution in CAUTIONS]
    assert places == sorted(places)
    assert places[-1] < text.index("How the window works") < text.index("Ctrl+K")
    assert "Do <this>" in text


def test_preferences_are_kept(qtbot, session, preferences):
    dialog = PreferencesDialog(preferences)
    with qtbot.waitSignal(preferences.changed):
        dialog.units.activated.emit(list(Units).index(Units.MILLIMETRES))
    dialog.scheme.activated.emit(list(Scheme).index(Scheme.DARK))
    dialog.text.setValue(150)
    again = type(preferences)(preferences.settings)
    assert again.units is Units.MILLIMETRES
    assert again.scheme is Scheme.DARK
    assert again.text_size == 150
    assert again.length_style(session.document.job) is LengthStyle.MILLIMETRES


def test_the_text_grows_and_shrinks_to_what_it_was(qapp):
    usual = qapp.font().pointSizeF()
    set_text_size(qapp, 200)
    assert qapp.font().pointSizeF() == pytest.approx(2 * usual)
    set_text_size(qapp, 100)
    assert qapp.font().pointSizeF() == pytest.approx(usual)


FAULTS = (
    Fault(path="runs[2].supports[0].station", found='"4 fooot"', expected="a length"),
    Fault(path="rooom", found="an unknown key", expected="one of", nearest="room"),
)


def test_faults_are_listed_and_copied():
    dialog = FaultList(BarnFileError("room.json", FAULTS))
    assert dialog.table.rowCount() == 2
    assert dialog.table.item(1, 3).text() == "room"
    dialog.copy_button.click()
    copied = QGuiApplication.clipboard().text()
    assert all(str(fault) in copied for fault in FAULTS)


@pytest.fixture
def asks(qtbot):
    window = QWidget()
    qtbot.addWidget(window)
    return CareDialogs(window), window


def press(box: QMessageBox, words: str):
    next(b for b in box.findChildren(QPushButton) if words in b.text()).click()


def test_a_held_file_is_told_with_who_has_it(asks):
    dialogs, window = asks
    called = []
    dialogs.held(Path("room.json"), "a program (7)", open_copy=lambda: called.append(1))
    box = window.findChild(QMessageBox)
    assert "room.json" in box.text()
    assert "a program (7)" in box.informativeText()
    press(box, "copy")
    assert called == [1]


@pytest.mark.parametrize("has_edits", [True, False])
def test_a_change_on_disk_says_what_is_lost(asks, has_edits):
    dialogs, window = asks
    called = []
    dialogs.changed(
        Path("room.json"), has_edits=has_edits, reload=lambda: called.append(1)
    )
    box = window.findChild(QMessageBox)
    assert ("is lost" in box.informativeText()) is has_edits
    press(box, "Read it again")
    assert called == [1]


def test_a_file_that_is_gone_is_told(asks):
    dialogs, window = asks
    dialogs.gone(Path("room.json"))
    assert "room.json" in window.findChild(QMessageBox).text()


def recovered(tmp_path, name):
    file = tmp_path / f"{name}.json"
    file.write_text("{}", "utf-8")
    saved = datetime.fromisoformat("2026-03-01T10:00:00+00:00")
    return Recovered(file=file, origin=None, saved=saved, name=name)


def test_copies_are_recovered_or_deleted(asks, tmp_path):
    dialogs, window = asks
    copies = [recovered(tmp_path, name) for name in ("first", "second")]
    taken = []
    dialogs.recover(copies, take=taken.append, discard=Recovered.remove)
    dialog = window.findChild(RecoveryDialog)
    assert "first" in dialog.copies.item(0).text()
    dialog.delete_button.click()
    assert not copies[0].file.exists()
    dialog.recover_button.click()
    assert taken == [copies[1]]
