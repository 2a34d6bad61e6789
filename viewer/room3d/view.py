"""The room in OpenGL: draws the stage, turns keys and mouse into moves of the eye."""

import math
from time import perf_counter

from OpenGL import GL
from pyqtgraph.opengl import GLViewWidget
from PySide6.QtCore import QEvent, QPointF, Qt, QTimer, Signal
from PySide6.QtGui import (
    QFocusEvent,
    QKeyEvent,
    QMatrix4x4,
    QMouseEvent,
    QResizeEvent,
    QSurfaceFormat,
    QWheelEvent,
)
from PySide6.QtWidgets import QWidget

from core.geometry.shapes import FloatArray, Vec2
from core.model.room import Room
from viewer.paper.guarded import guarded
from viewer.room3d.camera import (
    Camera,
    dollied,
    looked,
    orbited,
    panned,
    projection,
    stepped,
    view,
    walking,
    whole_room,
)
from viewer.room3d.colours import backdrop
from viewer.room3d.marks import Tag
from viewer.room3d.note import draws_in_software
from viewer.room3d.scene import RoomScene
from viewer.room3d.shown import Shown
from viewer.room3d.stage import Stage
from viewer.room3d.tag_overlay import TagOverlay

__all__ = ["RoomView"]

_CLICK = 4.0  # a press that moves less than this is a click [px]
_TURN = 0.006  # of the eye per pixel of drag [rad]
_STEP_TURN = math.radians(6.0)  # of the eye per arrow key [rad]
_PACE = 70.0  # of a walker [in/s]
_HURRY = 3.0  # times as fast with Shift
_WALK_TURN = math.radians(75.0)  # per second, with Q and E
_TICK = 16  # between two steps of a walk [ms]
_LONGEST = 0.1  # a late tick counts no more than this [s]
_FAR = 3.0  # how far one sees, times the size of the room and the way to it
_SAMPLES = 4
_AHEAD = (Qt.Key.Key_Up, Qt.Key.Key_W)
_BACK = (Qt.Key.Key_Down, Qt.Key.Key_S)
_LEFT = (Qt.Key.Key_Left, Qt.Key.Key_A)
_RIGHT = (Qt.Key.Key_Right, Qt.Key.Key_D)
_TURN_LEFT, _TURN_RIGHT = Qt.Key.Key_Q, Qt.Key.Key_E
_WALK_KEYS = frozenset((*_AHEAD, *_BACK, *_LEFT, *_RIGHT, _TURN_LEFT, _TURN_RIGHT))
_VIEW_KEYS = frozenset(
    (
        Qt.Key.Key_Plus,
        Qt.Key.Key_Minus,
        Qt.Key.Key_Equal,
        Qt.Key.Key_0,
        Qt.Key.Key_Home,
    )
)
_BAD_FRAMES = 3  # so many in a row and the picture is taken to be lost


class RoomView(GLViewWidget):  # type: ignore[misc]  # pyqtgraph ships no types
    """Shows a stage from a camera.

    Emits `clicked(x, y, more)` for a click at a pixel, `looked_at(x, y)` for a
    double click, `walk_ended` when the user leaves the walk by a key, and
    `draw_failed(words)` when frame after frame cannot be drawn.
    """

    clicked = Signal(float, float, bool)
    looked_at = Signal(float, float)
    walk_ended = Signal()
    draw_failed = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        form = QSurfaceFormat.defaultFormat()
        if not draws_in_software():
            form.setSamples(_SAMPLES)
        form.setDepthBufferSize(24)
        self.setFormat(form)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMinimumSize(160, 120)
        self.setAccessibleName("Room in three dimensions")
        self.stage = Stage()
        self.overlay = TagOverlay(self)
        self.frames = 0
        self.failures = 0  # draws that failed since the view was made
        self.trouble = ""
        self._bad = 0
        self.is_walking = False
        self._camera = Camera(eye=(-100.0, 100.0, 100.0), look=(0.0, 0.0, 0.0))
        self._press: QPointF | None = None
        self._last = QPointF()
        self._was_dragged = False
        self._held: set[int] = set()
        self._hurry = False
        self._walk = QTimer(self)
        self._walk.setInterval(_TICK)
        self._walk.timeout.connect(self._on_walk_timeout)
        self._before = 0.0
        self._is_whole = False

    # ----- what is shown -----

    @property
    def camera(self) -> Camera:
        """The eye."""
        return self._camera

    @property
    def room(self) -> Room | None:
        """The room on the stage."""
        return self.stage.scene.barn.room if self.stage.scene else None

    @property
    def size_px(self) -> Vec2:
        """Width and height [px]."""
        return float(self.width()), float(self.height())

    def show_scene(self, scene: RoomScene, shown: Shown, tags: tuple[Tag, ...]) -> None:
        """Show another scene."""
        self.stage.show_scene(scene, shown)
        self.overlay.show_tags(tags, shown.theme)
        self._take_items()
        self.setBackgroundColor(backdrop(shown.theme))
        self.stage.look_from(self._camera)
        self.update()

    def show_state(self, shown: Shown, tags: tuple[Tag, ...]) -> None:
        """Show the same scene in another state."""
        is_other = shown.theme != self.stage.shown.theme
        self.stage.show(shown)
        self.overlay.show_tags(tags, shown.theme)
        if is_other:
            self._take_items()
            self.setBackgroundColor(backdrop(shown.theme))
            self.stage.look_from(self._camera)
        self.update()

    def _take_items(self) -> None:
        """Let the view draw the items of the stage and no others."""
        wanted = list(self.stage.items())
        for item in [each for each in self.items if each not in wanted]:
            self.removeItem(item)
        for item in wanted:
            if item not in self.items:
                self.addItem(item)

    def look(self, camera: Camera) -> None:
        """Look from another place."""
        room = self.room
        self._camera = (
            walking(camera, room) if self.is_walking and room is not None else camera
        )
        self._tell_camera()

    def show_whole(self) -> None:
        """Look at the whole room from outside."""
        if self.room is not None:
            self.is_walking = False
            self.look(whole_room(self.room, self.size_px))
            self._is_whole = True

    def set_walking(self, walk: bool) -> None:  # noqa: FBT001 - slot of a check box
        """Walk at eye height, or go round what is looked at."""
        self.is_walking = walk
        self._stop_walk()
        self.look(self._camera)

    @guarded
    def resizeEvent(self, event: QResizeEvent) -> None:
        """Keep the whole room in sight where it was."""
        super().resizeEvent(event)
        self.overlay.resize(self.size())
        if self._is_whole:
            self.show_whole()

    def _tell_camera(self) -> None:
        self._is_whole = False
        self.stage.look_from(self._camera)
        self.overlay.look_from(self._camera)
        self.update()

    # ----- drawing -----

    def viewMatrix(self) -> QMatrix4x4:  # noqa: N802 - overrides pyqtgraph
        """Return the matrix of the eye."""
        return _matrix(view(self._camera))

    def projectionMatrix(  # noqa: N802 - overrides pyqtgraph
        self, _region: object, _viewport: object
    ) -> QMatrix4x4:
        """Return the matrix of the picture."""
        room = self.room
        size = math.hypot(room.length, room.width) if room else 1000.0
        far = self._camera.distance + _FAR * size
        return _matrix(projection(self.size_px, far=far))

    def paintGL(self) -> None:  # noqa: N802 - overrides Qt
        """Draw a frame and notice when that fails."""
        self.trouble = ""
        try:
            GL.glDepthMask(GL.GL_TRUE)
            super().paintGL()
        except Exception as error:  # noqa: BLE001 - told to the user, never a blank
            self._failed(error)
        self.frames += 1
        self._judge_frame()

    def drawItemTree(self, *_of: object, **_names: object) -> None:  # noqa: N802 - overrides pyqtgraph
        """Draw every item in order; count what fails, which the base only prints."""
        base = self.currentModelView()
        for each in sorted(self.items, key=lambda i: i.depthValue()):
            if not each.visible():
                continue
            self._modelViewStack.append(base * each.transform())
            try:
                if self.default_vao.isCreated():
                    self.default_vao.bind()
                each.paint()
            except Exception as error:  # noqa: BLE001 - told to the user
                self._failed(error)
            finally:
                self._modelViewStack.pop()

    def _failed(self, error: Exception) -> None:
        self.failures += 1
        self.trouble = f"{type(error).__name__}: {error}".split("\n")[0]

    def _judge_frame(self) -> None:
        self._bad = self._bad + 1 if self.trouble else 0
        if self._bad == _BAD_FRAMES:
            self.draw_failed.emit(self.trouble)
        elif 0 < self._bad < _BAD_FRAMES:
            self.update()

    # ----- mouse -----

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Begin a click or a drag."""
        self._press = self._last = event.position()
        self._was_dragged = False
        event.accept()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Turn or shift the view while a button is held."""
        if self._press is None or not event.buttons():
            return
        at = event.position()
        if not self._was_dragged:
            way = at - self._press
            if math.hypot(way.x(), way.y()) < _CLICK:
                return
            self._was_dragged = True
        by, self._last = at - self._last, at
        self._drag(event, by.x(), by.y())
        event.accept()

    def _drag(self, event: QMouseEvent, dx: float, dy: float) -> None:
        room = self.room
        if room is None:
            return
        turns = bool(event.buttons() & Qt.MouseButton.LeftButton)
        turns = turns and not event.modifiers() & Qt.KeyboardModifier.ControlModifier
        if self.is_walking and turns:
            self._camera = looked(self._camera, turn=_TURN * dx, rise=-_TURN * dy)
        elif self.is_walking:
            self._camera = stepped(self._camera, room, ahead=dy / 2, right=-dx / 2)
        elif turns:
            self._camera = orbited(self._camera, turn=_TURN * dx, rise=_TURN * dy)
        else:
            self._camera = panned(self._camera, (dx, dy), self.size_px, room)
        self._tell_camera()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Tell of a click."""
        is_left = event.button() == Qt.MouseButton.LeftButton
        if self._press is not None and not self._was_dragged and is_left:
            more = event.modifiers() & Qt.KeyboardModifier.ControlModifier
            at = event.position()
            self.clicked.emit(at.x(), at.y(), bool(more))
        self._press = None
        event.accept()

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Tell what to look at."""
        at = event.position()
        self.looked_at.emit(at.x(), at.y())
        event.accept()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Come nearer or go away; walk a step."""
        notches = event.angleDelta().y() / 120.0
        if self.is_walking and self.room is not None:
            self._camera = stepped(
                self._camera, self.room, ahead=12.0 * notches, right=0.0
            )
        else:
            self._camera = dollied(self._camera, 0.88**notches)
        self._tell_camera()
        event.accept()

    # ----- keys -----

    def event(self, event: QEvent) -> bool:
        """Keep the keys of a walk from being taken as shortcuts of the window."""
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(
            event, QKeyEvent
        ):
            plain = not event.modifiers() & Qt.KeyboardModifier.ControlModifier
            if plain and event.key() in _WALK_KEYS | _VIEW_KEYS:
                event.accept()
                return True
        return bool(super().event(event))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Walk, or turn the view."""
        key = event.key()
        if key in _VIEW_KEYS:
            self._zoom(key)
        elif self.is_walking and key == Qt.Key.Key_Escape:
            self.walk_ended.emit()
        elif self.is_walking and key in _WALK_KEYS:
            self._hurry = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
            if not event.isAutoRepeat():
                self._begin_step(key)
        elif not self.is_walking and key in (*_AHEAD, *_BACK, *_LEFT, *_RIGHT):
            self._turn(key)
        else:
            event.ignore()
            return
        event.accept()

    def _zoom(self, key: int) -> None:
        if key in (Qt.Key.Key_0, Qt.Key.Key_Home):
            self.walk_ended.emit()
            self.show_whole()
            return
        factor = 1.15 if key == Qt.Key.Key_Minus else 1.0 / 1.15
        if not self.is_walking:
            self._camera = dollied(self._camera, factor)
            self._tell_camera()

    def _turn(self, key: int) -> None:
        turn = _STEP_TURN * ((key in _RIGHT) - (key in _LEFT))
        rise = _STEP_TURN * ((key in _AHEAD) - (key in _BACK))
        self._camera = orbited(self._camera, turn=-turn, rise=rise)
        self._tell_camera()

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        """Stand still."""
        if event.isAutoRepeat():
            return
        self._held.discard(event.key())
        if not self._held:
            self._walk.stop()
        event.accept()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Stand still: the release of a key will not be seen."""
        self._stop_walk()
        super().focusOutEvent(event)

    def _begin_step(self, key: int) -> None:
        self._held.add(key)
        if not self._walk.isActive():
            self._before = perf_counter()
            self._walk.start()

    def _stop_walk(self) -> None:
        self._held.clear()
        self._walk.stop()

    def _on_walk_timeout(self) -> None:
        now = perf_counter()
        seconds, self._before = min(now - self._before, _LONGEST), now
        self.walk(seconds)

    def walk(self, seconds: float) -> None:
        """Walk on for some time with the keys that are held [s]."""
        room = self.room
        if room is None:
            return
        held = self._held
        pace = _PACE * seconds * (_HURRY if self._hurry else 1.0)
        ahead = bool(held & set(_AHEAD)) - bool(held & set(_BACK))
        right = bool(held & set(_RIGHT)) - bool(held & set(_LEFT))
        turn = (_TURN_RIGHT in held) - (_TURN_LEFT in held)
        turned = looked(self._camera, turn=turn * _WALK_TURN * seconds, rise=0.0)
        self._camera = stepped(turned, room, ahead=pace * ahead, right=pace * right)
        self._tell_camera()


def _matrix(values: FloatArray) -> QMatrix4x4:
    return QMatrix4x4(values.ravel().tolist())
