"""Starting the window: application, settings, hooks, the first barn."""

import os
import sys
from functools import partial

from PySide6.QtCore import QSettings, Qt, QTimer
from PySide6.QtWidgets import QApplication

from core.barnfile.files import BarnFile
from viewer.app.crash import CrashReport, Hooks
from viewer.app.start_barn import start_barn
from viewer.app.window import MainWindow
from viewer.preferences import Preferences
from viewer.session import Session

__all__ = ["application", "run", "settings"]

_WARM_UP = 300  # after which the process for checks is started [ms]
# which OpenGL binding goes with which window system; must be known before any import
_BINDINGS = {"xcb": "glx", "wayland": "egl"}


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
    QTimer.singleShot(_WARM_UP, window.session.warm_up)
    code = app.exec()
    hooks.remove()
    return code


def _report(window: MainWindow, text: str) -> None:
    CrashReport(text, save_copy=window.save_copy, parent=window).show()
