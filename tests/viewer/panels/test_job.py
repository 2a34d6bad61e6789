"""Title block, rule values of the job's own, bonds."""

import pytest
from PySide6.QtCore import Qt

from core.model.job import RuleOverride
from core.quantities import LengthStyle
from viewer.panels.job import ElectricalPanel, JobPanel
from viewer.panels.overrides import limits, read_value

pytestmark = pytest.mark.gui


@pytest.fixture
def panel(qtbot, session, preferences):
    widget = JobPanel(session, preferences)
    qtbot.addWidget(widget)
    widget.show()
    return widget


def choose(panel, key):
    rule = panel.overrides.rule
    rule.setCurrentIndex(rule.findData(key))


def test_the_title_block_is_typed(qtbot, panel, session):
    entry = panel.record.form.record.editors["title"].edit
    entry.setFocus()
    entry.selectAll()
    qtbot.keyClicks(entry, "North barn")
    qtbot.keyClick(entry, Qt.Key.Key_Return)
    assert session.document.job.title == "North barn"
    assert session.undo_name == "Set title of the job"


def test_the_barn_gets_another_name(qtbot, panel, session):
    panel.name.setFocus()
    panel.name.selectAll()
    qtbot.keyClicks(panel.name, "barn 9")
    qtbot.keyClick(panel.name, Qt.Key.Key_Return)
    assert session.document.name == "barn 9"


def test_a_barn_without_a_name_is_refused(qtbot, panel, session):
    panel.name.setFocus()
    panel.name.clear()
    qtbot.keyClick(panel.name, Qt.Key.Key_Return)
    assert session.document.name == "plain barn"
    assert panel.fault.text()


def test_a_value_of_the_jobs_own_takes_a_reason(panel, session):
    choose(panel, "clearance.envelope")
    panel.overrides.value.setText("7 in")
    panel.overrides.add.click()
    assert session.document.job.overrides == ()
    assert "reason" in panel.overrides.fault.text()
    panel.overrides.reason.setText("wet dust")
    panel.overrides.add.click()
    assert session.document.job.overrides == (
        RuleOverride(rule="clearance.envelope", value=7.0, reason="wet dust"),
    )
    assert panel.overrides.value.text() == ""


def test_a_second_value_of_a_rule_has_a_key_of_its_own(panel, session):
    choose(panel, "layout.working-height/tolerance")
    panel.overrides.value.setText("3 in")
    panel.overrides.reason.setText("sloping floor")
    panel.overrides.add.click()
    report = session.report
    assert report.unknown_overrides == ()
    assert report.overrides[0].limit == "tolerance"


def test_a_wrong_value_is_said(panel, session):
    choose(panel, "clearance.envelope")
    panel.overrides.value.setText("seven")
    panel.overrides.reason.setText("wet dust")
    panel.overrides.add.click()
    assert "not a length" in panel.overrides.fault.text()
    assert session.document.job.overrides == ()


def test_a_value_is_dropped_again(panel, session):
    choose(panel, "clearance.envelope")
    panel.overrides.value.setText("7 in")
    panel.overrides.reason.setText("wet dust")
    panel.overrides.add.click()
    panel.overrides.removes["clearance.envelope"].click()
    assert session.document.job.overrides == ()


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [("152.4 mm", "gap", 6.0), ("1 ft", "in", 12.0), ("90 %", "%", 90.0)],
)
def test_values_are_read_in_the_units_of_their_rules(text, unit, value):
    assert read_value(text, unit, style=LengthStyle.FEET) == pytest.approx(value)


def test_every_value_of_every_rule_can_be_overridden():
    from core.rules.registry import limits_in_force

    overrides = [
        RuleOverride(rule=key, value=limit.usual + 1.0, reason="a test")
        for key, limit in limits().items()
    ]
    in_force, unknown = limits_in_force(overrides)
    assert unknown == ()
    for limit in limits().values():
        assert in_force[limit.rule.id][limit.name] == limit.usual + 1.0


def test_a_bond_is_added_and_said_to_be_unknown(qtbot, session, preferences):
    widget = ElectricalPanel(session, preferences)
    qtbot.addWidget(widget)
    assert widget.record.form.record is None  # nothing is made before it is seen
    widget.show()
    bonds = widget.record.form.record.editors["bonds"]
    count = len(session.document.electrical.bonds)
    bonds.editors[0].editors["to"].edit.clear()
    bonds.editors[0].editors["to"].finish()
    assert session.document.electrical.bonds[0].to is None
    bonds._take_out(0)
    assert len(session.document.electrical.bonds) == count - 1
