"""A window in which one thing goes wrong time and again: `python -m ... NAME`.

A process of its own, for what it tries has ended processes.
"""

import sys
import tempfile
from collections.abc import Callable
from functools import wraps
from pathlib import Path
from typing import Any

from PySide6.QtCore import QSettings
from PySide6.QtWidgets import QApplication

from core.barnfile.files import BarnFile
from tests.gui import Answers
from tests.specimens import plain_barn
from viewer.app.lift_panel import _Scale
from viewer.app.start import application
from viewer.app.window import MainWindow
from viewer.panels.sketch import CeilingSketch
from viewer.paper.canvas import Canvas
from viewer.paper.painter import Painter
from viewer.paper.rulers import Ruler
from viewer.plan import PlanView
from viewer.preferences import Preferences
from viewer.session import Session

__all__ = ["FAULTS", "main"]

FAULTS: dict[str, tuple[type, str]] = {
    "drawing": (PlanView, "draw"),
    "lift": (_Scale, "_paint_mark"),
    "records": (Painter, "paint"),
    "ruler": (Ruler, "_paint_tick"),
    "sheet": (Canvas, "paint_sheet"),
    "sketch": (CeilingSketch, "words"),
}


def main(name: str) -> None:
    """Show the window with a fault in it; print how often it was told of."""
    app = application(sys.argv[:1])
    told: list[str] = []
    sys.excepthook = lambda _kind, error, _trace: told.append(str(error))
    with tempfile.TemporaryDirectory() as folder:
        window = _window(Path(folder))
        _spoil(*FAULTS[name])
        window.show()
        _look_about(app, window)
        window.close()
    assert told, "nobody was told"
    assert set(told) == {name}, told
    sys.stdout.write(f"told {len(told)} times\n")


def _window(folder: Path) -> MainWindow:
    kept = QSettings(str(folder / "settings.ini"), QSettings.Format.IniFormat)
    session, answers = Session(BarnFile(barn=plain_barn())), Answers()
    return MainWindow(
        session, Preferences(kept), questions=answers, recovery=folder / "recovery"
    )


def _spoil(cls: type, method: str) -> None:
    """Let every other call of a method fail."""
    calls: list[int] = []
    name = next(key for key, place in FAULTS.items() if place == (cls, method))

    def spoilt(old: Callable[..., Any]) -> Callable[..., Any]:
        @wraps(old)
        def call(*args: Any, **kwargs: Any) -> Any:
            calls.append(1)
            if len(calls) % 2:
                raise RuntimeError(name)
            return old(*args, **kwargs)

        return call

    setattr(cls, method, spoilt(getattr(cls, method)))


def _look_about(app: QApplication, window: MainWindow) -> None:
    """Let everything be laid out and painted a few times, as a person would see it."""
    app.processEvents()
    window.docks["room"].raise_()
    for step in range(12):
        window.resize(1200 + 10 * step, 800 + step)
        app.processEvents()
        window.session.set_lift(step / 12)
        window.session.set_cut(10.0 * step)
        app.processEvents()


if __name__ == "__main__":
    main(sys.argv[1])
