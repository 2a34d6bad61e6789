"""What a canvas has painted already, so that a frame repaints only what changed.

Two pictures are kept: what lies still under everything, and all of it. Both are in
device pixels; boxes and regions are in logical ones.
"""

from collections.abc import Iterable, Sequence

from PySide6.QtCore import QPoint, QRect, QSize
from PySide6.QtGui import QColor, QPainter, QPixmap, QRegion

from core.drawing.records import Drawing, Group, Role
from viewer.paper.painter import Look, Painter, ordered, tier_of
from viewer.paper.shapes import Scale, Shape, shapes_of

__all__ = ["Backing"]

_MOST_BOXES = 64  # more than this are repainted as one
_NUMBERED = (Role.FINDING, Role.WITNESS)


class _Made:
    """The shapes of one group at the present scale; mutable only in being made."""

    __slots__ = ("box", "group", "shapes", "tier")

    def __init__(self, group: Group, scale: Scale) -> None:
        self.group = group
        self.tier = tier_of(group)
        self.shapes = shapes_of(group, scale)
        self.box = QRect()
        for shape in self.shapes:
            self.box = self.box.united(shape.box)


class Backing:
    """The pictures behind one canvas; mutable, for it remembers what it painted."""

    def __init__(self) -> None:
        self._made: dict[Group, _Made] = {}
        self._painter: Painter | None = None
        self._origin = QPoint()
        self._still = QPixmap()
        self._whole = QPixmap()
        self._dirty: list[QRegion] = [QRegion(), QRegion()]

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

    def show(self, drawing: Drawing, look: Look, scale: Scale) -> None:
        """Take a drawing's groups; those that are the same objects are kept."""
        old = self._painter
        if old is None or old.look != look or old.scale != scale:
            self._painter = Painter(look=look, scale=scale)
            self._soil_look(old.look if old else None, look)
        made: dict[Group, _Made] = {}
        for group in drawing.groups:
            kept = self._made.pop(group, None)
            if kept is None:
                kept = _Made(group, scale)
                self._soil(kept)
            made[group] = kept
        for gone in self._made.values():
            self._soil(gone)
        self._made = made

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

    def _visible(self) -> QRect:
        size = self._whole.deviceIndependentSize()
        return QRect(QPoint(), size.toSize())

    def _soil_all(self) -> None:
        everything = QRegion(self._visible().translated(-self._origin))
        self._dirty = [everything, QRegion(everything)]

    def _soil(self, made: _Made) -> None:
        self._add(made.tier, [shape.box for shape in made.shapes])

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

    def _paint(self, picture: QPixmap, region: QRegion, *, tiers: tuple[int]) -> None:
        kit = self._painter
        if kit is None:
            return
        painter = QPainter(picture)
        painter.setClipRegion(region)
        if tiers == (0,):
            painter.fillRect(region.boundingRect(), QColor(kit.look.theme.paper))
        else:
            painter.drawPixmap(0, 0, self._still)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.translate(self._origin)
        here = region.translated(-self._origin)
        groups = [
            (made.tier, [s for s in made.shapes if here.intersects(s.box)])
            for made in self._made.values()
            if made.tier in tiers and here.intersects(made.box)
        ]
        kit.paint(painter, ordered(groups))
        painter.end()


def _bounding(boxes: Iterable[QRect]) -> QRect:
    found = QRect()
    for box in boxes:
        found = found.united(box)
    return found


def _is_touched(shape: Shape, chosen: frozenset[str], numbers: frozenset[str]) -> bool:
    if shape.role in _NUMBERED:
        return shape.part in numbers
    return shape.owner in chosen
