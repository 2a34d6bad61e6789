"""The sheet on the screen: it paints a drawing, pans, zooms, and tells of events.

It knows no document. What the pointer and the keys do leaves it as the plain
events of `viewer.tools.events`, in the plane of its drawing.
"""

from collections.abc import Mapping, Sequence

import pyqtgraph as pg
from PySide6.QtCore import QPoint, QPointF, QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPen,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QGraphicsItem, QStyleOptionGraphicsItem, QWidget

from core.drawing.records import Bounds, Drawing, Record
from core.geometry.shapes import Vec2
from core.quantities import LengthStyle
from viewer.paper.backing import Backing
from viewer.paper.guarded import guarded
from viewer.paper.labels import spread
from viewer.paper.painter import Look, Painter
from viewer.paper.rulers import scale_bar
from viewer.paper.shapes import Scale, Shape, record_shapes
from viewer.paper.theme import LIGHT
from viewer.tools.events import Key, KeyPress, Modifier, Move, Press, Release

__all__ = ["Canvas"]

_DPI = 96.0  # logical pixels per inch of screen, by which paper sizes are shown
_MM = _DPI / 25.4
_REACH = 6.0  # how far a press may be off [px]
_STEP = 1.2  # one notch of the wheel, one press of + or - [-]
_LEAST, _MOST = 0.02, 400.0  # pixels per inch of the plane
_BORDER = 12.0  # left round a drawing that is fitted [px]
_SCROLL = 60.0  # [px]

_KEYS: Mapping[int, Key] = {
    Qt.Key.Key_Escape: Key.CANCEL,
    Qt.Key.Key_Left: Key.LEFT,
    Qt.Key.Key_Right: Key.RIGHT,
    Qt.Key.Key_Up: Key.UP,
    Qt.Key.Key_Down: Key.DOWN,
}


class _Sheet(pg.GraphicsObject):  # type: ignore[misc]  # untyped base
    """The one item of the scene: it shows what the canvas has painted."""

    def __init__(self, canvas: "Canvas") -> None:
        super().__init__()
        self._canvas = canvas
        self.setFlag(QGraphicsItem.GraphicsItemFlag.ItemUsesExtendedStyleOption)

    def boundingRect(self) -> QRectF:  # noqa: N802 - Qt's name
        """Cover the whole canvas."""
        return QRectF(self._canvas.viewport().rect())

    @guarded
    def paint(
        self,
        painter: QPainter,
        _option: QStyleOptionGraphicsItem,
        _widget: QWidget | None = None,
    ) -> None:
        """Show the picture and what lies over it."""
        painter.resetTransform()
        self._canvas.paint_sheet(painter)


class Canvas(pg.GraphicsView):  # type: ignore[misc]  # untyped base
    """Shows one drawing.

    Emits `acted(Event)` for presses, moves with the button down, releases and
    keys; `hovered(at)` where the pointer is, None when it has left;
    `view_changed` after pan, zoom and resize; `menu_asked(QPoint)` for a right
    click, in global coordinates.
    """

    acted = Signal(object)
    hovered = Signal(object)
    view_changed = Signal()
    menu_asked = Signal(QPoint)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent, background=None)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        self.viewport().setMouseTracking(True)
        self.setMinimumSize(120, 80)
        self._box = pg.ViewBox(enableMouse=False, enableMenu=False, lockAspect=True)
        self._box.disableAutoRange()
        self.setCentralItem(self._box)
        self._sheet = _Sheet(self)
        self.scene().addItem(self._sheet)
        self._backing = Backing()
        self._drawing: Drawing | None = None
        self._look = Look(theme=LIGHT)
        self._style = LengthStyle.FEET
        self._notes: tuple[Shape, ...] = ()
        self._note_records: tuple[Record, ...] = ()
        self._band: tuple[Vec2, Vec2] | None = None
        self._over = QRect()
        self._panning: QPointF | None = None
        self._moved = False
        self._held = False
        self._is_fitted = True
        self._scale = 1.0
        self._origin = QPoint()

    # ----- what it shows -----

    @property
    def drawing(self) -> Drawing | None:
        """What is on the sheet."""
        return self._drawing

    @property
    def scale_shown(self) -> float:
        """Logical pixels per inch of the plane."""
        return self._scale

    def show_drawing(self, drawing: Drawing, look: Look, style: LengthStyle) -> None:
        """Show a drawing; only what changed since the last one is repainted."""
        is_new_frame = self._drawing is None or (
            self._is_fitted and self._drawing.bounds != drawing.bounds
        )
        self._drawing, self._look = drawing, look
        if style != self._style:
            self._style = style
            self._sync()
        if is_new_frame:
            self.fit()
        self._backing.show(drawing, look, self._page_scale())
        self.viewport().update(self._backing.repaint())

    def show_notes(
        self, notes: Sequence[Record], band: tuple[Vec2, Vec2] | None = None
    ) -> None:
        """Show live dimensions, guides and a band over the drawing."""
        if not notes and not self._note_records and band is None and self._band is None:
            return
        self._note_records, self._band = tuple(notes), band
        self._make_notes()

    def _make_notes(self) -> None:
        scale = self._page_scale()
        made = [s for each in self._note_records for s in record_shapes(each, scale)]
        seen = self.viewport().rect().translated(-self._origin)
        self._notes = spread(made, within=seen)
        over = QRect()
        for shape in self._notes:
            over = over.united(shape.box.translated(self._origin))
        if self._band is not None:
            over = over.united(self._band_box().toAlignedRect().adjusted(-2, -2, 2, 2))
        self.viewport().update(over.united(self._over))
        self._over = over

    def paint_sheet(self, painter: QPainter) -> None:
        """Paint picture, notes, band and scale bar; pixels are logical ones."""
        painter.drawPixmap(0, 0, self._backing.picture)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if self._notes:
            painter.save()
            painter.translate(self._origin)
            Painter(look=self._look, scale=self._page_scale()).paint(
                painter, self._notes
            )
            painter.restore()
        if self._band is not None:
            self._paint_band(painter)
        scale_bar(
            painter,
            self.viewport().rect(),
            scale=self._scale,
            style=self._style,
            theme=self._look.theme,
        )

    def _paint_band(self, painter: QPainter) -> None:
        accent = QColor(self._look.theme.accent)
        pen = QPen(accent)
        if self._band is not None and self._band[1][0] < self._band[0][0]:
            pen.setStyle(Qt.PenStyle.DashLine)  # takes what it only touches
        painter.setPen(pen)
        accent.setAlphaF(0.08)
        painter.setBrush(accent)
        painter.drawRect(self._band_box())

    def _band_box(self) -> QRectF:
        if self._band is None:
            return QRectF()
        a, b = (self.to_pixels(at) for at in self._band)
        return QRectF(a, b).normalized()

    # ----- where it looks -----

    def to_plane(self, at: QPointF) -> Vec2:
        """Return the plane point [in] of a place in logical pixels."""
        return (
            (at.x() - self._origin.x()) / self._scale,
            (self._origin.y() - at.y()) / self._scale,
        )

    def to_pixels(self, at: Vec2) -> QPointF:
        """Return where a plane point [in] is in logical pixels."""
        return QPointF(
            self._origin.x() + at[0] * self._scale,
            self._origin.y() - at[1] * self._scale,
        )

    def seen(self) -> Bounds:
        """Return what part of the plane is seen [in]."""
        size = self.viewport().size()
        low = self.to_plane(QPointF(0.0, size.height()))
        high = self.to_plane(QPointF(size.width(), 0.0))
        return Bounds(low=low, high=high)

    def fit(self) -> None:
        """Show the whole drawing, and keep to it until the user pans or zooms."""
        if self._drawing is not None:
            self.show_bounds(self._drawing.bounds)
        self._is_fitted = True

    def show_bounds(self, bounds: Bounds) -> None:
        """Show a part of the plane [in] as large as it fits."""
        (u0, v0), (u1, v1) = bounds.low, bounds.high
        size = self._space()
        width, height = max(u1 - u0, 1e-3), max(v1 - v0, 1e-3)
        scale = min(
            max(size.width() - 2 * _BORDER, 1.0) / width,
            max(size.height() - 2 * _BORDER, 1.0) / height,
        )
        self._is_fitted = False
        self._look_at(((u0 + u1) / 2, (v0 + v1) / 2), scale)

    def zoom(self, factor: float, at: QPointF | None = None) -> None:
        """Zoom by a factor [-] about a place in logical pixels, or the middle."""
        size = self._space()
        middle = QPointF(size.width() / 2, size.height() / 2)
        held = at or middle
        scale = min(max(self._scale * factor, _LEAST), _MOST)
        u, v = self.to_plane(held)
        off = held - middle
        self._is_fitted = False
        self._look_at((u - off.x() / scale, v + off.y() / scale), scale)

    def pan(self, dx: float, dy: float) -> None:
        """Move the sheet by logical pixels."""
        size = self._space()
        middle = QPointF(size.width() / 2 - dx, size.height() / 2 - dy)
        self._is_fitted = False
        self._look_at(self.to_plane(middle), self._scale)

    def _space(self) -> QSize:
        size: QSize = self.viewport().size()
        return size

    def _look_at(self, middle: Vec2, scale: float) -> None:
        size = self._space()
        half_u, half_v = size.width() / scale / 2, size.height() / scale / 2
        self._box.setRange(
            xRange=(middle[0] - half_u, middle[0] + half_u),
            yRange=(middle[1] - half_v, middle[1] + half_v),
            padding=0,
            disableAutoRange=True,
        )
        self._sync()

    def _stay(self) -> None:
        """Keep every place of the plane under the pixel where it was."""
        size, fitted = self._space(), self._is_fitted
        middle = self.to_plane(QPointF(size.width() / 2, size.height() / 2))
        self._look_at(middle, self._scale)
        self._is_fitted = fitted

    def _sync(self) -> None:
        """Take over the range of the view box and repaint what it changes."""
        (u0, u1), (_, v1) = self._box.viewRange()
        size = self._space()
        self._scale = size.width() / max(u1 - u0, 1e-9)
        self._origin = QPoint(round(-u0 * self._scale), round(v1 * self._scale))
        self._backing.frame(
            size,
            self.devicePixelRatioF(),
            origin=self._origin,
            scale=self._page_scale(),
        )
        self._backing.repaint()
        self._make_notes()
        self.viewport().update()
        self.view_changed.emit()

    def _page_scale(self) -> Scale:
        return Scale(inch=self._scale, mm=_MM, style=self._style)

    # ----- what Qt tells it -----

    def sizeHint(self) -> QSize:
        """Ask for most of a window."""
        return QSize(1100, 300)

    @guarded
    def resizeEvent(self, event: QResizeEvent | None) -> None:
        """Keep the scale, or the fit."""
        super().resizeEvent(event)
        if not hasattr(self, "_sheet"):
            return  # pyqtgraph resizes once while it is being made
        self._sheet.prepareGeometryChange()
        if self._is_fitted and not self._held:
            self.fit()
        else:
            self._stay()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Begin a gesture with the left button, a pan with another."""
        self.setFocus(Qt.FocusReason.MouseFocusReason)
        event.accept()
        if event.button() == Qt.MouseButton.LeftButton:
            self._held = True
            tolerance = _REACH / self._scale
            at, held = self.to_plane(event.position()), _modifiers(event)
            self.acted.emit(Press(at=at, tolerance=tolerance, modifiers=held))
        else:
            self._panning, self._moved = event.position(), False

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Go on with the gesture or the pan."""
        event.accept()
        if self._panning is not None:
            way = event.position() - self._panning
            if self._moved or way.manhattanLength() > _REACH:
                self._moved = True
                self._panning = event.position()
                self.pan(way.x(), way.y())
            return
        at = self.to_plane(event.position())
        if self._held:
            self.acted.emit(Move(at=at, modifiers=_modifiers(event)))
        self.hovered.emit(at)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """End the gesture or the pan; a still right click asks for the menu."""
        event.accept()
        if event.button() == Qt.MouseButton.LeftButton and self._held:
            self._held = False
            at = self.to_plane(event.position())
            self.acted.emit(Release(at=at, modifiers=_modifiers(event)))
            return
        was_pan, self._panning = self._panning is not None, None
        is_menu = event.button() == Qt.MouseButton.RightButton
        if was_pan and is_menu and not self._moved:
            self.menu_asked.emit(event.globalPosition().toPoint())

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Take the second press of two for a press."""
        self.mousePressEvent(event)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Zoom about the pointer."""
        event.accept()
        notches = event.angleDelta().y() / 120.0
        if notches:
            self.zoom(_STEP**notches, event.position())

    def leaveEvent(self, event: object) -> None:
        """Tell that the pointer is elsewhere."""
        del event
        self.hovered.emit(None)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Zoom, or hand the key to the tool."""
        key = event.key()
        if key in (Qt.Key.Key_Plus, Qt.Key.Key_Equal):
            self.zoom(_STEP)
        elif key in (Qt.Key.Key_Minus, Qt.Key.Key_Underscore):
            self.zoom(1.0 / _STEP)
        elif key in (Qt.Key.Key_0, Qt.Key.Key_Home):
            self.fit()
        elif key in _KEYS:
            self._tell_key(_KEYS[Qt.Key(key)], event)
        else:
            event.ignore()
            return
        event.accept()

    def _tell_key(self, key: Key, event: QKeyEvent) -> None:
        modifiers = event.modifiers()
        held = Modifier.NONE
        if modifiers & Qt.KeyboardModifier.ShiftModifier:
            held |= Modifier.COARSE
        if modifiers & Qt.KeyboardModifier.ControlModifier:
            held |= Modifier.FINE
        if key is Key.CANCEL:
            self._held = False
        self.acted.emit(KeyPress(key=key, modifiers=held))


def _modifiers(event: QMouseEvent) -> Modifier:
    held = Modifier.NONE
    if event.modifiers() & Qt.KeyboardModifier.ShiftModifier:
        held |= Modifier.FREE
    if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
        held |= Modifier.ADD
    return held
