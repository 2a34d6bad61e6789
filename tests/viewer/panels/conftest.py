"""A session on a sound barn, fresh settings, and a look-out for what is left over."""

import gc
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QCoreApplication, QEvent, QSettings, QTimer
from PySide6.QtWidgets import QApplication, QWidget

from core.barnfile.files import BarnFile
from core.model.barn import Barn
from tests.specimens import plain_barn
from viewer.preferences import Preferences
from viewer.session import Session


@pytest.fixture
def preferences(tmp_path: Path) -> Preferences:
    """Return settings that no other test has seen."""
    file = str(tmp_path / "settings.ini")
    return Preferences(QSettings(file, QSettings.Format.IniFormat))


@pytest.fixture
def open_session(qapp: QApplication) -> Iterator[Callable[[Barn], Session]]:
    """Return a function that opens a session; all are closed in the end."""
    opened: list[Session] = []

    def make(barn: Barn) -> Session:
        opened.append(Session(BarnFile(barn=barn)))
        return opened[-1]

    yield make
    for session in opened:
        session.close()
        session.deleteLater()
    opened.clear()
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    qapp.processEvents()


@pytest.fixture
def session(open_session: Callable[[Barn], Session]) -> Session:
    """Return a session on the sound barn."""
    return open_session(plain_barn())


@pytest.fixture(autouse=True)
def nothing_is_left_over(qapp: QApplication) -> Iterator[None]:
    """Fail a test after which a window or a running timer is still there."""
    yield
    for widget in QApplication.topLevelWidgets():
        widget.close()
        widget.deleteLater()
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    gc.collect(1)
    left = [widget for widget in QApplication.topLevelWidgets() if is_ours(widget)]
    running = [timer for timer in qapp.findChildren(QTimer) if timer.isActive()]
    assert not left
    assert not running


def is_ours(widget: QWidget) -> bool:
    """Tell whether a widget is one of this program's."""
    return type(widget).__module__.startswith("viewer.")
