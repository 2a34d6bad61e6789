"""The room panel, and a new room from a few numbers."""

from dataclasses import replace

import pytest
from PySide6.QtCore import Qt

from core.analysis.analyse import analyse
from core.model.barn import object_ids
from core.model.edits import delete_objects
from core.model.room import (
    Door,
    FlatCeiling,
    GableCeiling,
    SlopedCeiling,
    StepAxis,
    SteppedCeiling,
)
from core.quantities import LengthStyle
from core.rules.finding import Outcome
from tests.specimens import plain_room
from viewer.panels.ceilings import other_ceiling, profile
from viewer.panels.forms import KindEditor
from viewer.panels.new_room import NewRoom
from viewer.panels.room import RoomPanel
from viewer.panels.steps_editor import StepsEditor

pytestmark = pytest.mark.gui

CEILINGS = (FlatCeiling, SlopedCeiling, GableCeiling, SteppedCeiling)


@pytest.fixture
def panel(qtbot, session, preferences):
    widget = RoomPanel(session, preferences)
    qtbot.addWidget(widget)
    widget.resize(420, 900)
    widget.show()
    return widget


def editor(panel, name) -> KindEditor:
    return panel.record.form.record.editors[name]


def retype(qtbot, entry, text):
    entry.setFocus()
    entry.selectAll()
    qtbot.keyClicks(entry, text)
    qtbot.keyClick(entry, Qt.Key.Key_Return)


def choose_kind(panel, cls):
    field = editor(panel, "ceiling")
    index = field._kinds.index(cls)
    field.combo.setCurrentIndex(index)
    field.combo.activated.emit(index)
    return field


def test_the_room_is_made_longer_by_typing(qtbot, panel, session):
    retype(qtbot, editor(panel, "length").edit, "50 ft")
    assert session.document.room.length == 600.0
    assert session.undo_name == "Set length of the room"
    session.undo()
    assert editor(panel, "length").edit.text() == "40 ft 0 in"


@pytest.mark.parametrize("cls", CEILINGS[1:])
def test_the_ceiling_becomes_another_kind_at_the_same_height(panel, session, cls):
    choose_kind(panel, cls)
    ceiling = session.document.room.ceiling
    assert type(ceiling) is cls
    assert min(z for _, z in profile(session.document.room)) == 100.0
    assert "8 ft 4 in" in panel.sketch.words()  # hand-worked: 100 in


def test_steps_come_and_go_in_pairs(qtbot, panel, session):
    field = choose_kind(panel, SteppedCeiling)
    assert isinstance(field.inner, StepsEditor)
    field.inner.add.click()
    ceiling = session.document.room.ceiling
    assert len(ceiling.starts) == len(ceiling.heights) == 3
    retype(qtbot, field.inner.editors[2][1].edit, "10 ft")
    assert session.document.room.ceiling.heights[2] == 120.0
    field.inner._take_out(1)
    ceiling = session.document.room.ceiling
    assert len(ceiling.starts) == len(ceiling.heights) == 2
    assert ceiling.axis is StepAxis.ALONG


def test_a_ridge_below_the_eave_is_refused_in_place(qtbot, panel, session):
    field = choose_kind(panel, GableCeiling)
    retype(qtbot, field.inner.editors["ridge"].edit, "4 ft")
    assert "below the eave" in field.inner.editors["ridge"].fault
    assert session.document.room.ceiling.ridge > 48.0


@pytest.mark.parametrize("cls", CEILINGS)
@pytest.mark.parametrize("other", CEILINGS)
def test_any_ceiling_becomes_any_other_and_fits_the_room(session, cls, other):
    from core.model.edits import set_room

    room = replace(plain_room(), ceiling=other_ceiling(plain_room(), cls))
    room = replace(room, ceiling=other_ceiling(room, other))
    after = set_room(session.document, room).barn  # raises if it does not fit
    assert type(after.room.ceiling) is other


def test_a_strip_is_split_into_pens(panel, session):
    panel.counts["strip-1"].setValue(6)
    panel.splits["strip-1"].click()
    pens = [pen for pen in session.document.room.pens if pen.strip == "strip-1"]
    assert len(pens) == 6
    # hand-worked: the strip of 396 in into six pens of 66 in
    assert {round(p.outline[1][0] - p.outline[0][0], 9) for p in pens} == {66.0}
    assert session.undo_name == "Split strip-1 into 6 pens"


def test_a_run_is_proposed_for_a_strip_without_one(panel, session):
    assert not panel.runs.isEnabled()
    session.apply("Delete", delete_objects(session.document, ["run-2"]))
    assert panel.runs.isEnabled()
    panel.runs.click()
    run = next(r for r in session.document.runs if r.strip == "strip-2")
    assert run.start[1] == 216.0  # hand-worked: the middle of 156 to 276
    assert all((run.start[0] + s.station) % 48.0 == 0.0 for s in run.supports)


def test_a_door_is_added_and_chosen(panel, session):
    panel.add(Door)
    (key,) = session.selection
    door = next(d for d in session.document.room.doors if d.id == key)
    assert not door.main


@pytest.fixture
def dialog():
    """Return the dialog; it deletes itself when it is closed."""
    made = []
    widget = NewRoom(made.append, style=LengthStyle.FEET)
    widget.made = made
    widget.show()
    return widget


def test_a_new_room_from_a_few_numbers(qtbot, dialog):
    for key, text in (("length", "80 ft"), ("width", "23 ft"), ("height", "9 ft")):
        entry = dialog.numbers[key]
        entry.setFocus()
        entry.selectAll()
        qtbot.keyClicks(entry, text)
        qtbot.keyClick(entry, Qt.Key.Key_Tab)
    dialog.pens.setValue(5)
    dialog.ceiling.setCurrentIndex(2)
    assert "2 strips, 10 pens, 2 runs" in dialog.said.text()
    dialog.buttons.accepted.emit()
    (barn,) = dialog.made
    assert (barn.room.length, barn.room.width) == (960.0, 276.0)
    assert isinstance(barn.room.ceiling, GableCeiling)
    assert len(set(object_ids(barn))) == len(list(object_ids(barn)))


def test_proposed_runs_keep_the_rules_of_spacing_and_place(dialog):
    dialog.accept()
    report = analyse(dialog.made[0]).report
    judged = {
        (f.rule, f.outcome)
        for f in report.findings
        if f.rule.startswith(("support.spacing", "support.ends", "support.truss"))
        or f.rule in {"layout.end-gap", "layout.lane"}
    }
    assert {rule for rule, _ in judged} == {
        "support.spacing",
        "support.ends",
        "support.truss",
        "layout.end-gap",
        "layout.lane",
    }
    assert {outcome for _, outcome in judged} == {Outcome.PASS}


def test_numbers_that_do_not_fit_make_no_room(qtbot, dialog):
    entry = dialog.numbers["alley"]
    retype(qtbot, entry, "60 ft")
    assert dialog.barn is None
    assert dialog.said.text()
    assert not dialog.buttons.button(dialog.buttons.StandardButton.Ok).isEnabled()
    dialog.accept()
    assert dialog.made == []
    retype(qtbot, entry, "3 ft")
    assert dialog.barn is not None


def test_a_wrong_number_is_said_and_kept(qtbot, dialog):
    entry = dialog.numbers["length"]
    retype(qtbot, entry, "long")
    assert dialog.barn is None
    assert "not a length" in dialog.said.text()
    assert entry.text() == "long"


def test_trusses_too_far_apart_leave_runs_without_supports(qtbot, dialog):
    retype(qtbot, dialog.numbers["spacing"], "20 ft")
    assert "4 runs on 0 supports" in dialog.said.text()
