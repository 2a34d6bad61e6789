"""When a drawing view draws anew."""

from collections.abc import Callable

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from core.analysis.report import Report
from core.barnfile.files import BarnFile
from core.drawing.records import Drawing
from core.model.barn import Barn
from core.model.edits import move_objects
from tests.specimens import plain_barn
from viewer.paper.turns import Turns
from viewer.plan import PlanView
from viewer.session import Session

pytestmark = pytest.mark.gui


def _noting(draw: Callable[..., Drawing], drawn: list[Report | None]) -> object:
    """Return a way of drawing that notes the report that is drawn."""

    def noted(
        view: PlanView, barn: Barn, report: Report | None, *others: object
    ) -> Drawing:
        drawn.append(report)
        return draw(view, barn, report, *others)

    return noted


def test_only_a_report_of_what_is_shown_asks_for_a_frame(
    qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    session = Session(BarnFile(barn=plain_barn()))
    view = PlanView(session)
    qtbot.addWidget(view)
    view.show()
    qtbot.waitUntil(lambda: view.isVisible() and not view.is_stale)
    session.report_changed.emit()
    states = [view.is_stale]
    view.refresh()
    # the report is of a barn before the one shown: one more is on its way
    monkeypatch.setattr(Session, "is_checking", property(lambda _: True))
    session.report_changed.emit()
    states.append(view.is_stale)
    session.preview_changed.emit()
    states.append(view.is_stale)
    assert states == [True, False, True]
    session.close()


def test_a_report_during_a_drag_is_drawn_once_the_pointer_rests(
    qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    session = Session(BarnFile(barn=plain_barn()))
    view = PlanView(session)
    qtbot.addWidget(view)
    view.show()
    qtbot.waitUntil(lambda: view.isVisible() and not view.is_stale)
    moved = move_objects(session.document, ["run-1"], (0.0, 1.0, 0.0)).barn
    drawn: list[Report | None] = []
    monkeypatch.setattr(PlanView, "draw", _noting(PlanView.draw, drawn))
    session.preview(moved)
    qtbot.waitUntil(lambda: drawn[-1:] == [session.report] and not session.is_checking)
    assert len(drawn) <= 2
    session.close()


def test_drawings_take_turns_and_the_newest_is_drawn_once(qtbot: QtBot) -> None:
    turns, drawn = Turns(), []
    first, second = (lambda: drawn.append("first")), (lambda: drawn.append("second"))
    for draw in (first, second, first):
        turns.wait(draw)
    QApplication.processEvents()
    # the pointer may move here
    assert drawn == ["first"]
    assert turns.is_waiting(second)
    qtbot.waitUntil(lambda: not turns.is_waiting(second))
    assert drawn == ["first", "second"]


def test_what_has_left_is_not_drawn(qtbot: QtBot) -> None:
    turns, drawn = Turns(), []
    first, second = (lambda: drawn.append("first")), (lambda: drawn.append("second"))
    turns.wait(first)
    turns.wait(second)
    turns.leave(first)
    qtbot.waitUntil(lambda: drawn == ["second"])
