"""Many random steps on the window: `python -m tests.benchmarks.monkey --steps N`.

Prints a line every 500 steps, and at the end what was wrong: what was raised, what
Qt said, a document that undo did not lead back to, anything left over, or memory.
Memory is compared at rest: the barn as large as at first, nothing chosen, all docks
open. Ends with 1 if anything was wrong.
"""

import argparse
import ctypes
import gc
import sys
import tempfile
import threading
import traceback
from collections import Counter
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from time import perf_counter
from types import TracebackType

import psutil
from PySide6.QtCore import QSettings, QTimer, QtMsgType, qInstallMessageHandler
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from core.barnfile.files import BarnFile, load_barn
from core.model.barn import Barn
from tests.gui import Answers, settle
from tests.monkey import Monkey, let_go
from tests.specimens import plain_barn
from viewer.app.start import application, spare_pauses
from viewer.app.window import MainWindow
from viewer.preferences import Preferences
from viewer.session import Session

__all__ = ["main"]

_EVERY = 500
# Undo is without limit, so each of its steps may hold a little: two barns that
# share all but what the step changed, 7 kB in the mean of 1,500 random ones.
_CHANGE = 10.0 / 1024  # [MiB]
# Caches of a fixed number of groups, texts and meshes fill in the first thousands of
# steps, and the allocator keeps pages that are partly free; measured 12.
_CACHES = 20.0  # [MiB]
_CHECKS = 40.0  # for the process that checks: one analysis of each size it met [MiB]
_MOMENT = 1000  # longer than any timer that fires once [ms]
_WIDGETS = 80  # lists of choices are made when they are first opened
_HARMLESS = (  # what Qt says of a platform without a screen
    "This plugin does not support propagateSizeHints()",
    "This plugin does not support raise()",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """What the program held at rest after some steps; memory in MiB."""

    steps: int
    seconds: float
    cpu: float
    peak: float
    held: float
    checks: float
    widgets: int
    size: int
    changes: int

    def __str__(self) -> str:
        """Return one line of the table."""
        return (
            f"{self.steps:7d}{self.seconds:9.1f}{self.cpu:8.0f}{self.peak:8.1f}"
            f"{self.held:8.1f}{self.checks:8.1f}{self.widgets:8d}{self.size:9d}"
            f"{self.changes:7d}"
        )


_HEAD = "  steps  seconds   cpu s  before    held  checks widgets  objects   undo"


class Watch:
    """Collects what is raised and what Qt says; mutable, for it collects."""

    def __init__(self) -> None:
        self.told: Counter[str] = Counter()
        self.monkey: Monkey | None = None
        qInstallMessageHandler(self._on_message)
        sys.excepthook = self._on_exception
        threading.excepthook = lambda found: self._tell(f"thread: {found.exc_value}")

    def _on_message(self, kind: QtMsgType, _place: object, words: str) -> None:
        if kind != QtMsgType.QtDebugMsg and words not in _HARMLESS:
            self._tell(f"Qt: {words}")

    def _on_exception(
        self,
        kind: type[BaseException],
        error: BaseException,
        trace: TracebackType | None,
    ) -> None:
        self._tell("".join(traceback.format_exception(kind, error, trace)))

    def _tell(self, words: str) -> None:
        """Say what was wrong the first time, with the gestures before it."""
        line = words.rstrip().rpartition("\n")[2]
        self.told[line] += 1
        if self.told[line] == 1:
            before = "\n  ".join(self.monkey.done if self.monkey else ())
            _say(f"{words}\nafter\n  {before}")


def main() -> int:
    """Take the steps and return 0 if all was as it should be."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.monkey")
    parser.add_argument("--steps", type=int, default=10_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--barn", help="a file to begin with, without scans")
    parsed = parser.parse_args()
    app = application(sys.argv[:1])
    watch = Watch()
    barn = load_barn(parsed.barn) if parsed.barn else plain_barn()
    with tempfile.TemporaryDirectory() as folder:
        window = _window(barn, Path(folder))
        monkey = Monkey(window, window.questions, Path(folder), seed=parsed.seed)
        watch.monkey = monkey
        wrong = _tried(monkey, parsed.steps)
    del app
    wrong += [f"{count} times: {words}" for words, count in watch.told.items()]
    for words in wrong or ["nothing was wrong"]:
        _say(words)
    return 1 if wrong else 0


def _window(barn: Barn, folder: Path) -> MainWindow:
    """Show a barn that has no file, as the program does."""
    kept = QSettings(str(folder / "settings.ini"), QSettings.Format.IniFormat)
    session, answers = Session(BarnFile(barn=barn)), Answers()
    window = MainWindow(
        session, Preferences(kept), questions=answers, recovery=folder / "recovery"
    )
    window.show()
    window.activateWindow()
    settle(window)
    spare_pauses()
    return window


def _tried(monkey: Monkey, steps: int) -> list[str]:
    """Take the steps, undo them all, close the window; return what was wrong."""
    first = monkey.session.document
    marks = list(_marks(monkey, steps))
    wrong = [] if _undone(monkey) == first else ["undo did not lead back"]
    _say(f"gestures: {dict(monkey.count.most_common())}")
    marks.append(_at_the_end(monkey, first, marks[-1]))
    monkey.window.close()
    let_go()
    return [*wrong, *_beyond_bounds(marks), *_left_over()]


def _marks(monkey: Monkey, steps: int) -> Iterator[Mark]:
    """Let the monkey act and yield what is held now and then."""
    begin, changes = perf_counter(), 0
    _say(_HEAD)
    for number in range(steps + 1):
        if number % _EVERY == 0 or number == steps:
            changes = _changes(monkey)
            yield _measured(monkey, number, begin, changes)
        if number < steps:
            monkey.act()


def _measured(monkey: Monkey, steps: int, begin: float, changes: int) -> Mark:
    process = psutil.Process()
    peak = process.memory_info().rss
    monkey.come_to_rest()
    _tidy()
    times = process.cpu_times()
    mark = Mark(
        steps=steps,
        seconds=perf_counter() - begin,
        cpu=times.user + times.system,
        peak=peak / 2**20,
        held=process.memory_info().rss / 2**20,
        checks=sum(each.memory_info().rss for each in _processes()) / 2**20,
        widgets=len(QApplication.allWidgets()),
        size=monkey.size,
        changes=changes,
    )
    _say(str(mark))
    return mark


def _changes(monkey: Monkey) -> int:
    """Return how many steps the undo list holds, those undone included."""
    return len(monkey.session._history._changes)


def _undone(monkey: Monkey) -> object:
    """Undo everything and return the document."""
    session, number = monkey.session, 0
    while session.undo_name:
        session.undo()
        number += 1
        if number % 20 == 0:
            let_go()
    settle(monkey.window)
    return session.document


def _at_the_end(monkey: Monkey, first: Barn, last: Mark) -> Mark:
    """Return what is held of it all when the first document has been begun anew."""
    monkey.session.new(first)
    settle(monkey.window)
    begin = perf_counter() - last.seconds
    return _measured(monkey, last.steps, begin, changes=0)


def _tidy() -> None:
    """Give back all memory that is not held."""
    let_go()
    gc.collect()
    with suppress(OSError, AttributeError):  # another C library
        ctypes.CDLL("libc.so.6").malloc_trim(0)


def _processes() -> list[psutil.Process]:
    """Return the processes that the program has started itself."""
    children = psutil.Process().children()
    return [c for c in children if "resource_tracker" not in " ".join(c.cmdline())]


def _beyond_bounds(marks: list[Mark]) -> Iterator[str]:
    """Tell of each mark at which more is held than at the first full one."""
    base = marks[min(1, len(marks) - 1)]
    changes = 0
    for mark in marks[2:]:
        # pages that the undo list was on stay, for other things lie on them too
        changes = max(changes, mark.changes)
        more = max(changes - base.changes, 0)
        most = base.held + _CACHES + _CHANGE * more
        if mark.held > most:
            yield f"{mark.held:.1f} MiB held after {mark.steps} steps, > {most:.1f}"
        if mark.checks > base.checks + _CHECKS:
            yield f"{mark.checks:.1f} MiB held by the process that checks"
        if mark.widgets > base.widgets + _WIDGETS:
            yield f"{mark.widgets} widgets after {mark.steps} steps"


def _left_over() -> Iterator[str]:
    """Tell of what outlives the window by more than a moment."""
    QTest.qWait(_MOMENT)
    gc.unfreeze()
    gc.collect()
    timers = [each for each in gc.get_objects() if isinstance(each, QTimer)]
    for timer in timers:
        with suppress(RuntimeError):  # its C++ half is gone
            if timer.isActive():
                yield f"a timer runs on: {timer!r}"
    for thread in threading.enumerate():
        if thread is not threading.main_thread():
            yield f"a thread runs on: {thread.name}"
    yield from (f"a process runs on: {each}" for each in _processes())
    shown = [each for each in QApplication.topLevelWidgets() if each.isVisible()]
    yield from (f"a window is left: {each!r}" for each in shown)


def _say(line: str) -> None:
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    sys.exit(main())
