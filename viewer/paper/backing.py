"""What a canvas has painted already, so that a frame repaints only what changed.

Two pictures are kept: what lies still under everything, and all of it. Both are in
device pixels; boxes and regions are in logical ones.
"""

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import fields
from operator import attrgetter
from typing import get_args

from PySide6.QtCore import QPoint, QRect, QSize
from PySide6.QtGui import QColor, QPainter, QPixmap, QRegion

from core.drawing.records import Drawing, Group, Record, Role
from core.geometry.shapes import FloatArray
from viewer.paper.labels import Labels
from viewer.paper.painter import Look, Painter, ordered, tier_of
from viewer.paper.shapes import Scale, Shape, record_shapes

__all__ = ["Backing"]

_MOST_BOXES = 64  # more than this are repainted as one
_FEW_BOXES = 8
_NUMBERED = (Role.FINDING, Role.WITNESS)


def _printer(cls: type) -> Callable[[Record], tuple[object, ...]]:
    """Return a function that tells one record of a class from another.

    What it returns is equal for those that look alike.
    """
    types = {each.name: each.type for each in fields(cls)}
    arrays = [name for name, kind in types.items() if kind == FloatArray]
    lists = [name for name, kind in types.items() if kind == tuple[FloatArray, ...]]
    values = attrgetter(*(types.keys() - {*arrays, *lists}))

    def printed(record: Record) -> tuple[object, ...]:
        drawn = [getattr(record, name) for name in arrays]
        for name in lists:
            drawn += getattr(record, name)
        return (cls, values(record), *[each.tobytes() for each in drawn])

    return printed


_PRINTERS = {cls: _printer(cls) for cls in get_args(Record)}


class _Made:
    """The shapes of one group at the present scale; those of like records are kept.

    Mutable only while it is made.
    """

    __slots__ = ("box", "by_print", "fresh", "handles", "shapes", "texts", "tier")

    def __init__(self, group: Group, scale: Scale, old: "_Made | None" = None) -> None:
        self.tier = tier_of(group)
        self.by_print: dict[object, tuple[Shape, ...]] = {}
        self.fresh: list[Shape] = []
        kept = old.by_print if old else {}
        for record in group.records:
            key = _PRINTERS[type(record)](record)
            shapes = kept.get(key)
            if shapes is None:
                shapes = tuple(record_shapes(record, scale))
                self.fresh += shapes
            self.by_print[key] = shapes
        self.shapes = [s for shapes in self.by_print.values() for s in shapes]
        self.texts = [s for s in self.shapes if s.lettering is not None]
        self.handles = [s for s in self.shapes if s.role is Role.HANDLE]
        self.box = _bounding(shape.box for shape in self.shapes)

    def gone(self, new: "_Made | None") -> list[Shape]:
        """Return the shapes that another one in its place has not."""
        kept: Collection[object] = new.by_print if new else ()
        return [
            shape
            for key, shapes in self.by_print.items()
            if key not in kept
            for shape in shapes
        ]


class Backing:
    """The pictures behind one canvas; mutable, for it remembers what it painted."""

    def __init__(self) -> None:
        self._made: dict[Group, _Made] = {}
        self._painter: Painter | None = None
        self._origin = QPoint()
        self._still = QPixmap()
        self._whole = QPixmap()
        self._dirty: list[QRegion] = [QRegion(), QRegion()]
        self._labels = Labels()

    @property
    def picture(self) -> QPixmap:
        """All of the drawing, as far as it has been repainted."""
        return self._whole

    def frame(self, size: QSize, ratio: float, *, origin: QPoint, scale: Scale) -> None:
        """Set what part of the plane is seen; forget the pictures if it changed.

        Parameters
        ----------
        size : QSize
            In logical pixels.
        ratio : float
            Device pixels per logical pixel [-].
        origin : QPoint
            Where the plane's origin lies.
        scale : Scale
            Logical pixels per inch and per millimetre.
        """
        pixels = QSize(round(size.width() * ratio), round(size.height() * ratio))
        if self._whole.size() != pixels or self._whole.devicePixelRatio() != ratio:
            self._still, self._whole = QPixmap(pixels), QPixmap(pixels)
            for picture in (self._still, self._whole):
                picture.setDevicePixelRatio(ratio)
            self._soil_all()
        if origin != self._origin:
            self._origin = origin
            self._soil_all()
        if self._painter is not None and self._painter.scale != scale:
            look = self._painter.look
            self._painter = Painter(look=look, scale=scale)
            self._made = {group: _Made(group, scale) for group in self._made}
            self._soil_all()
        self._arrange()

    def show(self, drawing: Drawing, look: Look, scale: Scale) -> None:
        """Take a drawing's groups; those that are the same objects are kept."""
        painter = self._painter
        if painter is None or painter.look != look or painter.scale != scale:
            self._painter = Painter(look=look, scale=scale)
            self._soil_look(painter.look if painter else None, look)
        made: dict[Group, _Made] = {}
        before = {group.key: (group, old) for group, old in self._made.items()}
        for group in drawing.groups:
            old_group, old_made = before.pop(group.key, (None, None))
            if group is old_group and old_made is not None:
                made[group] = old_made
                continue
            fresh = _Made(group, scale, old_made)
            made[group] = fresh
            self._soil(fresh.tier, fresh.fresh)
            if old_made is not None:
                self._soil(fresh.tier, old_made.gone(fresh))
        for _, gone in before.values():
            self._soil(gone.tier, gone.shapes)
        self._made = made
        self._arrange()

    def _arrange(self) -> None:
        """Move or leave out texts that would lie on handles or on other texts."""
        texts = [s for made in reversed(self._made.values()) for s in made.texts]
        handles = [s for made in self._made.values() for s in made.handles]
        within = self._visible().translated(-self._origin)
        changed, shapes = self._labels.arrange(texts, handles, within=within)
        if changed:
            still = {
                s for made in self._made.values() if not made.tier for s in made.texts
            }
            self._add(0, [text.box for text in changed & still])
            self._add(1, [text.box for text in changed - still])
        self._add(1, [shape.box for shape in shapes])

    def repaint(self) -> QRegion:
        """Bring the pictures up to date and return what changed, in logical pixels."""
        still, moving = (region.translated(self._origin) for region in self._dirty)
        self._dirty = [QRegion(), QRegion()]
        seen = QRegion(self._visible())
        still &= seen
        whole = (moving | still) & seen
        if self._painter is None or whole.isEmpty():
            return QRegion()
        if not still.isEmpty():
            self._paint(self._still, still, tiers=(0,))
        self._paint(self._whole, whole, tiers=(1,))
        return whole

    def _is_shown(self, shape: Shape, here: QRegion) -> bool:
        return here.intersects(shape.box) and shape not in self._labels

    def _visible(self) -> QRect:
        size = self._whole.deviceIndependentSize()
        return QRect(QPoint(), size.toSize())

    def _soil_all(self) -> None:
        everything = QRegion(self._visible().translated(-self._origin))
        self._dirty = [everything, QRegion(everything)]

    def _soil(self, tier: int, shapes: Sequence[Shape]) -> None:
        self._add(tier, [shape.box for shape in shapes])

    def _add(self, tier: int, boxes: Sequence[QRect]) -> None:
        region = self._dirty[tier]
        if len(boxes) > _MOST_BOXES:
            boxes = [_bounding(boxes)]
        for box in boxes:
            region += QRegion(box)
        self._dirty[tier] = region

    def _soil_look(self, old: Look | None, new: Look) -> None:
        if old is None or old.theme != new.theme:
            self._soil_all()
            return
        chosen = old.selection ^ new.selection
        numbers = old.cautions ^ new.cautions
        for made in self._made.values():
            boxes = [s.box for s in made.shapes if _is_touched(s, chosen, numbers)]
            if boxes:
                self._add(made.tier, boxes)
        aside = [s.box for s in self._labels.moved if _is_touched(s, chosen, numbers)]
        self._add(1, aside)

    def _paint(self, picture: QPixmap, region: QRegion, *, tiers: tuple[int]) -> None:
        kit = self._painter
        if kit is None:
            return
        if region.rectCount() > _FEW_BOXES:  # to clip by many boxes is slow
            region = QRegion(region.boundingRect())
        here = region.translated(-self._origin)
        groups = [
            (made.tier, [s for s in made.shapes if self._is_shown(s, here)])
            for made in self._made.values()
            if made.tier in tiers and here.intersects(made.box)
        ]
        if tiers == (1,):
            moved = [s for s in self._labels.moved if here.intersects(s.box)]
            groups.append((1, moved))
        with QPainter(picture) as painter:
            painter.setClipRegion(region)
            if tiers == (0,):
                painter.fillRect(region.boundingRect(), QColor(kit.look.theme.paper))
            else:
                painter.drawPixmap(0, 0, self._still)
            painter.translate(self._origin)
            kit.paint(painter, ordered(groups))


def _bounding(boxes: Iterable[QRect]) -> QRect:
    found = QRect()
    for box in boxes:
        found = found.united(box)
    return found


def _is_touched(shape: Shape, chosen: frozenset[str], numbers: frozenset[str]) -> bool:
    if shape.role in _NUMBERED:
        return shape.part in numbers
    return shape.owner in chosen
