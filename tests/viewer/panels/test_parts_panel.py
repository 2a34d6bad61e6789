"""The job's own parts: added, copied, edited with units, deleted if unused."""

from dataclasses import replace
from functools import partial

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from core.barnfile.files import load_barn, save_barn
from core.catalogue.parts import Origin, Pulley
from core.catalogue.standard import standard_catalogue
from core.errors import EditError
from core.model import edits
from core.model.spec import fields_of
from tests.specimens import plain_barn
from viewer.panels.own_parts import (
    add_copy,
    add_new,
    delete,
    set_part_value,
    standard_by_kind,
    users_of,
)
from viewer.panels.parts_panel import PartsPanel

pytestmark = pytest.mark.gui

PULLEY = plain_barn().runs[0].supports[0].pulley


@pytest.fixture
def panel(qtbot, session, preferences):
    widget = PartsPanel(session, preferences)
    qtbot.addWidget(widget)
    widget.resize(420, 700)
    widget.show()
    return widget


def retype(qtbot, entry, text):
    entry.setFocus()
    entry.selectAll()
    qtbot.keyClicks(entry, text)
    qtbot.keyClick(entry, Qt.Key.Key_Return)


def pick(menu, *titles):
    *outer, last = titles
    for title in outer:
        menu = next(a for a in menu.actions() if a.text() == title).menu()
    next(a for a in menu.actions() if a.text().startswith(last)).trigger()


def use(session, key):
    """Let the first support of the first run hang on a pulley."""
    run = session.document.runs[0]
    first, *rest = run.supports
    item = replace(run, supports=(replace(first, pulley=key), *rest))
    assert session.ask("Take it", partial(edits.replace_object, item=item))


def editors(panel):
    return panel.form.record.editors


def test_a_job_without_parts_of_its_own_says_how_to_get_one(panel):
    assert "no parts of its own" in panel.uses.text()
    assert not panel.delete_button.isEnabled()
    assert panel.parts.isHidden()


def test_a_standard_part_is_copied_and_every_number_is_typed_with_its_unit(
    qtbot, panel, session
):
    first = session.document
    standard = standard_catalogue().by_id[PULLEY]
    pick(panel.copy_button.menu(), "Drop pulley", standard.description[:5].capitalize())
    (part,) = session.document.parts
    assert isinstance(part, Pulley)
    assert part.source.startswith("copied from ")
    assert part.origin is standard_catalogue().by_id[part.id.rsplit("-own")[0]].origin
    assert panel.parts.currentItem().text().startswith(part.id)
    retype(qtbot, editors(panel)["rating"].edit, "55")
    retype(qtbot, editors(panel)["hang"].edit, "3-1/2 in")
    retype(qtbot, editors(panel)["weight"].edit, "0.5 kg")
    retype(qtbot, editors(panel)["source"].edit, "maker's sheet of May")
    (part,) = session.document.parts
    assert (part.rating, part.hang) == (55.0, 3.5)
    # hand-worked: 0.5 kg / 0.45359237 kg in a pound
    assert part.weight == pytest.approx(1.102311, abs=1e-6)
    assert part.source == "maker's sheet of May"
    origin = editors(panel)["origin"].combo
    origin.setCurrentIndex(origin.findText("Measured"))
    origin.activated.emit(origin.currentIndex())
    assert session.document.parts[0].origin is Origin.MEASURED
    while session.undo_name:
        session.undo()
    assert session.document is first
    assert panel.parts.isHidden()


def test_a_new_part_counts_as_from_memory_until_its_source_is_given(panel, session):
    pick(panel.add_button.menu(), "Hand winch")
    (part,) = session.document.parts
    assert (part.kind, part.origin, part.source) == (
        "hand-winch",
        Origin.FROM_MEMORY,
        "",
    )
    assert panel.uses.text() == "Nothing uses it yet."
    assert session.undo_name == "Add a hand winch of the job's own"


def test_a_wrong_value_is_refused_in_place(qtbot, panel, session):
    panel.add("drop-pulley")
    before = session.document
    retype(qtbot, editors(panel)["rating"].edit, "-3")
    assert session.document is before
    assert editors(panel)["rating"].fault


def test_a_part_in_use_is_kept_with_a_sentence_and_goes_when_it_is_free(panel, session):
    panel.add("drop-pulley")
    (part,) = session.document.parts
    use(session, part.id)
    assert panel.uses.text() == "Used by run-1."
    QTest.mouseClick(panel.delete_button, Qt.MouseButton.LeftButton)
    assert session.document.parts == (part,)
    assert panel.fault.text().startswith(f'run-1 uses "{part.id}"')
    assert not panel.fault.isHidden()
    session.undo()
    QTest.mouseClick(panel.delete_button, Qt.MouseButton.LeftButton)
    assert session.document.parts == ()
    assert panel.fault.isHidden()
    session.undo()
    assert session.document.parts == (part,)


def test_another_id_is_followed_by_what_uses_the_part(qtbot, panel, session):
    panel.add("drop-pulley")
    use(session, session.document.parts[0].id)
    retype(qtbot, editors(panel)["id"].edit, "pulley-of-ours")
    barn = session.document
    assert [part.id for part in barn.parts] == ["pulley-of-ours"]
    assert barn.runs[0].supports[0].pulley == "pulley-of-ours"
    assert panel.uses.text() == "Used by run-1."


def test_an_id_that_is_taken_is_refused(qtbot, panel, session):
    panel.add("drop-pulley")
    panel.add("drop-pulley")
    taken = session.document.parts[0].id
    before = session.document
    retype(qtbot, editors(panel)["id"].edit, taken)
    assert session.document is before
    assert "one id" in editors(panel)["id"].fault


def test_one_of_several_parts_is_chosen_in_the_list(panel, session):
    panel.add("wood")
    panel.add("cord")
    assert set(editors(panel)) >= {"breaking_strength"}
    panel.parts.setCurrentRow(0)
    assert set(editors(panel)) >= {"specific_gravity"}
    assert panel.title.text() == f"Wood {session.document.parts[0].id}"


@pytest.mark.parametrize("kind", standard_by_kind())
def test_every_kind_is_added_shown_saved_and_read_again(panel, session, tmp_path, kind):
    panel.add(kind)
    (part,) = session.document.parts
    assert part.kind == kind
    assert set(editors(panel)) == {field.name for field in fields_of(type(part))}
    save_barn(session.document, tmp_path / "barn.json")
    assert load_barn(tmp_path / "barn.json") == session.document


def test_a_part_that_stands_in_for_a_standard_one_may_go_while_it_is_used():
    barn = plain_barn()
    own = replace(standard_catalogue().by_id[PULLEY], rating=99.0)
    barn = edits.set_part(barn, own).barn
    assert users_of(barn, PULLEY)
    assert delete(barn, PULLEY).barn.parts == ()


def test_what_is_not_there_is_refused():
    with pytest.raises(EditError, match="any more"):
        set_part_value(plain_barn(), "gone", ("rating",), 1.0)


def test_the_users_of_a_part_are_few_words():
    barn = add_new(plain_barn(), "drop-pulley").barn
    (part,) = barn.parts
    for run in barn.runs:
        item = replace(
            run,
            supports=tuple(replace(each, pulley=part.id) for each in run.supports),
        )
        barn = edits.replace_object(barn, item).barn
    assert users_of(barn, part.id) == tuple(run.id for run in barn.runs)
    with pytest.raises(EditError, match="run-1 and run-2 use"):
        delete(barn, part.id)


def test_a_copy_of_an_own_part_says_where_it_is_from():
    barn = add_new(plain_barn(), "wood").barn
    catalogue = standard_catalogue().with_parts(barn.parts)
    twice = add_copy(barn, catalogue, barn.parts[0].id).barn
    assert twice.parts[1].source == f"copied from {barn.parts[0].id}: from memory"
