"""A line whose text moves nothing round it."""

import pytest
from PySide6.QtCore import QEvent, QObject
from PySide6.QtWidgets import QApplication, QLabel, QMainWindow
from pytestqt.qtbot import QtBot

from viewer.panels.still_label import StillLabel

pytestmark = pytest.mark.gui


def _settle() -> None:
    for _ in range(3):  # a bar asks the window in its turn
        QApplication.sendPostedEvents()


class _Layouts(QObject):
    """Counts how often a widget is asked to lay itself out; mutable."""

    count = 0

    def eventFilter(self, _watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        self.count += event.type() is QEvent.Type.LayoutRequest
        return False


@pytest.mark.parametrize(("label", "layouts"), [(StillLabel, False), (QLabel, True)])
def test_a_new_text_asks_for_no_new_layout(
    qtbot: QtBot, label: type[StillLabel | QLabel], *, layouts: bool
) -> None:
    window, seen = QMainWindow(), _Layouts()
    qtbot.addWidget(window)
    line = label()
    window.statusBar().addWidget(line, 1)
    window.show()
    qtbot.waitUntil(lambda: line.isVisible() and line.width() > 0)
    line.setText("across 11 ft")
    _settle()
    window.installEventFilter(seen)
    line.setText("across 12 ft 0-1/16 in")
    _settle()
    assert line.text() == "across 12 ft 0-1/16 in"
    assert bool(seen.count) is layouts
