"""Frame time of drags through the event loop, with all three drawings shown.

    python -m tests.benchmarks.frames [BARN ...]

A frame begins when a mouse move is handed to the plan. It is *shown* when the plan
has drawn it and sent its repaint to the screen, and *followed* when section and long
section have too, the event loop has nothing left to do and the screen has caught up.
Views take turns, so a move that comes between the two is not kept waiting.
"""

import argparse
import sys
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from time import perf_counter, process_time

import numpy as np
from PySide6.QtCore import QEvent, QPointF, QSettings, Qt
from PySide6.QtGui import QGuiApplication, QMouseEvent
from PySide6.QtWidgets import QApplication, QWidget

from core.barnfile.files import BarnFile, open_barn
from core.drawing.handles import fixture_place
from core.drawing.records import Grip, Handle
from core.model.barn import Barn
from core.placement.runs import point_at
from tests.benchmarks.spread import Spread
from tests.specimens import plain_barn
from viewer.app.start import application, spare_pauses
from viewer.app.window import MainWindow
from viewer.paper.canvas import Canvas
from viewer.preferences import Preferences
from viewer.session import Session

__all__ = ["Times", "measure", "show"]

FRAMES = 240
GOAL = 16.7  # [ms]
GOAL_WITH_SCAN = 33.0
_Times3 = tuple[float, float, float]
_LEFT, _NONE = Qt.MouseButton.LeftButton, Qt.MouseButton.NoButton


@dataclass(frozen=True, slots=True, kw_only=True)
class Times:
    """Frame times of one kind of drag by the clock, and what this process needed [ms].

    On a machine that has other work the two differ.
    """

    name: str
    shown: Spread
    followed: Spread
    needed: Spread


def show(barn: BarnFile, folder: Path) -> MainWindow:
    """Show a barn in a window of 1600 x 1000 pixels."""
    settings = QSettings(str(folder / "settings.ini"), QSettings.Format.IniFormat)
    window = MainWindow(Session(barn), Preferences(settings))
    window.resize(1600, 1000)
    window.show()
    _settle(window)
    return window


def measure(window: MainWindow, *, frames: int = FRAMES) -> Iterator[Times]:
    """Yield the frame times of each kind of drag."""
    barn = window.session.document
    run = barn.runs[0]
    support = run.supports[len(run.supports) // 2]
    # freely and not past its neighbours: where a support hangs no other one can
    shift = Qt.KeyboardModifier.ShiftModifier
    yield _drag(window, support.id, Grip.SUPPORT, (0.6, 0.0), frames, held=shift)
    yield _drag(window, run.id, Grip.BODY, (0.0, 0.5), frames)
    fixture = _nearest_fixture(barn)
    if fixture is not None:
        yield _drag(window, fixture, Grip.BODY, (0.7, 0.7), frames)
    yield _lift(window, frames)


def _nearest_fixture(barn: Barn) -> str | None:
    """Return the fixture nearest to the middle of the first run."""
    x, y = point_at(barn.runs[0], 0.5)
    places = {each.id: fixture_place(each, barn.room) for each in barn.fixtures}
    return min(
        places,
        key=lambda key: np.hypot(places[key][0] - x, places[key][1] - y),
        default=None,
    )


def _settle(window: MainWindow) -> None:
    while True:
        QApplication.processEvents()
        if not any(view.is_stale for view in window.views):
            break
    QGuiApplication.sync()


def _wait_until_shown(window: MainWindow) -> None:
    """Wait until the plan shows what the session does and is sent to the screen."""
    while window.plan.is_stale:
        QApplication.processEvents()
    QApplication.sendPostedEvents(window, QEvent.Type.UpdateRequest)


def _frame(window: MainWindow, act: Callable[[], object]) -> _Times3:
    """Return when a frame is shown and followed, and what it needed [ms]."""
    begin, needed = perf_counter(), process_time()
    act()
    _wait_until_shown(window)
    shown = perf_counter()
    _settle(window)
    ends = (shown - begin, perf_counter() - begin, process_time() - needed)
    return (1e3 * ends[0], 1e3 * ends[1], 1e3 * ends[2])


def _wait_for_report(window: MainWindow) -> None:
    while window.session.is_checking:
        _settle(window)


def _drag(
    window: MainWindow,
    owner: str,
    grip: Grip,
    way: tuple[float, float],
    frames: int,
    *,
    held: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier,
) -> Times:
    """Drag an object in the plan to and fro, a pixel or so at a time."""
    window.session.select([owner])
    _settle(window)
    _wait_for_report(window)
    canvas = window.plan.canvas
    start = canvas.to_pixels(_handle(window, owner, grip))
    _mouse(canvas, QEvent.Type.MouseButtonPress, start, _LEFT, held)
    times = []
    for index in range(frames):
        reach = 60.0 * float(np.sin(index / 20.0)) + 8.0
        at = start + QPointF(way[0] * reach, way[1] * reach)
        move = partial(_mouse, canvas, QEvent.Type.MouseMove, at, _LEFT, held)
        times.append(_frame(window, move))
    _mouse(canvas, QEvent.Type.MouseButtonRelease, at, _NONE, held)
    _settle(window)
    _wait_for_report(window)
    changed = window.session.undo_name
    if changed:
        window.session.undo()
    _settle(window)
    return _times(f"drag {owner}" + ("" if changed else " (refused)"), times)


def _handle(window: MainWindow, owner: str, grip: Grip) -> tuple[float, float]:
    drawing = window.plan.drawing
    for record in drawing.records if drawing else ():
        if isinstance(record, Handle) and record.owner == owner and record.grip is grip:
            return record.at
    msg = f"{owner} has no handle in the plan"
    raise LookupError(msg)


def _mouse(
    canvas: Canvas,
    kind: QEvent.Type,
    at: QPointF,
    buttons: Qt.MouseButton,
    held: Qt.KeyboardModifier,
) -> None:
    viewport: QWidget = canvas.viewport()
    button = _NONE if kind == QEvent.Type.MouseMove else _LEFT
    place = QPointF(viewport.mapToGlobal(at))
    event = QMouseEvent(kind, at, place, button, buttons, held)
    QApplication.sendEvent(viewport, event)


def _lift(window: MainWindow, frames: int) -> Times:
    """Move the slider of the lift up and down."""
    slider = window.lift_panel.slider
    window.session.select(())
    _settle(window)
    times = []
    for index in range(frames):
        share = 0.5 - 0.5 * float(np.cos(index / 30.0))
        move = partial(slider.setValue, round(share * slider.maximum()))
        times.append(_frame(window, move))
    return _times("lift", times)


def _times(name: str, frames: list[_Times3]) -> Times:
    shown, followed, needed = map(Spread.of, zip(*frames, strict=True))
    return Times(name=name, shown=shown, followed=followed, needed=needed)


def main(write: Callable[[str], object] = sys.stdout.write) -> int:
    """Print a table for each barn; return 1 if the goal is missed."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("barns", nargs="*", metavar="BARN")
    parser.add_argument("--frames", type=int, default=FRAMES)
    parsed = parser.parse_args()
    app = application(sys.argv[:1])
    missed = False
    with tempfile.TemporaryDirectory() as folder:
        for name in parsed.barns or ["plain barn of the tests"]:
            file = open_barn(name) if parsed.barns else BarnFile(barn=plain_barn())
            window = show(file, Path(folder))
            window.session.warm_up()
            spare_pauses()
            goal = GOAL_WITH_SCAN if file.meshes else GOAL
            write(
                f"{name} on {app.platformName()}, {parsed.frames} frames each, "
                f"p50 / p99 in ms, goal {goal}\n"
                f"  {'':24} {'shown':>15} {'followed':>15} {'needed':>15}\n"
            )
            for times in measure(window, frames=parsed.frames):
                missed |= times.followed.p99 > goal
                kinds = (times.shown, times.followed, times.needed)
                words = " ".join(f"{each!s:>15}" for each in kinds)
                write(f"  {times.name:24} {words}\n")
            window.session.close()
            window.deleteLater()
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
