"""What the window asks its user; none of it stops the event loop.

Tests put another object in its place.
"""

from collections.abc import Callable
from functools import partial
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtPrintSupport import QPrintDialog, QPrinter
from PySide6.QtWidgets import QDialog, QFileDialog, QMessageBox, QWidget

from viewer.app.picture_dialog import PictureDialog
from viewer.app.picture_wanted import (
    PictureOffer,
    PictureWanted,
    WalkOffer,
    WalkWanted,
)
from viewer.app.sheets_dialog import SheetsDialog, SheetsWanted
from viewer.app.walk_dialog import WalkDialog
from viewer.care.asking import Asks
from viewer.panels.asking import CareDialogs

__all__ = ["Questions"]

_FILTER = "Barns (*.json *.barn);;All files (*)"


class Questions:
    """Dialogs that call back; each is closed and deleted by itself."""

    def file_to_open(
        self, parent: QWidget, folder: Path, answered: Callable[[str], object]
    ) -> None:
        """Ask for a barn file to open."""
        dialog = QFileDialog(parent, "Open a barn", str(folder), _FILTER)
        dialog.setFileMode(QFileDialog.FileMode.ExistingFile)
        self._ask_file(dialog, answered)

    def file_to_save(
        self, parent: QWidget, place: Path, answered: Callable[[str], object]
    ) -> None:
        """Ask where to save a barn."""
        dialog = QFileDialog(parent, "Save the barn", str(place.parent), _FILTER)
        dialog.setAcceptMode(QFileDialog.AcceptMode.AcceptSave)
        dialog.setDefaultSuffix("json")
        dialog.selectFile(place.name)
        self._ask_file(dialog, answered)

    def place_to_write(
        self,
        parent: QWidget,
        place: Path,
        kinds: str,
        answered: Callable[[Path], object],
    ) -> None:
        """Ask where something that was made is written; Qt asks before it replaces.

        Parameters
        ----------
        parent : QWidget
            The window.
        place : Path
            What is proposed; its suffix is given to a name without one.
        kinds : str
            What the dialog filters by, such as "Picture (*.png);;Drawing (*.svg)"; the
            name takes the first suffix of the kind that is chosen.
        answered : callable
            Gets the file.
        """
        dialog = QFileDialog(parent, f"Write {place.name}", str(place.parent), kinds)
        dialog.setAcceptMode(QFileDialog.AcceptMode.AcceptSave)
        dialog.setDefaultSuffix(place.suffix)
        dialog.filterSelected.connect(partial(_follow_kind, dialog))
        dialog.selectFile(place.name)
        self._ask_file(dialog, lambda name: answered(Path(name)))

    def sheets(
        self,
        parent: QWidget,
        proposed: SheetsWanted,
        answered: Callable[[SheetsWanted], object],
    ) -> None:
        """Ask which sheets of the job are wanted, and where."""
        SheetsDialog(proposed, answered, parent).open()

    def picture(
        self,
        parent: QWidget,
        offer: PictureOffer,
        answered: Callable[[PictureWanted], object],
    ) -> None:
        """Ask how a picture is taken."""
        PictureDialog(offer, answered, parent).open()

    def walk(
        self,
        parent: QWidget,
        offer: WalkOffer,
        answered: Callable[[WalkWanted], object],
    ) -> None:
        """Ask how a walk is filmed."""
        WalkDialog(offer, answered, parent).open()

    def printer(
        self,
        parent: QWidget,
        printer: QPrinter,
        count: int,
        answered: Callable[[], object],
    ) -> None:
        """Let a printer be chosen, and which of its `count` pages are printed."""
        dialog = QPrintDialog(printer, parent)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.setOption(QPrintDialog.PrintDialogOption.PrintPageRange)
        dialog.setMinMax(1, count)
        dialog.accepted.connect(answered)
        QDialog.open(dialog)  # its own wants a slot by name

    def care(self, parent: QWidget) -> Asks:
        """Return who answers for the care of the document of a window."""
        return CareDialogs(parent)

    def _ask_file(self, dialog: QFileDialog, answered: Callable[[str], object]) -> None:
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.fileSelected.connect(answered)
        dialog.open()

    def unsaved(
        self,
        parent: QWidget,
        name: str,
        *,
        save: Callable[[], object],
        discard: Callable[[], object],
    ) -> None:
        """Ask what becomes of changes that are not saved."""
        box = _box(parent, f'"{name}" has changes that are not saved.')
        role = QMessageBox.ButtonRole
        keep = box.addButton("Save", role.AcceptRole)
        drop = box.addButton("Discard the changes", role.DestructiveRole)
        box.addButton("Go back", role.RejectRole)
        keep.clicked.connect(save)
        drop.clicked.connect(discard)
        box.open()

    def tell(self, parent: QWidget, words: str, details: str = "") -> None:
        """Show a sentence, with a list below it that can be copied."""
        box = _box(parent, words)
        box.setIcon(QMessageBox.Icon.Warning)
        box.setInformativeText(details)
        box.setTextInteractionFlags(
            Qt.TextInteractionFlag.TextSelectableByMouse
            | Qt.TextInteractionFlag.TextSelectableByKeyboard
        )
        box.addButton(QMessageBox.StandardButton.Close)
        box.open()


def _follow_kind(dialog: QFileDialog, kind: str) -> None:
    """Give the name the suffix of the chosen kind."""
    named = Path(dialog.selectedFiles()[0])  # never without a suffix
    suffix = kind.partition("*")[2].partition(" ")[0].rstrip(")")
    dialog.setDefaultSuffix(suffix)
    dialog.selectFile(named.with_suffix(suffix).name)


def _box(parent: QWidget, words: str) -> QMessageBox:
    box = QMessageBox(parent)
    box.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    box.setWindowTitle("Liftlane")
    box.setText(words)
    return box
