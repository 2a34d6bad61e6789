"""From records to what a QPainter takes, in page units about the plane's origin.

The page has v downwards. `Scale` says how many page units an inch of the plane and
a millimetre of the paper are; shapes are made once for a record and a scale.
"""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from pyqtgraph.functions import arrayToQPath, arrayToQPolygonF
from PySide6.QtCore import QPointF, QRect, QRectF
from PySide6.QtGui import QFont, QFontMetricsF, QPainterPath, QPolygonF, QTransform

from core.drawing.dimensions import laid_out
from core.drawing.linework import LINEWORK, Hatch, Layer
from core.drawing.markers import marker_lines
from core.drawing.records import (
    Align,
    Arc,
    Circle,
    Dimension,
    Group,
    Handle,
    Marker,
    MarkerKind,
    Polygon,
    Polyline,
    Record,
    Role,
    Sizing,
    Strokes,
    Text,
    worded,
)
from core.geometry.shapes import FloatArray, Vec2
from core.quantities import LengthStyle
from viewer.paper.hatching import hatch_face

__all__ = ["Lettering", "Scale", "Shape", "record_shapes", "shapes_of"]

HANDLE_MM = 2.2  # side of a handle's square
_DIMENSION_MM = 2.5
_CAPITALS = 0.72  # height of capitals in a font's pixel size [-], from memory
_UNSEEN = 0.05  # a corner this far off its neighbours' line is left out, page units
_FEW = 8  # corners up to which they are handed over one by one
_MARGIN = 2.0  # round a shape for what is smoothed, in pixels of a screen
_WIDER = 8.0  # and for its line's width when chosen, with pointed corners, per mm
_LIGATURES = QFont.Tag("liga")  # with them "off" is not found in a PDF file
FAMILIES = ("DejaVu Sans", "Segoe UI", "Helvetica Neue", "Arial")


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """Page units per inch of the plane and per millimetre of paper; length style."""

    inch: float
    mm: float
    style: LengthStyle = LengthStyle.FEET

    @property
    def mm_in_plane(self) -> float:
        """One millimetre of paper in the plane [in]."""
        return self.mm / self.inch


@dataclass(frozen=True, slots=True, kw_only=True)
class Lettering:
    """One line of text: where it is, how it is turned, and where it is written from.

    `place` is the lower left end of the text's baseline about `at`, before the
    turn by `degrees` (positive clockwise, as QPainter turns).
    """

    words: str
    font: QFont
    at: QPointF
    place: QPointF
    box: QRectF
    degrees: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shape:
    """What is painted for one record: fill, hatch, line, lettering, in that order.

    `box` holds all of it; `layer` is its place in the painting order.
    """

    role: Role
    owner: str
    part: str
    box: QRect
    layer: Layer
    face: QPainterPath | None = None
    hatch: QPainterPath | None = None
    line: QPainterPath | None = None
    is_open: bool = False  # a line that is never filled
    lettering: Lettering | None = None


def shapes_of(group: Group, scale: Scale) -> tuple[Shape, ...]:
    """Return the shapes of a group's records at a scale, in their order."""
    return tuple(s for record in group.records for s in record_shapes(record, scale))


def record_shapes(record: Record, scale: Scale) -> Iterator[Shape]:
    """Yield the shapes of a record at a scale, in their order."""
    match record:
        case Text():
            yield _text_shape(record, scale)
        case Dimension():
            yield from _dimension_shapes(record, scale)
        case Marker():
            yield _marker_shape(record, scale)
        case Polyline() | Strokes() | Arc():
            yield _shape(record, line=_line(record, scale), is_open=True)
        case _:
            yield _face_shape(record, scale)


def _line(record: Polyline | Strokes | Arc, scale: Scale) -> QPainterPath:
    match record:
        case Polyline():
            return _path(record.points, scale, closed=record.closed)
        case Strokes():
            return _strokes(record.segments, scale)
        case Arc():
            return _arc(record, scale)


def _face_shape(record: Polygon | Circle | Handle, scale: Scale) -> Shape:
    match record:
        case Polygon():
            return _polygon_shape(record, scale)
        case Circle():
            return _shape(record, face=_disc(record.center, record.radius, scale))
        case Handle():
            return _shape(record, face=_handle(record.at, scale))


def _shape(
    record: Record,
    *,
    face: QPainterPath | None = None,
    hatch: QPainterPath | None = None,
    line: QPainterPath | None = None,
    is_open: bool = False,
    lettering: Lettering | None = None,
    box: QRectF | None = None,
) -> Shape:
    outline = face if face is not None else line
    if box is None:
        box = QRectF() if outline is None else outline.controlPointRect()
    margin = _MARGIN + _WIDER * LINEWORK[record.role].width
    return Shape(
        role=record.role,
        owner=record.owner,
        part=record.part,
        box=box.adjusted(-margin, -margin, margin, margin).toAlignedRect(),
        layer=LINEWORK[record.role].layer,
        face=face,
        hatch=hatch,
        line=line if line is not None else face,
        is_open=is_open,
        lettering=lettering,
    )


def _page(points: FloatArray, scale: Scale) -> FloatArray:
    """Return plane points in page units, v downwards."""
    return points * (scale.inch, -scale.inch)


def _point(at: Vec2, scale: Scale) -> QPointF:
    return QPointF(at[0] * scale.inch, -at[1] * scale.inch)


def _path(points: FloatArray, scale: Scale, *, closed: bool) -> QPainterPath:
    path = QPainterPath()
    page = _page(points, scale)
    if len(page) > _FEW:
        page = _thinned(page)
        path.addPolygon(arrayToQPolygonF(page[:, 0], page[:, 1]))
    else:
        path.addPolygon(QPolygonF([QPointF(u, v) for u, v in page.tolist()]))
    if closed:
        path.closeSubpath()
    return path


def _thinned(page: FloatArray) -> FloatArray:
    """Leave out corners that nobody can see, half of all in one pass."""
    while len(page) > _FEW:
        before, here, after = page[:-2:2], page[1:-1:2], page[2::2]
        way = after - before
        square = np.maximum((way * way).sum(axis=1), 1e-12)
        share = ((here - before) * way).sum(axis=1) / square
        off = here - before - share[:, None] * way
        is_seen = (off * off).sum(axis=1) > _UNSEEN**2
        is_seen |= (share < 0.0) | (share > 1.0)
        if is_seen.all():
            return page
        kept = np.ones(len(page), dtype=bool)
        kept[1:-1:2] = is_seen
        page = page[kept]
    return page


def _joined(lines: Iterable[FloatArray], scale: Scale) -> QPainterPath:
    path = QPainterPath()
    for line in lines:
        path.addPath(_path(line, scale, closed=False))
    return path


def _strokes(segments: FloatArray, scale: Scale) -> QPainterPath:
    """Return many separate lines `(n, 2, 2)` as one path."""
    if not len(segments):
        return QPainterPath()
    points = _page(segments.reshape(-1, 2), scale)
    path: QPainterPath = arrayToQPath(
        np.ascontiguousarray(points[:, 0]),
        np.ascontiguousarray(points[:, 1]),
        connect="pairs",
        finiteCheck=False,
    )
    return path


def _polygon_shape(record: Polygon, scale: Scale) -> Shape:
    face = _path(record.outline, scale, closed=True)
    for hole in record.holes:
        face.addPath(_path(hole, scale, closed=True))
    rings = (record.outline, *record.holes)
    hatch = LINEWORK[record.role].hatch
    lines = _face_hatch(rings, hatch, scale) if hatch else None
    return _shape(record, face=face, hatch=lines)


def _face_hatch(
    rings: tuple[FloatArray, ...], hatch: Hatch, scale: Scale
) -> QPainterPath:
    path = QPainterPath()
    for angle in hatch.angles:
        lines = hatch_face(
            rings,
            spacing=hatch.spacing * scale.mm_in_plane,
            angle=math.radians(angle),
        )
        path.addPath(_strokes(lines, scale))
    return path


def _disc(center: Vec2, radius: float, scale: Scale) -> QPainterPath:
    path = QPainterPath()
    reach = radius * scale.inch
    path.addEllipse(_point(center, scale), reach, reach)
    return path


def _arc(record: Arc, scale: Scale) -> QPainterPath:
    path = QPainterPath()
    center, reach = _point(record.center, scale), record.radius * scale.inch
    box = QRectF(center.x() - reach, center.y() - reach, 2.0 * reach, 2.0 * reach)
    start, sweep = math.degrees(record.start), math.degrees(record.sweep)
    path.arcMoveTo(box, start)
    path.arcTo(box, start, sweep)
    return path


def _handle(at: Vec2, scale: Scale) -> QPainterPath:
    path = QPainterPath()
    half, center = HANDLE_MM / 2 * scale.mm, _point(at, scale)
    path.addRect(QRectF(center.x() - half, center.y() - half, 2.0 * half, 2.0 * half))
    return path


def _marker_shape(record: Marker, scale: Scale) -> Shape:
    """Return a marker; its first line is a face where that is closed."""
    size = max(record.size, record.least_mm * scale.mm_in_plane) * scale.inch
    face, line, box = _marker_paths(record.kind, round(size, 2), round(record.angle, 4))
    at = _point(record.at, scale)
    return _shape(
        record,
        face=face.translated(at) if face is not None else None,
        line=line.translated(at),
        is_open=face is None,
        box=box.translated(at),
    )


@lru_cache(maxsize=512)
def _marker_paths(
    kind: MarkerKind, size: float, angle: float
) -> tuple[QPainterPath | None, QPainterPath, QRectF]:
    """Return face, lines and box of a marker about its middle, in page units."""
    marker = Marker(role=Role.HOIST, kind=kind, at=(0.0, 0.0), size=size, angle=angle)
    lines = marker_lines(marker, mm=0.0)
    unit = Scale(inch=1.0, mm=1.0)
    line = _joined(lines, unit)
    is_closed = bool(np.allclose(lines[0][0], lines[0][-1]))
    face = _path(lines[0], unit, closed=True) if is_closed else None
    return face, line, line.controlPointRect()


@lru_cache(maxsize=64)
def _font(pixels: int) -> QFont:
    font = QFont()
    font.setFamilies(list(FAMILIES))
    font.setPixelSize(pixels)
    font.setFeature(_LIGATURES, 0)
    return font


@lru_cache(maxsize=4096)
def _width(words: str, pixels: int) -> float:
    return QFontMetricsF(_font(pixels)).horizontalAdvance(words)


def _lettering(
    words: str,
    at: QPointF,
    *,
    height: float,
    across: Align,
    upright: Align,
    angle: float,
) -> Lettering:
    """Set a text of a height of capitals, in page units, about a point."""
    pixels = max(1, round(height / _CAPITALS))
    width = _width(words, pixels)
    u = {Align.START: 0.0, Align.MIDDLE: -width / 2, Align.END: -width}[across]
    v = {Align.START: 0.0, Align.MIDDLE: height / 2, Align.END: height}[upright]
    pad = 0.35 * height
    box = QRectF(u - pad, v - height - pad, width + 2 * pad, height + 2 * pad)
    return Lettering(
        words=words,
        font=_font(pixels),
        at=at,
        place=QPointF(u, v),
        box=box,
        degrees=-math.degrees(angle),
    )


def _text_box(text: Lettering) -> QRectF:
    turn = QTransform.fromTranslate(text.at.x(), text.at.y()).rotate(text.degrees)
    return turn.mapRect(text.box)


def _text_shape(record: Text, scale: Scale) -> Shape:
    unit = scale.mm if record.sizing is Sizing.PAPER_MM else scale.inch
    text = _lettering(
        worded(record.parts, style=scale.style),
        _point(record.at, scale),
        height=record.size * unit,
        across=record.across,
        upright=record.upright,
        angle=record.angle,
    )
    return _shape(record, lettering=text, is_open=True, box=_text_box(text))


def _dimension_shapes(record: Dimension, scale: Scale) -> Iterator[Shape]:
    layout = laid_out(record, mm=scale.mm_in_plane)
    lines = _strokes(np.array((*layout.lines, *layout.strokes)), scale)
    yield _shape(record, line=lines, is_open=True)
    text = _lettering(
        record.prefix + worded((record.value,), style=scale.style),
        _point(layout.text_at, scale),
        height=_DIMENSION_MM * scale.mm,
        across=Align.MIDDLE,
        upright=Align.MIDDLE,
        angle=layout.text_angle,
    )
    yield _shape(record, lettering=text, is_open=True, box=_text_box(text))
