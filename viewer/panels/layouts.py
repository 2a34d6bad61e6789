"""Small pieces of layout: emptied ones, small buttons, columns as wide as letters."""

from PySide6.QtCore import QEvent, QObject
from PySide6.QtWidgets import QLayout, QToolButton, QTreeView

__all__ = ["LetterColumns", "emptied", "small_button"]


class LetterColumns(QObject):
    """Keeps the columns of a tree as wide in letters as they were, at any text size."""

    def __init__(self, tree: QTreeView) -> None:
        super().__init__(tree)
        self._tree = tree
        self._letter = _letter_of(tree)
        tree.installEventFilter(self)

    def eventFilter(self, _watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        """Widen or narrow the columns with the text."""
        if event.type() is QEvent.Type.FontChange:
            before, self._letter = self._letter, _letter_of(self._tree)
            header = self._tree.header()
            for column in range(header.count()):
                size = header.sectionSize(column) * self._letter // before
                header.resizeSection(column, size)
        return False


def _letter_of(tree: QTreeView) -> int:
    return max(tree.fontMetrics().averageCharWidth(), 1)


def emptied(layout: QLayout) -> None:
    """Take everything out of a layout; the widgets go when events are next seen to."""
    while (item := layout.takeAt(0)) is not None:
        widget = item.widget()
        if widget is not None:
            widget.hide()
            widget.deleteLater()


def small_button(text: str, name: str) -> QToolButton:
    """Return a button with a sign on it, named for screen readers and tooltips."""
    button = QToolButton()
    button.setText(text)
    button.setToolTip(name)
    button.setAccessibleName(name)
    return button
