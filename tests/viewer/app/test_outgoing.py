"""What leaves the window, as a person has it made: asked, made, read back."""

import io
import json
import os
from pathlib import Path

import ezdxf
import pypdfium2 as pdfium
import pytest
from PIL import Image
from PySide6.QtCore import Qt
from PySide6.QtPrintSupport import QPrintDialog, QPrinter
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QComboBox, QFileDialog, QWidget
from pytestqt.qtbot import QtBot

from core.analysis.analyse import analyse
from core.barnfile.files import BarnFile
from core.outputs.folder import Silent
from core.outputs.job_tables import job_tables
from core.quantities import LengthStyle
from tests.gui import Answers, settle
from tests.specimens import plain_barn
from viewer.app.print_preview import PrintPreview
from viewer.app.questions import Questions
from viewer.app.sheets_dialog import SheetsDialog, SheetsWanted
from viewer.app.window import MainWindow
from viewer.paper.sheets.installers_set import set_pages
from viewer.paper.sheets.job_files import sheet_job
from viewer.paper.sheets.made import Seen, ViewKind, view_made
from viewer.paper.sheets.page import Paper

pytestmark = pytest.mark.gui
PATIENCE = 60_000  # [ms]


def answers(window: MainWindow) -> Answers:
    assert isinstance(window.questions, Answers)
    return window.questions


def done(window: MainWindow, qtbot: QtBot, action: str) -> None:
    """Trigger an action and wait until nothing is being made any more."""
    with qtbot.waitSignal(window.maker.idle, timeout=PATIENCE):
        window.actions_table.by_id[action].trigger()


def made(window: MainWindow, qtbot: QtBot, action: str) -> Path:
    """Trigger an action, wait, and return what was written."""
    written: list[Path] = []
    window.maker.written.connect(written.append)
    done(window, qtbot, action)
    window.maker.written.disconnect(written.append)
    assert answers(window).told == []
    assert len(written) == 1
    assert window.maker.dialog is not None
    assert str(written[0]) in window.maker.dialog.head.text()
    return written[0]


def test_the_sheets_of_a_job_are_written_on_the_chosen_paper(
    window: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    out = tmp_path / "out"
    answers(window).wanted = SheetsWanted(
        folder=out, paper=Paper.TABLOID, kinds=("set", "report", "json")
    )
    assert made(window, qtbot, "file.sheets") == out
    names = {path.name for path in out.iterdir()}
    assert names == {"installers-set.pdf", "findings-report.pdf", "job.json"}
    document = pdfium.PdfDocument(out / "installers-set.pdf")
    size = tuple(side * 25.4 / 72 for side in document[0].get_size())
    assert size == pytest.approx((431.8, 279.4), abs=0.2)  # published: ANSI Y14.1 B
    assert f"1 / {len(document)}" in document[0].get_textpage().get_text_bounded()
    # it is asked again with the paper of the last time
    answers(window).wanted = None
    window.actions_table.by_id["file.sheets"].trigger()
    assert answers(window).proposed[-1][1] is Paper.TABLOID
    assert "3 files" in window.maker.dialog.head.text()


@pytest.mark.parametrize(
    ("kind", "suffix"),
    [("plan", ".dxf"), ("section", ".png"), ("long-section", ".SVG")],
)
def test_a_view_is_written_in_the_form_that_its_name_says(
    window: MainWindow, qtbot: QtBot, tmp_path: Path, kind: str, suffix: str
) -> None:
    place = tmp_path / f"view{suffix}"
    answers(window).path = str(place)
    assert made(window, qtbot, f"file.{kind}") == place
    content = place.read_bytes()
    if suffix == ".SVG":
        assert b"<svg" in content
        assert b"<text" in content
    elif suffix == ".png":
        picture = Image.open(io.BytesIO(content)).convert("L")
        assert picture.width == 3200
        dark, light = picture.getextrema()
        assert dark < 100 < 250 < light
    else:
        drawing = ezdxf.read(io.StringIO(content.decode("utf-8")))
        assert drawing.audit().errors == []
        assert len(drawing.modelspace()) > 20


@pytest.mark.parametrize("kind", list(ViewKind))
@pytest.mark.parametrize("suffix", [".svg", ".png", ".dxf"])
@pytest.mark.usefixtures("qapp")
def test_every_view_has_every_form(kind: ViewKind, suffix: str) -> None:
    file = BarnFile(barn=plain_barn())
    feet = LengthStyle.FEET
    seen = [
        Seen(kind=kind, lift=lift, cut=cut, run=run, style=feet)
        for lift, cut, run in ((0.0, 96.0, "run-1"), (1.0, 96.0, "run-1"))
    ]
    if kind is ViewKind.SECTION:
        seen.append(Seen(kind=kind, lift=0.0, cut=250.0, run="run-1", style=feet))
    elif kind is ViewKind.LONG_SECTION:
        seen.append(Seen(kind=kind, lift=0.0, cut=96.0, run="run-2", style=feet))
    forms = [view_made(file, Silent(), seen=each, suffix=suffix) for each in seen]
    if kind is not ViewKind.PLAN:  # from above a lift is not seen
        assert len(set(forms)) == len(forms)
    assert all(forms)


def test_the_findings_report_is_written_as_sheets_and_as_rows(
    window: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    place = tmp_path / "findings.pdf"
    answers(window).path = str(place)
    made(window, qtbot, "file.report")
    first = pdfium.PdfDocument(place)[0].get_textpage().get_text_bounded()
    assert "Not checked" in first
    assert "Rule values of this job" in first
    place = tmp_path / "findings.csv"
    answers(window).path = str(place)
    made(window, qtbot, "file.report")
    report = window.session.report
    assert report is not None
    lines = place.read_text("utf-8-sig").splitlines()
    assert lines[0].startswith("No.,Result,Rule,Of")
    assert len(lines) == 1 + len(report.findings) + len(report.overrides)


def test_all_data_is_written(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    place = tmp_path / "data.json"
    answers(window).path = str(place)
    made(window, qtbot, "file.data")
    whole = json.loads(place.read_text("utf-8"))
    assert whole["barn"] == json.loads(window.session.file.text)
    tables = job_tables(analyse(window.session.document))
    assert [t["key"] for t in whole["tables"]] == [t.key for t in tables.all]


def test_what_is_edited_after_the_question_is_not_in_the_file(
    window: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    before = json.loads(window.session.file.text)
    place = tmp_path / "data.json"
    answers(window).path = str(place)
    window.actions_table.by_id["file.data"].trigger()
    window.session.select(["light-1"])
    window.actions_table.by_id["edit.delete"].trigger()
    with qtbot.waitSignal(window.maker.written, timeout=PATIENCE):
        pass
    assert json.loads(place.read_text("utf-8"))["barn"] == before


@pytest.mark.slow
def test_cancel_leaves_nothing_and_the_next_one_is_made(
    window: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    out = tmp_path / "new" / "out"
    (tmp_path / "new").mkdir()
    wanted = SheetsWanted(folder=out, paper=Paper.A4, kinds=("set",))
    answers(window).wanted = wanted
    window.actions_table.by_id["file.sheets"].trigger()
    dialog = window.maker.dialog
    assert dialog is not None
    qtbot.waitUntil(lambda: dialog.bar.value() > 0, timeout=PATIENCE)
    QTest.mouseClick(dialog.close_button, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: not window.maker.is_busy, timeout=2000)
    assert list((tmp_path / "new").iterdir()) == []
    assert made(window, qtbot, "file.sheets") == out


def test_closing_the_window_ends_what_is_being_made(
    window: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    answers(window).path = str(tmp_path / "plan.png")
    window.actions_table.by_id["file.plan"].trigger()
    assert window.maker.is_busy
    window.close()
    qtbot.waitUntil(lambda: not window.maker.is_busy, timeout=2000)
    assert not (tmp_path / "plan.png").exists()


@pytest.mark.slow
def test_the_window_can_be_used_meanwhile(window: MainWindow, tmp_path: Path) -> None:
    answers(window).wanted = SheetsWanted(folder=tmp_path / "out", paper=Paper.A4)
    window.actions_table.by_id["file.sheets"].trigger()
    moved = 0
    while window.maker.is_busy:
        window.session.set_lift((moved % 10) / 10)
        settle(window)
        moved += 1
    assert moved > 20
    assert (tmp_path / "out" / "room.glb").exists()


@pytest.mark.parametrize("action", ["file.plan", "file.report", "file.sheets"])
def test_a_place_that_cannot_be_written_is_told_in_a_sentence(
    window: MainWindow, qtbot: QtBot, tmp_path: Path, action: str
) -> None:
    (tmp_path / "file").write_text("mine")
    place = tmp_path / "file" / "out.pdf" if action != "file.plan" else tmp_path
    if action == "file.plan":
        place = tmp_path / "taken.svg"
        place.mkdir()
    answers(window).path = str(place)
    answers(window).wanted = SheetsWanted(folder=place, paper=Paper.A4, kinds=("json",))
    done(window, qtbot, action)
    assert "could not be written" in answers(window).told[0][0]
    assert answers(window).told[0][0].endswith("choose another place.")
    assert (tmp_path / "file").read_text() == "mine"


@pytest.mark.parametrize("action", ["file.plan", "file.report", "file.data"])
def test_a_read_only_folder_is_told_before_any_work(
    window: MainWindow,
    qtbot: QtBot,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    action: str,
) -> None:
    # root, as which tests may run, could write all the same
    monkeypatch.setattr(os, "access", lambda *_: False)
    answers(window).path = str(tmp_path / "out.pdf")
    if action == "file.plan":
        answers(window).path = str(tmp_path / "out.svg")
    done(window, qtbot, action)
    assert "could not be written (Permission denied)" in answers(window).told[0][0]
    assert not [path for path in tmp_path.iterdir() if path.name.startswith("out")]


def test_a_name_that_says_no_form_is_told(window: MainWindow, tmp_path: Path) -> None:
    answers(window).path = str(tmp_path / "plan.bmp")
    window.actions_table.by_id["file.plan"].trigger()
    words = '"plan.bmp" cannot be made. End its name with one of .svg, .png, .dxf.'
    assert answers(window).told == [(words, "")]
    assert not window.maker.is_busy


def test_without_a_run_there_is_no_long_section(window: MainWindow) -> None:
    assert window.actions_table.by_id["file.long-section"].isEnabled()
    window.session.select([run.id for run in window.session.document.runs])
    window.actions_table.by_id["edit.delete"].trigger()
    assert not window.actions_table.by_id["file.long-section"].isEnabled()
    assert window.actions_table.by_id["file.plan"].isEnabled()


# ----- paper -----


def previewed(window: MainWindow, qtbot: QtBot) -> PrintPreview:
    done(window, qtbot, "file.preview")
    assert answers(window).told == []
    preview = window.outgoing.preview
    assert preview is not None
    return preview


def darkness(preview: PrintPreview) -> float:
    """Return the share of dark pixels of what the preview shows [-]."""
    QApplication.processEvents()
    image = preview.view.grab().toImage()
    places = [
        (x, y) for x in range(0, image.width(), 3) for y in range(0, image.height(), 3)
    ]
    dark = [at for at in places if image.pixelColor(*at).lightness() < 90]
    return len(dark) / len(places)


@pytest.mark.slow
def test_the_preview_shows_every_page(window: MainWindow, qtbot: QtBot) -> None:
    preview = previewed(window, qtbot)
    assert preview.isVisible()
    # second method: the pages of the PDF file of the same set
    job = sheet_job(window.session.file, paper=preview.pages.paper)
    count = len(set_pages(job))
    assert preview.view.pageCount() == count == preview.number.maximum()
    assert preview.count.text() == f"of {count}"
    shown = []
    for number in (1, 2, count):
        preview.number.setValue(number)
        assert preview.view.currentPage() == number
        QApplication.processEvents()
        assert darkness(preview) > 0.005
        shown.append(preview.view.grab().toImage())
    assert shown[0] != shown[1] != shown[2]
    preview.close()
    assert window.outgoing.preview is None


@pytest.mark.slow
def test_another_paper_makes_the_pages_anew(window: MainWindow, qtbot: QtBot) -> None:
    preview = previewed(window, qtbot)
    assert preview.pages.paper is Paper.LETTER
    preview.paper.setFocus()
    QTest.keyClick(preview.paper, Qt.Key.Key_T)  # Tabloid
    preview.paper.textActivated.emit("Tabloid")
    qtbot.waitUntil(lambda: preview.pages.paper is Paper.TABLOID, timeout=PATIENCE)
    assert preview.paper.currentText() == "Tabloid"
    assert preview.view.pageCount() == len(preview.pages.pages)
    assert window.outgoing.preview is preview


@pytest.mark.slow
def test_the_preview_prints_what_it_shows(
    window: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    preview = previewed(window, qtbot)
    place = tmp_path / "print.pdf"
    answers(window).path = str(place)
    QTest.mouseClick(preview.print_button, Qt.MouseButton.LeftButton)
    document = pdfium.PdfDocument(place)
    assert len(document) == preview.view.pageCount()
    size = tuple(side * 25.4 / 72 for side in document[0].get_size())
    assert size == pytest.approx((279.4, 215.9), abs=0.2)  # published: ANSI Y14.1 A
    words = document[1].get_textpage().get_text_bounded()
    assert f"2 / {len(document)}" in words
    assert "Plan" in words
    assert str(place) in window.statusBar().currentMessage()


@pytest.mark.slow
def test_printing_at_once_and_a_printer_that_cannot(
    window: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    answers(window).path = str(tmp_path / "print.pdf")
    done(window, qtbot, "file.print")
    assert answers(window).told == []
    assert len(pdfium.PdfDocument(tmp_path / "print.pdf")) > 10
    answers(window).path = str(tmp_path / "no" / "such" / "print.pdf")
    done(window, qtbot, "file.print")
    assert (
        answers(window)
        .told[0][0]
        .endswith("could not be written (no such folder); choose another place.")
    )


# ----- the question -----


def test_the_dialog_asks_for_folder_paper_and_kinds(
    qtbot: QtBot, tmp_path: Path
) -> None:
    wanted: list[SheetsWanted] = []
    proposed = SheetsWanted(folder=tmp_path / "a", paper=Paper.A4)
    dialog = SheetsDialog(proposed, wanted.append, None)
    qtbot.addWidget(dialog)
    dialog.show()
    for kind, box in dialog.kinds.items():
        if kind != "set":
            QTest.keyClick(box, Qt.Key.Key_Space)
    dialog.paper.setCurrentText("A3")
    dialog.folder.selectAll()
    QTest.keyClicks(dialog.folder, str(tmp_path / "b"))
    QTest.mouseClick(dialog.write_button, Qt.MouseButton.LeftButton)
    b = tmp_path / "b"
    assert wanted == [SheetsWanted(folder=b, paper=Paper.A3, kinds=("set",))]


def test_the_dialog_wants_something_to_write_and_a_place(
    qtbot: QtBot, tmp_path: Path
) -> None:
    proposed = SheetsWanted(folder=tmp_path, paper=Paper.A4, kinds=("set",))
    dialog = SheetsDialog(proposed, print, None)
    qtbot.addWidget(dialog)
    assert dialog.write_button.isEnabled()
    dialog.kinds["set"].click()
    assert not dialog.write_button.isEnabled()
    dialog.kinds["json"].click()
    assert dialog.write_button.isEnabled()
    dialog.folder.clear()
    assert not dialog.write_button.isEnabled()


def test_the_name_follows_the_kind_that_is_chosen(qtbot: QtBot, tmp_path: Path) -> None:
    window = QWidget()
    qtbot.addWidget(window)
    window.show()
    chosen: list[Path] = []
    kinds = "Drawing (*.svg);;Picture (*.png)"
    place = tmp_path / "room 4.5 plan.svg"
    Questions().place_to_write(window, place, kinds, chosen.append)
    (dialog,) = window.findChildren(QFileDialog)
    combo = dialog.findChild(QComboBox, "fileTypeCombo")
    assert combo is not None
    combo.setFocus()
    QTest.keyClick(combo, Qt.Key.Key_Down)
    QApplication.processEvents()
    combo.activated.emit(combo.currentIndex())
    dialog.accept()
    assert chosen == [tmp_path / "room 4.5 plan.png"]


def test_the_real_questions_open_and_answer(qtbot: QtBot, tmp_path: Path) -> None:
    window = QWidget()
    qtbot.addWidget(window)
    window.show()
    wanted: list[SheetsWanted] = []
    proposed = SheetsWanted(folder=tmp_path, paper=Paper.A3)
    Questions().sheets(window, proposed, wanted.append)
    (sheets,) = window.findChildren(SheetsDialog)
    QTest.keyClick(sheets, Qt.Key.Key_Return)
    assert wanted == [proposed]
    printed: list[bool] = []
    printer = QPrinter()
    printer.setOutputFileName(str(tmp_path / "print.pdf"))
    Questions().printer(window, printer, 5, lambda: printed.append(True))
    (dialog,) = window.findChildren(QPrintDialog)
    assert (dialog.minPage(), dialog.maxPage()) == (1, 5)
    dialog.accept()
    assert printed == [True]
