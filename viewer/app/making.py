"""Making something long and writing it: in the background, whole or not at all.

What it takes to add one more thing that leaves the window::

    maker.write(
        Order(
            title="the picture of the room",  # "Making the picture of the room"
            make=partial(_picture, session.file, shot),  # bytes; see `made_apart`
            place=Path("room.png"),
        )
    )

`make` runs in a process of its own and gets a `Ticket`, which serves as the watch of
`core.picture` and as the progress of `core.outputs`. It returns the bytes of one
file, or a mapping of names to bytes for a folder, and writes nothing itself: this
side writes when all is made, so that giving up leaves nothing behind. Where to write
is asked before, through the `Questions` of the window.
"""

import errno
import os
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Protocol, cast

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from core.errors import LiftlaneError, NotWrittenError
from core.outputs.files import write_bytes
from core.outputs.folder import CancelledError, Output, Progress, write_set
from viewer.app.attended import Attended
from viewer.app.making_dialog import MakingDialog
from viewer.app.workshop import GIVEN_UP, made_apart
from viewer.jobs import Ticket

__all__ = ["Files", "Maker", "Order", "Tells", "check_place", "sentence"]

Files = bytes | Mapping[str, bytes]  # of one file, or of several in a folder by name


class Tells(Protocol):
    """Who says a sentence to the user; the `Questions` of a window do."""

    def tell(self, parent: QWidget, words: str, details: str = "") -> None:
        """Show a sentence."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """What is to be made and where it goes.

    `title` goes on after "Making"; `place` is the file, or the folder when `make`
    returns several files.
    """

    title: str
    make: Callable[[Ticket], Files]
    place: Path


@dataclass(frozen=True, slots=True)
class _Written:
    """Where something was written, and how many files."""

    place: Path
    count: int


class Maker(Attended):
    """Makes one thing at a time for a window, which stays in use meanwhile.

    Emits `written(Path)` when something is in its place, and `idle` when nothing is
    being made any more, whatever came of it.
    """

    written = Signal(object)
    _came = Signal(object)

    def __init__(self, window: QWidget, tells: Tells) -> None:
        super().__init__(window)
        self._tells = tells
        self._came.connect(self._hand_over)

    def write(self, order: Order) -> bool:
        """Make something and write it; say where it went, or why it did not.

        Returns
        -------
        bool
            False if something else is still being made; the user was told.
        """
        return self._run(order.title, partial(_write, order), self._show_written)

    def make(
        self,
        title: str,
        make: Callable[[Ticket], object],
        done: Callable[[object], object],
    ) -> bool:
        """Make something that is not written, and hand it to `done`.

        Parameters
        ----------
        title : str
            Goes on after "Making".
        make : callable
            As for `viewer.app.workshop.made_apart`.
        done : callable
            Gets what was made, in the thread of the window.

        Returns
        -------
        bool
            False if something else is still being made; the user was told.
        """

        def handed(result: object) -> None:
            self._close_dialog()
            done(result)

        return self._run(title, partial(made_apart, make), handed)

    def _run(
        self,
        title: str,
        work: Callable[[Ticket], object],
        done: Callable[[object], object],
    ) -> bool:
        if self.is_busy:
            words = "Something else is still being made. Wait for it, or cancel it."
            self._tells.tell(self._window, words)
            return False
        dialog = MakingDialog(title, self._window)
        self._begin(dialog, partial(self._work, work), done=done, refused=self._tell)
        return True

    def _work(self, work: Callable[[Ticket], object], ticket: Ticket) -> None:
        """Run in another thread; what is written is told of even if given up late."""
        self._came.emit(work(ticket))

    def _show_written(self, result: object) -> None:
        found = cast("_Written", result)
        if self.dialog is not None:
            self.dialog.show_written(found.place, count=found.count)
        self.written.emit(found.place)

    def _tell(self, error: LiftlaneError) -> None:
        self._tells.tell(self._window, sentence(error))


def sentence(error: LiftlaneError) -> str:
    """Return what an error says, written as a sentence."""
    words = str(error)
    return f"{words[:1].upper()}{words[1:]}."


def check_place(place: Path) -> None:
    """Refuse a place that cannot be written to before any work is done.

    Raises
    ------
    NotWrittenError
        If its folder is missing, or it or its folder cannot be written to.
    """
    folder = place.parent
    if not folder.is_dir():
        why = "no such folder"
    elif not os.access(folder, os.W_OK) or (
        os.path.exists(place) and not os.access(place, os.W_OK)
    ):
        why = os.strerror(errno.EACCES)
    else:
        return
    msg = f'"{place}" could not be written ({why}); choose another place'
    raise NotWrittenError(msg)


def _write(order: Order, ticket: Ticket) -> _Written:
    """Make in another process, then write in this thread."""
    check_place(order.place)
    made = made_apart(order.make, ticket)
    ticket.report(1.0, f"writing {order.place.name}")
    if isinstance(made, bytes):
        if ticket.is_cancelled:
            raise CancelledError(GIVEN_UP)
        write_bytes(order.place, made)
        return _Written(order.place, 1)
    outputs = tuple(
        Output(name=name, make=partial(_content, content))
        for name, content in made.items()
    )
    write_set(order.place, outputs, _Writing(ticket))
    return _Written(order.place, len(outputs))


def _content(content: bytes, _progress: Progress) -> bytes:
    return content


@dataclass(frozen=True, slots=True)
class _Writing:
    """The progress of writing what has been made already: the bar stays full."""

    ticket: Ticket

    @property
    def is_cancelled(self) -> bool:
        return self.ticket.is_cancelled

    def report(self, _share: float, words: str) -> None:
        self.ticket.report(1.0, f"writing {words}")
