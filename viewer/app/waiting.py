"""Waiting for one long thing in a window that stays alive, with a button to cancel."""

from collections.abc import Callable
from functools import partial
from typing import Any

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtWidgets import QWidget

from core.errors import LiftlaneError
from viewer.app.making_dialog import MakingDialog
from viewer.app.workshop import made_apart
from viewer.care.reading import Opened, Reading, ReadsHere
from viewer.jobs import Jobs, Ticket

__all__ = ["Waiting"]


class Waiting(QObject):
    """Does one thing after another in a process of its own, and shows how far it is.

    Meanwhile the window is drawn as ever, but takes no input besides Cancel, for the
    document that it shows is about to be another one. A thing that is cancelled
    changes nothing. `idle` tells that nothing is being waited for any more.
    """

    idle = Signal()

    def __init__(self, window: QWidget) -> None:
        super().__init__(window)
        self._window = window
        self._done: Callable[[Any], object] | None = None
        self._refused: Callable[[LiftlaneError], object] | None = None
        self.dialog: MakingDialog | None = None
        self._jobs = Jobs(self)
        self._jobs.progressed.connect(self._on_progressed)
        self._jobs.finished.connect(self._on_finished)
        self._jobs.failed.connect(self._on_failed)
        self._jobs.idle.connect(self._on_idle)

    @property
    def is_busy(self) -> bool:
        """Whether something is being waited for."""
        return self._jobs.is_busy

    def read(
        self,
        reading: Reading,
        *,
        done: Callable[[Opened], object],
        refused: Callable[[LiftlaneError], object],
    ) -> None:
        """Read a barn: at once if that is quick, otherwise in a process of its own."""
        if reading.is_long:
            self.wait(reading.title, reading.make, done=done, refused=refused)
        else:
            ReadsHere().read(reading, done=done, refused=refused)

    def wait(
        self,
        title: str,
        make: Callable[[Ticket], Any],
        *,
        done: Callable[[Any], object],
        refused: Callable[[LiftlaneError], object],
    ) -> None:
        """Make something in another process, and hand it over.

        Parameters
        ----------
        title : str
            What is being done, such as "Opening barn.json".
        make : callable
            As for `viewer.app.workshop.made_apart`.
        done : callable
            Gets what was made, in the thread of the window.
        refused : callable
            Gets the error with words for the user.

        Notes
        -----
        While one thing is being waited for, another one is left alone: the window
        takes no input then.
        """
        if self.is_busy:
            return
        self._done, self._refused = done, refused
        self.dialog = _dialog(title, self._window)
        self.dialog.given_up.connect(self._jobs.cancel)
        self.dialog.show()
        self._jobs.run(partial(made_apart, make))

    def close(self) -> None:
        """Cancel, and wait until nothing is left."""
        self._jobs.close()
        self._close_dialog()

    def _close_dialog(self) -> None:
        dialog, self.dialog = self.dialog, None
        if dialog is not None:
            dialog.finish()

    def _on_progressed(self, share: float, words: str) -> None:
        if self.dialog is not None:
            self.dialog.show_progress(share, words)

    def _on_finished(self, made: object) -> None:
        done = self._done
        self._close_dialog()
        if done is not None:
            done(made)

    def _on_failed(self, error: Exception) -> None:
        self._close_dialog()
        if not isinstance(error, LiftlaneError):
            raise error
        if self._refused is not None:
            self._refused(error)

    def _on_idle(self) -> None:
        self._close_dialog()
        self._done = self._refused = None
        self.idle.emit()


def _dialog(title: str, window: QWidget) -> MakingDialog:
    dialog = MakingDialog(title, window)
    dialog.setWindowModality(Qt.WindowModality.WindowModal)
    dialog.head.setText(title)
    return dialog
