"""Laying out a barn with the mouse, as a person does, and what comes of it."""

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from core.barnfile.files import load_barn, save_barn
from core.drawing.records import Grip
from core.model.barn import Barn
from core.model.runs import Run
from core.rules.finding import Outcome
from tests.gui import Answers, drag, handle_at, settle
from tests.specimens import plain_barn
from viewer.app.window import MainWindow
from viewer.session import Session

pytestmark = pytest.mark.gui


@pytest.fixture
def barn_file(tmp_path: Path) -> Path:
    path = tmp_path / "barn.json"
    save_barn(plain_barn(), path)
    return path


@pytest.fixture
def opened(window: MainWindow, barn_file: Path) -> MainWindow:
    """Return the window with the barn opened from its file."""
    assert window.open_path(str(barn_file))
    settle(window)
    return window


def checked(window: MainWindow, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: not window.session.is_checking, timeout=30_000)
    settle(window)


def run_of(barn: Barn, key: str = "run-1") -> Run:
    return next(run for run in barn.runs if run.id == key)


def station(window: MainWindow) -> float:
    return run_of(window.session.barn).supports[1].station


def codes(window: MainWindow, outcome: Outcome) -> set[tuple[str, str]]:
    report = window.session.report
    assert report is not None
    return {(f.rule, f.subject) for f in report.findings if f.outcome is outcome}


def test_a_support_is_dragged_to_the_next_truss_and_taken_back(
    opened: MainWindow, barn_file: Path, qtbot: QtBot
) -> None:
    session, text = opened.session, barn_file.read_bytes()
    first = session.document
    place = opened.plan.canvas.to_pixels((84.0, -60.0))
    QTest.mouseClick(
        opened.plan.canvas.viewport(), Qt.MouseButton.LeftButton, pos=place.toPoint()
    )
    settle(opened)
    # the run is chosen by a click, which gives its supports their handles
    assert session.selection == ("run-1",)
    settle(opened)
    start = handle_at(opened.plan, "support-1-2", Grip.SUPPORT)
    before = session.report
    # hand-worked: trusses every 48 in, so from x = 192 in the next is x = 240 in;
    # dropped 3 in short of it, it is drawn there
    drag(opened.plan, start, (start[0] + 45.0, start[1] + 2.0))
    checked(opened, qtbot)
    x = run_of(session.document).start[0] + station(opened)
    assert x == 240.0
    assert session.undo_name
    assert session.report is not before
    assert ("support.spacing", "run-1") in codes(opened, Outcome.STOP) | codes(
        opened, Outcome.CAUTION
    )
    assert barn_file.read_bytes() == text
    QTest.keyClick(opened, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    checked(opened, qtbot)
    assert session.document is first
    assert session.is_clean
    assert ("support.spacing", "run-1") not in codes(opened, Outcome.STOP)


def test_escape_leaves_everything_as_it_was(opened: MainWindow, qtbot: QtBot) -> None:
    session = opened.session
    first = session.document
    session.select(["run-1"])
    settle(opened)
    start = handle_at(opened.plan, "run-1", Grip.BODY)
    drag(opened.plan, start, (start[0], start[1] - 30.0), let_go=False)
    assert run_of(session.barn).start[1] == pytest.approx(90.0, abs=1.0)
    assert session.document is first
    QTest.keyClick(opened.plan.canvas, Qt.Key.Key_Escape)
    assert session.barn is first
    QTest.mouseRelease(opened.plan.canvas.viewport(), Qt.MouseButton.LeftButton)
    checked(opened, qtbot)
    assert session.document is first
    assert session.undo_name == ""


def test_a_run_is_moved_clear_of_a_light_by_dragging(
    opened: MainWindow, qtbot: QtBot
) -> None:
    session = opened.session
    session.select(["light-1"])
    settle(opened)
    light = handle_at(opened.plan, "light-1", Grip.BODY)
    # the light is hung into the way of the run at y = 60 in
    drag(opened.plan, light, (light[0], -60.0))
    checked(opened, qtbot)
    clash = ("clearance.envelope", "run-1")
    assert clash in codes(opened, Outcome.STOP) | codes(opened, Outcome.CAUTION)
    session.select(["run-1"])
    settle(opened)
    start = handle_at(opened.plan, "run-1", Grip.BODY)
    drag(opened.plan, start, (start[0], start[1] + 24.0))
    checked(opened, qtbot)
    assert run_of(session.document).start[1] == pytest.approx(36.0, abs=1.0)
    assert clash not in codes(opened, Outcome.STOP) | codes(opened, Outcome.CAUTION)
    # one step for each drag
    session.undo()
    session.undo()
    assert session.is_clean


def test_the_winch_slides_along_its_wall(opened: MainWindow, qtbot: QtBot) -> None:
    session = opened.session
    before = session.document.hoists[0].winch.at
    session.select(["hoist-1"])
    settle(opened)
    start = handle_at(opened.plan, "hoist-1", Grip.WINCH)
    drag(opened.plan, start, (start[0] + 6.0, start[1] - 30.0))
    checked(opened, qtbot)
    after = session.document.hoists[0].winch.at
    assert after[0] == before[0]  # as far from the front wall as it was
    assert after[1] == pytest.approx(before[1] + 30.0, abs=1.0)
    assert after[2] == before[2]


def test_the_lift_is_swept_and_every_view_follows(
    opened: MainWindow, qtbot: QtBot
) -> None:
    session = opened.session
    before = [view.canvas.viewport().grab().toImage() for view in opened.views]
    opened.lift_panel.play_button.click()
    qtbot.waitUntil(lambda: session.lift > 0.2, timeout=10_000)
    opened.lift_panel.play_button.click()
    settle(opened)
    after = [view.canvas.viewport().grab().toImage() for view in opened.views]
    for view, old, new in zip(opened.views, before, after, strict=True):
        assert old != new, view.title
    assert session.is_clean


def test_the_section_cut_is_dragged_in_the_plan(opened: MainWindow) -> None:
    session = opened.session
    settle(opened)
    start = handle_at(opened.plan, "section-cut", Grip.CUT)
    drag(opened.plan, start, (start[0] - 60.0, start[1]))
    settle(opened)
    assert session.cut == pytest.approx(start[0] - 60.0, abs=1.0)
    assert session.undo_name == ""
    assert opened.section.drawing is not None
    assert opened.section.drawing.frame.origin[0] == session.cut


def test_a_band_chooses_what_lies_in_it(opened: MainWindow) -> None:
    session = opened.session
    assert opened.plan.drawing is not None
    low, high = opened.plan.drawing.bounds.low, opened.plan.drawing.bounds.high
    drag(opened.plan, (low[0] + 1.0, high[1] - 1.0), (high[0] - 1.0, low[1] + 1.0))
    assert {"run-1", "run-2", "light-1"} <= set(session.selection)
    drag(opened.plan, (low[0] + 1.0, high[1] - 1.0), (low[0] + 2.0, high[1] - 2.0))
    assert session.selection == ()


def test_arrow_keys_move_what_is_chosen(opened: MainWindow) -> None:
    session = opened.session
    session.select(["light-1"])
    settle(opened)
    light = next(f for f in session.document.fixtures if f.id == "light-1")
    opened.plan.canvas.setFocus()
    QTest.keyClick(opened.plan.canvas, Qt.Key.Key_Right)
    QTest.keyClick(
        opened.plan.canvas, Qt.Key.Key_Down, Qt.KeyboardModifier.ShiftModifier
    )
    moved = next(f for f in session.document.fixtures if f.id == "light-1")
    # hand-worked: 1 in along, 12 in further across (down on the sheet)
    assert (moved.x - light.x, moved.y - light.y) == (1.0, 12.0)


def test_saved_and_opened_again_it_is_the_same(
    opened: MainWindow,
    make_session: Callable[..., Session],
    make_window: Callable[[Session], MainWindow],
    tmp_path: Path,
) -> None:
    session = opened.session
    session.select(["light-1"])
    settle(opened)
    QTest.keyClick(opened.plan.canvas, Qt.Key.Key_Left)
    assert isinstance(opened.questions, Answers)
    opened.questions.path = str(tmp_path / "other.json")
    QTest.keyClick(
        opened,
        Qt.Key.Key_S,
        Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier,
    )
    assert session.is_clean
    saved = session.document
    opened.close()
    again = make_window(make_session(plain_barn()))
    assert again.open_path(str(tmp_path / "other.json"))
    assert again.session.document == saved
    assert load_barn(tmp_path / "other.json") == saved


def test_a_press_outside_any_object_chooses_nothing(opened: MainWindow) -> None:
    opened.session.select(["run-1"])
    settle(opened)
    QTest.mouseClick(
        opened.plan.canvas.viewport(), Qt.MouseButton.LeftButton, pos=QPoint(3, 3)
    )
    assert opened.session.selection == ()
