"""Typing lengths and other numbers as a person does."""

import pytest
from PySide6.QtCore import Qt

from core.model.spec import NumberSpec
from core.quantities import LengthStyle, Quantity
from viewer.panels.quantity_edit import LENGTH, QuantityEdit

pytestmark = pytest.mark.gui

SIZE = NumberSpec(quantity=Quantity.LENGTH, above=0.0)


@pytest.fixture
def edit(qtbot):
    widget = QuantityEdit(SIZE)
    qtbot.addWidget(widget)
    widget.show_value(87.5)
    widget.show()
    return widget


def retype(qtbot, widget, text):
    widget.setFocus()
    widget.selectAll()
    qtbot.keyClicks(widget, text)


def test_a_length_is_shown_in_feet_inches_and_fractions(edit):
    assert edit.text() == "7 ft 3-1/2 in"


@pytest.mark.parametrize(
    ("text", "inches"),  # hand-worked: 25.4 mm an inch, 12 in a foot
    [("8 ft", 96.0), ("7'6\"", 90.0), ("2540 mm", 100.0), ("87-5/8", 87.625)],
)
def test_a_typed_length_is_entered_on_return(qtbot, edit, text, inches):
    with qtbot.waitSignal(edit.entered) as entered:
        retype(qtbot, edit, text)
        qtbot.keyClick(edit, Qt.Key.Key_Return)
    assert entered.args == [pytest.approx(inches)]


def test_a_bare_number_is_millimetres_where_millimetres_are_shown(qtbot, edit):
    edit.set_style(LengthStyle.MILLIMETRES)
    with qtbot.waitSignal(edit.entered) as entered:
        retype(qtbot, edit, "508")
        qtbot.keyClick(edit, Qt.Key.Key_Return)
    assert entered.args == [pytest.approx(20.0)]  # hand-worked: 508 / 25.4


@pytest.mark.parametrize("text", ["4 fooot", "-3 in", "0"])
def test_a_wrong_length_stays_with_a_sentence_until_escape(qtbot, edit, text):
    nothing, sentence = qtbot.assertNotEmitted(edit.entered), edit.refused
    with nothing, qtbot.waitSignal(sentence) as refused:
        retype(qtbot, edit, text)
        qtbot.keyClick(edit, Qt.Key.Key_Return)
    assert refused.args[0]
    assert edit.is_wrong
    assert edit.text() == text
    edit.show_value(87.5)  # the document has not changed: nothing typed is lost
    assert edit.text() == text
    qtbot.keyClick(edit, Qt.Key.Key_Escape)
    assert edit.text() == "7 ft 3-1/2 in"
    assert not edit.is_wrong


def test_the_sentence_names_the_limit(qtbot, edit):
    with qtbot.waitSignal(edit.refused) as refused:
        retype(qtbot, edit, "-3 in")
        qtbot.keyClick(edit, Qt.Key.Key_Return)
    assert refused.args == ["-3 in is too small; it must be more than 0 in"]


def test_leaving_without_a_change_enters_nothing(qtbot, edit):
    edit.show_value(87.51)  # shown rounded to a sixteenth
    with qtbot.assertNotEmitted(edit.entered):
        edit.setFocus()
        qtbot.keyClick(edit, Qt.Key.Key_Return)
    assert edit.value == 87.51
    assert edit.toolTip() == "exactly 87.51 in"


def test_an_arrow_steps_by_a_sixteenth_and_enters_once(qtbot, edit):
    edit.setFocus()
    with qtbot.waitSignal(edit.entered) as entered:
        for _ in range(3):
            qtbot.keyClick(edit, Qt.Key.Key_Up)
    assert entered.args == [87.5 + 3 / 16]


def test_an_arrow_steps_by_a_millimetre(qtbot, edit):
    edit.set_style(LengthStyle.MILLIMETRES)
    edit.show_value(1000 / 25.4)
    with qtbot.waitSignal(edit.entered) as entered:
        qtbot.keyClick(edit, Qt.Key.Key_Down)
    assert entered.args == [pytest.approx(999 / 25.4)]


def test_steps_stop_at_the_limit(qtbot, edit):
    edit.show_value(1 / 16)
    qtbot.keyClick(edit, Qt.Key.Key_Down)
    assert not edit.is_changed


def test_the_wheel_changes_nothing_by_chance(qtbot):
    widget = QuantityEdit(LENGTH)
    qtbot.addWidget(widget)
    assert widget.focusPolicy() is Qt.FocusPolicy.StrongFocus
