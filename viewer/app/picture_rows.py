"""Rows that the dialogs of pictures and walks share: size and evenness."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QLabel, QSpinBox, QWidget

__all__ = ["Evenness", "SizeRow", "size_words"]

_OTHER = "other"
_EVENNESS = (("quick and rough", 0.25), ("even", 1.0), ("finest, slow", 4.0))


def size_words(width: int, height: int) -> str:
    """Return a size as it is read [px]."""
    return f"{width} x {height}"


class SizeRow(QWidget):
    """Width and height of a picture, from a list or typed.

    Emits `changed`.
    """

    changed = Signal()

    def __init__(
        self,
        known: tuple[tuple[int, int], ...],
        *,
        least: tuple[int, int],
        largest: int,
        step: int = 1,
    ) -> None:
        super().__init__()
        self.known = QComboBox()
        self.known.setAccessibleName("usual sizes")
        for size in known:
            self.known.addItem(size_words(*size), size)
        self.known.addItem(_OTHER)
        self.known.activated.connect(self._on_known_chosen)
        self.width_box, self.height_box = QSpinBox(), QSpinBox()
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(self.known, 1)
        boxes = (("width", self.width_box), ("height", self.height_box))
        for (name, box), low in zip(boxes, least, strict=True):
            box.setAccessibleName(name)
            box.setRange(low, largest)
            box.setSingleStep(step)
            box.valueChanged.connect(self._on_size_changed)
        row.addWidget(self.width_box)
        row.addWidget(QLabel("x"))
        row.addWidget(self.height_box)
        row.addWidget(QLabel("px"))

    @property
    def value(self) -> tuple[int, int]:
        """Width and height [px]; odd ones are made even where only those can be."""
        step = self.width_box.singleStep()
        width, height = self.width_box.value(), self.height_box.value()
        return width - width % step, height - height % step

    def show_value(self, width: int, height: int) -> None:
        """Show a size [px]."""
        self.width_box.setValue(width)
        self.height_box.setValue(height)
        self._on_size_changed()

    def _on_known_chosen(self, _index: int) -> None:
        size = self.known.currentData()
        if size is not None:
            self.show_value(*size)

    def _on_size_changed(self) -> None:
        place = self.known.findText(size_words(*self.value))
        self.known.setCurrentIndex(place if place >= 0 else self.known.count() - 1)
        self.changed.emit()


class Evenness(QComboBox):
    """How many rays each pixel gets: fewer are quicker, more are more even."""

    def __init__(self, usual: int) -> None:
        super().__init__()
        self.setAccessibleName("evenness")
        self.setToolTip("More rays for each pixel take longer and leave less grain")
        for words, factor in _EVENNESS:
            rays = max(1, round(usual * factor))
            self.addItem(f"{words} ({rays} rays a pixel)", rays)

    @property
    def rays(self) -> int:
        """Rays for each pixel [-]."""
        return int(self.currentData())

    def show_rays(self, rays: int) -> None:
        """Show a number of rays, the usual one if it is none of those offered."""
        place = self.findData(rays)
        self.setCurrentIndex(place if place >= 0 else 1)
