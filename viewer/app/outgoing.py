"""What leaves the window on paper and in files: sheets, reports, views, data."""

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, cast

from PySide6.QtCore import QObject
from PySide6.QtPrintSupport import QPrinter

from core.errors import LiftlaneError
from core.quantities import LengthStyle
from viewer.app.making import Files, Order, check_place, sentence
from viewer.app.print_preview import PrintPreview
from viewer.app.sheets_dialog import SheetsWanted
from viewer.jobs import Ticket
from viewer.paper.sheets.made import (
    Seen,
    ViewKind,
    data_made,
    pages_made,
    report_made,
    report_rows_made,
    sheets_made,
    view_made,
)
from viewer.paper.sheets.page import Paper
from viewer.paper.sheets.printing import PrintPages, print_pages, set_up_printer

if TYPE_CHECKING:
    from viewer.app.window import MainWindow

__all__ = ["Outgoing", "file_name"]

_PAPER = "sheets/paper"  # in the settings
_VIEWS = "Drawing (*.svg);;Picture (*.png);;Drawing for other programs (*.dxf)"
_VIEW_SUFFIXES = (".svg", ".png", ".dxf")
_REPORT = "Sheets (*.pdf);;Table (*.csv)"
_DATA = "Data (*.json)"
_NEWS = 8000  # how long the status bar tells of a print [ms]


def file_name(words: str) -> str:
    """Return words as the name of a file: without what parts folders.

    Examples
    --------
    >>> file_name("west/east room: plan")
    'west-east room- plan'
    """
    return "".join("-" if c in '/\\:*?"<>|' else c for c in words).strip() or "room"


class Outgoing(QObject):
    """Asks where to, and lets the window's maker make it from the document as it is.

    What is made is of the document at the moment of asking; it can be edited on
    meanwhile.
    """

    def __init__(self, window: "MainWindow") -> None:
        super().__init__(window)
        self._window = window
        self._session = window.session
        self._questions = window.questions
        self._maker = window.maker
        self.preview: PrintPreview | None = None

    @property
    def paper(self) -> Paper:
        """The paper chosen last on this machine, else what suits the job's lengths."""
        kept = str(self._window.settings.value(_PAPER, ""))
        if kept in list(Paper):
            return Paper(kept)
        is_metric = self._session.style is LengthStyle.MILLIMETRES
        return Paper.A4 if is_metric else Paper.LETTER

    # ----- sheets and prints -----

    def ask_sheets(self) -> None:
        """Ask for folder, paper and kinds; write the job's sheets and files."""
        folder = self._folder / file_name(f"{self._session.document.name} sheets")
        proposed = SheetsWanted(folder=folder, paper=self.paper)
        self._questions.sheets(self._window, proposed, self._write_sheets)

    def _write_sheets(self, wanted: SheetsWanted) -> None:
        self._keep_paper(wanted.paper)
        make = partial(
            sheets_made,
            self._session.file,
            paper=wanted.paper,
            kinds=wanted.kinds,
            name=self._name,
        )
        self._write("the job's sheets", make, wanted.folder)

    def show_preview(self) -> None:
        """Show the installer's set as it will be printed."""
        self._with_pages(self.paper, self._show_preview)

    def print_set(self) -> None:
        """Print the installer's set on a printer that is asked for."""
        self._with_pages(self.paper, self._ask_printer)

    def _with_pages(self, paper: Paper, done: Callable[[PrintPages], object]) -> None:
        make = partial(pages_made, self._session.file, paper=paper, name=self._name)
        self._maker.make("the sheets to print", make, partial(_hand_over, done))

    def _show_preview(self, pages: PrintPages) -> None:
        if self.preview is None:
            self.preview = PrintPreview(pages, self._window)
            self.preview.print_wanted.connect(self._ask_printer)
            self.preview.paper_wanted.connect(self._change_paper)
            self.preview.finished.connect(self._on_preview_closed)
        else:
            self.preview.show_pages(pages)
        self.preview.show()
        self.preview.raise_()

    def _change_paper(self, paper: Paper) -> None:
        self._keep_paper(paper)
        self._with_pages(paper, self._show_preview)

    def _on_preview_closed(self) -> None:
        self.preview = None

    def _ask_printer(self, pages: PrintPages) -> None:
        printer = QPrinter(QPrinter.PrinterMode.HighResolution)
        printer.setDocName(file_name(self._session.document.name))
        set_up_printer(printer, pages.paper)
        answered = partial(self._print, printer, pages)
        self._questions.printer(self._window, printer, len(pages.pages), answered)

    def _print(self, printer: QPrinter, pages: PrintPages) -> None:
        file = printer.outputFileName()
        try:
            if file:
                check_place(Path(file))
            print_pages(printer, pages)
        except LiftlaneError as error:
            self._questions.tell(self._window, sentence(error))
            return
        where = file or printer.printerName()
        self._window.statusBar().showMessage(f"Printed to {where}", _NEWS)

    # ----- reports, views, data -----

    def ask_report(self) -> None:
        """Ask where the findings report goes: PDF, or CSV by its suffix."""
        self._ask_place("findings.pdf", _REPORT, self._write_report)

    def _write_report(self, place: Path) -> None:
        file = self._session.file
        make: Callable[[Ticket], Files]
        if place.suffix.lower() == ".csv":
            make = partial(report_rows_made, file)
        elif self._has_suffix(place, (".pdf", ".csv")):
            make = partial(report_made, file, paper=self.paper, name=self._name)
        else:
            return
        self._write("the findings report", make, place)

    def ask_view(self, kind: ViewKind) -> None:
        """Ask where a drawing goes as it is seen now: SVG, PNG or DXF by its suffix."""
        self._ask_place(f"{kind}.svg", _VIEWS, partial(self._write_view, kind))

    def _write_view(self, kind: ViewKind, place: Path) -> None:
        session = self._session
        if not self._has_suffix(place, _VIEW_SUFFIXES):
            return
        seen = Seen(
            kind=kind,
            lift=session.lift,
            cut=session.cut,
            run=session.run,
            style=session.style,
        )
        suffix = place.suffix.lower()
        make = partial(view_made, session.file, seen=seen, suffix=suffix)
        self._write(f"the {kind}", make, place)

    def ask_data(self) -> None:
        """Ask where barn, report and tables go as JSON."""
        self._ask_place("data.json", _DATA, self._write_data)

    def _write_data(self, place: Path) -> None:
        self._write("the data", partial(data_made, self._session.file), place)

    # ----- what they share -----

    @property
    def _folder(self) -> Path:
        path = self._session.path
        return path.resolve().parent if path else Path.home()

    @property
    def _name(self) -> str:
        path = self._session.path
        return path.name if path else ""

    def _keep_paper(self, paper: Paper) -> None:
        self._window.settings.setValue(_PAPER, paper.value)

    def _ask_place(
        self, ending: str, kinds: str, answered: Callable[[Path], object]
    ) -> None:
        place = self._folder / file_name(f"{self._session.document.name} {ending}")
        self._questions.place_to_write(self._window, place, kinds, answered)

    def _write(self, title: str, make: Callable[[Ticket], Files], place: Path) -> None:
        self._maker.write(Order(title=title, make=make, place=place))

    def _has_suffix(self, place: Path, suffixes: tuple[str, ...]) -> bool:
        """Tell whether a file has one of some suffixes; say which if not."""
        if place.suffix.lower() in suffixes:
            return True
        known = ", ".join(suffixes)
        words = f'"{place.name}" cannot be made. End its name with one of {known}.'
        self._questions.tell(self._window, words)
        return False


def _hand_over(done: Callable[[PrintPages], object], pages: object) -> None:
    done(cast("PrintPages", pages))
