"""The job panel: title block, settings, and rule values of its own."""

from PySide6.QtWidgets import QGroupBox, QLineEdit, QVBoxLayout, QWidget

from core.errors import LiftlaneError
from core.model import edits
from viewer.panels.details import scrolled
from viewer.panels.note import Note
from viewer.panels.overrides import Overrides
from viewer.panels.panel import Panel
from viewer.panels.record_panel import Record, RecordPanel
from viewer.preferences import Preferences
from viewer.session import Session

__all__ = ["ElectricalPanel", "JobPanel"]

_JOB = Record(
    name="the job",
    read=lambda barn: barn.job,
    set=edits.set_job,
    without=("overrides",),
)
_ELECTRICAL = Record(
    name="the electrical side",
    read=lambda barn: barn.electrical,
    set=edits.set_electrical,
    without=("supply", "switch"),
)


class JobPanel(Panel):
    """Edits what is printed on every sheet, and the values the job is held to."""

    def __init__(
        self, session: Session, preferences: Preferences, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setAccessibleName("the job")
        self._session = session
        self.name = QLineEdit()
        self.name.setAccessibleName("name of the barn")
        self.name.editingFinished.connect(self._on_name_edited)
        self.fault = Note()
        self.fault.setVisible(False)
        self.record = RecordPanel(session, preferences, _JOB, self)
        self.overrides = Overrides(session, preferences)
        inner = QWidget()
        layout = QVBoxLayout(inner)
        layout.setContentsMargins(0, 0, 0, 0)
        for title, widgets in (
            ("Barn", (self.name, self.fault)),
            ("Title block and settings", (self.record,)),
            ("Rule values of this job's own", (self.overrides,)),
        ):
            box = QGroupBox(title)
            column = QVBoxLayout(box)
            for widget in widgets:
                column.addWidget(widget)
            layout.addWidget(box)
        layout.addStretch(1)
        self.area = scrolled(inner)
        QVBoxLayout(self).addWidget(self.area)
        session.document_changed.connect(self._on_document_changed)
        self._show_name()

    def _show_name(self) -> None:
        self.name.setText(self._session.document.name)
        self.fault.setVisible(False)

    def _on_name_edited(self) -> None:
        session = self._session
        name = self.name.text().strip()
        if name == session.document.name:
            return
        try:
            session.apply("Rename the barn", edits.rename_barn(session.document, name))
        except LiftlaneError as error:
            self.fault.setText(str(error))
            self.fault.setVisible(True)

    def _on_document_changed(self, _after: object) -> None:
        self._show_name()


class ElectricalPanel(Panel):
    """Edits voltage and air, and the register of bonds."""

    def __init__(
        self, session: Session, preferences: Preferences, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setAccessibleName("voltage, air and bonds")
        self.record = RecordPanel(session, preferences, _ELECTRICAL, self)
        inner = QWidget()
        layout = QVBoxLayout(inner)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self.record)
        layout.addStretch(1)
        self.area = scrolled(inner)
        QVBoxLayout(self).addWidget(self.area)
