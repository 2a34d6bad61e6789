"""Everything that can be dragged, with the mouse at the window of the awkward room.

Each drag is one step in the undo list, and undo gives back the very document.
"""

from collections.abc import Callable

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from core.barnfile.files import load_barn
from core.drawing.records import CUT, Grip, Role, Text
from core.model.barn import Barn
from core.model.rewriting import by_id
from tests.conftest import ROOT
from tests.gui import drag, handle_at, settle
from viewer.app.window import MainWindow
from viewer.paper.drawing_view import DrawingView
from viewer.session import Session

pytestmark = pytest.mark.gui

SHIFT = Qt.KeyboardModifier.ShiftModifier
CONTROL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def awkward(
    make_session: Callable[..., Session], make_window: Callable[[Session], MainWindow]
) -> MainWindow:
    return make_window(make_session(load_barn(ROOT / "sample_barns" / "awkward.json")))


def _choose(window: MainWindow, *ids: str) -> None:
    window.session.select(ids)
    settle(window)


def _refusal(view: DrawingView) -> str:
    """What is said beside the pointer."""
    notes = view.canvas._note_records
    said = [n for n in notes if n.role is Role.REFUSAL and isinstance(n, Text)]
    return " ".join(str(note.parts[0]) for note in said)


def _let_go(window: MainWindow, view: DrawingView) -> None:
    """Press Escape in the middle of a drag and let go of the button."""
    QTest.keyClick(view.canvas, Qt.Key.Key_Escape)
    QTest.mouseRelease(view.canvas.viewport(), Qt.MouseButton.LeftButton)
    settle(window)


def test_a_support_is_not_dropped_where_its_neighbour_hangs(
    awkward: MainWindow,
) -> None:
    session, plan = awkward.session, awkward.plan
    first = session.document
    _choose(awkward, "run-1")
    start = handle_at(plan, "s1-2", Grip.SUPPORT)
    # s1-3 hangs 8 ft on, under truss 4
    drag(plan, start, (start[0] + 96.0, start[1]), let_go=False)
    assert "s1-3 hangs at truss 4" in _refusal(plan)
    assert "s1-3 hangs at truss 4" in awkward.place.text()
    _release(plan, (start[0] + 96.0, start[1]))
    assert "s1-3 hangs at truss 4" in awkward.statusBar().currentMessage()
    assert _refusal(plan) == ""
    assert session.document is first
    assert session.undo_name == ""


def _release(view: DrawingView, at: tuple[float, float]) -> None:
    place = view.canvas.to_pixels(at).toPoint()
    left = Qt.MouseButton.LeftButton
    none = Qt.KeyboardModifier.NoModifier
    QTest.mouseRelease(view.canvas.viewport(), left, none, place)
    QApplication.processEvents()


def _object(barn: Barn, owner: str) -> object:
    return by_id(barn).get(owner, getattr(barn.electrical, owner, None))


DRAGS = (
    ("run-1", Grip.BODY, (24.0, 12.0)),
    ("run-1", Grip.START, (-24.0, 0.0)),
    ("run-1", Grip.END, (24.0, 0.0)),
    ("light-6", Grip.BODY, (30.0, -20.0)),
    ("hoist", Grip.WINCH, (0.0, -30.0)),
    ("hoist", Grip.PULL_POINT, (40.0, 30.0)),
    ("supply", Grip.SUPPLY, (0.0, -30.0)),
    ("switch", Grip.SWITCH, (0.0, -30.0)),
    ("pen-21", Grip.VERTEX, (-30.0, 20.0)),
    ("pen-21", Grip.EDGE, (0.0, 20.0)),
    ("from-the-door", Grip.EYE, (-12.0, 20.0)),
    ("from-the-door", Grip.LOOK, (-60.0, 20.0)),
)


def test_one_drag_is_one_step_and_escape_is_none(awkward: MainWindow) -> None:
    session, plan = awkward.session, awkward.plan
    first = session.document
    for name, grip, by in DRAGS:
        owner = first.hoists[0].id if name == "hoist" else name
        _choose(awkward, owner)
        start = handle_at(plan, owner, grip)
        end = (start[0] + by[0], start[1] + by[1])
        drag(plan, start, end, let_go=False)
        assert session.document is first
        assert _object(session.barn, owner) != _object(first, owner), (owner, grip)
        _let_go(awkward, plan)
        assert session.barn is first
        drag(plan, start, end)
        settle(awkward)
        assert _object(session.document, owner) != _object(first, owner), (owner, grip)
        assert session.undo_name
        session.undo()
        assert session.document is first
        assert session.undo_name == ""


def test_a_turning_pulley_is_dragged(awkward: MainWindow) -> None:
    session, plan = awkward.session, awkward.plan
    first = session.document
    turn = first.hoists[0].cables[0].turns[0]
    _choose(awkward, turn.id)
    start = handle_at(plan, turn.id, Grip.TURN)
    drag(plan, start, (start[0] + 25.0, start[1]))
    moved = session.document.hoists[0].cables[0].turns[0]
    assert moved.at[0] == pytest.approx(turn.at[0] + 25.0, abs=7.0)
    assert moved.at != turn.at
    session.undo()
    assert session.document is first


def test_the_cut_is_dragged_in_the_long_section(awkward: MainWindow) -> None:
    session, view = awkward.session, awkward.long_section
    start = handle_at(view, CUT, Grip.CUT)
    before = session.cut
    drag(view, start, (start[0] - 120.0, start[1] + 5.0))
    settle(awkward)
    assert session.cut == pytest.approx(before - 120.0, abs=2.0)
    assert awkward.section.drawing is not None
    assert awkward.section.drawing.frame.origin[0] == session.cut
    assert handle_at(view, CUT, Grip.CUT)[0] == pytest.approx(start[0] - 120.0, abs=2.0)
    assert session.undo_name == ""


def test_several_are_chosen_with_the_control_key_and_dragged_at_once(
    awkward: MainWindow,
) -> None:
    session, plan = awkward.session, awkward.plan
    first = session.document
    chosen = ("light-1", "light-7")
    for owner in chosen:
        light = by_id(first)[owner]
        place = plan.canvas.to_pixels((light.x, -light.y)).toPoint()
        QTest.mouseClick(
            plan.canvas.viewport(), Qt.MouseButton.LeftButton, CONTROL, place
        )
        settle(awkward)
    assert session.selection == chosen
    start = handle_at(plan, "light-1", Grip.BODY)
    drag(plan, start, (start[0] + 20.0, start[1] - 10.0))
    moves = set()
    for owner in chosen:
        old, new = by_id(first)[owner], by_id(session.document)[owner]
        moves.add((new.x - old.x, new.y - old.y))
    (move,) = moves
    assert move == pytest.approx((20.0, 10.0), abs=2.0)
    assert session.undo_name == "Move 2 objects"
    session.undo()
    assert session.document is first


def test_a_support_goes_beside_its_neighbour_with_the_shift_key(
    awkward: MainWindow,
) -> None:
    session, plan = awkward.session, awkward.plan
    before = session.document.runs[0].supports[1].station
    _choose(awkward, "run-1")
    start = handle_at(plan, "s1-2", Grip.SUPPORT)
    # the pointer of QTest.mouseMove holds no keys: the release is what counts
    drag(plan, start, (start[0] + 50.0, start[1]), held=SHIFT)
    after = session.document.runs[0].supports[1].station
    assert after == pytest.approx(before + 50.0, abs=2.0)
    assert after % 0.0625 == 0.0


def test_anything_is_copied_and_deleted_by_keys(awkward: MainWindow) -> None:
    session = awkward.session
    first = session.document
    for owner in ("run-1", "s1-2", "light-6", "pen-21"):
        _choose(awkward, owner)
        awkward.plan.canvas.setFocus()
        QTest.keyClick(awkward.plan.canvas, Qt.Key.Key_D, CONTROL)
        (copy,) = session.selection
        assert copy not in by_id(first)
        assert type(by_id(session.document)[copy]) is type(by_id(first)[owner])
        QTest.keyClick(awkward.plan.canvas, Qt.Key.Key_Delete)
        assert copy not in by_id(session.document)
        session.undo()
        session.undo()
        assert session.document is first
