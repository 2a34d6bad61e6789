"""Analysis in a process of its own, so that a drag never waits for a check.

A thread would share the interpreter with the window and make it stutter. The
process keeps its analysis from one barn to the next as `analyse` does; what a new
barn shares with the one before it is found again by value.
"""

import pickle
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, fields, is_dataclass, replace
from multiprocessing import get_context
from multiprocessing.connection import Connection
from queue import SimpleQueue
from threading import Thread
from time import perf_counter
from typing import Any

from PySide6.QtCore import QObject, Signal, Slot

from core.analysis.analyse import Analysis, analyse
from core.analysis.report import Report, RunReport
from core.geometry.shapes import Mesh
from core.model.barn import Barn

__all__ = ["Checked", "Checker", "reshared"]

_PATIENCE = 5.0  # for the process to end by itself [s]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Checked:
    """A report with the time that it took [s]."""

    report: Report
    seconds: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Request:
    """A barn to check, with the meshes that the process has not yet."""

    barn: Barn
    scans: tuple[str, ...]
    fresh: Mapping[str, Mesh]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Answer:
    """A report whose runs are left out where they are as they were last time."""

    report: Report
    runs: Mapping[str, bytes]
    seconds: float


def reshared(old: Any, new: Any) -> Any:
    """Return the new value built from objects of the old one wherever they are equal.

    Examples
    --------
    >>> old, new = (("a", 1), ("b", 2)), (("a", 1), ("b", 3))
    >>> reshared(old, new)[0] is old[0]
    True
    """
    if type(old) is not type(new):
        return new
    if old == new:
        return old
    if isinstance(new, tuple):
        return _reshared_items(old, new)
    if is_dataclass(new) and not isinstance(new, type):
        parts = {
            each.name: reshared(getattr(old, each.name), getattr(new, each.name))
            for each in fields(new)
        }
        return replace(new, **parts)
    return new


def _reshared_items(old: tuple[Any, ...], new: tuple[Any, ...]) -> tuple[Any, ...]:
    """Match items by their ids where they have some, else by their places."""
    known = {getattr(item, "id", index): item for index, item in enumerate(old)}
    return tuple(
        reshared(known.get(getattr(item, "id", index)), item)
        for index, item in enumerate(new)
    )


class _Server:
    """The other side: it checks one barn after another. Mutable, it remembers."""

    def __init__(self) -> None:
        self._barn: Barn | None = None
        self._analysis: Analysis | None = None
        self._meshes: dict[str, Mesh] = {}
        self._sent: dict[str, bytes] = {}

    def answer(self, request: _Request) -> _Answer:
        begin = perf_counter()
        self._meshes = {
            key: request.fresh.get(key) or self._meshes[key] for key in request.scans
        }
        barn: Barn = reshared(self._barn, request.barn)
        analysis = analyse(barn, meshes=self._meshes, previous=self._analysis)
        self._barn, self._analysis = barn, analysis
        report = analysis.report
        runs = {key: pickle.dumps(run) for key, run in report.runs.items()}
        fresh = {key: raw for key, raw in runs.items() if self._sent.get(key) != raw}
        self._sent = runs
        return _Answer(
            report=replace(report, runs={}),
            runs=fresh,
            seconds=perf_counter() - begin,
        )


def _serve(connection: Connection) -> None:
    """Answer requests until the window is gone."""
    server = _Server()
    while True:
        try:
            request = pickle.loads(connection.recv_bytes())
        except (EOFError, OSError):
            return
        if request is None:
            return
        connection.send_bytes(pickle.dumps(_answered(server, request)))


def _answered(server: _Server, request: _Request) -> _Answer | Exception:
    try:
        return server.answer(request)
    except Exception as error:  # noqa: BLE001 - the window shows it
        return error


def _send(connection: Connection, outbox: "SimpleQueue[_Request | None]") -> None:
    """Send what is asked: a process that is starting takes a large scan late."""
    while True:
        request = outbox.get()
        with suppress(OSError):  # the process has ended, which the listener tells
            connection.send_bytes(pickle.dumps(request))
        if request is None:
            return


class Checker(QObject):
    """The window's side: one barn is checked at a time, the newest of all waits.

    Emits `checked(Checked)`, or `failed(exception)`: then it is of no more use
    until the next call of `check` starts a new process.
    """

    checked = Signal(object)
    failed = Signal(object)
    _arrived = Signal(bytes)
    _ended = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._connection: Connection | None = None
        self._threads: tuple[Thread, ...] = ()
        self._outbox: SimpleQueue[_Request | None] = SimpleQueue()
        self._process: Any = None
        self._asked: Barn | None = None
        self._wanted = True
        self._waiting: tuple[Barn, Mapping[str, Mesh]] | None = None
        self._meshes: dict[str, Mesh] = {}
        self._runs: dict[str, RunReport] = {}
        self._arrived.connect(self._on_answer_arrived)
        self._ended.connect(self._on_process_ended)

    @property
    def is_busy(self) -> bool:
        """Whether an answer is being waited for."""
        return self._asked is not None

    def start(self) -> None:
        """Start the process, if it does not run yet."""
        if self._process is not None:
            return
        context = get_context("spawn")
        self._connection, other = context.Pipe()
        self._process = context.Process(target=_serve, args=(other,), daemon=True)
        self._process.start()
        other.close()
        self._meshes, self._runs = {}, {}
        self._outbox = SimpleQueue()
        self._threads = (
            Thread(target=self._listen, args=(self._connection,), daemon=True),
            Thread(target=_send, args=(self._connection, self._outbox), daemon=True),
        )
        for thread in self._threads:
            thread.start()

    def check(self, barn: Barn, meshes: Mapping[str, Mesh]) -> None:
        """Check a barn, now or after the one that is being checked."""
        if self.is_busy:
            self._waiting = (barn, meshes)
            return
        self.start()
        self._ask(barn, meshes)

    def drop(self) -> None:
        """Forget what waits, and do not tell of what is being checked."""
        self._waiting = None
        self._wanted = not self.is_busy

    def close(self) -> None:
        """End process and threads; nobody waits for what is being checked."""
        was_busy = self.is_busy
        self._waiting, self._asked = None, None
        connection, self._connection = self._connection, None
        if connection is None:
            return
        if was_busy:
            self._process.kill()
        self._outbox.put(None)
        self._process.join(_PATIENCE)
        if self._process.is_alive():
            self._process.kill()
            self._process.join()
        for thread in self._threads:
            thread.join()
        connection.close()
        self._process, self._threads = None, ()

    def _ask(self, barn: Barn, meshes: Mapping[str, Mesh]) -> None:
        fresh = {
            key: mesh
            for key, mesh in meshes.items()
            if self._meshes.get(key) is not mesh
        }
        request = _Request(barn=barn, scans=tuple(meshes), fresh=fresh)
        self._asked, self._meshes, self._wanted = barn, dict(meshes), True
        self._outbox.put(request)

    def _listen(self, connection: Connection) -> None:
        """Hand over what arrives; only signals leave this thread."""
        while True:
            try:
                raw = connection.recv_bytes()
            except (EOFError, OSError):
                self._ended.emit()
                return
            self._arrived.emit(raw)

    @Slot(bytes)
    def _on_answer_arrived(self, raw: bytes) -> None:
        barn, self._asked = self._asked, None
        if barn is None:
            return
        answer = pickle.loads(raw)
        is_wanted = self._wanted
        waiting, self._waiting = self._waiting, None
        if waiting is not None:
            self._ask(*waiting)
        if isinstance(answer, Exception):
            self.failed.emit(answer)
            return
        checked = self._whole(barn, answer)
        if is_wanted:
            self.checked.emit(checked)

    def _whole(self, barn: Barn, answer: _Answer) -> Checked:
        for key, raw in answer.runs.items():
            self._runs[key] = pickle.loads(raw)
        runs = {run.id: self._runs[run.id] for run in barn.runs}
        report = replace(answer.report, barn=barn, runs=runs)
        return Checked(report=report, seconds=answer.seconds)

    @Slot()
    def _on_process_ended(self) -> None:
        if self._connection is None:
            return
        asked = self._asked
        self.close()
        if asked is not None:
            self.failed.emit(RuntimeError("the process that checks has ended"))
