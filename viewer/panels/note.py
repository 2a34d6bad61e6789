"""A line of small print that stays readable in light and dark."""

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QColor, QPalette
from PySide6.QtWidgets import QLabel, QWidget

from viewer.panels.colours import theme_of

__all__ = ["Note"]


class Note(QLabel):
    """Plain text in a weaker ink than what it explains; breaks its lines."""

    def __init__(self, text: str = "", parent: QWidget | None = None) -> None:
        super().__init__(text, parent)
        self.setWordWrap(True)
        self.setTextFormat(Qt.TextFormat.PlainText)
        self._ink()

    def changeEvent(self, event: QEvent) -> None:
        """Follow the window from light to dark."""
        super().changeEvent(event)
        if event.type() is QEvent.Type.PaletteChange:
            self._ink()

    def _ink(self) -> None:
        palette = self.palette()
        colour = QColor(theme_of(palette).plain)
        if palette.color(QPalette.ColorRole.WindowText) != colour:
            palette.setColor(QPalette.ColorRole.WindowText, colour)
            self.setPalette(palette)
