"""The record is typed as on a ladder: numbers down a column, flags at once."""

from dataclasses import replace

import pypdfium2 as pdfium
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QAbstractItemModelTester
from PySide6.QtWidgets import QApplication, QLineEdit

from core.analysis.analyse import analyse
from core.barnfile.files import open_barn
from core.model.job import CommissioningRecord, Display
from core.outputs.commissioning import Judged, expected_readings, height_checks
from core.outputs.folder import Silent
from core.outputs.record_tables import commissioning_tables
from viewer.panels.commissioning import CommissioningPanel
from viewer.paper.sheets.installers_set import pages_pdf, set_pages
from viewer.paper.sheets.job import head_of
from viewer.paper.sheets.job_files import sheet_job
from viewer.paper.sheets.page import Paper

pytestmark = pytest.mark.gui

HEIGHTS, METERS, BONDS = range(3)


def shown(qtbot, session, preferences):
    widget = CommissioningPanel(session, preferences)
    qtbot.addWidget(widget)
    with qtbot.waitActive(widget):  # keys go to the active window alone
        widget.show()
        widget.activateWindow()
    return widget


@pytest.fixture
def panel(qtbot, session, preferences):
    widget = shown(qtbot, session, preferences)
    for model in widget.models:
        QAbstractItemModelTester(
            model, QAbstractItemModelTester.FailureReportingMode.Fatal, widget
        )
    return widget


def begin(panel, sheet):
    """Show a sheet and begin at its first cell."""
    panel.sheets.setCurrentIndex(sheet)
    panel.tables[sheet].setFocus()
    return panel.tables[sheet]


def typed(qtbot, table, text, key=Qt.Key.Key_Return):
    """Type into the current cell and leave it; return its editor."""
    qtbot.keyClick(table, text[0])
    editor = table.viewport().findChildren(QLineEdit)[-1]
    qtbot.keyClicks(editor, text[1:])
    qtbot.keyClick(editor, key)
    return editor


def result(panel, sheet, row):
    """Return what the last cell of a row says."""
    model = panel.models[sheet]
    return model.data(model.index(row, model.columnCount() - 1))


def test_heights_are_typed_down_the_column_and_flagged_at_once(qtbot, panel, session):
    first, second = height_checks(session.document, session.catalogue)[:2]
    assert first.set_to == 50.0  # the specimen's working height, 4 ft 2 in
    table = begin(panel, HEIGHTS)
    typed(qtbot, table, "4 ft 2-1/8 in")
    assert result(panel, HEIGHTS, 0) == "\N{CHECK MARK} in tolerance"
    assert table.currentIndex().row() == 1
    typed(qtbot, table, "50.5")
    assert result(panel, HEIGHTS, 1) == "\N{MULTIPLICATION X} Out of tolerance"
    # hand-worked: 50.5 - 50 = 0.5 in, more than a quarter
    assert panel.models[HEIGHTS].data(panel.models[HEIGHTS].index(1, 4)) == "+0.50 in"
    assert "Out of tolerance: 1" in panel.counts.text()
    assert panel.sheets.tabText(HEIGHTS) == "\N{MULTIPLICATION X} Heights: 1 out"
    heights = session.document.record.heights
    assert [(h.support, h.measured) for h in heights] == [
        (first.support, 50.125),
        (second.support, 50.5),
    ]


def test_an_entry_is_undone_and_done_again_by_keys(qtbot, make_window, session):
    window = make_window(session)
    window.panels.show_record()
    table = begin(window.panels.record, HEIGHTS)
    typed(qtbot, table, "50.5")
    assert session.undo_name.startswith("Note height at ")
    qtbot.keyClick(table, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert session.document.record is None
    assert result(window.panels.record, HEIGHTS, 0) == ""
    session.redo()
    assert session.document.record.heights[0].measured == 50.5


def test_delete_clears_the_cell_and_not_what_is_chosen(qtbot, make_window, session):
    window = make_window(session)
    session.select(["run-1"])
    window.panels.show_record()
    table = begin(window.panels.record, HEIGHTS)
    typed(qtbot, table, "50.5")
    qtbot.keyClick(table, Qt.Key.Key_Up)
    for key in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace):
        qtbot.keyClick(QApplication.focusWidget(), key)
    assert session.document.record is None
    assert any(run.id == "run-1" for run in session.document.runs)


def test_what_cannot_be_meant_stays_to_be_mended(qtbot, panel, session):
    table = begin(panel, HEIGHTS)
    editor = typed(qtbot, table, "4 fooot")
    assert "fooot" in panel.fault.text()
    assert session.document.record is None
    assert editor.isVisible()
    editor.selectAll()
    qtbot.keyClicks(editor, "50")
    qtbot.keyClick(editor, Qt.Key.Key_Return)
    assert panel.fault.isHidden()
    assert session.document.record.heights[0].measured == 50.0


def test_escape_leaves_what_was_there(qtbot, panel, session):
    table = begin(panel, HEIGHTS)
    typed(qtbot, table, "nonsense")
    typed_in = table.viewport().findChildren(QLineEdit)[-1]
    qtbot.keyClick(typed_in, Qt.Key.Key_Escape)
    assert panel.fault.isHidden()
    assert session.document.record is None


def test_readings_take_their_units_and_notes_are_reached_by_tab(qtbot, panel, session):
    table = begin(panel, METERS)
    typed(qtbot, table, "n", key=Qt.Key.Key_Tab)
    assert result(panel, METERS, 0) == "\N{MULTIPLICATION X} Out of tolerance"
    typed(qtbot, table, "jerks at the top", key=Qt.Key.Key_Tab)
    assert (table.currentIndex().row(), table.currentIndex().column()) == (1, 2)
    reading = session.document.record.readings[0]
    assert reading.id == expected_readings(session.document)[0].id
    assert (reading.value, reading.note) == ("no", "jerks at the top")


def test_bonds_are_held_to_their_limits_with_static_before_and_after(
    qtbot, panel, session
):
    table = begin(panel, BONDS)
    for text in ("0.4", "120 V", "3 kV"):
        typed(qtbot, table, text, key=Qt.Key.Key_Tab)
    # hand-worked: 3 kV after is more than 120 V before
    assert result(panel, BONDS, 0) == "\N{MULTIPLICATION X} Out of tolerance"
    qtbot.keyClick(table, Qt.Key.Key_Backtab)
    typed(qtbot, table, "90 V")
    assert result(panel, BONDS, 0) == "\N{CHECK MARK} in tolerance"
    assert session.document.record.readings[0].value == "0.4 ohm"


def test_tab_goes_on_out_of_the_table(qtbot, panel):
    table = begin(panel, HEIGHTS)
    last = panel.models[HEIGHTS].entries()[-1]
    table.setCurrentIndex(last)
    qtbot.keyClick(table, Qt.Key.Key_Tab)
    assert QApplication.focusWidget() is not table


def test_next_finds_blanks_and_what_is_out(qtbot, panel):
    table = begin(panel, HEIGHTS)
    typed(qtbot, table, "51")
    qtbot.mouseClick(panel.next_out, Qt.MouseButton.LeftButton)
    assert table.currentIndex().row() == 0
    table.setCurrentIndex(panel.models[HEIGHTS].entries()[-1])
    assert panel.go_to(Judged.BLANK)
    assert panel.sheets.currentIndex() == METERS
    begin(panel, BONDS)
    panel.tables[BONDS].setCurrentIndex(panel.models[BONDS].entries()[-1])
    assert panel.go_to(Judged.OUT)
    assert panel.sheets.currentIndex() == HEIGHTS


def test_all_that_is_asked_for_is_counted(panel, session):
    barn = session.document
    count = len(height_checks(barn, session.catalogue)) + len(expected_readings(barn))
    assert f"Still blank: {count} of {count}" in panel.counts.text()
    assert not panel.next_out.isEnabled()


def test_names_and_date_are_noted(qtbot, panel, session):
    panel.by.setFocus()
    qtbot.keyClicks(panel.by, "two installers")
    qtbot.keyClick(panel.by, Qt.Key.Key_Return)
    panel.today.click()
    record = session.document.record
    assert record.by == "two installers"
    assert len(record.date.split("-")) == 3
    session.undo()
    session.undo()
    assert session.document.record is None
    assert panel.by.text() == ""


def test_a_saved_record_is_read_again_and_printed(qtbot, panel, session, tmp_path):
    typed(qtbot, begin(panel, HEIGHTS), "50.5")
    typed(qtbot, begin(panel, METERS), "y")
    path = tmp_path / "barn.json"
    session.save_as(path)
    record = session.document.record
    session.open(path)
    assert session.document.record == record
    assert isinstance(record, CommissioningRecord)
    assert panel.models[HEIGHTS].entries()
    assert result(panel, HEIGHTS, 0) == "\N{MULTIPLICATION X} Out of tolerance"
    heights, readings, _, names = commissioning_tables(analyse(session.document))
    assert heights.rows[0][3:] == (50.5, 0.5, "OUT OF TOLERANCE")
    assert readings.rows[0][2:] == ("yes", "in tolerance")
    assert "height" in names.notes[0]
    text = printed(path)
    assert "4 ft 2-1/2 in 0.50 in OUT OF TOLERANCE" in text  # hand-worked: 50.5 - 50
    assert "hoist-1: lifting, smooth yes yes in tolerance" in text


def printed(path):
    """Return the words of the record as it is printed, read by another library."""
    job = sheet_job(open_barn(path), paper=Paper.LETTER)
    pages = [page for page in set_pages(job) if page.title.startswith("Commissioning")]
    head = head_of(job.file, job.tables)
    content = pages_pdf(pages, paper=job.paper, head=head, progress=Silent())
    texts = (p.get_textpage().get_text_range() for p in pdfium.PdfDocument(content))
    return " ".join(" ".join(texts).split())


def test_lengths_are_typed_in_the_units_that_are_shown(
    qtbot, make_session, session, preferences
):
    barn = session.document
    metric = replace(barn, job=replace(barn.job, display=Display.MILLIMETRES))
    other = make_session(metric)
    widget = shown(qtbot, other, preferences)
    typed(qtbot, begin(widget, HEIGHTS), "1270")
    # by definition: 1270 mm / 25.4 = 50 in
    assert other.document.record.heights[0].measured == pytest.approx(50.0)


def test_a_run_that_goes_takes_its_heights_along(qtbot, panel, session):
    from core.model import edits

    typed(qtbot, begin(panel, HEIGHTS), "50.5")
    run = session.document.record.heights[0].run
    session.ask("Delete", lambda barn: edits.delete_objects(barn, [run]))
    assert session.document.record is None or not session.document.record.heights
    assert all(row.cells[0] != run for row in panel.models[HEIGHTS].section.rows)
