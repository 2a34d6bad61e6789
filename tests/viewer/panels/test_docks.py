"""All panels together in one window."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDockWidget, QMainWindow, QWidget

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
