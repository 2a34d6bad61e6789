"""When something goes wrong in the program itself: a report, and a way to save.

Nothing here waits for an answer: the window stays alive behind it.
"""

import faulthandler
import platform
import sys
import threading
import traceback
from collections.abc import Callable
from types import TracebackType

from PySide6.QtCore import QObject, Qt, Signal, qVersion
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QLabel,
    QPlainTextEdit,
    QVBoxLayout,
    QWidget,
)

__all__ = ["CrashReport", "Hooks", "show_report"]

_HEAD = (
    "Something went wrong inside Liftlane. Your work is still open: save it under "
    "another name, then start the program again. The report below helps to mend it."
)


class CrashReport(QDialog):
    """Shows one report that can be copied, and offers to save a copy of the work."""

    def __init__(
        self, text: str, *, save_copy: Callable[[], object], parent: QWidget | None
    ) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setModal(False)
        self.setWindowTitle("Liftlane: a fault of the program")
        self.resize(720, 420)
        head = QLabel(_HEAD)
        head.setWordWrap(True)
        self.report = QPlainTextEdit(text)
        self.report.setReadOnly(True)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        role = QDialogButtonBox.ButtonRole.ActionRole
        buttons.addButton("Copy the report", role).clicked.connect(self.copy)
        buttons.addButton("Save a copy of the barn", role).clicked.connect(save_copy)
        buttons.rejected.connect(self.close)
        column = QVBoxLayout(self)
        for widget in (head, self.report, buttons):
            column.addWidget(widget)

    def add(self, text: str) -> None:
        """Add another report below, unless it is here already."""
        if text not in self.report.toPlainText():
            self.report.appendPlainText(f"\n{text}")

    def copy(self) -> None:
        """Put the report on the clipboard."""
        QGuiApplication.clipboard().setText(self.report.toPlainText())


def show_report(text: str, *, save_copy: Callable[[], object], parent: QWidget) -> None:
    """Show a report; add it to the one that is open, if one is.

    What goes wrong in painting goes wrong again with every frame.
    """
    for shown in parent.findChildren(CrashReport):
        if shown.isVisible():
            shown.add(text)
            return
    CrashReport(text, save_copy=save_copy, parent=parent).show()


class Hooks(QObject):
    """Catches what nobody caught, in any thread, and emits it as `caught(text)`."""

    caught = Signal(str)

    def install(self) -> None:
        """Take the place of Python's own hooks."""
        if sys.stderr is not None:
            faulthandler.enable()
        sys.excepthook = self._on_exception
        threading.excepthook = self._on_thread_exception

    def remove(self) -> None:
        """Give Python its own hooks back."""
        sys.excepthook = sys.__excepthook__
        threading.excepthook = threading.__excepthook__

    def _on_exception(
        self,
        kind: type[BaseException],
        error: BaseException,
        trace: TracebackType | None,
    ) -> None:
        sys.__excepthook__(kind, error, trace)
        if not issubclass(kind, KeyboardInterrupt):
            lines = traceback.format_exception(kind, error, trace)
            self.caught.emit(_report("".join(lines)))

    def _on_thread_exception(self, found: threading.ExceptHookArgs) -> None:
        error = found.exc_value or found.exc_type()
        self._on_exception(found.exc_type, error, found.exc_traceback)


def _report(trace: str) -> str:
    system = (
        f"Python {platform.python_version()}, Qt {qVersion()}, {platform.platform()}"
    )
    return f"{system}\n\n{trace}"
