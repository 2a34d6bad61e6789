"""The sheets as they will be on paper, before they are printed."""

from collections.abc import Callable

from PySide6.QtCore import Qt, Signal
from PySide6.QtPrintSupport import QPrinter, QPrintPreviewWidget
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSpinBox,
    QVBoxLayout,
    QWidget,
)

from viewer.paper.sheets.page import Paper
from viewer.paper.sheets.printing import PrintPages, print_pages, set_up_printer

__all__ = ["PrintPreview"]

_STEP = 1.25  # of a zoom [-]


class PrintPreview(QDialog):
    """Shows pages, goes through them, zooms, and asks to print them.

    Emits `print_wanted(PrintPages)`, and `paper_wanted(Paper)` when other pages are
    to be made: `show_pages` takes them.
    """

    print_wanted = Signal(object)
    paper_wanted = Signal(object)

    def __init__(self, pages: PrintPages, parent: QWidget | None) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle("Liftlane: the installer's set as printed")
        self.setWindowFlag(Qt.WindowType.WindowMaximizeButtonHint)
        self.resize(1100, 800)
        self._pages = pages
        self._printer = QPrinter(QPrinter.PrinterMode.HighResolution)
        set_up_printer(self._printer, pages.paper)
        self.view = QPrintPreviewWidget(self._printer, self)
        self.view.paintRequested.connect(self._on_paint_requested)
        self.view.previewChanged.connect(self._show_place)
        self.paper = QComboBox()
        self.paper.setAccessibleName("paper")
        self.paper.addItems(list(Paper))
        self.paper.setCurrentText(pages.paper)
        self.paper.textActivated.connect(self._on_paper_chosen)
        self.number = QSpinBox()
        self.number.setAccessibleName("page")
        self.number.setRange(1, len(pages.pages))
        self.number.valueChanged.connect(self.view.setCurrentPage)
        self.count = QLabel()
        self._lay_out()
        self.show_pages(pages)

    @property
    def pages(self) -> PrintPages:
        """What is shown."""
        return self._pages

    def show_pages(self, pages: PrintPages) -> None:
        """Show other pages in the place of these."""
        self._pages = pages
        set_up_printer(self._printer, pages.paper)
        self.paper.setCurrentText(pages.paper)
        self.number.setRange(1, len(pages.pages))
        self.count.setText(f"of {len(pages.pages)}")
        self.view.updatePreview()
        self.view.fitInView()

    def _lay_out(self) -> None:
        row = QHBoxLayout()
        row.addWidget(QLabel("Page"))
        row.addWidget(self.number)
        row.addWidget(self.count)
        row.addSpacing(12)
        for words, key, call in (
            ("Whole page", "0", self.view.fitInView),
            ("Full width", "", self.view.fitToWidth),
            ("Closer", "+", self._closer),
            ("Farther", "-", self._farther),
        ):
            row.addWidget(_button(words, key, call))
        row.addSpacing(12)
        row.addWidget(QLabel("Paper"))
        row.addWidget(self.paper)
        row.addStretch(1)
        self.print_button = _button("Print...", "Ctrl+P", self._on_print_clicked)
        self.print_button.setDefault(True)
        row.addWidget(self.print_button)
        row.addWidget(_button("Close", "", self.close))
        column = QVBoxLayout(self)
        column.addLayout(row)
        column.addWidget(self.view, 1)

    def _closer(self) -> None:
        self.view.zoomIn(_STEP)

    def _farther(self) -> None:
        self.view.zoomOut(_STEP)

    def _show_place(self) -> None:
        self.number.setValue(self.view.currentPage())

    def _on_print_clicked(self) -> None:
        self.print_wanted.emit(self._pages)

    def _on_paper_chosen(self, paper: str) -> None:
        """Ask for pages of another paper; until they come, these stay."""
        self.paper.setCurrentText(self._pages.paper)
        if paper != self._pages.paper:
            self.paper_wanted.emit(Paper(paper))

    def _on_paint_requested(self, printer: QPrinter) -> None:
        print_pages(printer, self._pages)


def _button(words: str, key: str, call: Callable[[], object]) -> QPushButton:
    button = QPushButton(words)
    button.setAutoDefault(False)
    button.clicked.connect(call)
    if key:
        button.setShortcut(key)
        button.setToolTip(f"{words.removesuffix('...')} ({key})")
    return button
