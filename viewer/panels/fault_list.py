"""Everything that is wrong with a file, in a list that can be read and copied."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import (
    QAbstractItemView,
    QDialog,
    QDialogButtonBox,
    QHeaderView,
    QLabel,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from core.errors import BarnFileError, Fault
from viewer.panels.note import Note

__all__ = ["FaultList"]

_TITLES = ("Where", "Found", "Expected", "Did you mean")


class FaultList(QDialog):
    """Lists the faults of a file; the document before stays open behind it."""

    def __init__(self, error: BarnFileError, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle("Liftlane: a file that cannot be used")
        self.resize(860, 440)
        self._error = error
        count = len(error.faults)
        head = QLabel(f"{error.where} has {count} fault{'s' if count != 1 else ''}.")
        head.setTextFormat(Qt.TextFormat.PlainText)
        head.setWordWrap(True)
        font = head.font()
        font.setBold(True)
        head.setFont(font)
        note = Note(
            "Nothing of it was taken over; what was open before is still open. Mend "
            "these places in the file with a text editor, then open it again."
        )
        self.table = self._made_table()
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        role = QDialogButtonBox.ButtonRole.ActionRole
        self.copy_button = buttons.addButton("Copy the list", role)
        self.copy_button.clicked.connect(self.copy)
        buttons.rejected.connect(self.close)
        layout = QVBoxLayout(self)
        for widget in (head, note, self.table, buttons):
            layout.addWidget(widget)

    def copy(self) -> None:
        """Put the list on the clipboard."""
        QGuiApplication.clipboard().setText(str(self._error))

    def _made_table(self) -> QTableWidget:
        faults = self._error.faults
        table = QTableWidget(len(faults), len(_TITLES))
        table.setAccessibleName("faults of the file")
        table.setHorizontalHeaderLabels(list(_TITLES))
        table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        table.setWordWrap(True)
        table.verticalHeader().setSectionResizeMode(
            QHeaderView.ResizeMode.ResizeToContents
        )
        for row, fault in enumerate(faults):
            for column, text in enumerate(_cells(fault)):
                item = QTableWidgetItem(text)
                item.setToolTip(text)
                table.setItem(row, column, item)
        header = table.horizontalHeader()
        header.resizeSection(0, 220)
        header.resizeSection(1, 200)
        header.setSectionResizeMode(2, QHeaderView.ResizeMode.Stretch)
        # a row is as high as its text needs at the width that the table gets
        header.geometriesChanged.connect(table.resizeRowsToContents)
        return table


def _cells(fault: Fault) -> tuple[str, str, str, str]:
    return fault.path, fault.found, fault.expected, fault.nearest or ""
