"""The details panel: typing values into what is chosen."""

from dataclasses import replace

import pytest
from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtWidgets import QComboBox, QWidget

from core.model.barn import object_ids
from core.quantities import LengthStyle
from tests.specimens import full_barn
from viewer.panels.changing import objects_of
from viewer.panels.details import Details
from viewer.panels.editors import (
    LEFT_OUT,
    SEVERAL,
    ChoiceEditor,
    LinkEditor,
    NumberEditor,
)
from viewer.panels.forms import KindEditor, ListEditor, OptionalEditor, RecordEditor
from viewer.panels.rules_touched import TOUCHED
from viewer.preferences import Units

pytestmark = pytest.mark.gui


@pytest.fixture
def details(qtbot, session, preferences):
    panel = Details(session, preferences)
    qtbot.addWidget(panel)
    panel.resize(360, 800)
    panel.show()
    return panel


def editor(panel, *path):
    found = panel.form.record
    for step in path:
        if isinstance(found, OptionalEditor):
            found = found.inner
        if isinstance(found, KindEditor):
            found = found.inner
        found = found.editors[step]
    return found


def retype(qtbot, entry, text):
    entry.setFocus()
    entry.selectAll()
    qtbot.keyClicks(entry, text)
    qtbot.keyClick(entry, Qt.Key.Key_Return)


def choose(combo: QComboBox, words):
    index = combo.findText(words, Qt.MatchFlag.MatchContains)
    assert index >= 0
    combo.setCurrentIndex(index)
    combo.activated.emit(index)


def run_of(session, key="run-1"):
    return next(run for run in session.document.runs if run.id == key)


def test_nothing_chosen_says_what_to_do(details):
    assert "Choose something" in details.about.text()
    assert not details.form.isVisible()


def test_a_typed_value_is_one_named_edit_that_undo_takes_back(qtbot, session, details):
    before = session.document
    session.select(["run-1"])
    retype(qtbot, editor(details, "working_height").edit, "4 ft 4 in")
    assert run_of(session).working_height == 52.0
    assert session.undo_name == "Set working height of run-1"
    session.undo()
    assert session.document is before
    assert editor(details, "working_height").edit.text() == "4 ft 2 in"


def test_a_wrong_value_says_why_in_place_and_changes_nothing(qtbot, session, details):
    before = session.document
    session.select(["run-1"])
    field = editor(details, "working_height")
    retype(qtbot, field.edit, "four feet")
    assert session.document is before
    assert '"four feet" is not a length' in field.fault
    assert field.edit.text() == "four feet"
    retype(qtbot, field.edit, "4 ft 1 in")
    assert field.fault == ""
    assert run_of(session).working_height == 49.0


def test_what_does_not_fit_the_rest_is_said_in_place(qtbot, session, details):
    session.select(["support-1-1"])
    field = editor(details, "station")
    retype(qtbot, field.edit, "200 ft")
    assert "off the run" in field.fault
    assert field.edit.is_wrong
    assert run_of(session).supports[0].station == 24.0


def test_a_coordinate_of_a_nested_point(qtbot, session, details):
    session.select(["run-1"])
    retype(qtbot, editor(details, "start", 1).edit, "6 ft")
    assert run_of(session).start == (24.0, 72.0)


def test_a_value_within_a_nested_record(qtbot, session, details):
    session.select(["hoist-1"])
    retype(qtbot, editor(details, "winch", "dead_wraps").edit, "4")
    assert session.document.hoists[0].winch.dead_wraps == 4
    retype(qtbot, editor(details, "winch", "dead_wraps").edit, "21")
    assert editor(details, "winch", "dead_wraps").fault.endswith("at most 20")


def test_several_objects_are_edited_at_once(qtbot, session, details):
    session.select(["support-1-1", "support-1-2"])
    station = editor(details, "station")
    assert station.edit.text() == ""
    assert station.edit.lineEdit().placeholderText() == SEVERAL
    assert "id" not in details.form.record.editors
    retype(qtbot, editor(details, "clamp_gap").edit, "7 in")
    gaps = [support.clamp_gap for support in run_of(session).supports]
    assert gaps == [7.0, 7.0, 6.0]
    assert session.undo_name == "Set clamp gap of 2 supports"


def test_objects_of_two_classes_show_what_they_have_alike(session, details):
    kinds = {f.id for f in session.document.fixtures if f.kind in {"inlet", "light"}}
    session.select(kinds)
    shown = set(details.form.record.editors)
    assert {"x", "y", "length", "width", "heading", "metal"} <= shown
    assert "flap" not in shown


def test_a_part_is_picked_by_its_description_and_rating(session, details):
    session.select(["support-1-1"])
    pulley = editor(details, "pulley")
    assert isinstance(pulley, LinkEditor)
    assert "bears 40 lb" in pulley.combo.currentText()
    assert "Source:" in pulley.combo.toolTip()
    lines = [pulley.combo.itemText(k) for k in range(pulley.combo.count())]
    other = next(line for line in lines if line != pulley.combo.currentText())
    choose(pulley.combo, other)
    assert run_of(session).supports[0].pulley != "drop-pulley-40"


def test_a_link_may_be_let_go(session, details):
    session.select(["run-1"])
    choose(editor(details, "strip").combo, "none")
    assert run_of(session).strip is None


def test_a_choice_of_words(session, details):
    session.select(["door-1"])
    field = editor(details, "swing")
    assert isinstance(field, ChoiceEditor)
    choose(field.combo, "Sliding")
    assert session.document.room.doors[0].swing.value == "sliding"


def test_yes_or_no(session, details):
    session.select(["support-1-1"])
    editor(details, "blocking").box.click()
    assert run_of(session).supports[0].blocking


def test_a_number_that_may_be_left_out(qtbot, session, details):
    session.select(["run-1"])
    field = editor(details, "first_joint")
    assert field.edit.lineEdit().placeholderText() == LEFT_OUT
    retype(qtbot, field.edit, "5 ft")
    assert run_of(session).first_joint == 60.0
    field.edit.clear()
    qtbot.keyClick(field.edit, Qt.Key.Key_Return)
    assert run_of(session).first_joint is None


def test_a_record_that_may_be_left_out(session, details):
    session.select(["supply"])
    field = editor(details, "outlet")
    assert isinstance(field, OptionalEditor)
    field.box.click()
    assert session.document.electrical.supply.outlet is None
    assert not field.inner.isVisible()
    field.box.click()
    outlet = session.document.electrical.supply.outlet
    assert outlet.at == session.document.electrical.supply.at  # begins beside it


def test_a_point_is_put_into_a_path_and_taken_out(qtbot, session, details):
    line = next(f for f in session.document.fixtures if f.kind == "feed-line")
    session.select([line.id])
    path = editor(details, "path")
    assert isinstance(path, ListEditor)
    count = len(line.path)
    path.add.click()
    now = objects_of(session.document, [line.id])[line.id]
    assert len(now.path) == count + 1
    retype(qtbot, path.editors[count].editors[0].edit, "20 ft")
    now = objects_of(session.document, [line.id])[line.id]
    assert now.path[count][0] == 240.0
    session.undo()
    session.undo()
    assert objects_of(session.document, [line.id])[line.id] is line


def test_a_list_is_not_made_too_short(session, details):
    session.select(["pen-1"])
    outline = editor(details, "outline")
    while len(outline.editors) > 3:
        outline._take_out(0)
    buttons = outline._rows.findChildren(
        type(outline._grid.itemAtPosition(0, 3).widget())
    )
    out = [b for b in buttons if "out" in b.accessibleName() and not b.isHidden()]
    assert out
    assert not any(button.isEnabled() for button in out)


def test_an_id_is_changed_and_the_selection_follows(qtbot, session, details):
    session.select(["run-1"])
    retype(qtbot, editor(details, "id").edit, "north")
    assert session.selection == ("north",)
    assert session.document.hoists[0].cables[0].run == "north"


def test_an_id_that_is_taken_is_refused_in_place(qtbot, session, details):
    session.select(["run-1"])
    retype(qtbot, editor(details, "id").edit, "run-2")
    assert "is taken" in editor(details, "id").fault
    assert session.selection == ("run-1",)


def test_the_rule_that_a_value_touches_is_shown_with_its_source(session, details):
    session.select(["run-1"])
    hint = details.form.record.hints["working_height"]
    assert "layout.working-height: marked 4 ft 2 in" in hint.text()
    assert "Source: common practice, no published source" in hint.toolTip()


def test_millimetres_when_the_user_prefers_them(session, details, preferences):
    session.select(["run-1"])
    preferences.units = Units.MILLIMETRES
    assert editor(details, "working_height").edit.text() == "1270 mm"  # 50 x 25.4
    assert preferences.length_style(session.document.job) is LengthStyle.MILLIMETRES


def test_what_was_typed_is_entered_when_another_object_is_chosen(
    qtbot, session, details
):
    session.select(["run-1"])
    entry = editor(details, "working_height").edit
    entry.setFocus()
    entry.selectAll()
    qtbot.keyClicks(entry, "4 ft 5 in")
    session.select(["run-2"])
    assert run_of(session).working_height == 53.0
    assert editor(details, "working_height").edit.text() == "4 ft 2 in"


def test_the_supply_is_edited_though_it_has_no_id(qtbot, session, details):
    session.select(["supply"])
    retype(qtbot, editor(details, "spare_lead").edit, "3 ft")
    assert session.document.electrical.supply.spare_lead == 36.0


def test_the_form_is_kept_while_its_object_changes(session, details):
    session.select(["run-1"])
    record = details.form.record
    run = run_of(session)
    from core.model.edits import replace_object

    session.apply("Raise", replace_object(session.document, replace(run, name="n")))
    assert details.form.record is record
    assert editor(details, "name").edit.text() == "n"


def test_every_object_there_is_has_a_form(qtbot, make_session, preferences):
    full = full_barn()
    seen = tuple(fixture for fixture in full.fixtures if fixture.kind != "scan")
    session = make_session(replace(full, fixtures=seen))
    panel = Details(session, preferences)
    qtbot.addWidget(panel)
    ids = [*object_ids(session.document), "supply", "switch"]
    for key in ids:
        session.select([key])
        assert isinstance(panel.form.record, RecordEditor), key
        assert panel.form.record.editors, key
        numbers = panel.form.record.findChildren(NumberEditor)
        assert not any(number.edit.is_wrong for number in numbers), key
        assert all(number.entry.accessibleName() for number in numbers), key


class Shown(QObject):
    """Notes every widget that becomes a window of its own."""

    def __init__(self):
        super().__init__()
        self.windows = []

    def eventFilter(self, watched, event):  # noqa: N802 - Qt's name
        shown = event.type() is QEvent.Type.Show and isinstance(watched, QWidget)
        if shown and watched.isWindow():
            self.windows.append(watched)
        return False


def test_no_field_is_a_window_for_a_moment(qapp, session, details):
    shown = Shown()
    qapp.installEventFilter(shown)
    for key in (*object_ids(session.document), "supply", "switch"):
        session.select([key])
    qapp.processEvents()
    qapp.removeEventFilter(shown)
    assert shown.windows == []
    assert details.isVisible()


def test_rules_are_named_for_fields_that_are_there():
    from core.model import electrical, hoists, job, room, runs
    from core.model.fixtures import Controller
    from core.model.spec import fields_of

    modules = (electrical, hoists, job, room, runs)
    classes = {name: getattr(m, name) for m in modules for name in dir(m)}
    classes["Controller"] = Controller
    for name, fields in TOUCHED.items():
        there = {field.name for field in fields_of(classes[name])}
        assert set(fields) <= there, name
