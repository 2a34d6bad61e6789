"""A room view on a real OpenGL context, and what colours its pixels have."""

import os
from collections.abc import Callable, Iterator

import numpy as np
import pytest
from numpy.typing import NDArray
from PySide6.QtCore import QCoreApplication, QEvent, Qt
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from core.barnfile.files import BarnFile
from core.model.barn import Barn
from tests.specimens import plain_barn
from viewer.room3d.panel import Room3dPanel
from viewer.session import Session

# both before there is an application, as viewer.app.start does it
QCoreApplication.setAttribute(Qt.ApplicationAttribute.AA_ShareOpenGLContexts)
if os.environ.get("QT_QPA_PLATFORM") == "xcb":
    os.environ.setdefault("PYOPENGL_PLATFORM", "glx")

SIZE = (900, 630)

ShowRoom = Callable[..., Room3dPanel]
Pixels = NDArray[np.uint8]


@pytest.fixture
def show_room(qtbot: QtBot, qapp: QApplication) -> Iterator[ShowRoom]:
    """Return a function that shows a barn in a room view of its own."""
    if qapp.platformName() == "offscreen":
        pytest.skip("the platform offscreen has no OpenGL; tests/run.py starts xvfb")
    shown: list[Room3dPanel] = []

    def show(barn: Barn | None = None) -> Room3dPanel:
        panel = Room3dPanel(Session(BarnFile(barn=barn or plain_barn())))
        shown.append(panel)
        panel.resize(*SIZE)
        with qtbot.waitExposed(panel):
            panel.show()
        drawn(qtbot, panel)
        return panel

    yield show
    for panel in shown:
        panel.close()
        panel.session.close()
        panel.deleteLater()
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    qapp.processEvents()


@pytest.fixture
def panel(show_room: ShowRoom) -> Room3dPanel:
    """Return the sound barn in a room view."""
    return show_room()


def drawn(qtbot: QtBot, panel: Room3dPanel) -> None:
    """Wait until the room is shown as the session has it."""
    view = panel.view
    assert view is not None, panel.note.text()
    qtbot.waitUntil(lambda: not (panel.session.is_checking or panel.is_stale))
    before = view.frames
    view.update()
    qtbot.waitUntil(lambda: view.frames > before)


def pixels(panel: Room3dPanel) -> Pixels:
    """Return the picture as red, green, blue `(height, width, 3)`.

    One for each pixel of the layout, whatever the screen's scale is.
    """
    assert panel.view is not None
    image = panel.view.grabFramebuffer().convertToFormat(QImage.Format.Format_RGB888)
    image = image.scaled(panel.view.size())
    height, width, line = image.height(), image.width(), image.bytesPerLine()
    rows = np.frombuffer(image.constBits(), np.uint8).reshape(height, line)
    return rows[:, : 3 * width].reshape(height, width, 3).copy()


def of_hue(picture: Pixels, colour: str, *, slack: float = 0.10) -> NDArray[np.bool_]:
    """Tell which pixels have the hue of a colour, in whatever light.

    Light scales all three channels alike, so it leaves their shares of the greatest.
    """
    wanted = np.array([int(colour[at : at + 2], 16) for at in (1, 3, 5)], float)
    most = picture.max(axis=2, keepdims=True).astype(float)
    shares = picture / np.maximum(most, 1.0)
    near = np.abs(shares - wanted / wanted.max()).max(axis=2) < slack
    return near & (most[..., 0] > 90)


def middle(mask: NDArray[np.bool_]) -> tuple[float, float]:
    """Return the middle of some pixels, to the right and down [px]."""
    down, right = np.nonzero(mask)
    assert len(right), "no such pixel"
    return float(right.mean()) + 0.5, float(down.mean()) + 0.5
