"""A page: its paper, frame, title block and calibration bar; all places are in mm.

Frame and borders after ISO 5457 (20 mm to bind, 10 mm else), title block after the
data fields of ISO 7200 on 180 mm, both from memory of the standards.
"""

from dataclasses import dataclass, field
from enum import StrEnum

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import (
    QBrush,
    QColor,
    QFont,
    QFontMetricsF,
    QPainter,
    QPen,
    QPolygonF,
    QTransform,
)

from core.drawing.records import Align
from core.quantities import LengthStyle
from viewer.paper.shapes import FAMILIES
from viewer.paper.theme import PRINT

__all__ = [
    "BAR_MM",
    "HEAD_HEIGHT",
    "Head",
    "Paper",
    "Sheet",
    "TextBox",
    "body_of",
    "metrics",
    "text_width",
]

BIND, EDGE = 20.0, 10.0
BLOCK_WIDTH, BLOCK_HEIGHT = 180.0, 20.0
HEAD_HEIGHT = 10.0  # the sheet's title at the top of the body
BAR_MM = {LengthStyle.FEET: 50.8, LengthStyle.MILLIMETRES: 50.0}
BAR_AT = 5.0  # from the frame's left and lower edges to the bar
BAR_HIGH = 2.0
_CAPITALS = 0.729  # height of capitals in DejaVu Sans' em, from its metrics
_TITLE_SHARE = 0.56  # of the width of a page
_LEAST = 1.8  # smallest letters
_UNITS = 100.0  # for measuring texts: font units per mm
_LIGATURES = QFont.Tag("liga")  # with them "off" is not found in a PDF file


class Paper(StrEnum):
    """A size of paper, landscape; ISO 216 and ANSI/ASME Y14.1."""

    A4 = "A4"
    LETTER = "Letter"
    A3 = "A3"
    TABLOID = "Tabloid"

    @property
    def size(self) -> tuple[float, float]:
        """Width and height, landscape [mm]."""
        return _SIZES[self]


_SIZES = {
    Paper.A4: (297.0, 210.0),
    Paper.LETTER: (279.4, 215.9),
    Paper.A3: (420.0, 297.0),
    Paper.TABLOID: (431.8, 279.4),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """What the title block of every sheet says."""

    job: str
    number: str
    revision: str
    date: str
    drawn_by: str
    digest: str
    style: LengthStyle


@dataclass(frozen=True, slots=True, kw_only=True)
class TextBox:
    """Where a text stands on its page [mm]."""

    words: str
    box: QRectF


def body_of(paper: Paper) -> QRectF:
    """Return the part of a page inside the frame and above the title block [mm]."""
    width, height = paper.size
    return QRectF(
        BIND + 3.0,
        EDGE + 3.0,
        width - BIND - EDGE - 6.0,
        height - 2.0 * EDGE - BLOCK_HEIGHT - 6.0,
    )


def _font(height: float, units: float, *, bold: bool = False) -> QFont:
    """Return the font whose capitals are so high [mm], at units per mm."""
    font = QFont()
    font.setFamilies(list(FAMILIES))
    font.setPixelSize(max(1, round(height * units / _CAPITALS)))
    font.setBold(bold)
    font.setFeature(_LIGATURES, 0)
    return font


def metrics(height: float, *, bold: bool = False) -> QFontMetricsF:
    """Return metrics of a text whose capitals are so high [mm], in 1/100 mm."""
    return QFontMetricsF(_font(height, _UNITS, bold=bold))


def text_width(words: str, height: float, *, bold: bool = False) -> float:
    """Return the width of a text [mm]."""
    return metrics(height, bold=bold).horizontalAdvance(words) / _UNITS


@dataclass(slots=True, kw_only=True)
class Sheet:
    """One page while it is painted; mutable, it notes where its texts stand.

    `mm` are the painter's units for a millimetre.
    """

    painter: QPainter
    mm: float
    paper: Paper
    head: Head
    title: str = ""
    number: int = 1
    count: int = 1
    boxes: list[TextBox] = field(default_factory=list)

    @property
    def body(self) -> QRectF:
        """The part of the page that is free for what it shows [mm]."""
        return body_of(self.paper)

    def text(
        self,
        x: float,
        y: float,
        words: str,
        *,
        height: float = 3.0,
        bold: bool = False,
        across: Align = Align.START,
        colour: str = PRINT.strong,
        degrees: float = 0.0,
    ) -> None:
        """Write one line with its baseline at y; `height` is that of capitals."""
        if not words:
            return
        width = text_width(words, height, bold=bold)
        shift = {Align.START: 0.0, Align.MIDDLE: -width / 2, Align.END: -width}[across]
        at = QTransform().translate(x, y).rotate(degrees)
        box = at.mapRect(QRectF(shift, -height, width, 1.25 * height))
        self.boxes.append(TextBox(words=words, box=box))
        painter = self.painter
        painter.save()
        painter.translate(x * self.mm, y * self.mm)
        painter.rotate(degrees)
        painter.setFont(_font(height, self.mm, bold=bold))
        painter.setPen(QColor(colour))
        painter.drawText(QPointF(shift * self.mm, 0.0), words)
        painter.restore()

    def fitted(
        self,
        x: float,
        y: float,
        words: str,
        room: float,
        *,
        height: float,
        bold: bool = False,
        across: Align = Align.START,
    ) -> None:
        """Write one line into a width: smaller, and cut short, where it must be."""
        while height > _LEAST and text_width(words, height, bold=bold) > room:
            height -= 0.1
        while len(words) > 1 and text_width(words, height, bold=bold) > room:
            words = words[:-2].rstrip() + "…"
        self.text(x, y, words, height=height, bold=bold, across=across)

    def aside(self, words: str) -> None:
        """Write something at the right of the sheet's title, such as a scale."""
        body = self.body
        title = text_width(self.title, 5.0, bold=True)
        room = body.width() - min(title, _TITLE_SHARE * body.width()) - 5.0
        y = body.top() + 6.0
        self.fitted(body.right(), y, words, room, height=3.2, across=Align.END)

    def line(
        self,
        x0: float,
        y0: float,
        x1: float,
        y1: float,
        *,
        width: float = 0.25,
        colour: str = PRINT.strong,
    ) -> None:
        """Draw a straight line."""
        self._pen(width, colour)
        self.painter.drawLine(
            QPointF(x0 * self.mm, y0 * self.mm), QPointF(x1 * self.mm, y1 * self.mm)
        )

    def rectangle(
        self,
        box: QRectF,
        *,
        width: float = 0.25,
        fill: str | None = None,
        colour: str = PRINT.strong,
    ) -> None:
        """Draw a rectangle; a width of 0 leaves its edge out."""
        self._pen(width, colour)
        if width == 0.0:
            self.painter.setPen(Qt.PenStyle.NoPen)
        brush = QBrush(QColor(fill)) if fill else QBrush(Qt.BrushStyle.NoBrush)
        self.painter.setBrush(brush)
        self.painter.drawRect(self.scaled(box))

    def polygon(self, corners: list[tuple[float, float]], *, fill: str) -> None:
        """Fill a polygon."""
        self.painter.setPen(Qt.PenStyle.NoPen)
        self.painter.setBrush(QColor(fill))
        points = [QPointF(x * self.mm, y * self.mm) for x, y in corners]
        self.painter.drawPolygon(QPolygonF(points))

    def scaled(self, box: QRectF) -> QRectF:
        """Return a rectangle in the painter's units."""
        return QRectF(
            box.x() * self.mm,
            box.y() * self.mm,
            box.width() * self.mm,
            box.height() * self.mm,
        )

    def _pen(self, width: float, colour: str) -> None:
        pen = QPen(QColor(colour))
        pen.setWidthF(width * self.mm)
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)
        pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
        self.painter.setPen(pen)
        self.painter.setBrush(Qt.BrushStyle.NoBrush)

    # ----- what every page has -----

    def furnish(self) -> None:
        """Draw frame, sheet title, title block and calibration bar."""
        width, height = self.paper.size
        frame = QRectF(BIND, EDGE, width - BIND - EDGE, height - 2.0 * EDGE)
        self.rectangle(frame, width=0.7)
        body = self.body
        room = _TITLE_SHARE * body.width()
        y = body.top() + 6.0
        self.fitted(body.left(), y, self.title, room, height=5.0, bold=True)
        self._title_block(frame)
        self._bar(frame)

    def _title_block(self, frame: QRectF) -> None:
        left, top = frame.right() - BLOCK_WIDTH, frame.bottom() - BLOCK_HEIGHT
        half = BLOCK_HEIGHT / 2
        self.line(frame.left(), top, frame.right(), top, width=0.35)
        self.line(left, top, left, frame.bottom(), width=0.35)
        self.line(left, top + half, frame.right(), top + half)
        head = self.head
        upper = (("Job", head.job, 96.0), ("Sheet", self.title, 84.0))
        lower = (
            ("Drawn by", head.drawn_by, 38.0),
            ("Date", head.date, 28.0),
            ("Rev.", head.revision, 14.0),
            ("Number", head.number, 30.0),
            ("Barn file's digest", head.digest, 44.0),
            ("Page", f"{self.number} / {self.count}", 26.0),
        )
        self._row(left, top, upper)
        self._row(left, top + half, lower)

    def _row(
        self, left: float, top: float, cells: tuple[tuple[str, str, float], ...]
    ) -> None:
        for caption, words, room in cells:
            self.text(left + 1.5, top + 3.2, caption, height=_LEAST)
            self.fitted(left + 1.5, top + 8.3, words, room - 3.0, height=3.0)
            left += room
            if room != cells[-1][2] or caption != cells[-1][0]:
                self.line(left, top, left, top + BLOCK_HEIGHT / 2)

    def _bar(self, frame: QRectF) -> None:
        """Draw a bar to be measured on the print, in four parts."""
        style = self.head.style
        metric = style is LengthStyle.MILLIMETRES
        long = BAR_MM[LengthStyle.MILLIMETRES if metric else LengthStyle.FEET]
        x, y = frame.left() + BAR_AT, frame.bottom() - BAR_AT - BAR_HIGH
        for part in range(4):
            box = QRectF(x + part * long / 4, y, long / 4, BAR_HIGH)
            fill = PRINT.strong if part % 2 == 0 else None
            self.rectangle(box, width=0.0, fill=fill)
        self.line(x, y + BAR_HIGH - 0.1, x + long, y + BAR_HIGH - 0.1, width=0.2)
        self.line(x, y + 0.1, x + long, y + 0.1, width=0.2)
        self.line(x + long - 0.1, y, x + long - 0.1, y + BAR_HIGH, width=0.2)
        words = "50 mm" if metric else "2 in"
        room = frame.right() - BLOCK_WIDTH - x - 2.0
        self.fitted(x, y - 5.4, f"This bar is {words} long.", room, height=2.5)
        self.fitted(x, y - 1.6, "If not, print again at 100 %.", room, height=2.5)
