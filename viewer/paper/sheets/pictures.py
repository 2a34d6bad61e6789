"""Any view as SVG or PNG, from the same records as the screen and the sheets."""

from PySide6.QtCore import QBuffer, QIODevice, QPoint, QPointF, QRect, QRectF, QSize
from PySide6.QtGui import QImage, QPainter
from PySide6.QtSvg import QSvgGenerator

from core.drawing.records import Drawing
from core.errors import NotWrittenError
from core.quantities import LengthStyle
from viewer.paper.sheets.views import Picture, paint_window
from viewer.paper.theme import PRINT

__all__ = ["drawing_png", "drawing_svg"]

_SVG_DPI = 2540  # 100 units a millimetre
_PNG_DPI = 150.0  # how large a millimetre of the paper is taken, for lines and letters
_LARGEST = 16_000  # pixels a side


def drawing_svg(
    drawing: Drawing,
    *,
    scale: float,
    style: LengthStyle,
    cautions: frozenset[str] = frozenset(),
) -> bytes:
    """Return a drawing as SVG, as large as it is at its scale; its texts stay text.

    Parameters
    ----------
    drawing : Drawing
        The records; handles are left out.
    scale : float
        96 for 1:96 [-].
    style : LengthStyle
        How lengths are written.
    cautions : frozenset of str
        Numbers of the findings that are only cautions.
    """
    mm = _SVG_DPI / 25.4
    picture = Picture.of(drawing, scale=scale, mm=mm, style=style, cautions=cautions)
    size = _size(drawing, picture.scale.inch)
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    generator = QSvgGenerator()
    generator.setOutputDevice(buffer)
    generator.setResolution(_SVG_DPI)
    generator.setSize(size)
    generator.setViewBox(QRect(QPoint(), size))
    _paint(QPainter(generator), picture, drawing, size)
    return bytes(buffer.data().data())


def drawing_png(
    drawing: Drawing,
    *,
    width: int,
    style: LengthStyle,
    cautions: frozenset[str] = frozenset(),
) -> bytes:
    """Return a drawing as PNG.

    Parameters
    ----------
    drawing : Drawing
        The records; handles are left out.
    width : int
        Width of the picture [px].
    style, cautions
        As for `drawing_svg`.

    Raises
    ------
    NotWrittenError
        If there is no memory for a picture so large.
    """
    (u0, _), (u1, _) = drawing.bounds.low, drawing.bounds.high
    inch, mm = min(width, _LARGEST) / (u1 - u0), _PNG_DPI / 25.4
    scale = 25.4 * mm / inch
    picture = Picture.of(drawing, scale=scale, mm=mm, style=style, cautions=cautions)
    size = _size(drawing, inch)
    image = QImage(size, QImage.Format.Format_RGB32)
    image.fill(PRINT.paper)
    _paint(QPainter(image), picture, drawing, size)
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    if not image.save(buffer, "PNG"):  # type: ignore[call-overload]  # takes a device
        msg = "the picture could not be made; choose a smaller one"
        raise NotWrittenError(msg)
    return bytes(buffer.data().data())


def _size(drawing: Drawing, inch: float) -> QSize:
    """Return the size of a drawing in the units of its painter."""
    (u0, v0), (u1, v1) = drawing.bounds.low, drawing.bounds.high
    return QSize(max(round((u1 - u0) * inch), 1), max(round((v1 - v0) * inch), 1))


def _paint(painter: QPainter, picture: Picture, drawing: Drawing, size: QSize) -> None:
    inch = picture.scale.inch
    origin = QPointF(-drawing.bounds.low[0] * inch, drawing.bounds.high[1] * inch)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    box = QRectF(0.0, 0.0, size.width(), size.height())
    paint_window(painter, picture, box, origin=origin)
    painter.end()
