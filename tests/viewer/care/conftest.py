"""Settings and sessions that no other test has seen."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QCoreApplication, QEvent, QSettings
from PySide6.QtWidgets import QApplication

from core.barnfile.files import BarnFile
from core.model.barn import Barn
from viewer.preferences import Preferences
from viewer.session import Session


@pytest.fixture
def preferences(tmp_path: Path) -> Preferences:
    """Return settings in a file of their own."""
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
