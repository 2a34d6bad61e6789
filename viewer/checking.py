"""Analysis in a process of its own, so that a drag never waits for a check.

A thread would share the interpreter with the window and make it stutter. The
process keeps its analysis from one barn to the next as `analyse` does; what a new
barn shares with the one before it is found again by value.
"""

import pickle
from collections.abc import Iterator, Mapping
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
from core.analysis.report import Report
from core.geometry.shapes import Mesh
from core.model.barn import Barn
from core.rules.finding import Finding

__all__ = ["Checked", "Checker", "reshared"]

_Key = tuple[str, str]
_BY_ID = ("runs", "hoists")  # fields of a report that hold one piece for each id
_PATIENCE = 5.0  # for the process to end by itself [s]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Checked:
    """A report with the time that it took [s]."""

    report: Report
    seconds: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Request:
    """A barn to check: what the process has not yet of it and of its meshes."""

    barn: Mapping[str, object]
    scans: tuple[str, ...]
    fresh: Mapping[str, Mesh]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Answer:
    """A report but for its barn, in pieces; those that are as last time stay away.

    `keys` names all pieces, `findings` holds new ones and places in those before.
    """

    keys: tuple[_Key, ...]
    fresh: Mapping[_Key, bytes]
    findings: tuple[int | bytes, ...]
    seconds: float


def _pieces(report: Report) -> Iterator[tuple[_Key, object]]:
    """Yield the parts of a report that are sent on their own, under their keys."""
    for each in fields(report):
        value = getattr(report, each.name)
        if each.name in ("barn", "findings"):
            continue
        if each.name in _BY_ID:
            yield from (((each.name, key), item) for key, item in value.items())
        else:
            yield (each.name, ""), value


def _joined(
    barn: Barn, findings: tuple[Finding, ...], pieces: Mapping[_Key, Any]
) -> Report:
    """Return the report of a barn from its pieces."""
    parts: dict[str, Any] = {name: {} for name in _BY_ID}
    for (name, key), piece in pieces.items():
        if name in _BY_ID:
            parts[name][key] = piece
        else:
            parts[name] = piece
    return Report(barn=barn, findings=findings, **parts)


def _difference(old: Barn | None, new: Barn) -> dict[str, object]:
    """Return the fields that are not the very objects of before.

    Of a field that is a tuple, places in the old one stand for items that are.
    """
    changed: dict[str, object] = {}
    for each in fields(new):
        before, now = getattr(old, each.name, None), getattr(new, each.name)
        if old is not None and before is now:
            continue
        if isinstance(before, tuple):
            places = {id(item): place for place, item in enumerate(before)}
            now = tuple(places.get(id(item), item) for item in now)
        changed[each.name] = now
    return changed


def _changed(old: Barn | None, difference: Mapping[str, Any]) -> Barn:
    """Return the barn that differs so from an old one."""
    if old is None:
        return Barn(**difference)
    parts = dict(difference)
    for name, value in parts.items():
        if isinstance(value, tuple):
            before = getattr(old, name)
            parts[name] = tuple(
                before[item] if isinstance(item, int) else item for item in value
            )
    return replace(old, **parts)


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
        self._sent: dict[_Key, bytes] = {}
        self._findings: tuple[bytes, ...] = ()

    def answer(self, request: _Request) -> _Answer:
        begin = perf_counter()
        self._meshes = {
            key: request.fresh.get(key) or self._meshes[key] for key in request.scans
        }
        barn: Barn = reshared(self._barn, _changed(self._barn, request.barn))
        self._barn = barn
        self._analysis = analyse(barn, meshes=self._meshes, previous=self._analysis)
        return self._packed(self._analysis.report, begin)

    def _packed(self, report: Report, begin: float) -> _Answer:
        pieces = {key: pickle.dumps(piece) for key, piece in _pieces(report)}
        fresh = {key: raw for key, raw in pieces.items() if self._sent.get(key) != raw}
        known = {raw: place for place, raw in enumerate(self._findings)}
        found = tuple(map(pickle.dumps, report.findings))
        self._sent, self._findings = pieces, found
        return _Answer(
            keys=tuple(pieces),
            fresh=fresh,
            findings=tuple(known.get(raw, raw) for raw in found),
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
    _arrived = Signal(object, bytes)
    _ended = Signal(object)

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
        self._sent: Barn | None = None
        self._pieces: dict[_Key, object] = {}
        self._findings: tuple[Finding, ...] = ()
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
        connection, other = context.Pipe()
        process = context.Process(target=_serve, args=(other,), daemon=True)
        process.start()
        other.close()
        self._connection, self._process = connection, process
        self._sent, self._meshes, self._pieces = None, {}, {}
        self._findings = ()
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
        try:
            self.start()
        except OSError as error:  # the system gives no process
            self.failed.emit(error)
            return
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
        parts = _difference(self._sent, barn)
        request = _Request(barn=parts, scans=tuple(meshes), fresh=fresh)
        self._asked, self._meshes, self._wanted = barn, dict(meshes), True
        self._sent = barn
        self._outbox.put(request)

    def _listen(self, connection: Connection) -> None:
        """Hand over what arrives; only signals leave this thread."""
        while True:
            try:
                raw = connection.recv_bytes()
            except (EOFError, OSError):
                self._ended.emit(connection)
                return
            self._arrived.emit(connection, raw)

    @Slot(object, bytes)
    def _on_answer_arrived(self, connection: Connection, raw: bytes) -> None:
        if connection is not self._connection:  # of a process before this one
            return
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
        before = self._findings
        self._findings = tuple(
            before[each] if isinstance(each, int) else pickle.loads(each)
            for each in answer.findings
        )
        fresh = {key: pickle.loads(raw) for key, raw in answer.fresh.items()}
        kept = self._pieces | fresh
        self._pieces = {key: kept[key] for key in answer.keys}
        report = _joined(barn, self._findings, self._pieces)
        return Checked(report=report, seconds=answer.seconds)

    @Slot(object)
    def _on_process_ended(self, connection: Connection) -> None:
        if connection is not self._connection:
            return
        asked = self._asked
        self.close()
        if asked is not None:
            self.failed.emit(RuntimeError("the process that checks has ended"))
