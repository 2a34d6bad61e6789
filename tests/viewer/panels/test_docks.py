"""All panels together in one window."""

from dataclasses import replace
from functools import partial

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDockWidget, QMainWindow, QWidget

from core.model import edits
from viewer.panels.details import Details
from viewer.panels.docks import add_panels

pytestmark = pytest.mark.gui


def test_every_panel_gets_a_dock_with_a_name_that_is_kept(qtbot, session, preferences):
    window = QMainWindow()
    qtbot.addWidget(window)

    def add_dock(widget, name, title, area):
        dock = QDockWidget(title, window)
        dock.setObjectName(name)
        dock.setWidget(widget)
        window.addDockWidget(area, dock)
        return dock

    seen = []
    panels = add_panels(session, preferences, add_dock, place_wanted=seen.append)
    drawing = add_dock(QWidget(), "plan", "Plan", Qt.DockWidgetArea.LeftDockWidgetArea)
    window.resize(1200, 800)
    window.show()
    panels.arrange(window, beside=drawing)
    assert panels.docks["job"] in window.tabifiedDockWidgets(panels.docks["details"])
    assert set(panels.docks) == {
        "objects",
        "details",
        "room",
        "electrical",
        "job",
        "parts",
        "findings",
        "record",
    }
    session.select(["run-1"])
    assert panels.details.title.text() == "Run run-1: run 1"
    number = next(
        n for n, f in enumerate(session.report.findings, 1) if f.points and f.other
    )
    panels.findings.outcomes[session.report.findings[number - 1].outcome].setChecked(
        True
    )
    panels.findings.choose(number)
    assert seen == [session.report.findings[number - 1].points]


def test_a_panel_is_as_wide_and_high_whatever_it_shows(qtbot, session, preferences):
    panel = Details(session, preferences)
    qtbot.addWidget(panel)
    sizes = set()
    for key in ("", "run-1", "hoist-1", "supply", "pen-1"):
        session.select([key] if key else [])
        sizes.add((panel.minimumSizeHint().toTuple(), panel.sizeHint().toTuple()))
    assert len(sizes) == 1


def test_what_is_behind_another_tab_is_left_until_it_is_looked_at(window, qtbot):
    record = window.panels.electrical.record
    qtbot.waitUntil(lambda: not window.panels.electrical.is_seen)
    renewed = []
    record.renewed.connect(lambda: renewed.append(True))
    electrical = replace(window.session.document.electrical, altitude=12_000.0)
    window.session.ask("Go up", partial(edits.set_electrical, electrical=electrical))
    assert renewed == []
    window.docks["electrical"].raise_()
    qtbot.waitUntil(lambda: bool(renewed))
    assert window.panels.electrical.is_seen
    shown = record.form.record.editors["altitude"].edit.text()
    assert shown == "1000 ft 0 in"  # hand-worked: 12,000 in / 12
