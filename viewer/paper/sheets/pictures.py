"""Any view as SVG or PNG, from the same records as the screen and the sheets."""

from collections.abc import Iterable

from PySide6.QtCore import QBuffer, QIODevice, QPointF, QRect, QSize
from PySide6.QtGui import QImage, QPainter
from PySide6.QtSvg import QSvgGenerator

from core.drawing.records import Drawing, Group, Record
from core.errors import NotWrittenError
from core.quantities import LengthStyle
from viewer.paper.painter import Look, paint_drawing
from viewer.paper.shapes import Scale
from viewer.paper.theme import PRINT, Theme

__all__ = ["drawing_png", "drawing_svg"]

_SVG_DPI = 2540  # 100 units a millimetre
_LARGEST = 16_000  # pixels a side


def drawing_svg(
    drawing: Drawing,
    *,
    scale: float,
    style: LengthStyle,
    extra: Iterable[Record] = (),
    cautions: frozenset[str] = frozenset(),
    theme: Theme = PRINT,
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
    extra : iterable of Record
        More records of the same plane, such as dimensions.
    cautions : frozenset of str
        Numbers of the findings that are only cautions.
    theme : Theme
        The colours.
    """
    units = Scale(inch=_SVG_DPI / scale, mm=_SVG_DPI / 25.4, style=style)
    size, origin = _extent(drawing, units.inch)
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    generator = QSvgGenerator()
    generator.setOutputDevice(buffer)
    generator.setResolution(_SVG_DPI)
    generator.setSize(size)
    generator.setViewBox(QRect(0, 0, size.width(), size.height()))
    painter = QPainter(generator)
    look = Look(theme=theme, cautions=cautions, on_screen=False)
    painted = _with_notes(drawing, extra)
    paint_drawing(painter, painted, look=look, scale=units, origin=origin)
    painter.end()
    return bytes(buffer.data().data())


def drawing_png(
    drawing: Drawing,
    *,
    width: int,
    style: LengthStyle,
    dots_per_inch: float = 150.0,
    extra: Iterable[Record] = (),
    cautions: frozenset[str] = frozenset(),
    theme: Theme = PRINT,
) -> bytes:
    """Return a drawing as PNG.

    Parameters
    ----------
    drawing : Drawing
        The records; handles are left out.
    width : int
        Width of the picture [px].
    style : LengthStyle
        How lengths are written.
    dots_per_inch : float
        How large a millimetre of the paper is taken, for lines and letters.
    extra, cautions, theme
        As for `drawing_svg`.
    """
    (u0, _), (u1, _) = drawing.bounds.low, drawing.bounds.high
    inch = min(width, _LARGEST) / (u1 - u0)
    units = Scale(inch=inch, mm=dots_per_inch / 25.4, style=style)
    size, origin = _extent(drawing, inch)
    image = QImage(size, QImage.Format.Format_RGB32)
    image.fill(theme.paper)
    painter = QPainter(image)
    look = Look(theme=theme, cautions=cautions, on_screen=False)
    painted = _with_notes(drawing, extra)
    paint_drawing(painter, painted, look=look, scale=units, origin=origin)
    painter.end()
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    if not image.save(buffer, "PNG"):  # type: ignore[call-overload]  # takes a device
        msg = "the picture could not be made; choose a smaller one"
        raise NotWrittenError(msg)
    return bytes(buffer.data().data())


def _extent(drawing: Drawing, inch: float) -> tuple[QSize, QPointF]:
    """Return the size of a drawing and where its plane's origin is, in page units."""
    (u0, v0), (u1, v1) = drawing.bounds.low, drawing.bounds.high
    size = QSize(max(round((u1 - u0) * inch), 1), max(round((v1 - v0) * inch), 1))
    return size, QPointF(-u0 * inch, v1 * inch)


def _with_notes(drawing: Drawing, extra: Iterable[Record]) -> Drawing:
    groups = tuple(g for g in drawing.groups if g.key[0] != "handles")
    notes = Group(key=("notes", ""), records=tuple(extra))
    return Drawing(groups=(*groups, notes), bounds=drawing.bounds, frame=drawing.frame)
