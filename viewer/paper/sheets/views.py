"""A window of a drawing on a page, to a true scale, its texts kept clear."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter, QTransform

from core.drawing.linework import Layer
from core.drawing.records import Bounds, Drawing, Group, Record, Role
from core.geometry.shapes import Vec2
from core.quantities import LengthStyle
from viewer.paper.painter import Look, Painter, ordered, tier_of
from viewer.paper.shapes import Lettering, Scale, Shape, shapes_of
from viewer.paper.sheets.page import Sheet, TextBox
from viewer.paper.theme import PRINT

__all__ = ["Picture", "View", "paint_view", "paint_window"]

_FIRST = (Role.DIMENSION, Role.WITNESS)
_SHIFTS = ((0.0, 0.0), (0.0, -1.0), (0.0, 1.0), (1.0, 0.0), (-1.0, 0.0))
_STEPS = (1.0, 1.6, 2.4)
_APART = 0.3  # between two texts [mm]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Picture:
    """A drawing made ready for one scale, to be painted through many windows."""

    shapes: tuple[Shape, ...]
    scale: Scale
    cautions: frozenset[str]

    @classmethod
    def of(
        cls,
        drawing: Drawing,
        *,
        scale: float,
        mm: float,
        style: LengthStyle,
        extra: Iterable[Record] = (),
        cautions: frozenset[str] = frozenset(),
    ) -> "Picture":
        """Make the shapes of a drawing at 1:scale, `mm` page units a millimetre."""
        units = Scale(inch=25.4 * mm / scale, mm=mm, style=style)
        groups = [g for g in drawing.groups if g.key[0] != "handles"]
        groups.append(Group(key=("notes", ""), records=tuple(extra)))
        made = [(tier_of(group), shapes_of(group, units)) for group in groups]
        return cls(shapes=tuple(ordered(made)), scale=units, cautions=cautions)

    def with_notes(self, notes: Iterable[Record]) -> "Picture":
        """Return the picture with more records on top."""
        group = Group(key=("notes", ""), records=tuple(notes))
        return replace(self, shapes=(*self.shapes, *shapes_of(group, self.scale)))


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """Where a window of the plane [in] lies on the page: its lower left corner [mm]."""

    window: Bounds
    left: float
    bottom: float
    scale: float

    def x(self, u: float) -> float:
        """Return where u [in] is on the page [mm]."""
        return self.left + (u - self.window.low[0]) * 25.4 / self.scale

    def y(self, v: float) -> float:
        """Return where v [in] is on the page [mm]."""
        return self.bottom - (v - self.window.low[1]) * 25.4 / self.scale

    @property
    def box(self) -> QRectF:
        """The window on the page [mm]."""
        (u0, v0), (u1, v1) = self.window.low, self.window.high
        return QRectF(QPointF(self.x(u0), self.y(v1)), QPointF(self.x(u1), self.y(v0)))


def paint_view(sheet: Sheet, picture: Picture, view: View) -> None:
    """Paint what of a picture is seen in a view's window on a page."""
    origin = QPointF(view.x(0.0) * sheet.mm, view.y(0.0) * sheet.mm)
    box = sheet.scaled(view.box)
    for text in paint_window(sheet.painter, picture, box, origin=origin):
        place = _box(text).translated(origin)
        sheet.boxes.append(_text_box(text, place, sheet.mm))


def paint_window(
    painter: QPainter, picture: Picture, box: QRectF, *, origin: QPointF
) -> tuple[Lettering, ...]:
    """Paint what of a picture is seen through a rectangle, and return its texts.

    Lines end at the rectangle. Texts that do not fit in it whole are left out; those
    that would stand on one another are moved a little, or left out.

    Parameters
    ----------
    painter : QPainter
        In the units of the picture's scale.
    picture : Picture
        What is painted.
    box : QRectF
        The rectangle, in the painter's units.
    origin : QPointF
        Where the plane's origin is, in the painter's units.
    """
    window = box.translated(-origin)
    seen = [s for s in picture.shapes if window.intersects(QRectF(s.box))]
    lines = [s for s in seen if s.lettering is None]
    written = [s for s in seen if s.lettering]
    texts = [*_clear_texts(written, window, picture.scale.mm)]
    look = Look(theme=PRINT, cautions=picture.cautions, on_screen=False)
    kit = Painter(look=look, scale=picture.scale)
    painter.save()
    painter.setClipRect(box)
    painter.translate(origin)
    kit.paint(painter, [s for s in lines if s.layer <= Layer.NOTE])
    kit.paint(painter, texts)
    painter.restore()
    return tuple(shape.lettering for shape in texts if shape.lettering)


def _text_box(text: Lettering, box: QRectF, mm: float) -> TextBox:
    real = QRectF(box.x() / mm, box.y() / mm, box.width() / mm, box.height() / mm)
    return TextBox(words=text.words, box=real)


def _box(text: Lettering) -> QRectF:
    """Return the rectangle of a text in page units about the plane's origin."""
    at = QTransform().translate(text.at.x(), text.at.y()).rotate(text.degrees)
    return at.mapRect(text.box)


def _clear_texts(texts: Sequence[Shape], window: QRectF, mm: float) -> Iterator[Shape]:
    """Yield the texts that have room, moved where that makes room for them."""
    taken: list[QRectF] = []
    for shape in sorted(texts, key=_precedence):
        text = shape.lettering
        if text is None:
            continue
        for shift in _shifts(text):
            box = _box(text).translated(*shift)
            if window.contains(box) and not any(box.intersects(t) for t in taken):
                gap = _APART * mm
                taken.append(box.adjusted(-gap, -gap, gap, gap))
                at = text.at + QPointF(*shift)
                yield replace(shape, lettering=replace(text, at=at))
                break


def _precedence(shape: Shape) -> int:
    """Put dimensions and findings first, then trusses; an installer needs these."""
    if shape.role in _FIRST:
        return _FIRST.index(shape.role)
    return len(_FIRST) + (not shape.part.startswith("truss "))


def _shifts(text: Lettering) -> Iterator[Vec2]:
    """Yield how far a text may be moved, the least first."""
    yield (0.0, 0.0)
    box = _box(text)
    for step in _STEPS:
        for across, down in _SHIFTS[1:]:
            yield (across * step * box.width() * 0.6, down * step * box.height())
