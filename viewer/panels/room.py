"""The room panel: sizes, ceiling, trusses, pens of the strips, doors, ventilation."""

from collections.abc import Callable
from functools import partial

from PySide6.QtWidgets import (
    QGridLayout,
    QGroupBox,
    QLabel,
    QPushButton,
    QSpinBox,
    QVBoxLayout,
    QWidget,
)

from core.errors import LiftlaneError
from core.model import edits
from core.model.barn import Barn
from core.model.edits import Edited
from core.model.room import Alley, Bulkhead, Door, Strip
from core.quantities import format_length
from viewer.panels.ceilings import other_ceiling
from viewer.panels.details import scrolled
from viewer.panels.first_runs import first_runs
from viewer.panels.forms import KindEditor
from viewer.panels.layouts import emptied
from viewer.panels.new_objects import Place, add, label_of
from viewer.panels.note import Note
from viewer.panels.panel import Panel
from viewer.panels.record_panel import Record, RecordPanel
from viewer.panels.sketch import CeilingSketch
from viewer.preferences import Preferences
from viewer.session import Session

__all__ = ["RoomPanel", "add_first_runs"]

_ROOM = Record(name="the room", read=lambda barn: barn.room, set=edits.set_room)
_PARTS = (Strip, Alley, Door, Bulkhead)
_MOST_PENS = 200


def add_first_runs(barn: Barn) -> Edited:
    """Add a run over each strip that has none.

    Raises
    ------
    EditError
        If a strip is too short for a run.
    """
    served = {run.strip for run in barn.runs}
    fresh = Place(barn=barn, x=0.0, y=0.0).fresh
    runs = [run for run in first_runs(barn.room, fresh) if run.strip not in served]
    return edits.add_objects(barn, runs)


class RoomPanel(Panel):
    """Edits the room by typing; strips are divided into pens here."""

    def __init__(
        self, session: Session, preferences: Preferences, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setAccessibleName("the room")
        self._session = session
        self._preferences = preferences
        self.sketch = CeilingSketch()
        self.record = RecordPanel(session, preferences, _ROOM, self)
        self.record.renewed.connect(self._fit_ceiling)
        self.counts: dict[str, QSpinBox] = {}
        self.splits: dict[str, QPushButton] = {}
        self._strips = QWidget()
        self._grid = QGridLayout(self._strips)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setColumnStretch(0, 1)
        self._shown: object = None
        self.fault = Note()
        self.runs = QPushButton("Propose a run for each strip")
        self.runs.setToolTip(
            "Adds a run over each strip without one, on the fewest trusses"
        )
        self.runs.clicked.connect(self.propose_runs)
        self._lay_out()
        session.document_changed.connect(self._on_document_changed)
        preferences.changed.connect(self.renew)
        self.renew()

    def renew(self) -> None:
        """Show the room as it is now."""
        barn = self._session.document
        style = self._preferences.length_style(barn.job)
        self.sketch.show_room(barn.room, style)
        shown = (barn.room.strips, barn.room.pens, style)
        if shown != self._shown:
            self._shown = shown
            self._list_strips(barn)
        served = {run.strip for run in barn.runs}
        free = any(strip.id not in served for strip in barn.room.strips)
        self.runs.setEnabled(free)

    def split(self, strip: str) -> None:
        """Divide a strip into as many pens as its number says."""
        count = self.counts[strip].value()
        self._ask(
            f"Split {strip} into {count} pens",
            partial(edits.split_strip, strip=strip, count=count),
        )

    def propose_runs(self) -> None:
        """Add a run over each strip that has none."""
        self._ask("Propose runs", add_first_runs)

    def add(self, cls: type) -> None:
        """Add a part of the room, and choose it."""
        before = {each.id for each in _parts(self._session.document)}
        room = self._session.document.room
        edit = partial(add, cls=cls, x=room.length / 2, y=room.width / 2, chosen=())
        if self._ask(f"Add {label_of(cls).lower()}", edit):
            after = _parts(self._session.document)
            self._session.select(each.id for each in after if each.id not in before)

    def _ask(self, name: str, edit: Callable[[Barn], Edited]) -> bool:
        try:
            self._session.apply(name, edit(self._session.document))
        except LiftlaneError as error:
            self.fault.setText(str(error))
            return False
        self.fault.setText("")
        return True

    def _fit_ceiling(self) -> None:
        """Let a new kind of ceiling begin at the heights of the old one."""
        record = self.record.form.record
        editor = record.editors["ceiling"] if record is not None else None
        if isinstance(editor, KindEditor):
            editor.make = self._other_ceiling

    def _other_ceiling(self, _old: object, cls: type) -> object:
        return other_ceiling(self._session.document.room, cls)

    def _lay_out(self) -> None:
        pens = QGroupBox("Pens")
        column = QVBoxLayout(pens)
        for widget in (self._strips, self.runs, self.fault):
            column.addWidget(widget)
        adding = QGroupBox("Add to the room")
        grid = QGridLayout(adding)
        for place, cls in enumerate(_PARTS):
            button = QPushButton(label_of(cls))
            button.setAccessibleName(f"add {label_of(cls).lower()}")
            button.clicked.connect(partial(self._on_add_clicked, cls))
            grid.addWidget(button, place // 2, place % 2)
        inner = QWidget()
        layout = QVBoxLayout(inner)
        layout.setContentsMargins(0, 0, 0, 0)
        for each in (self.sketch, self.record, pens, adding):
            layout.addWidget(each)
        layout.addStretch(1)
        self.area = scrolled(inner)
        QVBoxLayout(self).addWidget(self.area)

    def _on_add_clicked(self, cls: type, *_checked: bool) -> None:
        self.add(cls)

    def _on_split_clicked(self, strip: str, *_checked: bool) -> None:
        self.split(strip)

    def _list_strips(self, barn: Barn) -> None:
        emptied(self._grid)
        self.counts.clear()
        self.splits.clear()
        if not barn.room.strips:
            self._grid.addWidget(Note("There is no strip to divide yet."), 0, 0)
        style = self._preferences.length_style(barn.job)
        for row, strip in enumerate(barn.room.strips):
            pens = sum(pen.strip == strip.id for pen in barn.room.pens)
            size = " by ".join(
                format_length(value, style=style)
                for value in (strip.length, strip.width)
            )
            label = QLabel(f"{strip.id}, {size}: {pens} pens")
            label.setWordWrap(True)
            count = QSpinBox()
            count.setRange(1, _MOST_PENS)
            count.setValue(max(pens, 1))
            count.setAccessibleName(f"number of pens of {strip.id}")
            split = QPushButton("Split")
            split.setAccessibleName(f"split {strip.id} into pens")
            split.clicked.connect(partial(self._on_split_clicked, strip.id))
            self.counts[strip.id], self.splits[strip.id] = count, split
            for place, widget in enumerate((label, count, split)):
                self._grid.addWidget(widget, row, place)

    def _on_document_changed(self, _after: object) -> None:
        self.renew()


def _parts(barn: Barn) -> "tuple[Strip | Alley | Door | Bulkhead, ...]":
    room = barn.room
    return (*room.strips, *room.alleys, *room.doors, *room.bulkheads)
