"""A small sketch of a room: its ceiling from the side, its pens and runs from above."""

from collections.abc import Iterable

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from core.model.barn import Barn
from core.model.room import Room, StepAxis, SteppedCeiling
from core.placement.building import truss_stations
from core.quantities import LengthStyle, format_length
from viewer.panels.ceilings import highest, lowest, profile
from viewer.panels.colours import theme_of
from viewer.paper.guarded import guarded

__all__ = ["CeilingSketch", "PlanSketch"]

_MARGIN = 8.0
_CUT, _SEEN = 2.0, 1.0  # widths of lines [px], as ISO 128 has them: 2 to 1


class CeilingSketch(QWidget):
    """The ceiling as a side view shows it, with its lowest and highest height."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._room: Room | None = None
        self._style = LengthStyle.FEET
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def show_room(self, room: Room, style: LengthStyle) -> None:
        """Show the ceiling of a room."""
        self._room, self._style = room, style
        self.setAccessibleName(f"sketch of the ceiling: {self.words()}")
        self.update()

    def words(self) -> str:
        """Return what the sketch says."""
        if self._room is None:
            return ""
        low, high = (
            format_length(pick(self._room.ceiling), style=self._style)
            for pick in (lowest, highest)
        )
        heights = low if low == high else f"{low} to {high}"
        return f"{self._direction()}: {heights}"

    def sizeHint(self) -> QSize:
        """Return a size for a panel."""
        return QSize(260, 120)

    @guarded
    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw floor, walls and ceiling thick, as they are cut."""
        if self._room is None:
            return
        theme = theme_of(self.palette())
        text = self.fontMetrics().height()
        area = QRectF(self.rect()).adjusted(_MARGIN, _MARGIN, -_MARGIN, -_MARGIN - text)
        below = QRectF(area.left(), area.bottom(), area.width(), text + _MARGIN)
        with QPainter(self) as painter:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.fillRect(self.rect(), QColor(theme.paper))
            painter.setPen(QPen(QColor(theme.strong), _CUT))
            painter.drawPolygon(_fitted(self._outline(), area))
            painter.setPen(QColor(theme.strong))
            painter.drawText(below, Qt.AlignmentFlag.AlignCenter, self.words())

    def _outline(self) -> list[tuple[float, float]]:
        if self._room is None:
            return []
        line = profile(self._room)
        return [(line[0][0], 0.0), *line, (line[-1][0], 0.0)]

    def _direction(self) -> str:
        ceiling = self._room.ceiling if self._room is not None else None
        is_along = (
            isinstance(ceiling, SteppedCeiling) and ceiling.axis is StepAxis.ALONG
        )
        return "along the room" if is_along else "across the room"


class PlanSketch(QWidget):
    """A room from above: strips, pens, trusses, runs."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._barn: Barn | None = None
        self.setMinimumHeight(120)

    def show_barn(self, barn: Barn | None) -> None:
        """Show a barn, or nothing."""
        self._barn = barn
        self.setAccessibleName("sketch of the room from above")
        self.update()

    def sizeHint(self) -> QSize:
        """Return a size for a dialog."""
        return QSize(420, 180)

    @guarded
    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw walls thick, pens thin, trusses dashed, runs in the accent colour."""
        theme = theme_of(self.palette())
        with QPainter(self) as painter:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.fillRect(self.rect(), QColor(theme.paper))
            if self._barn is not None:
                self._draw(painter, self._barn)

    def _draw(self, painter: QPainter, barn: Barn) -> None:
        theme, room = theme_of(self.palette()), barn.room
        area = QRectF(self.rect()).adjusted(_MARGIN, _MARGIN, -_MARGIN, -_MARGIN)
        scale = min(area.width() / room.length, area.height() / room.width)
        painter.translate(
            area.center().x() - room.length * scale / 2,
            area.center().y() - room.width * scale / 2,
        )
        faint = QPen(QColor(theme.faint), _SEEN, Qt.PenStyle.DotLine)
        painter.setPen(faint)
        for truss in truss_stations(room):
            ends = ((truss.x, 0.0), (truss.x, room.width))
            painter.drawPolyline(_scaled(ends, scale))
        painter.setPen(QPen(QColor(theme.plain), _SEEN))
        for pen in room.pens:
            painter.drawPolygon(_scaled(pen.outline, scale))
        painter.setPen(QPen(QColor(theme.accent), _CUT))
        for run in barn.runs:
            painter.drawPolyline(_scaled((run.start, run.end), scale))
        painter.setPen(QPen(QColor(theme.strong), _CUT))
        walls = QRectF(0.0, 0.0, room.length * scale, room.width * scale)
        painter.drawRect(walls)


def _scaled(points: Iterable[tuple[float, float]], scale: float) -> QPolygonF:
    return QPolygonF([QPointF(x * scale, y * scale) for x, y in points])


def _fitted(points: list[tuple[float, float]], area: QRectF) -> QPolygonF:
    """Fit an outline into an area, upright, in one scale for both directions."""
    width = max(x for x, _ in points)
    height = max(z for _, z in points)
    scale = min(area.width() / width, area.height() / height)
    left = area.center().x() - width * scale / 2
    return QPolygonF(
        [QPointF(left + x * scale, area.bottom() - z * scale) for x, z in points]
    )
