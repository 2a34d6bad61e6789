"""Long work off the GUI thread: the newest wins, with progress and cancel."""

from collections.abc import Callable
from dataclasses import dataclass, field
from threading import Event

from PySide6.QtCore import QObject, QRunnable, QThreadPool, Signal, Slot

__all__ = ["Jobs", "Ticket", "Work"]


@dataclass(frozen=True, slots=True, eq=False)
class Ticket:
    """What a piece of work is told and tells: progress, and whether to give up.

    `report` may be called from any thread; it takes a share [-] and words.
    """

    report: Callable[[float, str], None]
    _cancelled: Event = field(default_factory=Event)

    def cancel(self) -> None:
        """Ask the work to give up at its next look."""
        self._cancelled.set()

    @property
    def is_cancelled(self) -> bool:
        """Whether the work should give up."""
        return self._cancelled.is_set()


Work = Callable[[Ticket], object]


class _Runnable(QRunnable):
    """One piece of work in the pool."""

    def __init__(self, jobs: "Jobs", ticket: Ticket, work: Work) -> None:
        super().__init__()
        self.setAutoDelete(True)
        self._jobs = jobs
        self._ticket = ticket
        self._work = work

    def run(self) -> None:
        """Do the work and hand over what came of it; only signals leave here."""
        result: object = None
        error: Exception | None = None
        try:
            result = self._work(self._ticket)
        except Exception as caught:  # noqa: BLE001 - shown to the user by the window
            error = caught
        self._jobs.ended.emit(self._ticket, result, error)


class Jobs(QObject):
    """One place for one kind of long work.

    While a piece of work runs, the newest of all that ask waits and the others
    are dropped. A piece that has begun is told to give up only by `cancel`: what
    it finds may be a moment old, but nobody waits for ever.

    Emits `started`, `progressed(share, words)`, `finished(result)`,
    `failed(exception)` and `idle`, all in the thread that it lives in.
    """

    started = Signal()
    progressed = Signal(float, str)
    finished = Signal(object)
    failed = Signal(object)
    idle = Signal()
    ended = Signal(object, object, object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._pool = QThreadPool(self)
        self._pool.setMaxThreadCount(1)
        self._running: Ticket | None = None
        self._waiting: Work | None = None
        self.ended.connect(self._on_work_ended)

    @property
    def is_busy(self) -> bool:
        """Whether work runs or waits."""
        return self._running is not None

    def run(self, work: Work) -> None:
        """Begin a piece of work, or let it wait in the place of any other.

        Parameters
        ----------
        work : callable
            Gets its ticket; runs in another thread and must not touch widgets.
        """
        if self._running is not None:
            self._waiting = work
            return
        self._begin(work)

    def cancel(self) -> None:
        """Drop what waits and ask what runs to give up; its result is not shown."""
        self._waiting = None
        if self._running is not None:
            self._running.cancel()

    def close(self) -> None:
        """Cancel, and wait until no thread is left."""
        self.cancel()
        self._pool.waitForDone()

    def _begin(self, work: Work) -> None:
        self._running = Ticket(self.progressed.emit)
        self.started.emit()
        self._pool.start(_Runnable(self, self._running, work))

    @Slot(object, object, object)
    def _on_work_ended(
        self, ticket: Ticket, result: object, error: Exception | None
    ) -> None:
        if ticket is not self._running:
            return
        self._running = None
        waiting, self._waiting = self._waiting, None
        if waiting is not None:
            self._begin(waiting)
        self._tell(ticket, result, error)
        if self._running is None:
            self.idle.emit()

    def _tell(self, ticket: Ticket, result: object, error: Exception | None) -> None:
        if ticket.is_cancelled:
            return
        if error is not None:
            self.failed.emit(error)
        else:
            self.finished.emit(result)
