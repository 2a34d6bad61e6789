"""Rulers along the edges of a sheet, and its scale bar."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFont, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from core.quantities import LengthStyle, format_length
from viewer.paper.guarded import guarded
from viewer.paper.shapes import FAMILIES
from viewer.paper.theme import LIGHT, Theme

__all__ = ["Ruler", "Tick", "scale_bar", "ticks"]

_MILLIMETRE = 1.0 / 25.4  # [in]
# steps of the long ticks with the number of parts between two
_FEET_STEPS = (
    (1.0, 4), (3.0, 3), (6.0, 6), (12.0, 4), (24.0, 4), (60.0, 5), (120.0, 10),
    (240.0, 4), (600.0, 5), (1200.0, 10), (2400.0, 4), (6000.0, 5),
)  # fmt: skip
_METRIC_STEPS = tuple(
    (step * 10.0**power * _MILLIMETRE, parts)
    for power in range(5)
    for step, parts in ((10.0, 10), (20.0, 4), (50.0, 5))
)
_APART = 64.0  # least room for a label [px]
_BREADTH = 20  # of a ruler [px]
_LETTERS = 10  # height of the font [px]
_BAR = 140.0  # greatest length of the scale bar [px]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tick:
    """A tick at a place [in]; a short one has no words."""

    at: float
    words: str = ""


def _step(scale: float, style: LengthStyle, apart: float) -> tuple[float, int]:
    metric = style is LengthStyle.MILLIMETRES
    steps = _METRIC_STEPS if metric else _FEET_STEPS
    for step, parts in steps:
        if step * scale >= apart:
            return step, parts
    return steps[-1]


def ticks(
    low: float, high: float, *, scale: float, style: LengthStyle
) -> Iterator[Tick]:
    """Yield the ticks of a ruler.

    Parameters
    ----------
    low, high : float
        Ends of what is seen [in].
    scale : float
        Pixels per inch, > 0.
    style : LengthStyle
        How lengths are written.
    """
    step, parts = _step(scale, style, _APART)
    short = step / parts
    for index in range(math.ceil(low / short), math.floor(high / short) + 1):
        is_long = index % parts == 0
        at = index * short
        words = _short(format_length(at, style=style)) if is_long else ""
        yield Tick(at=at, words=words)


def _short(words: str) -> str:
    """Leave out inches that are none."""
    return words.removesuffix(" 0 in") if "ft" in words else words


class Ruler(QWidget):
    """A ruler along the upper or the left edge; it shows what is seen and where.

    `sign` is -1 where the ruler's numbers grow downwards.
    """

    def __init__(self, orientation: Qt.Orientation, *, sign: int = 1) -> None:
        super().__init__()
        self._orientation = orientation
        self._sign = sign
        self._low, self._high = 0.0, 1.0
        self._pointer: float | None = None
        self._theme, self._style = LIGHT, LengthStyle.FEET
        fixed, free = QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Ignored
        across = orientation == Qt.Orientation.Horizontal
        self.setSizePolicy(free if across else fixed, fixed if across else free)

    def sizeHint(self) -> QSize:
        """Be as broad as the words need."""
        return QSize(_BREADTH, _BREADTH)

    def show_range(
        self, low: float, high: float, *, theme: Theme, style: LengthStyle
    ) -> None:
        """Show the part of the plane from low to high [in]."""
        self._low, self._high = low, high
        self._theme, self._style = theme, style
        self.update()

    def show_pointer(self, at: float | None) -> None:
        """Mark where the pointer is [in], None for nowhere."""
        old, self._pointer = self._pointer, at
        for place in (old, at):
            if place is not None:
                self.update(self._pointer_box(place))

    def _pointer_box(self, at: float) -> QRect:
        pixel = round(self._pixel(at))
        if self._is_across:
            return QRect(pixel - 3, 0, 7, self.height())
        return QRect(0, pixel - 3, self.width(), 7)

    @property
    def _is_across(self) -> bool:
        return self._orientation == Qt.Orientation.Horizontal

    def _pixel(self, at: float) -> float:
        span = self._high - self._low
        if self._is_across:
            return (at - self._low) / span * self.width()
        return (self._high - at) / span * self.height()

    @guarded
    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint ticks, words and the pointer's mark."""
        with QPainter(self) as painter:
            painter.setClipRegion(event.region())
            painter.fillRect(self.rect(), QColor(self._theme.paper))
            painter.setPen(QPen(QColor(self._theme.plain)))
            painter.setFont(_font())
            for tick in self._ticks_in(event.rect()):
                self._paint_tick(painter, tick)
            if self._pointer is not None:
                self._paint_pointer(painter)

    def _ticks_in(self, box: QRect) -> Iterator[Tick]:
        """Yield the ticks whose line or words may lie in a box of pixels."""
        length = self.width() if self._is_across else self.height()
        scale = length / (self._high - self._low)
        if self._is_across:
            low = self._low + (box.left() - _APART) / scale
            high = self._low + (box.right() + 1) / scale
        else:
            low = self._high - (box.bottom() + _APART) / scale
            high = self._high - (box.top() - 1) / scale
        ends = sorted((self._sign * low, self._sign * high))
        return ticks(ends[0], ends[1], scale=scale, style=self._style)

    def _paint_tick(self, painter: QPainter, tick: Tick) -> None:
        pixel = self._pixel(self._sign * tick.at)
        reach = _BREADTH * (0.45 if tick.words else 0.2)
        if self._is_across:
            foot = QPointF(pixel, self.height())
            painter.drawLine(foot, QPointF(pixel, self.height() - reach))
            painter.drawText(QPointF(pixel + 3.0, _LETTERS), tick.words)
            return
        foot = QPointF(self.width(), pixel)
        painter.drawLine(foot, QPointF(self.width() - reach, pixel))
        if tick.words:
            painter.save()
            painter.translate(_LETTERS, pixel - 3.0)
            painter.rotate(-90.0)
            painter.drawText(QPointF(0.0, 0.0), tick.words)
            painter.restore()

    def _paint_pointer(self, painter: QPainter) -> None:
        pixel = self._pixel(self._pointer or 0.0)
        painter.setPen(QPen(QColor(self._theme.accent), 2.0))
        if self._is_across:
            painter.drawLine(QPointF(pixel, 0.0), QPointF(pixel, self.height()))
        else:
            painter.drawLine(QPointF(0.0, pixel), QPointF(self.width(), pixel))


def _font() -> QFont:
    font = QFont()
    font.setFamilies(list(FAMILIES))
    font.setPixelSize(_LETTERS)
    return font


def scale_bar(
    painter: QPainter, where: QRect, *, scale: float, style: LengthStyle, theme: Theme
) -> None:
    """Paint a bar of a round length in the lower left corner.

    Parameters
    ----------
    painter : QPainter
        In logical pixels.
    where : QRect
        The sheet.
    scale : float
        Pixels per inch.
    style : LengthStyle
        How its length is written.
    theme : Theme
        Its colours.
    """
    step, _ = _step(scale, style, _BAR / 4)
    width = step * scale
    box = QRectF(where.left() + 14.0, where.bottom() - 14.0, width, 4.0)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=False)
    painter.setPen(QPen(QColor(theme.strong)))
    painter.setBrush(QColor(theme.paper))
    painter.drawRect(box)
    painter.fillRect(
        QRectF(box.left(), box.top(), width / 2, box.height()), QColor(theme.strong)
    )
    painter.setFont(_font())
    words = _short(format_length(step, style=style))
    painter.drawText(QPointF(box.left(), box.top() - 4.0), words)
