"""All panels of a window, made together and put into docks."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Protocol

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDockWidget, QMainWindow, QWidget

from core.geometry.shapes import Vec3
from viewer.panels.commissioning import CommissioningPanel
from viewer.panels.details import Details
from viewer.panels.findings import Findings
from viewer.panels.job import ElectricalPanel, JobPanel
from viewer.panels.objects import Objects
from viewer.panels.parts_panel import PartsPanel
from viewer.panels.room import RoomPanel
from viewer.preferences import Preferences
from viewer.session import Session

__all__ = ["AddDock", "Panels", "add_panels"]

_RIGHT = Qt.DockWidgetArea.RightDockWidgetArea
_WIDE, _HIGH = 410, 250  # of the panels at the right, and of the findings [px]
_TABS = ("details", "room", "electrical", "job", "parts")
_BELOW = Qt.DockWidgetArea.BottomDockWidgetArea


class AddDock(Protocol):
    """How a window takes a widget into a dock with a name that is kept."""

    def __call__(
        self, widget: QWidget, name: str, title: str, area: Qt.DockWidgetArea, /
    ) -> QDockWidget:
        """Put it there."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Panels:
    """The panels of a window."""

    objects: Objects
    details: Details
    room: RoomPanel
    electrical: ElectricalPanel
    job: JobPanel
    parts: PartsPanel
    findings: Findings
    record: CommissioningPanel
    docks: dict[str, QDockWidget]

    def arrange(self, window: QMainWindow, *, beside: QDockWidget) -> None:
        """Give the docks of a shown window their first places, next to a drawing."""
        objects, details = self.docks["objects"], self.docks["details"]
        for front, back in pairwise(_TABS):
            window.tabifyDockWidget(self.docks[front], self.docks[back])
        details.raise_()
        window.tabifyDockWidget(self.docks["findings"], self.docks["record"])
        self.docks["findings"].raise_()
        wide = window.width() - _WIDE
        across = Qt.Orientation.Horizontal
        window.resizeDocks([beside, objects], [wide, _WIDE], across)
        upright = Qt.Orientation.Vertical
        window.resizeDocks([self.docks["findings"]], [_HIGH], upright)
        window.resizeDocks([objects, details], [2, 3], upright)

    def show_record(self) -> None:
        """Bring the commissioning record to the front, to be typed into."""
        self.docks["record"].show()
        self.docks["record"].raise_()
        self.record.begin()


def add_panels(
    session: Session,
    preferences: Preferences,
    add_dock: AddDock,
    *,
    place_wanted: Callable[[Sequence[Vec3]], object] | None = None,
) -> Panels:
    """Put every panel into a dock of a window.

    Parameters
    ----------
    session : Session
        What they show and edit.
    preferences : Preferences
        Units and text size.
    add_dock : callable
        The window's own way to make a dock.
    place_wanted : callable, optional
        Told the points of a finding that was chosen [in].

    Returns
    -------
    Panels
        The panels and their docks by name; `Panels.arrange` gives them their
        first places when the window is shown.
    """
    objects = Objects(session, preferences)
    details = Details(session, preferences)
    room = RoomPanel(session, preferences)
    electrical = ElectricalPanel(session, preferences)
    job = JobPanel(session, preferences)
    parts = PartsPanel(session, preferences)
    findings = Findings(session, preferences)
    record = CommissioningPanel(session, preferences)
    places = (
        (objects, "objects", "Objects", _RIGHT),
        (details, "details", "Details", _RIGHT),
        (room, "room", "Room", _RIGHT),
        (electrical, "electrical", "Electrical", _RIGHT),
        (job, "job", "Job", _RIGHT),
        (parts, "parts", "Parts", _RIGHT),
        (findings, "findings", "Findings", _BELOW),
        (record, "record", "Record", _BELOW),
    )
    docks = {
        name: add_dock(widget, name, title, area)
        for widget, name, title, area in places
    }
    for widget, name, *_ in places:
        docks[name].visibilityChanged.connect(widget.set_in_front)
    if place_wanted is not None:
        findings.place_wanted.connect(place_wanted)
    return Panels(
        objects=objects,
        details=details,
        room=room,
        electrical=electrical,
        job=job,
        parts=parts,
        findings=findings,
        record=record,
        docks=docks,
    )
