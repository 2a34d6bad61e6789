"""Frame time of the room in 3-D: lift, orbit and walk, at about 900 x 600 pixels.

    xvfb-run -a python -m tests.benchmarks.room_frames [BARN ...]

A frame begins with the change and ends when OpenGL has finished, so that drawing in
software is counted whole.
"""

import argparse
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from math import radians, sin
from pathlib import Path
from time import perf_counter, process_time

from OpenGL import GL
from PySide6.QtWidgets import QApplication

from core.barnfile.files import open_barn
from tests.benchmarks.spread import Spread
from viewer.app.start import application
from viewer.room3d.camera import orbited
from viewer.room3d.panel import Room3dPanel
from viewer.room3d.view import RoomView
from viewer.session import Session

__all__ = ["Times", "measure", "show"]

FRAMES = 150
GOAL = 50.0  # [ms]
SIZE = (900, 630)


@dataclass(frozen=True, slots=True, kw_only=True)
class Times:
    """Frame times of one kind of move, by the clock and of the processor [ms].

    The latter counts all threads, and does not mind what else the machine does.
    """

    name: str
    frames: Spread
    worked: Spread


def show(path: Path) -> Room3dPanel:
    """Show a barn in a room view of its own."""
    panel = Room3dPanel(Session(open_barn(path), path=path))
    panel.resize(*SIZE)
    panel.show()
    while panel.session.is_checking or panel.is_stale or _is_blank(panel):
        QApplication.processEvents()
    return panel


def _is_blank(panel: Room3dPanel) -> bool:
    return panel.view is not None and panel.view.frames == 0


def measure(panel: Room3dPanel, *, frames: int = FRAMES) -> Iterator[Times]:
    """Yield the frame times of each kind of move."""
    view = panel.view
    if view is None:
        return
    session, whole = panel.session, view.camera

    def lift(index: int) -> None:
        session.set_lift(0.5 + 0.5 * sin(index / 15.0))

    def orbit(index: int) -> None:
        turn = radians(20.0) * sin(index / 20.0)
        view.look(orbited(whole, turn=turn, rise=0.0))

    def stroll(_index: int) -> None:
        view.walk(0.02)

    yield _times("lift, from outside", view, lift, frames)
    yield _times("orbit", view, orbit, frames)
    panel.eyes.setCurrentIndex(0)
    panel.eyes.activated.emit(0)
    panel.walk_button.setChecked(True)
    yield _times("lift, from inside", view, lift, frames)
    yield _times("walk", view, stroll, frames)
    panel.animal_button.setChecked(True)
    panel.envelope_button.setChecked(True)
    yield _times("walk, animals and air", view, stroll, frames)


def _times(
    name: str, view: RoomView, move: Callable[[int], None], frames: int
) -> Times:
    """Return the times of some frames after a few to warm up."""
    found, worked = [], []
    for index in range(frames + 5):
        start, busy, drawn = perf_counter(), process_time(), view.frames
        move(index)
        while view.frames == drawn:
            QApplication.processEvents()
        view.makeCurrent()
        GL.glFinish()
        view.doneCurrent()
        found.append(1000.0 * (perf_counter() - start))
        worked.append(1000.0 * (process_time() - busy))
    return Times(name=name, frames=Spread.of(found[5:]), worked=Spread.of(worked[5:]))


def main() -> int:
    """Print the table for each barn."""
    parser = argparse.ArgumentParser(description="Time frames of the room in 3-D.")
    samples = [Path("sample_barns/tunnel.json")]
    parser.add_argument("barn", nargs="*", type=Path, default=samples)
    arguments = parser.parse_args()
    app = application(sys.argv[:1])
    for path in arguments.barn:
        panel = show(path)
        if panel.view is None:
            sys.stdout.write(f"{panel.note.text()}\n")
            return 1
        sys.stdout.write(f"{path}, p50 / p99 in ms, goal {GOAL:.0f}\n")
        for times in measure(panel):
            sys.stdout.write(
                f"  {times.name:24} {times.frames}   processor {times.worked}\n"
            )
        panel.close()
        panel.session.close()
    app.quit()
    return 0


if __name__ == "__main__":
    sys.exit(main())
