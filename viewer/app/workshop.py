"""Long work in a process of its own, which touches no file and can be ended at once.

A thread would share the interpreter with the window and make it stutter; what a
process has made comes back through a pipe, and only then is it written.
"""

import os
import pickle
import traceback
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from multiprocessing import get_context
from multiprocessing.connection import Connection
from time import monotonic
from typing import Generic, TypeVar, cast

from core.errors import LiftlaneError, NotWrittenError
from core.outputs.folder import CancelledError
from viewer.jobs import Ticket

__all__ = ["GIVEN_UP", "made_apart"]

Made = TypeVar("Made")

GIVEN_UP = "given up; nothing was written"
_LOOK = 0.05  # how often the one who waits looks whether to give up [s]
_GRACE = 4.0  # what work with helpers of its own has to send them home [s]
_TELL = 0.05  # the least time between two words of progress [s]


@dataclass(frozen=True, slots=True)
class _Told:
    """How far the work is."""

    share: float
    words: str


@dataclass(frozen=True, slots=True)
class _Outcome(Generic[Made]):
    """What came of the work."""

    value: Made | None = None
    error: Exception | None = None


def made_apart(make: Callable[[Ticket], Made], ticket: Ticket) -> Made:
    """Return what a piece of work makes in a process of its own.

    Parameters
    ----------
    make : callable
        Can be pickled: a function of a module, or a `partial` of one. It gets a
        ticket for telling how far it is, writes no file, and is ended wherever it
        is when the work is given up: by SIGTERM, which work that has processes of
        its own may listen to, and soon after that by force.
    ticket : Ticket
        Told of the progress; asked whether to give up.

    Raises
    ------
    CancelledError
        If the work was given up.
    NotWrittenError
        If the process ended before the work did.
    """
    context = get_context("spawn")
    ours, theirs = context.Pipe(duplex=False)
    process = context.Process(target=_work, args=(theirs, make), daemon=True)
    with ours:
        with theirs:
            process.start()
        try:
            return cast("Made", _awaited(ours, ticket))
        finally:
            process.terminate()
            process.join(_GRACE)
            process.kill()
            process.join()


def _awaited(connection: Connection, ticket: Ticket) -> object:
    while not ticket.is_cancelled:
        if not connection.poll(_LOOK):
            continue
        try:
            news = connection.recv()
        except (EOFError, OSError) as error:
            msg = "the work ended before it was done (is memory short?); try again"
            raise NotWrittenError(msg) from error
        if isinstance(news, _Told):
            ticket.report(news.share, news.words)
        elif news.error is not None:
            raise news.error
        else:
            return news.value
    raise CancelledError(GIVEN_UP)


def _work(connection: Connection, make: Callable[[Ticket], object]) -> None:
    """Do the work on the other side, without a screen."""
    os.environ["QT_QPA_PLATFORM"] = "offscreen"
    with suppress(BrokenPipeError):  # the window is gone
        connection.send(_outcome(make, Ticket(_Teller(connection))))


def _outcome(make: Callable[[Ticket], object], ticket: Ticket) -> _Outcome[object]:
    try:
        return _Outcome(value=make(ticket))
    except BrokenPipeError:
        raise
    except Exception as error:  # noqa: BLE001 - the window shows it
        return _Outcome(error=_portable(error))


def _portable(error: Exception) -> Exception:
    """Return an error that survives the way, with where it came from."""
    if not isinstance(error, LiftlaneError):
        error.add_note(traceback.format_exc())
    try:
        pickle.loads(pickle.dumps(error))
    except Exception:  # noqa: BLE001 - errors of others can be made of anything
        return RuntimeError("".join(traceback.format_exception(error)))
    return error


class _Teller:
    """Sends the progress, not more often than anybody can read; mutable."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self._next = 0.0

    def __call__(self, share: float, words: str) -> None:
        now = monotonic()
        if now >= self._next:
            self._next = now + _TELL
            self._connection.send(_Told(share, words))
