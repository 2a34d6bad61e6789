"""The list of keys, made from the table of actions."""

from collections.abc import Iterable

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QDialog,
    QHeaderView,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from viewer.app.actions import Action

__all__ = ["KeyList", "key_rows"]

# keys of the views, which are not actions of the menus
_IN_VIEWS = (
    ("Wheel, +, -", "Zoom the view"),
    ("0, Home", "Show all of the view"),
    ("Middle or right button held", "Move the view"),
    ("Arrows", "Move what is chosen 1 in"),
    ("Shift + arrows", "Move what is chosen 1 ft"),
    ("Ctrl + arrows", "Move what is chosen 1/16 in"),
    ("Shift held in a drag", "Keep to nothing but the sixteenth"),
    ("Ctrl held in a click", "Choose one more, or one less"),
    ("Drag to the right over nothing", "Choose what lies within"),
    ("Drag to the left over nothing", "Choose what is touched"),
    ("Esc", "Leave the drag, nothing is changed"),
    ("Arrows in the room", "Turn the room; walk on, back and aside in a walk"),
    ("W, A, S, D", "Walk on, left, back and right; with Shift in a hurry"),
    ("Q, E", "Turn left and right in a walk"),
    ("Esc in a walk", "Go round the room again"),
)


def key_rows(rows: Iterable[Action]) -> list[tuple[str, str]]:
    """Return each key with what it does: those of the actions, then of the views."""
    keys = [(", ".join(row.keys), row.tip or row.words) for row in rows if row.keys]
    return [*keys, *_IN_VIEWS]


class KeyList(QDialog):
    """Shows every key and what it does."""

    def __init__(self, rows: Iterable[Action], *, parent: QWidget | None) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle("Keys")
        self.resize(520, 640)
        self.table = QTableWidget(0, 2)
        self.table.setHorizontalHeaderLabels(["Key", "What it does"])
        self.table.verticalHeader().hide()
        self.table.setEditTriggers(QTableWidget.EditTrigger.NoEditTriggers)
        for pair in key_rows(rows):
            self._add(pair)
        header = self.table.horizontalHeader()
        header.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        header.setStretchLastSection(True)
        QVBoxLayout(self).addWidget(self.table)

    def _add(self, pair: tuple[str, str]) -> None:
        row = self.table.rowCount()
        self.table.insertRow(row)
        for column, words in enumerate(pair):
            self.table.setItem(row, column, QTableWidgetItem(words))
