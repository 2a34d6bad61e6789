"""The small window that shows how far a piece of work is, and where it was written."""

from pathlib import Path

from PySide6.QtCore import Qt, QUrl, Signal
from PySide6.QtGui import QDesktopServices
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QLabel,
    QProgressBar,
    QVBoxLayout,
    QWidget,
)

from viewer.panels.note import Note

__all__ = ["MakingDialog"]

_WIDTH = 460  # [px]
_STEPS = 1000


class MakingDialog(QDialog):
    """Shows progress with a button to give up; then says what was written.

    The window behind it stays in use. Closing it while the work goes on, by its
    button, Esc or its frame, gives the work up: it emits `given_up`.
    """

    given_up = Signal()

    def __init__(self, title: str, parent: QWidget | None) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setModal(False)
        self.setWindowTitle(f"Liftlane: {title}")
        self.setMinimumWidth(_WIDTH)
        self._place: Path | None = None
        self._is_done = False
        self.head = QLabel(f"Making {title}")
        self.head.setTextFormat(Qt.TextFormat.PlainText)
        self.head.setWordWrap(True)
        self.head.setTextInteractionFlags(
            Qt.TextInteractionFlag.TextSelectableByMouse
            | Qt.TextInteractionFlag.TextSelectableByKeyboard
        )
        self.bar = QProgressBar()
        self.bar.setRange(0, _STEPS)
        self.bar.setAccessibleName("how far the work is")
        self.step = Note("beginning")
        buttons = QDialogButtonBox()
        role = QDialogButtonBox.ButtonRole
        self.folder_button = buttons.addButton("Show the folder", role.ActionRole)
        self.folder_button.clicked.connect(self._show_folder)
        self.folder_button.hide()
        self.close_button = buttons.addButton("Cancel", role.RejectRole)
        self.close_button.clicked.connect(self.reject)
        for button in (self.folder_button, self.close_button):
            button.setAutoDefault(False)  # Enter gives nothing up
        column = QVBoxLayout(self)
        for widget in (self.head, self.bar, self.step):
            column.addWidget(widget)
        column.addStretch(1)
        column.addWidget(buttons)

    def show_progress(self, share: float, words: str) -> None:
        """Show how much is done [-] and what is being done."""
        self.bar.setValue(round(_STEPS * min(max(share, 0.0), 1.0)))
        self.step.setText(words)

    def show_written(self, place: Path, *, count: int = 1) -> None:
        """Say where it was written, with a button to its folder."""
        self._is_done = True
        self._place = place if place.is_dir() else place.parent
        files = "" if count == 1 else f"{count} files in "
        self.head.setText(f"Written: {files}{place}")
        self.bar.hide()
        self.step.hide()
        self.folder_button.show()
        self.close_button.setText("Close")
        self.close_button.setDefault(True)
        self.close_button.setFocus()
        self.adjustSize()

    def finish(self) -> None:
        """Close without giving anything up."""
        self._is_done = True
        self.close()

    def reject(self) -> None:
        """Close when all is done, otherwise ask for the work to be given up."""
        if self._is_done:
            super().reject()
            return
        self.step.setText("giving up")
        self.close_button.setEnabled(False)
        self.given_up.emit()

    def _show_folder(self) -> None:
        QDesktopServices.openUrl(QUrl.fromLocalFile(str(self._place)))
