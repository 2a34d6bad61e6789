"""What tests of the window share: a session, a window, real mouse events, and traps.

A folder's conftest imports from here what its tests use.
"""

import gc
import os
import threading
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import (
    QCoreApplication,
    QEvent,
    QObject,
    QPoint,
    QSettings,
    Qt,
    QThreadPool,
    QTimer,
)
from PySide6.QtPrintSupport import QPrinter
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from core.barnfile.files import BarnFile
from core.drawing.records import Grip, Handle
from core.geometry.shapes import Vec2
from core.model.barn import Barn
from tests.specimens import plain_barn
from tests.viewer.care.answers import Answers as CareAnswers
from viewer.app.picture_wanted import (
    PictureOffer,
    PictureWanted,
    WalkOffer,
    WalkWanted,
)
from viewer.app.sheets_dialog import SheetsWanted
from viewer.app.window import MainWindow
from viewer.paper.drawing_view import DrawingView
from viewer.preferences import Preferences
from viewer.session import Session

__all__ = [
    "Answers",
    "caught_by_traps",
    "drag",
    "handle_at",
    "make_session",
    "make_window",
    "preferences",
    "session",
    "settle",
    "window",
]

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
# what Qt says of the platform that tests run on, not of the program
_HARMLESS = (
    "This plugin does not support propagateSizeHints()",
    "This plugin does not support raise()",
)


class Answers:
    """Answers the window's questions at once, and remembers what was told."""

    def __init__(self) -> None:
        self.path = ""
        self.choice = "discard"
        self.told: list[tuple[str, str]] = []
        self.wanted: SheetsWanted | None = None
        self.picture_wanted: dict[str, Any] = {}
        self.offers: list[PictureOffer | WalkOffer] = []
        self.proposed: list[tuple[Path, str]] = []
        self.of_care = CareAnswers()

    def file_to_open(
        self, _parent: QWidget, _folder: Path, answered: Callable[[str], object]
    ) -> None:
        answered(self.path)

    def file_to_save(
        self, _parent: QWidget, _place: Path, answered: Callable[[str], object]
    ) -> None:
        answered(self.path)

    def place_to_write(
        self,
        _parent: QWidget,
        place: Path,
        kinds: str,
        answered: Callable[[Path], object],
    ) -> None:
        self.proposed.append((place, kinds))
        if self.path:
            answered(Path(self.path))

    def sheets(
        self,
        _parent: QWidget,
        proposed: SheetsWanted,
        answered: Callable[[SheetsWanted], object],
    ) -> None:
        self.proposed.append((proposed.folder, proposed.paper))
        if self.wanted is not None:
            answered(self.wanted)

    def picture(
        self,
        _parent: QWidget,
        offer: PictureOffer,
        answered: Callable[[PictureWanted], object],
    ) -> None:
        self.offers.append(offer)
        answered(replace(offer.wanted, **self.picture_wanted))

    def walk(
        self,
        _parent: QWidget,
        offer: WalkOffer,
        answered: Callable[[WalkWanted], object],
    ) -> None:
        self.offers.append(offer)
        answered(replace(offer.wanted, **self.picture_wanted))

    def printer(
        self,
        _parent: QWidget,
        printer: QPrinter,
        _count: int,
        answered: Callable[[], object],
    ) -> None:
        if self.path:
            printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
            printer.setOutputFileName(self.path)
            answered()

    def unsaved(
        self,
        _parent: QWidget,
        _name: str,
        *,
        save: Callable[[], object],
        discard: Callable[[], object],
    ) -> None:
        {"save": save, "discard": discard, "back": lambda: None}[self.choice]()

    def care(self, _parent: QWidget) -> CareAnswers:
        return self.of_care

    def tell(self, _parent: QWidget, words: str, details: str = "") -> None:
        self.told.append((words, details))


@pytest.fixture(autouse=True)
def caught_by_traps(request: pytest.FixtureRequest) -> Iterator[None]:
    """Fail a test that leaves windows, timers or threads, or makes Qt complain."""
    if request.node.get_closest_marker("gui") is None:
        yield
        return
    qapp: QApplication = request.getfixturevalue("qapp")
    qtlog = request.getfixturevalue("qtlog")
    threads = set(threading.enumerate())
    yield
    for widget in QApplication.topLevelWidgets():
        widget.close()
        widget.deleteLater()
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    qapp.processEvents()
    gc.collect()
    assert QThreadPool.globalInstance().waitForDone(2000)
    left = [w for w in QApplication.topLevelWidgets() if _is_ours(w)]
    running = [each for each in gc.get_objects() if _is_running(each)]
    words = [
        record.message
        for record in getattr(qtlog, "records", ())
        if record.type_name != "QtDebugMsg" and record.message not in _HARMLESS
    ]
    assert words == [], "Qt complained"
    assert left == [], "windows were left over"
    assert running == [], "timers were left running"
    assert set(threading.enumerate()) <= threads, "threads were left running"


def _is_ours(widget: QObject) -> bool:
    return type(widget).__module__.startswith("viewer.")


def _is_running(item: object) -> bool:
    if not isinstance(item, QTimer):
        return False
    try:
        return item.isActive()
    except RuntimeError:  # its C++ half is gone
        return False


@pytest.fixture
def preferences(tmp_path: Path) -> Preferences:
    """Return settings that no other test has seen."""
    file = str(tmp_path / "settings.ini")
    return Preferences(QSettings(file, QSettings.Format.IniFormat))


@pytest.fixture
def make_session(qapp: QApplication) -> Iterator[Callable[..., Session]]:
    """Return a function that opens a session; all are closed in the end."""
    made: list[Session] = []

    def make(barn: Barn, *, path: Path | None = None) -> Session:
        made.append(Session(BarnFile(barn=barn), path=path))
        return made[-1]

    yield make
    for each in made:
        each.close()
        each.deleteLater()
    made.clear()
    qapp.processEvents()


@pytest.fixture
def session(make_session: Callable[..., Session]) -> Session:
    """Return a session on the sound barn."""
    return make_session(plain_barn())


@pytest.fixture
def make_window(
    qtbot: QtBot, preferences: Preferences, tmp_path: Path
) -> Iterator[Callable[[Session], MainWindow]]:
    """Return a function that shows a window on a session, with given answers."""
    shown: list[MainWindow] = []

    def make(session: Session) -> MainWindow:
        window = MainWindow(
            session,
            preferences,
            questions=Answers(),
            recovery=tmp_path / "recovery",
        )
        shown.append(window)
        window.resize(1600, 1000)
        with qtbot.waitActive(window):  # keys go to the active window alone
            window.show()
            window.activateWindow()
        settle(window)
        return window

    yield make
    for window in shown:
        window.close()
        window.deleteLater()
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


@pytest.fixture
def window(
    make_window: Callable[[Session], MainWindow], session: Session
) -> MainWindow:
    """Return a window on the sound barn."""
    return make_window(session)


def settle(window: MainWindow) -> None:
    """Let everything that is due be drawn."""
    application = QApplication.instance()
    assert application is not None
    application.processEvents()
    while any(view.is_stale for view in window.views):
        application.processEvents()


def handle_at(view: DrawingView, owner: str, grip: Grip) -> Vec2:
    """Return where a handle is in a view's plane [in]."""
    assert view.drawing is not None
    return next(
        record.at
        for record in view.drawing.records
        if isinstance(record, Handle) and (record.owner, record.grip) == (owner, grip)
    )


def drag(
    view: DrawingView,
    start: Vec2,
    end: Vec2,
    *,
    steps: int = 4,
    held: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier,
    let_go: bool = True,
) -> None:
    """Drag the left button over a view from one plane point to another [in]."""
    viewport = view.canvas.viewport()
    left = Qt.MouseButton.LeftButton
    a, b = (view.canvas.to_pixels(at) for at in (start, end))
    QTest.mousePress(viewport, left, held, _pixel(a.x(), a.y()))
    for step in range(1, steps + 1):
        share = step / steps
        at = a + (b - a) * share
        QTest.mouseMove(viewport, _pixel(at.x(), at.y()))
        QApplication.processEvents()
    if let_go:
        QTest.mouseRelease(viewport, left, held, _pixel(b.x(), b.y()))
    QApplication.processEvents()


def _pixel(x: float, y: float) -> QPoint:
    return QPoint(round(x), round(y))
