"""The session: one document, undo, preview, selection, files."""

import pickle
from collections.abc import Callable
from functools import partial
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from core.analysis.analyse import analyse
from core.barnfile.files import load_barn
from core.errors import BarnFileError, NotWrittenError
from core.model import edits
from tests.specimens import plain_barn
from viewer import session as session_module
from viewer.session import Session

pytestmark = pytest.mark.gui

MOVE = partial(edits.move_support, support="support-1-2", station=200.0)


def station(session: Session) -> float:
    return session.barn.runs[0].supports[1].station


def test_an_edit_is_one_named_step_and_tells_what_changed(
    session: Session, qtbot: QtBot
) -> None:
    with qtbot.waitSignal(session.document_changed) as told:
        assert session.ask("Move support", MOVE)
    assert {"support-1-2", "run-1"} <= told.args[0].changed
    assert session.undo_name == "Move support"
    assert station(session) == 200.0


def test_undo_gives_the_very_document_of_before(session: Session) -> None:
    first = session.document
    for number in range(50):
        to = partial(edits.move_support, support="support-1-2", station=170.0 + number)
        session.ask(f"Move {number}", to)
    last = session.document
    for _ in range(50):
        session.undo()
    assert session.document is first
    assert session.undo_name == ""
    for _ in range(50):
        session.redo()
    assert session.document is last
    assert session.redo_name == ""


def test_a_step_of_undo_holds_little_besides_what_it_changed(session: Session) -> None:
    first, steps = len(pickle.dumps(session.document)), 100
    for number in range(steps):
        to = partial(edits.move_support, support="support-1-2", station=170.0 + number)
        session.ask(f"Move {number}", to)
    barns = [change.after for change in session._history._changes]
    # what documents share is in their common pickle once
    assert len(pickle.dumps(barns)) < first + steps * first / 20


def test_an_edit_after_undo_forgets_what_was_undone(session: Session) -> None:
    session.ask("First", MOVE)
    session.undo()
    session.ask(
        "Second", partial(edits.move_support, support="support-1-2", station=150.0)
    )
    assert session.redo_name == ""
    assert session.undo_name == "Second"


def test_an_edit_that_changes_nothing_is_no_step(session: Session) -> None:
    session.ask(
        "Nothing", partial(edits.move_objects, ids=["run-1"], by=(0.0, 0.0, 0.0))
    )
    assert session.undo_name == ""


def test_an_edit_that_cannot_be_made_changes_nothing_and_says_why(
    session: Session, qtbot: QtBot
) -> None:
    before = session.document
    wrong = partial(edits.move_support, support="support-9", station=1.0)
    with qtbot.waitSignal(session.failed) as told:
        assert not session.ask("Wrong", wrong)
    assert "support-9" in told.args[0]
    assert session.document is before
    assert session.undo_name == ""


def test_a_preview_is_shown_and_is_not_the_document(session: Session) -> None:
    before = session.document
    session.preview(MOVE(before).barn)
    assert station(session) == 200.0
    assert session.document is before
    assert session.is_clean
    session.preview(None)
    assert session.barn is before


def test_the_report_is_that_of_a_whole_analysis(session: Session) -> None:
    session.ask("Move", MOVE)
    whole = analyse(session.document).report
    # second method: an analysis that keeps nothing
    assert session.report is not None
    assert session.report.findings == whole.findings


def test_only_a_check_that_lasts_is_told_of(
    session: Session, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(session_module, "QUICK_EDIT", -1.0)
    told: list[bool] = []
    session.checking_lasts.connect(told.append)
    session._wait.setInterval(60_000)
    session.ask("Move", MOVE)
    qtbot.waitUntil(lambda: not session.is_checking, timeout=30_000)
    assert told == []
    session._wait.setInterval(0)
    session.undo()
    qtbot.waitUntil(lambda: not session.is_checking, timeout=30_000)
    assert told == [True, False]


def test_a_slow_check_goes_to_another_process_and_agrees(
    session: Session, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(session_module, "QUICK_EDIT", -1.0)
    states: list[bool] = []
    session.checking_changed.connect(states.append)
    session.ask("Move", MOVE)
    assert session.is_checking
    qtbot.waitUntil(lambda: not session.is_checking, timeout=30_000)
    session.ask(
        "Move again", partial(edits.move_support, support="support-1-2", station=220.0)
    )
    qtbot.waitUntil(lambda: not session.is_checking, timeout=30_000)
    whole = analyse(session.document).report
    # second method: an analysis in this process that keeps nothing
    assert session.report is not None
    assert session.report.findings == whole.findings
    assert session.report.barn is session.document
    assert states[0] is True
    assert states[-1] is False


def test_selection_keeps_its_order_and_loses_what_is_deleted(session: Session) -> None:
    session.select(["run-2", "run-1", "run-2"])
    assert session.selection == ("run-2", "run-1")
    session.ask("Delete", partial(edits.delete_objects, ids=["run-2"]))
    assert session.selection == ("run-1",)


def test_choosing_a_support_shows_its_run(session: Session) -> None:
    assert session.run == "run-1"
    session.select(["support-2-1"])
    assert session.run == "run-2"


def test_lift_and_cut_keep_to_their_limits(session: Session) -> None:
    session.set_lift(1.5)
    assert session.lift == 1.0
    session.set_lift(-0.5)
    assert session.lift == 0.0
    session.set_cut(1e9)
    assert session.cut == session.document.room.length


def test_a_finding_brings_selection_lift_and_cut_with_it(session: Session) -> None:
    # a light hung into the way of run 1
    y = session.document.runs[0].start[1]
    session.ask(
        "Move light",
        partial(edits.move_objects, ids=["light-1"], by=_to_run(session, y)),
    )
    report = session.report
    assert report is not None
    number, finding = next(
        (n, f)
        for n, f in enumerate(report.findings, 1)
        if f.rule == "clearance.envelope"
    )
    session.show_finding(number)
    assert session.finding == number
    assert finding.subject in session.selection
    assert session.lift == pytest.approx(finding.lift or 0.0)


def _to_run(session: Session, y: float) -> tuple[float, float, float]:
    light = next(each for each in session.document.fixtures if each.id == "light-1")
    return (0.0, y - light.y, 0.0)


def test_saving_makes_clean_and_opening_gives_the_same(
    session: Session, tmp_path: Path
) -> None:
    path = tmp_path / "barn.json"
    session.ask("Move", MOVE)
    assert not session.is_clean
    session.save_as(path)
    assert session.is_clean
    assert session.path == path
    assert load_barn(path) == session.document
    session.undo()
    assert not session.is_clean
    session.redo()
    assert session.is_clean


def test_a_document_without_a_file_cannot_be_saved(session: Session) -> None:
    with pytest.raises(NotWrittenError, match="no file yet"):
        session.save()


def test_a_copy_leaves_the_document_where_it_is(
    session: Session, tmp_path: Path
) -> None:
    session.ask("Move", MOVE)
    session.save_copy(tmp_path / "copy.json")
    assert session.path is None
    assert not session.is_clean


def test_a_faulty_file_leaves_the_document_alone(
    session: Session, tmp_path: Path
) -> None:
    before = session.document
    path = tmp_path / "bad.json"
    path.write_text('{"liftlane": 1}')
    with pytest.raises(BarnFileError):
        session.open(path)
    assert session.document is before


def test_opening_forgets_steps_and_selection(
    make_session: Callable[..., Session], tmp_path: Path
) -> None:
    session = make_session(plain_barn())
    path = tmp_path / "barn.json"
    session.save_as(path)
    session.ask("Move", MOVE)
    session.select(["run-1"])
    session.set_lift(0.5)
    session.open(path)
    assert session.undo_name == ""
    assert session.selection == ()
    assert session.lift == 0.0
    assert session.is_clean
    assert session.report is not None
    assert session.report.barn is session.document
