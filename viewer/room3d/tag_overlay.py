"""The numbers of findings, painted over the room beside where they are."""

import math
from itertools import pairwise

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from core.geometry.shapes import FloatArray
from core.rules.finding import Outcome
from viewer.paper.guarded import guarded
from viewer.paper.theme import LIGHT, Theme
from viewer.room3d.camera import Camera, pixels_of
from viewer.room3d.marks import Tag

__all__ = ["TagOverlay"]

_OFF = 12.0  # from the place to its number [px]
_PAD = 5.0


class TagOverlay(QWidget):
    """Lies over the view and lets the mouse through."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.tags: tuple[Tag, ...] = ()
        self._theme: Theme = LIGHT
        self._camera = Camera(eye=(0.0, 0.0, 0.0), look=(1.0, 0.0, 0.0))

    def show_tags(self, tags: tuple[Tag, ...], theme: Theme) -> None:
        """Show other tags."""
        self.tags, self._theme = tags, theme
        self._show()

    def look_from(self, camera: Camera) -> None:
        """Follow the eye."""
        self._camera = camera
        self._show()

    def _show(self) -> None:
        self.setVisible(bool(self.tags))
        self.update()

    @guarded
    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint the tags, those behind first."""
        if not self.tags:
            return
        size = (float(self.width()), float(self.height()))
        places = np.array([tag.points.mean(axis=0) for tag in self.tags])
        seen, depth = pixels_of(self._camera, places, size)
        with QPainter(self) as painter:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            font = QFont(self.font())
            font.setBold(True)
            painter.setFont(font)
            for place in np.argsort(-depth).tolist():
                at = seen[place]
                if np.isfinite(at).all() and (np.abs(at) < 1e5).all():
                    self._paint_tag(painter, self.tags[place], at, size)

    def _paint_tag(
        self, painter: QPainter, tag: Tag, at: FloatArray, size: tuple[float, float]
    ) -> None:
        stops = tag.outcome is Outcome.STOP
        colour = QColor(self._theme.stop if stops else self._theme.caution)
        painter.setPen(QPen(colour, 2.0))
        ends, _ = pixels_of(self._camera, tag.points, size)
        for a, b in pairwise(ends.tolist()):
            if all(map(math.isfinite, (*a, *b))):
                painter.drawLine(QPointF(*a), QPointF(*b))
        metrics = painter.fontMetrics()
        wide = metrics.horizontalAdvance(tag.words) + 2 * _PAD
        high = metrics.height() + 2.0
        foot = QPointF(float(at[0]) + _OFF, float(at[1]) - _OFF)
        painter.drawLine(QPointF(float(at[0]), float(at[1])), foot)
        box = QRectF(foot.x(), foot.y() - high, wide, high)
        painter.setBrush(QColor(self._theme.paper))
        painter.drawRect(box)
        painter.setPen(QColor(self._theme.strong))
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, tag.words)
