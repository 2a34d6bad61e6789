"""Starting the window: application, settings, hooks, the first barn."""

import gc
import os
import sys
from functools import partial

from PySide6.QtCore import QSettings, Qt, QTimer
from PySide6.QtWidgets import QApplication

from core.barnfile.files import BarnFile
from viewer.app.crash import Hooks, show_report
from viewer.app.start_barn import start_barn
from viewer.app.window import MainWindow
from viewer.preferences import Preferences
from viewer.session import Session

__all__ = ["application", "run", "settings", "spare_pauses"]

_WARM_UP = 300  # after which the process for checks is started [ms]
# which OpenGL binding goes with which window system; must be known before any import
_BINDINGS = {"xcb": "glx", "wayland": "egl"}


def spare_pauses() -> None:
    """Keep the collector from going through everything in the middle of a drag.

    What is there by now stays for good; what a drag makes is freed by counting.
    """
    gc.collect()
    gc.freeze()
    gc.set_threshold(50_000, 20, 100)


def application(arguments: list[str]) -> QApplication:
    """Make the application; views in 3-D need contexts that are shared."""
    QApplication.setAttribute(Qt.ApplicationAttribute.AA_ShareOpenGLContexts)
    made = QApplication(arguments)
    made.setApplicationName("liftlane")
    made.setOrganizationName("liftlane")
    made.setApplicationDisplayName("Liftlane")
    binding = _BINDINGS.get(QApplication.platformName())
    if binding is not None:
        os.environ.setdefault("PYOPENGL_PLATFORM", binding)
    return made


def settings() -> QSettings:
    """Return the settings of this user, as a text file."""
    return QSettings(
        QSettings.Format.IniFormat, QSettings.Scope.UserScope, "liftlane", "liftlane"
    )


def run(path: str | None = None) -> int:
    """Show the window until it is closed; return the exit code.

    Parameters
    ----------
    path : str, optional
        A barn file to open at once.
    """
    app = application(sys.argv[:1])
    hooks = Hooks()
    window = MainWindow(Session(BarnFile(barn=start_barn())), Preferences(settings()))
    hooks.caught.connect(partial(_report, window))
    hooks.install()
    window.show()
    if path is not None:
        window.open_path(path)
    else:
        window.show_start()
    window.care.offer_recovery()
    QTimer.singleShot(_WARM_UP, window.session.warm_up)
    spare_pauses()
    code = app.exec()
    hooks.remove()
    return code


def _report(window: MainWindow, text: str) -> None:
    show_report(text, save_copy=window.save_copy, parent=window)
