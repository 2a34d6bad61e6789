"""The findings panel: order, filters, and bringing everything to a finding."""

from dataclasses import replace

import pytest
from PySide6.QtCore import QModelIndex, Qt

from core.model.edits import replace_object, set_job
from core.model.job import RuleOverride
from core.rules.finding import Outcome
from tests.specimens import plain_barn
from viewer.panels.finding_rows import COLUMNS
from viewer.panels.findings import Findings
from viewer.preferences import Units

pytestmark = pytest.mark.gui

ROOT = QModelIndex()


def clashing_barn():
    """Run 1 hangs straight through the light of the plain barn, raised into it."""
    barn = plain_barn()
    light = next(f for f in barn.fixtures if f.kind == "light")
    light = replace(light, x=200.0, y=60.0, drop=20.0)
    return replace_object(barn, light).barn


@pytest.fixture
def clashing(make_session):
    return make_session(clashing_barn())


@pytest.fixture
def panel(qtbot, clashing, preferences):
    widget = Findings(clashing, preferences)
    qtbot.addWidget(widget)
    widget.resize(1200, 500)
    widget.show()
    qtbot.waitUntil(lambda: widget.model.report is clashing.report)
    return widget


def groups(panel):
    rows = range(panel.shown.rowCount(ROOT))
    return [panel.shown.index(row, 0, ROOT) for row in rows]


def rows(panel, name="No."):
    column = COLUMNS.index(name)
    return [
        panel.shown.index(row, column, group).data()
        for group in groups(panel)
        for row in range(panel.shown.rowCount(group))
    ]


def number_of(session, rule, outcome=Outcome.STOP):
    return next(
        n
        for n, f in enumerate(session.report.findings, 1)
        if f.rule == rule and f.outcome is outcome
    )


def test_the_models_keep_the_rules_of_item_models(qtmodeltester, panel):
    qtmodeltester.check(panel.model)
    qtmodeltester.check(panel.shown)


def test_an_outcome_is_a_sign_and_a_word(panel):
    assert any(
        "Stop" in text and "\N{MULTIPLICATION X}" in text
        for text in rows(panel, "Outcome")
    )


def test_passes_are_shown_only_when_asked_for(panel, clashing):
    assert not any("Pass" in text for text in rows(panel, "Outcome"))
    panel.outcomes[Outcome.PASS].click()
    assert len(rows(panel)) == len(clashing.report.findings)
    panel.outcomes[Outcome.PASS].click()
    assert not any("Pass" in text for text in rows(panel, "Outcome"))


def test_a_search_leaves_what_has_the_words(panel):
    everything = rows(panel)
    panel.search.setText("light")
    found = rows(panel, "Finding")
    assert 0 < len(found) <= len(everything)
    panel.search.setText("no such words anywhere")
    assert rows(panel) == []
    panel.search.setText("")
    assert rows(panel) == everything


def test_one_rule_alone(panel):
    index = panel.rule.findData("clearance.envelope")
    panel.rule.setCurrentIndex(index)
    panel.rule.activated.emit(index)
    assert set(rows(panel, "Rule")) == {"clearance.envelope"}


def test_one_run_alone(panel):
    panel.outcomes[Outcome.PASS].click()
    index = panel.group.findData("run-2")
    panel.group.setCurrentIndex(index)
    panel.group.activated.emit(index)
    assert set(rows(panel, "Subject")) >= {"run-2"}
    assert "run-1" not in rows(panel, "Subject")


def test_rows_are_sorted_by_numbers_not_letters(panel):
    panel.outcomes[Outcome.PASS].click()
    panel.tree.sortByColumn(COLUMNS.index("No."), Qt.SortOrder.AscendingOrder)
    for group in groups(panel):
        count = panel.shown.rowCount(group)
        numbers = [
            int(panel.shown.index(r, 0, group).data() or 0) for r in range(count)
        ]
        assert numbers == sorted(numbers)
    titles = [group.data() for group in groups(panel)]
    panel.tree.sortByColumn(COLUMNS.index("No."), Qt.SortOrder.DescendingOrder)
    assert [group.data() for group in groups(panel)] == titles


def test_choosing_one_brings_selection_lift_and_cut_to_it(qtbot, panel, clashing):
    number = number_of(clashing, "clearance.envelope")
    finding = clashing.report.findings[number - 1]
    with qtbot.waitSignal(panel.place_wanted) as wanted:
        panel.choose(number)
    assert wanted.args == [finding.points]
    assert clashing.selection == ("run-1", "light-1")
    assert clashing.lift == finding.lift
    assert clashing.finding == number
    middle = sum(point[0] for point in finding.points) / len(finding.points)
    assert clashing.cut == pytest.approx(middle)
    assert finding.rule in panel.head.text()
    assert "Source:" in panel.source.text()


def test_a_finding_chosen_elsewhere_is_chosen_here(panel, clashing):
    number = number_of(clashing, "clearance.envelope")
    clashing.show_finding(number)
    assert panel.current().number == number


def test_the_list_follows_an_edit(qtbot, panel, clashing):
    light = next(f for f in clashing.document.fixtures if f.kind == "light")
    before = rows(panel, "Outcome")
    assert any("Stop" in text for text in before)
    mended = replace_object(clashing.document, replace(light, y=138.0, drop=0.0))
    clashing.apply("Move the light", mended)
    qtbot.waitUntil(lambda: not any("Stop" in t for t in rows(panel, "Outcome")))
    clashing.undo()
    qtbot.waitUntil(lambda: rows(panel, "Outcome") == before)


def test_a_chosen_row_stays_chosen_while_others_change(qtbot, panel, clashing):
    panel.outcomes[Outcome.PASS].click()
    panel.choose(number_of(clashing, "layout.end-gap", Outcome.PASS))
    subject = panel.current().finding.subject
    light = next(f for f in clashing.document.fixtures if f.kind == "light")
    mended = replace_object(clashing.document, replace(light, y=138.0, drop=0.0))
    clashing.apply("Move the light", mended)
    qtbot.waitUntil(lambda: panel.model.report is clashing.report)
    assert panel.current().finding.rule == "layout.end-gap"
    assert panel.current().finding.subject == subject


def test_values_of_the_job_come_before_the_runs_with_their_reason(
    qtbot, panel, clashing
):
    override = RuleOverride(rule="clearance.envelope", value=7.0, reason="wet dust")
    unknown = RuleOverride(rule="clearance.envelop", value=7.0, reason="a slip")
    job = replace(clashing.document.job, overrides=(override, unknown))
    clashing.apply("Own value", set_job(clashing.document, job))
    qtbot.waitUntil(lambda: "own" in groups(panel)[1].data())
    assert "Not checked" in groups(panel)[0].data()
    texts = rows(panel, "Finding")[len(clashing.report.not_checked) :]
    assert texts[0].endswith("7.00 in in place of 6.00 in: wet dust")
    assert "clearance.envelope" in texts[1]  # the nearest right name


def test_lengths_follow_the_preferences(panel, preferences):
    preferences.units = Units.MILLIMETRES
    assert any(text.endswith("mm") for text in rows(panel, "Limit"))
    assert not any(text.endswith(" in") for text in rows(panel, "Limit"))


def test_a_finding_is_copied_in_words(qapp, panel, clashing):
    panel.choose(number_of(clashing, "clearance.envelope"))
    panel.copy()
    text = qapp.clipboard().text()
    assert "light-1" in text
    assert "Source:" in text
