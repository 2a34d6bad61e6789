"""The window: menus from one table, docks, files, light and dark."""

import json
from collections.abc import Callable
from functools import partial
from pathlib import Path

import pytest
from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from core.barnfile.files import load_barn
from core.model import edits
from tests.gui import Answers, settle
from viewer.app.crash import CrashReport, Hooks, show_report
from viewer.app.table import MENUS
from viewer.app.window import MainWindow
from viewer.preferences import Preferences, Scheme, Units
from viewer.session import Session

pytestmark = pytest.mark.gui

MOVE = partial(edits.move_support, support="support-1-2", station=200.0)


def answers(window: MainWindow) -> Answers:
    assert isinstance(window.questions, Answers)
    return window.questions


def test_every_action_is_in_a_menu_and_no_key_is_taken_twice(
    window: MainWindow,
) -> None:
    rows = window.actions_table.rows
    assert {row.menu for row in rows} <= set(MENUS)
    assert len({row.id for row in rows}) == len(rows)
    keys = [QKeySequence(key).toString() for row in rows for key in row.keys]
    assert all(keys)
    assert len(set(keys)) == len(keys)
    shown = {a.objectName() for menu in window.menus.values() for a in menu.actions()}
    assert {row.id for row in rows} <= shown


def test_undo_says_what_it_takes_back(window: MainWindow) -> None:
    undo = window.actions_table.by_id["edit.undo"]
    assert not undo.isEnabled()
    window.session.ask("Move support-1-2", MOVE)
    assert undo.isEnabled()
    assert undo.text() == "&Undo move support-1-2"
    undo.trigger()
    assert not undo.isEnabled()


def test_the_title_says_whether_all_is_saved(
    window: MainWindow, tmp_path: Path
) -> None:
    assert not window.isWindowModified()
    window.session.ask("Move", MOVE)
    assert window.isWindowModified()
    answers(window).path = str(tmp_path / "barn.json")
    window.actions_table.by_id["file.save"].trigger()
    assert not window.isWindowModified()
    assert load_barn(tmp_path / "barn.json") == window.session.document


def test_every_fault_of_a_file_is_told(window: MainWindow, tmp_path: Path) -> None:
    path = tmp_path / "bad.json"
    path.write_text(json.dumps({"liftlane": 1, "unit": "in", "nmae": "x"}))
    before = window.session.document
    assert not window.open_path(str(path))
    assert answers(window).of_care.asked == ["faults"]
    error = answers(window).of_care.offered["error"]
    assert "bad.json" in error.where
    assert {fault.path for fault in error.faults} >= {"nmae", "room"}
    assert window.session.document is before


def test_a_place_that_cannot_be_written_is_told(
    window: MainWindow, tmp_path: Path
) -> None:
    answers(window).path = str(tmp_path / "no" / "such" / "folder" / "barn.json")
    window.actions_table.by_id["file.save-as"].trigger()
    assert "could not be written" in answers(window).told[0][0]


@pytest.mark.parametrize(("choice", "closed"), [("back", False), ("discard", True)])
def test_closing_asks_for_unsaved_changes(
    window: MainWindow, qtbot: QtBot, choice: str, *, closed: bool
) -> None:
    window.session.ask("Move", MOVE)
    answers(window).choice = choice
    window.close()
    if closed:
        qtbot.waitUntil(lambda: not window.isVisible())
    else:
        assert window.isVisible()
    answers(window).choice = "discard"


def test_layout_and_recent_files_are_kept(
    make_session: Callable[..., Session],
    make_window: Callable[[Session], MainWindow],
    session: Session,
    preferences: Preferences,
    tmp_path: Path,
) -> None:
    path = tmp_path / "barn.json"
    first = make_window(session)
    session.save_as(path)
    first.open_path(str(path))
    first.docks["section"].hide()
    first.close()
    second = make_window(make_session(session.document))
    assert second.docks["section"].isHidden()
    assert not second.docks["plan"].isHidden()
    assert preferences.recent == (path.resolve(),)


def test_light_and_dark_change_widgets_and_drawings(
    window: MainWindow, preferences: Preferences
) -> None:
    preferences.scheme = Scheme.DARK
    settle(window)
    assert window.palette().window().color().lightness() < 80
    assert window.plan.canvas._look.theme.is_dark
    preferences.scheme = Scheme.LIGHT
    settle(window)
    assert window.palette().window().color().lightness() > 180
    assert not window.plan.canvas._look.theme.is_dark


def test_lengths_are_shown_as_preferred(
    window: MainWindow, preferences: Preferences
) -> None:
    assert "ft" in window.lift_panel._height.text()
    preferences.units = Units.MILLIMETRES
    settle(window)
    assert "mm" in window.lift_panel._height.text()


def test_counts_of_findings_are_in_the_status_bar(window: MainWindow) -> None:
    assert window.counts.text().startswith("0 stops")
    window.session.ask(
        "Move light", partial(edits.move_objects, ids=["light-1"], by=(0.0, -78.0, 0.0))
    )
    assert not window.counts.text().startswith("0 stops")


def test_next_finding_goes_round(window: MainWindow) -> None:
    window.session.ask(
        "Move light", partial(edits.move_objects, ids=["light-1"], by=(0.0, -78.0, 0.0))
    )
    step = window.actions_table.by_id["finding.next"]
    step.trigger()
    first = window.session.finding
    assert first == 1
    back = window.actions_table.by_id["finding.previous"]
    step.trigger()
    back.trigger()
    assert window.session.finding == first


def test_duplicate_and_delete(window: MainWindow) -> None:
    session = window.session
    count = len(session.document.fixtures)
    session.select(["light-1"])
    window.actions_table.by_id["edit.duplicate"].trigger()
    assert len(session.document.fixtures) == count + 1
    assert session.selection != ("light-1",)
    window.actions_table.by_id["edit.delete"].trigger()
    assert len(session.document.fixtures) == count
    assert session.undo_name.startswith("Delete")


def test_the_cut_goes_from_truss_to_truss(window: MainWindow) -> None:
    window.session.set_cut(100.0)
    window.actions_table.by_id["cut.ahead"].trigger()
    assert window.session.cut == 144.0  # hand-worked: trusses every 48 in from 0
    window.actions_table.by_id["cut.back"].trigger()
    assert window.session.cut == 96.0


def test_the_list_of_keys_has_every_key(window: MainWindow) -> None:
    window.show_keys()
    dialog = next(w for w in window.children() if type(w).__name__ == "KeyList")
    listed = [
        dialog.table.item(row, 0).text() for row in range(dialog.table.rowCount())
    ]
    for row in window.actions_table.rows:
        if row.keys:
            assert ", ".join(row.keys) in listed
    dialog.close()


def test_a_fault_of_the_program_becomes_a_report_that_can_be_copied(
    qtbot: QtBot, capsys: pytest.CaptureFixture[str]
) -> None:
    hooks = Hooks()
    with qtbot.waitSignal(hooks.caught) as told:
        try:
            msg = "spoiled on purpose"
            raise ValueError(msg)
        except ValueError as error:
            hooks._on_exception(type(error), error, error.__traceback__)
    assert "spoiled on purpose" in capsys.readouterr().err
    saved: list[bool] = []
    report = CrashReport(
        told.args[0], save_copy=lambda: saved.append(True), parent=None
    )
    qtbot.addWidget(report)
    assert "ValueError: spoiled on purpose" in report.report.toPlainText()
    assert "Python" in report.report.toPlainText()
    report.copy()
    assert not report.isModal()


def test_a_fault_that_comes_with_every_frame_fills_one_report(
    window: MainWindow,
) -> None:
    for text in ("first", "second", "first", "second"):
        show_report(text, save_copy=window.save_copy, parent=window)
    (report,) = window.findChildren(CrashReport)
    assert report.report.toPlainText().split() == ["first", "second"]
    report.close()


def test_larger_text_is_larger_everywhere_and_fits_the_window(
    make_window: Callable[[Session], MainWindow],
    session: Session,
    preferences: Preferences,
    qtbot: QtBot,
) -> None:
    preferences.text_size = 200
    window = make_window(session)
    size = QApplication.font().pointSizeF()
    assert all(dock.font().pointSizeF() == size for dock in window.docks.values())
    qtbot.waitUntil(lambda: not window.panels.job.is_seen)
    settle(window)
    assert (window.width(), window.height()) == (1600, 1000)
    letter = window.fontMetrics().averageCharWidth()
    assert window.lift_panel.width() >= 20 * letter
    assert window.panels.details.width() >= 36 * letter
    preferences.text_size = 100
    assert QApplication.font().pointSizeF() == size / 2
