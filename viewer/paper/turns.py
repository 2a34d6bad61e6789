"""Drawings that are out of date take turns, so that none holds up the pointer long.

All of them in one go would let a mouse move wait for the drawings that it is not
over. One is drawn in each turn of the event loop; moves and repaints come between.
"""

from collections.abc import Callable

from PySide6.QtCore import QObject, QTimer

__all__ = ["Turns"]

Draw = Callable[[], None]

# Qt fires a timer of no time again before it looks at anything else [ms]
_PAUSE = 1


class Turns(QObject):
    """Who waits to draw, first come first served; mutable, it is a queue."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._waiting: list[Draw] = []
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.timeout.connect(self._on_timer_timeout)

    def wait(self, draw: Draw) -> None:
        """Have something drawn soon, after those who wait already."""
        if draw not in self._waiting:
            self._waiting.append(draw)
            if not self._timer.isActive():
                self._timer.start(0)

    def leave(self, draw: Draw) -> None:
        """Wait no more."""
        if draw in self._waiting:
            self._waiting.remove(draw)

    def is_waiting(self, draw: Draw) -> bool:
        """Tell whether something is still to be drawn."""
        return draw in self._waiting

    def _on_timer_timeout(self) -> None:
        if self._waiting:
            self._waiting.pop(0)()
        if self._waiting:
            self._timer.start(_PAUSE)
