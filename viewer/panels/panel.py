"""The ground of every panel: keys that are typed here mean what they mean here."""

from PySide6.QtCore import QEvent, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QWidget

__all__ = ["Panel"]

_MOVING = frozenset(
    {
        Qt.Key.Key_Space,
        Qt.Key.Key_PageUp,
        Qt.Key.Key_PageDown,
        Qt.Key.Key_Home,
        Qt.Key.Key_End,
        Qt.Key.Key_Left,
        Qt.Key.Key_Right,
        Qt.Key.Key_Up,
        Qt.Key.Key_Down,
        Qt.Key.Key_Escape,
    }
)
_WITH_SHIFT = (Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.ShiftModifier)


class Panel(QWidget):
    """Keeps plain keys from the window's actions while the focus is in the panel.

    Space ticks a box and opens a list, page keys scroll a tree, letters find a row;
    in the drawings the same keys sweep the lift, lift a little, fit the view.

    Its least size does not hang on what it shows, so that the drawings beside it
    stay where they are when another object is chosen in the middle of a drag.

    Qt calls the panel behind another tab visible too; `is_seen` tells better, and
    `came_into_sight` when its tab comes to the front.
    """

    came_into_sight = Signal()
    _is_in_front = True

    @property
    def is_seen(self) -> bool:
        """Whether anybody can see it."""
        return self.isVisible() and self._is_in_front

    def set_in_front(self, is_in_front: bool) -> None:  # noqa: FBT001 - as the signal of a dock says
        """Take note of whether its dock is in front of all other tabs."""
        self._is_in_front = is_in_front
        if is_in_front:
            self.came_into_sight.emit()

    def sizeHint(self) -> QSize:
        """Return a size in letters, whatever is in it."""
        return self._letters(52, 18)

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return the least size, whatever is in it; all panels fit over each other."""
        return self._letters(36, 3)

    def _letters(self, across: int, down: int) -> QSize:
        metrics = self.fontMetrics()
        return QSize(metrics.averageCharWidth() * across, metrics.height() * down)

    def event(self, event: QEvent) -> bool:
        """Take a plain key for this panel before the window does."""
        if event.type() is QEvent.Type.ShortcutOverride and _is_plain(event):
            event.accept()
            return True
        return super().event(event)


def _is_plain(event: QEvent) -> bool:
    if not isinstance(event, QKeyEvent):
        return False
    held = event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier
    if held not in _WITH_SHIFT:
        return False
    return event.key() in _MOVING or (event.text().isprintable() and bool(event.text()))
