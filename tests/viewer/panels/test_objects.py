"""The tree of objects: choosing, renaming, adding, copying, deleting."""

from dataclasses import replace

import pytest
from PySide6.QtCore import QModelIndex, Qt
from PySide6.QtWidgets import QAbstractItemView, QLineEdit

from core.model.barn import object_ids
from core.model.edits import delete_objects
from tests.specimens import full_barn
from viewer.panels.array_dialog import ArrayDialog
from viewer.panels.new_objects import GROUPS
from viewer.panels.object_rows import COLUMNS, Entry
from viewer.panels.objects import Objects, copied

pytestmark = pytest.mark.gui

ROOT = QModelIndex()


@pytest.fixture
def panel(qtbot, session, preferences):
    widget = Objects(session, preferences)
    qtbot.addWidget(widget)
    widget.resize(500, 700)
    widget.show()
    return widget


def entries(model, parent=ROOT):
    for row in range(model.rowCount(parent)):
        index = model.index(row, 0, parent)
        yield index, model.entry(index)
        yield from entries(model, index)


def index_of(panel, key):
    return next(panel.model.indexes_of([key]))


def test_the_model_keeps_the_rules_of_item_models(qtmodeltester, panel):
    qtmodeltester.check(panel.model)


def test_everything_with_an_id_has_a_row(make_session, preferences, qtbot):
    full = full_barn()
    seen = tuple(fixture for fixture in full.fixtures if fixture.kind != "scan")
    widget = Objects(make_session(replace(full, fixtures=seen)), preferences)
    qtbot.addWidget(widget)
    shown = {e.id for _, e in entries(widget.model) if isinstance(e, Entry) and e.id}
    wanted = set(object_ids(full)) - {f.id for f in full.fixtures if f not in seen}
    assert shown >= wanted | {"supply", "switch"}


def test_fixtures_stand_under_their_kind(panel):
    titles = {entry.title: index for index, entry in entries(panel.model)}
    assert panel.model.parent(index_of(panel, "light-1")) == titles["Lights"]
    assert panel.model.data(titles["Lights"]) == "Lights (1)"
    assert panel.model.data(panel.model.parent(titles["Lights"])) == "Fixtures (6)"


def test_a_row_says_what_and_where(panel):
    index = index_of(panel, "support-1-2")
    what = index.data(Qt.ItemDataRole.ToolTipRole)
    where = index.siblingAtColumn(COLUMNS.index("Place")).data()
    assert where == "station 14 ft 0 in"  # hand-worked: 168 in
    assert what == "Support support-1-2, station 14 ft 0 in"


def test_choosing_a_row_chooses_the_object(panel, session):
    panel.tree.setCurrentIndex(index_of(panel, "run-2"))
    assert session.selection == ("run-2",)


def test_choosing_a_group_chooses_what_is_in_it(panel, session):
    group = panel.model.parent(index_of(panel, "pen-1"))
    panel.tree.setCurrentIndex(group)
    assert set(session.selection) == {f"pen-{number}" for number in range(1, 9)}


def test_what_is_chosen_elsewhere_is_chosen_here(panel, session):
    session.select(["support-2-1", "light-1"])
    rows = panel.tree.selectionModel().selectedRows()
    assert {panel.model.entry(index).id for index in rows} == {"support-2-1", "light-1"}
    for key in session.selection:
        assert panel.tree.isExpanded(index_of(panel, key).parent())


def test_the_tree_stays_open_when_the_barn_changes(panel, session):
    session.select(["support-2-1"])
    session.apply("Delete", delete_objects(session.document, ["light-1"]))
    assert panel.tree.isExpanded(index_of(panel, "run-2"))
    assert session.selection == ("support-2-1",)


def rename(qtbot, panel, key, text):
    panel.tree.setCurrentIndex(index_of(panel, key))
    panel.rename()
    assert panel.tree.state() is QAbstractItemView.State.EditingState
    line = panel.tree.findChild(QLineEdit)
    line.selectAll()
    qtbot.keyClicks(line, text)
    qtbot.keyClick(line, Qt.Key.Key_Return)
    still = QAbstractItemView.State.EditingState
    qtbot.waitUntil(lambda: panel.tree.state() is not still)


def test_an_object_is_renamed_in_place(qtbot, panel, session):
    rename(qtbot, panel, "run-1", "north")
    assert session.document.runs[0].id == "north"
    assert session.document.hoists[0].cables[0].run == "north"
    assert session.selection == ("north",)
    assert session.undo_name == "Rename run-1"


def test_what_has_no_id_of_its_own_is_not_renamed_but_said_so(panel):
    panel.tree.setCurrentIndex(index_of(panel, "switch"))
    panel.rename()  # Qt would complain of an editor that cannot be opened
    assert "no id" in panel.fault.text()
    assert panel.tree.findChild(QLineEdit) is None


def test_renaming_twice_goes_on_with_what_is_being_typed(panel):
    panel.tree.setCurrentIndex(index_of(panel, "run-1"))
    panel.rename()
    panel.rename()
    assert len(panel.tree.findChildren(QLineEdit)) == 1


def test_an_id_can_be_typed_again_after_undo_in_the_midst_of_typing(panel, session):
    session.apply("Copy", copied(session.document, ["light-1"]))
    session.select(["run-1"])
    panel.tree.setCurrentIndex(index_of(panel, "run-1"))
    panel.rename()
    session.undo()  # from the menu; the row of the copy goes, the field stays
    panel.rename()  # Qt would complain of a field that cannot be opened
    assert panel.tree.state() is QAbstractItemView.State.EditingState


def test_a_name_that_is_taken_is_refused_in_words(qtbot, panel, session):
    before = session.document
    rename(qtbot, panel, "run-1", "run-2")
    assert session.document is before
    assert "taken" in panel.fault.text()
    assert panel.fault.isVisible()


@pytest.mark.parametrize(
    "cls", [cls for group in GROUPS.values() for cls in group], ids=lambda c: c.__name__
)
def test_each_kind_is_added_and_undone(panel, session, cls):
    before = session.document
    if cls.__name__ in {"Supply", "IsolatingSwitch"}:
        session.select(["supply", "switch"])
        panel.delete()
    if cls.__name__ == "PullCable":
        session.select(["cable-1"])
        panel.delete()
    panel.add(cls)
    assert panel.fault.text() == ""
    assert len(session.selection) == 1
    assert session.undo_name.startswith("Add ")
    while session.undo_name:
        session.undo()
    assert session.document is before


def test_what_cannot_be_added_says_what_to_do_first(panel):
    supply = next(cls for cls in GROUPS["Electrical, or eye point"])
    panel.add(supply)
    assert "already" in panel.fault.text()


def test_a_new_support_goes_onto_a_truss_of_the_chosen_run(panel, session):
    session.select(["run-2"])
    cls = next(cls for cls in GROUPS["Run or hoist"] if cls.__name__ == "Support")
    panel.add(cls)
    run = session.document.runs[1]
    added = next(s for s in run.supports if s.id in session.selection)
    assert (run.start[0] + added.station) % 48.0 == 0.0  # trusses every 48 in


def test_a_copy_is_chosen(panel, session):
    session.select(["light-1"])
    panel.copy()
    assert session.selection == ("light-2",)
    lights = {f.id: f for f in session.document.fixtures if f.kind == "light"}
    assert lights["light-2"].x == lights["light-1"].x + 24.0


def test_deleting_takes_the_supply_too(panel, session):
    session.select(["light-1", "supply"])
    panel.delete()
    assert session.document.electrical.supply is None
    assert "light-1" not in set(object_ids(session.document))
    assert "light-1" not in session.selection
    session.undo()
    assert session.document.electrical.supply is not None


def test_an_array_is_shown_while_asked_for_and_made_as_one_edit(qtbot, panel, session):
    before = session.document
    session.select(["light-1"])
    panel.array()
    dialog = panel.findChild(ArrayDialog)
    dialog.count.setValue(3)
    step = dialog.steps[0]
    step.setFocus()
    step.selectAll()
    qtbot.keyClicks(step, "4 ft")
    qtbot.keyClick(step, Qt.Key.Key_Tab)
    assert session.document is before
    assert sum(f.kind == "light" for f in session.barn.fixtures) == 4
    dialog.accept()
    lights = [f for f in session.document.fixtures if f.kind == "light"]
    first = lights[0].x
    places = [light.x - first for light in lights]
    assert places == [0.0, 48.0, 96.0, 144.0]  # hand-worked: 4 ft steps
    assert len(session.selection) == 4
    session.undo()
    assert session.document is before


def test_an_array_that_is_left_changes_nothing(panel, session):
    before = session.document
    session.select(["light-1"])
    panel.array()
    dialog = panel.findChild(ArrayDialog)
    dialog.count.setValue(5)
    dialog.reject()
    assert session.barn is before


def test_an_array_of_a_hoist_says_why_not(panel, session):
    session.select(["hoist-1"])
    panel.array()
    dialog = panel.findChild(ArrayDialog)
    assert "not copied" in dialog.fault.text()
    dialog.reject()


def test_a_search_finds_an_object_by_its_letters(panel, session):
    panel.search.setText("switch")
    assert session.selection == ("switch",)


def test_everything_is_named_for_a_screen_reader(panel):
    assert panel.tree.accessibleName()
    assert panel.add_button.accessibleName()
    assert all(button.text() for button in panel.buttons.values())
    names = [f for f in panel.findChildren(QLineEdit) if not f.accessibleName()]
    assert not names
