"""The lift panel: slider, marks and play."""

from functools import partial

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from core.model import edits
from viewer.app.lift_panel import heights_of
from viewer.app.window import MainWindow
from viewer.session import Session

pytestmark = pytest.mark.gui


def test_the_slider_moves_the_lift_and_the_lift_the_slider(window: MainWindow) -> None:
    slider, session = window.lift_panel.slider, window.session
    slider.setValue(slider.maximum() // 2)
    assert session.lift == pytest.approx(0.5, abs=1.0 / slider.maximum())
    session.set_lift(1.0)
    assert slider.value() == slider.maximum()


def test_the_marks_are_the_heights_of_the_report(session: Session) -> None:
    heights = heights_of(session)
    assert heights is not None
    assert session.report is not None
    found = session.report.runs["run-1"]
    assert (heights.working, heights.stowed) == (
        found.working_height,
        found.stow_height,
    )
    assert heights.at(0.0) == heights.working
    assert heights.lift(heights.stowed) == pytest.approx(1.0)


def test_blocked_heights_are_marked(session: Session) -> None:
    session.ask(
        "Move light", partial(edits.move_objects, ids=["light-1"], by=(0.0, -78.0, 0.0))
    )
    heights = heights_of(session)
    assert heights is not None
    assert heights.blocked


def test_arrow_keys_move_the_slider_an_inch(window: MainWindow) -> None:
    panel, session = window.lift_panel, window.session
    panel.slider.setFocus()
    QTest.keyClick(panel.slider, Qt.Key.Key_Up)
    heights = heights_of(session)
    assert heights is not None
    assert session.lift * heights.travel == pytest.approx(1.0, abs=1 / 16)


def test_play_goes_up_and_stops_when_held(window: MainWindow, qtbot: QtBot) -> None:
    panel, session = window.lift_panel, window.session
    panel.play_button.click()
    assert panel.is_playing
    qtbot.waitUntil(lambda: session.lift > 0.02)
    panel.play_button.click()
    assert not panel.is_playing
    held = session.lift
    QTest.qWait(50)
    assert session.lift == held


def test_closing_the_window_stops_the_play(window: MainWindow) -> None:
    window.lift_panel.toggle()
    window.close()
    assert not window.lift_panel.is_playing
