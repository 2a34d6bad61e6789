"""The dialogs in which a window answers for the care of its document."""

from collections.abc import Callable, Sequence
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QLabel,
    QListWidget,
    QMessageBox,
    QVBoxLayout,
    QWidget,
)

from core.errors import BarnFileError
from viewer.care.recovery import Recovered
from viewer.panels.fault_list import FaultList
from viewer.panels.note import Note

__all__ = ["CareDialogs", "RecoveryDialog"]

_ROLE = QMessageBox.ButtonRole


class CareDialogs:
    """Asks in dialogs over a window; none of them stops the event loop."""

    def __init__(self, window: QWidget) -> None:
        self._window = window
        self._changed: QMessageBox | None = None

    def held(self, path: Path, holder: str, *, open_copy: Callable[[], object]) -> None:
        """Tell that another window has a file open; offer a copy of it."""
        box = self._box(f'"{path.name}" is open in another window.')
        box.setInformativeText(
            f"It is held by {holder}. Close it there first, or open what is in the "
            "file now as a copy that has no file yet."
        )
        copy = box.addButton("Open a copy", _ROLE.AcceptRole)
        box.addButton("Go back", _ROLE.RejectRole)
        copy.clicked.connect(open_copy)
        box.open()

    def recover(
        self,
        found: Sequence[Recovered],
        *,
        take: Callable[[Recovered], object],
        discard: Callable[[Recovered], object],
    ) -> None:
        """Offer what windows that ended without saving have left."""
        RecoveryDialog(found, take=take, discard=discard, parent=self._window).open()

    def changed(
        self, path: Path, *, has_edits: bool, reload: Callable[[], object]
    ) -> None:
        """Tell that the file is another one by now; offer to read it again."""
        if self._changed is not None:
            self._changed.close()
        box = self._box(f'"{path.name}" was changed by another program.')
        lost = " What you have changed here since the last save is lost then."
        box.setInformativeText(
            "Read it again to see what is in it now."
            + (lost if has_edits else "")
            + " If you keep what you see here, the next save writes over the file."
        )
        again = box.addButton("Read it again", _ROLE.AcceptRole)
        keep = box.addButton("Keep what is here", _ROLE.RejectRole)
        again.clicked.connect(reload)
        box.setDefaultButton(keep if has_edits else again)
        box.finished.connect(self._on_change_answered)
        self._changed = box
        box.open()

    def gone(self, path: Path) -> None:
        """Tell that the file of the document is no longer there."""
        box = self._box(f'"{path.name}" is no longer in its folder.')
        box.setInformativeText(
            "It was deleted, renamed or moved. What you see here is still whole: "
            "save it to have a file again."
        )
        box.addButton(QMessageBox.StandardButton.Close)
        box.open()

    def faults(self, error: BarnFileError) -> None:
        """Show everything that is wrong with a file."""
        FaultList(error, self._window).open()

    def _on_change_answered(self) -> None:
        self._changed = None

    def _box(self, words: str) -> QMessageBox:
        box = QMessageBox(self._window)
        box.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        box.setWindowTitle("Liftlane")
        box.setTextFormat(Qt.TextFormat.PlainText)
        box.setText(words)
        return box


class RecoveryDialog(QDialog):
    """Lists copies of unsaved work: recover one, or delete one."""

    def __init__(
        self,
        found: Sequence[Recovered],
        *,
        take: Callable[[Recovered], object],
        discard: Callable[[Recovered], object],
        parent: QWidget | None,
    ) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle("Liftlane: unsaved work was found")
        self.resize(560, 300)
        self._found = list(found)
        self._take, self._discard = take, discard
        head = QLabel("The program ended before this work was saved.")
        note = Note("Recover one and save it, or delete what is not wanted any more.")
        self.copies = QListWidget()
        self.copies.setAccessibleName("copies of unsaved work")
        self.copies.addItems([_line(each) for each in self._found])
        self.copies.setCurrentRow(0)
        self.copies.itemActivated.connect(self.recover)
        buttons = QDialogButtonBox()
        role = QDialogButtonBox.ButtonRole
        self.recover_button = buttons.addButton("Recover", role.AcceptRole)
        self.delete_button = buttons.addButton("Delete", role.DestructiveRole)
        self.later_button = buttons.addButton("Later", role.RejectRole)
        self.recover_button.clicked.connect(self.recover)
        self.delete_button.clicked.connect(self.delete)
        buttons.rejected.connect(self.close)
        layout = QVBoxLayout(self)
        for widget in (head, note, self.copies, buttons):
            layout.addWidget(widget)

    def recover(self) -> None:
        """Show the chosen copy in the window."""
        row = self.copies.currentRow()
        if row >= 0:
            self.close()
            self._take(self._found[row])

    def delete(self) -> None:
        """Delete the chosen copy."""
        row = self.copies.currentRow()
        if row < 0:
            return
        self._discard(self._found.pop(row))
        self.copies.takeItem(row)
        if not self._found:
            self.close()


def _line(copy: Recovered) -> str:
    where = str(copy.origin) if copy.origin else "no file yet"
    return f"{copy.name}, {copy.saved:%Y-%m-%d %H:%M:%S} ({where})"
