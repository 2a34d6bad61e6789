"""Long work with a dialog in front of it that shows how far it is, and can end it."""

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QObject, Signal, Slot
from PySide6.QtWidgets import QWidget

from core.errors import LiftlaneError
from viewer.app.making_dialog import MakingDialog
from viewer.jobs import Jobs, Work

__all__ = ["Attended"]


class Attended(QObject):
    """Does one thing at a time for a window; `idle` tells that none is done any more.

    Whoever derives from it says when a result is there, by `_hand_over`.
    """

    idle = Signal()

    def __init__(self, window: QWidget) -> None:
        super().__init__(window)
        self._window = window
        self._done: Callable[[Any], object] = _nothing
        self._refused: Callable[[LiftlaneError], object] = _nothing
        self.dialog: MakingDialog | None = None
        self._jobs = Jobs(self)
        self._jobs.progressed.connect(self._on_progressed)
        self._jobs.failed.connect(self._on_failed)
        self._jobs.idle.connect(self._on_idle)

    @property
    def is_busy(self) -> bool:
        """Whether something is being done."""
        return self._jobs.is_busy

    def close(self) -> None:
        """Give up what is being done, and wait until nothing is left of it."""
        self._jobs.close()
        self._close_dialog()

    def _begin(
        self,
        dialog: MakingDialog,
        work: Work,
        *,
        done: Callable[[Any], object],
        refused: Callable[[LiftlaneError], object],
    ) -> None:
        """Begin work behind a dialog.

        Parameters
        ----------
        dialog : MakingDialog
            Stays until the work is given up or fails, or `done` closes it.
        work : callable
            Gets its ticket; runs in another thread.
        done : callable
            Gets what came of it, in the thread of the window.
        refused : callable
            Gets the error with words for the user.
        """
        self._close_dialog()
        self._done, self._refused = done, refused
        self.dialog = dialog
        dialog.given_up.connect(self._jobs.cancel)
        dialog.finished.connect(self._on_dialog_finished)
        dialog.show()
        self._jobs.run(work)

    @Slot(object)
    def _hand_over(self, result: object) -> None:
        done, self._done = self._done, _nothing
        done(result)

    def _close_dialog(self) -> None:
        dialog, self.dialog = self.dialog, None
        if dialog is not None:
            dialog.finish()

    def _on_progressed(self, share: float, words: str) -> None:
        if self.dialog is not None:
            self.dialog.show_progress(share, words)

    def _on_failed(self, error: Exception) -> None:
        self._close_dialog()
        if not isinstance(error, LiftlaneError):
            raise error
        self._refused(error)

    def _on_idle(self) -> None:
        if self._done is not _nothing:  # given up, or it failed
            self._done = _nothing
            self._close_dialog()
        self.idle.emit()

    def _on_dialog_finished(self) -> None:
        self.dialog = None


def _nothing(_result: object) -> None:
    pass
