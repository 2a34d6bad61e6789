"""Many random steps on the window: `python -m tests.benchmarks.monkey --steps N`.

Prints how much memory was held on the way, and whether undo led back to the start.
"""

import argparse
import os
import random
import sys
import tempfile
from collections import Counter
from pathlib import Path
from time import perf_counter

import psutil
from PySide6.QtCore import QSettings, QtMsgType, qInstallMessageHandler

from core.barnfile.files import BarnFile
from tests.gui import Answers, settle
from tests.journeys.test_monkey import act
from tests.specimens import plain_barn
from viewer.app.start import application
from viewer.app.window import MainWindow
from viewer.preferences import Preferences
from viewer.session import Session

__all__ = ["main"]


def main() -> int:
    """Take the steps and return 0 if all was as it should be."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.monkey")
    parser.add_argument("--steps", type=int, default=10_000)
    parser.add_argument("--seed", type=int, default=1)
    parsed = parser.parse_args()
    app = application(sys.argv[:1])
    complaints, caught = Counter[str](), Counter[str]()
    qInstallMessageHandler(
        lambda kind, _place, words: complaints.update(
            [words] if kind != QtMsgType.QtDebugMsg else []
        )
    )
    sys.excepthook = lambda kind, error, _trace: caught.update(
        [f"{kind.__name__}: {error}"]
    )
    with tempfile.TemporaryDirectory() as folder:
        same = _steps(Path(folder), parsed.steps, parsed.seed)
    del app
    _say(f"the same document after undo: {same}")
    _say(f"exceptions: {dict(caught)}\nQt said: {dict(complaints)}")
    return 0 if same and not caught else 1


def _say(line: str) -> None:
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


def _steps(folder: Path, steps: int, seed: int) -> bool:
    kept = QSettings(str(folder / "settings.ini"), QSettings.Format.IniFormat)
    session = Session(BarnFile(barn=plain_barn()))
    answers = Answers()
    window = MainWindow(
        session, Preferences(kept), questions=answers, recovery=folder / "r"
    )
    window.show()
    settle(window)
    first, chance, begin = session.document, random.Random(seed), perf_counter()
    for number in range(steps + 1):
        if number % max(steps // 10, 1) == 0:
            held = psutil.Process(os.getpid()).memory_info().rss / 2**20
            _say(f"{number:6d} steps {perf_counter() - begin:6.1f} s {held:6.0f} MB")
        act(window, chance)
    while session.undo_name:
        session.undo()
    settle(window)
    same = session.document == first
    answers.choice = "discard"
    window.close()
    return same


if __name__ == "__main__":
    sys.exit(main())
