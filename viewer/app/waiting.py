"""Waiting for one long thing in a window that stays alive, with a button to cancel."""

from collections.abc import Callable
from functools import partial
from importlib import import_module
from threading import Thread
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QWidget

from core.errors import LiftlaneError
from viewer.app.attended import Attended
from viewer.app.making_dialog import MakingDialog
from viewer.app.workshop import made_apart
from viewer.care.reading import Opened, Reading, ReadsHere
from viewer.jobs import Ticket

__all__ = ["Waiting"]


class Waiting(Attended):
    """Does one thing after another in a process of its own, and shows how far it is.

    Meanwhile the window is drawn as ever, but takes no input besides Cancel, for the
    document that it shows is about to be another one. A thing that is cancelled
    changes nothing.
    """

    def __init__(self, window: QWidget) -> None:
        super().__init__(window)
        self._loading: Thread | None = None
        self._ended: Callable[[], object] = _nothing
        self._jobs.finished.connect(self._hand_over)
        self.idle.connect(self._end)

    def read(
        self,
        reading: Reading,
        *,
        done: Callable[[Opened], object],
        refused: Callable[[LiftlaneError], object],
    ) -> None:
        """Read a barn: at once if that is quick, otherwise in a process of its own."""
        if reading.is_long:
            self._load_ahead()
            self.wait(reading.title, reading.make, done=done, refused=refused)
        else:
            ReadsHere().read(reading, done=done, refused=refused)

    def close(self) -> None:
        """Give up what is being done, and wait until nothing is left of it."""
        super().close()
        self._end()
        if self._loading is not None:
            self._loading.join()

    def _load_ahead(self) -> None:
        """Load here what a scan is drawn with, while another process reads it."""
        if self._loading is None:
            load = partial(import_module, "scipy.spatial")
            self._loading = Thread(target=load, daemon=True)
            self._loading.start()

    def wait(
        self,
        title: str,
        make: Callable[[Ticket], Any],
        *,
        done: Callable[[Any], object],
        refused: Callable[[LiftlaneError], object],
        ended: Callable[[], object] | None = None,
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
        ended : callable, optional
            Called last of all, whatever came of it: also when it was cancelled, or
            the window closed.

        Notes
        -----
        While one thing is being waited for, another one is left alone: the window
        takes no input then.
        """
        if self.is_busy:
            return

        def handed(made: object) -> None:
            self._close_dialog()
            done(made)

        self._ended = ended or _nothing
        dialog = _dialog(title, self._window)
        self._begin(dialog, partial(made_apart, make), done=handed, refused=refused)

    def _end(self) -> None:
        ended, self._ended = self._ended, _nothing
        ended()


def _dialog(title: str, window: QWidget) -> MakingDialog:
    dialog = MakingDialog(title, window)
    dialog.setWindowModality(Qt.WindowModality.WindowModal)
    dialog.head.setText(title)
    return dialog


def _nothing() -> None:
    pass
