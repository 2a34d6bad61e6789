"""Pictures of the window and of each of its docks, light and dark, at two scales.

`python -m viewer.app.screenshots --out DIR [--dock NAME]... [BARN]`; the room in 3-D
needs a screen with OpenGL and is left out, in words, where there is none.
"""

import argparse
import os
import subprocess
import sys
import tempfile
from pathlib import Path

from PySide6.QtCore import QDeadlineTimer, QSettings
from PySide6.QtWidgets import QApplication, QWidget

from core.barnfile.files import BarnFile
from viewer.app.start import application
from viewer.app.start_barn import start_barn
from viewer.app.window import MainWindow
from viewer.preferences import Preferences, Scheme
from viewer.room3d.note import no_opengl
from viewer.session import Session

__all__ = ["main"]

_SCALES = (1, 2)
_SAMPLE = Path("sample_barns") / "awkward.json"
_REST = 400  # for what is due to be checked and drawn [ms]


def main(arguments: list[str] | None = None) -> int:
    """Take all pictures and return the exit code."""
    parser = argparse.ArgumentParser(prog="python -m viewer.app.screenshots")
    parser.add_argument("barn", nargs="?", default=str(_SAMPLE))
    parser.add_argument("--out", required=True, metavar="DIR")
    parser.add_argument(
        "--dock",
        action="append",
        metavar="NAME",
        help="take this dock alone besides the window; may be given several times",
    )
    parser.add_argument("--scale", type=int, choices=_SCALES, help=argparse.SUPPRESS)
    parsed = parser.parse_args(arguments)
    Path(parsed.out).mkdir(parents=True, exist_ok=True)
    if parsed.scale is not None:
        wanted = frozenset(parsed.dock) if parsed.dock else None
        return _take(parsed.barn, Path(parsed.out), parsed.scale, wanted)
    given = sys.argv[1:] if arguments is None else arguments
    return max(_at_scale(given, scale) for scale in _SCALES)


def _at_scale(given: list[str], scale: int) -> int:
    """Take the pictures of one scale; Qt reads it once, at the start of a process."""
    command = [sys.executable, "-m", "viewer.app.screenshots", *given]
    done = subprocess.run(
        [*command, "--scale", str(scale)],
        env={**os.environ, "QT_SCALE_FACTOR": str(scale)},
        check=False,
    )
    return done.returncode


def _take(barn: str, out: Path, scale: int, wanted: frozenset[str] | None) -> int:
    app = application(sys.argv[:1])  # it lives until all is taken
    with tempfile.TemporaryDirectory() as folder:
        window = _window(Path(folder))
        window.open_path(barn)
        while window.waiting.is_busy:
            QApplication.processEvents()
        if window.session.path is None:
            sys.stderr.write(f'"{barn}" cannot be opened; check it first\n')
            window.close()
            return 3
        _choose(window)
        for scheme in (Scheme.LIGHT, Scheme.DARK):
            window.preferences.scheme = scheme
            _rest()
            _save(window, out / f"window-{scheme}-{scale}.png")
            _save_docks(window, out, f"{scheme}-{scale}.png", wanted)
        window.close()
    del app
    return 0


def _window(folder: Path) -> MainWindow:
    kept = QSettings(str(folder / "settings.ini"), QSettings.Format.IniFormat)
    session = Session(BarnFile(barn=start_barn()))
    window = MainWindow(session, Preferences(kept), recovery=folder)
    window.resize(1600, 1000)
    window.show()
    return window


def _choose(window: MainWindow) -> None:
    """Choose the first finding and its run, half-way up."""
    _rest()
    window.session.show_finding(1)
    window.session.set_lift(0.5)
    window.fit()


def _save_docks(
    window: MainWindow, out: Path, ending: str, wanted: frozenset[str] | None
) -> None:
    for name, dock in window.docks.items():
        if wanted is not None and name not in wanted:
            continue
        reason = no_opengl() if name == "room-3d" else ""
        if reason:
            sys.stderr.write(f"{name} is left out: {reason}\n")
            continue
        dock.raise_()
        _rest()
        _save(dock, out / f"{name}-{ending}")
    window.docks["section"].raise_()
    window.docks["details"].raise_()


def _save(widget: QWidget, path: Path) -> None:
    if not widget.grab().save(str(path)):
        sys.stderr.write(f'"{path}" could not be written; choose another place\n')
        raise SystemExit(4)


def _rest() -> None:
    """Let the window work until all that is due has been drawn."""
    until = QDeadlineTimer(_REST)
    while not until.hasExpired():
        QApplication.processEvents()


if __name__ == "__main__":
    sys.exit(main())
