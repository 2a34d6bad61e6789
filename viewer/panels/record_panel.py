"""A form over one record of the barn that has no id: room, electrical side, job."""

from collections.abc import Callable, Collection
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from core.errors import LiftlaneError
from core.model.barn import Barn
from core.model.edits import Edited
from viewer.panels.changing import Path, with_value
from viewer.panels.details import edit_name
from viewer.panels.forms import Form
from viewer.panels.panel import Panel
from viewer.paper.guarded import guarded
from viewer.preferences import Preferences
from viewer.session import Session

__all__ = ["Record", "RecordPanel"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """Which record: its name in the undo list, how to read and to set it."""

    name: str
    read: Callable[[Barn], Any]
    set: Callable[[Barn, Any], Edited]
    without: Collection[str] = ()


class RecordPanel(QWidget):
    """Shows one record of the document; each typed value is one edit.

    It is made and renewed only while its holder is seen; `renewed` tells of it.
    """

    renewed = Signal()

    def __init__(
        self,
        session: Session,
        preferences: Preferences,
        record: Record,
        holder: Panel,
    ) -> None:
        super().__init__(holder)
        self._holder = holder
        holder.came_into_sight.connect(self.renew)
        self._session = session
        self._preferences = preferences
        self._record = record
        self.form = Form(self._commit)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self.form)
        session.document_changed.connect(self._on_document_changed)
        preferences.changed.connect(self._on_document_changed)

    @guarded
    def showEvent(self, event: QShowEvent) -> None:
        """Catch up with what was left out while the panel was hidden."""
        super().showEvent(event)
        self._on_document_changed()

    def renew(self) -> None:
        """Show the record as it is now."""
        barn = self._session.document
        self.form.show_items(
            [self._record.read(barn)],
            keys=(self._record.name,),
            barn=barn,
            catalogue=self._session.catalogue,
            style=self._preferences.length_style(barn.job),
            without=self._record.without,
        )
        self.renewed.emit()

    def _on_document_changed(self, _after: object = None) -> None:
        if self._holder.is_seen:
            self.renew()

    def _commit(self, path: Path, value: object) -> str:
        session, record = self._session, self._record
        barn = session.document
        try:
            item = with_value(record.read(barn), path, value)
            session.apply(edit_name(path, record.name), record.set(barn, item))
        except LiftlaneError as error:
            return str(error)
        return ""
