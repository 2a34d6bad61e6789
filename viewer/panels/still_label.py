"""A line of text that changes often beside things that must not move.

A label in a layout asks for a new layout with every new text, and a main window
then lays out all its docks: half of the time of a drag's frame.
"""

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QLabel, QSizePolicy, QWidget

from viewer.paper.guarded import guarded

__all__ = ["StillLabel"]


class StillLabel(QWidget):
    """A label that keeps its size, whatever its text.

    Parameters
    ----------
    widest : str, optional
        The text that it has room for; without one it takes what room there is.
    """

    def __init__(self, widest: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._widest = widest
        self._label = QLabel(self)
        fixed, ignored = QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Ignored
        self.setSizePolicy(fixed if widest else ignored, fixed)
        if widest:
            self._label.setAlignment(
                Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
            )

    def text(self) -> str:
        """Return what it says."""
        return self._label.text()

    def setText(self, text: str) -> None:  # noqa: N802 - as a label has it
        """Say something else."""
        self._label.setText(text)
        self.setAccessibleName(text)

    def sizeHint(self) -> QSize:
        """Return the room of the widest text."""
        metrics = self.fontMetrics()
        wide = metrics.horizontalAdvance(self._widest)
        return QSize(wide, metrics.height() + 2)

    @guarded
    def resizeEvent(self, event: QResizeEvent) -> None:
        """Give the label all the room."""
        super().resizeEvent(event)
        self._label.setGeometry(self.rect())
