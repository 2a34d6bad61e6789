"""The record panel: what was measured on site, typed beside what it is held to."""

from datetime import date
from functools import partial

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QColor, QPalette, QShowEvent
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from core.errors import LiftlaneError
from core.model import edits
from core.model.job import CommissioningRecord
from core.outputs.commissioning import Judged
from core.outputs.record_entries import with_names
from core.rules.finding import Outcome
from viewer.panels.colours import OUTCOME_SIGNS, theme_of
from viewer.panels.note import Note
from viewer.panels.panel import Panel
from viewer.panels.record_rows import Entry, record_sections
from viewer.panels.record_table import RecordModel, RecordTable
from viewer.paper.guarded import guarded
from viewer.preferences import Preferences
from viewer.session import Session

__all__ = ["CommissioningPanel"]

_OUT, _IN = OUTCOME_SIGNS[Outcome.STOP], OUTCOME_SIGNS[Outcome.PASS]
_SHEETS = 3
_NAME = 24  # width of a name or a date [letters]


class _Alarm(QLabel):
    """Plain words, in the colour of a stop while something is wrong."""

    def __init__(self) -> None:
        super().__init__()
        self._is_wrong = False
        self.setTextFormat(Qt.TextFormat.PlainText)

    def tell(self, words: str, *, is_wrong: bool) -> None:
        """Say something."""
        self._is_wrong = is_wrong
        self.setText(words)
        self._ink()

    def changeEvent(self, event: QEvent) -> None:
        """Follow the window from light to dark."""
        super().changeEvent(event)
        if event.type() is QEvent.Type.PaletteChange:
            self._ink()

    def _ink(self) -> None:
        palette = self.palette()
        theme = theme_of(palette)
        colour = QColor(theme.stop if self._is_wrong else theme.strong)
        if palette.color(QPalette.ColorRole.WindowText) != colour:
            palette.setColor(QPalette.ColorRole.WindowText, colour)
            self.setPalette(palette)


class CommissioningPanel(Panel):
    """Takes heights, readings, names and date; each entry is one edit.

    It is renewed only while it is seen.
    """

    def __init__(
        self, session: Session, preferences: Preferences, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setAccessibleName("the commissioning record")
        self._session = session
        self._preferences = preferences
        self.counts = _Alarm()
        self.fault = _Alarm()
        self.fault.setWordWrap(True)
        self.fault.hide()
        self.by, self.date = QLineEdit(), QLineEdit()
        self.next_blank = QPushButton("Next &blank")
        self.next_out = QPushButton("Next o&ut of tolerance")
        self.today = QPushButton("T&oday")
        self.sheets = QTabWidget()
        self.models = [RecordModel(self._commit) for _ in range(_SHEETS)]
        self.tables = [RecordTable(model) for model in self.models]
        self._note = Note()
        self._note.setWordWrap(False)
        self._lay_out()
        self._listen()

    @guarded
    def showEvent(self, event: QShowEvent) -> None:
        """Catch up with what was left out while the panel was hidden."""
        super().showEvent(event)
        self._on_document_changed()

    def renew(self) -> None:
        """Show the record as it is now."""
        session, barn = self._session, self._session.document
        style = self._preferences.length_style(barn.job)
        sections = record_sections(barn, session.catalogue, style)
        for place, section in enumerate(sections):
            self.models[place].take(section)
            self.sheets.setTabText(place, _title(section.title, self.models[place]))
        record = barn.record or CommissioningRecord()
        for edit, text in ((self.by, record.by), (self.date, record.date)):
            if not (edit.hasFocus() and edit.isModified()):
                edit.setText(text)
        self._tell_counts()
        self._tell_note()

    def begin(self) -> None:
        """Take the keyboard to the sheet that is in front."""
        self.renew()
        table = self.tables[self.sheets.currentIndex()]
        table.setFocus(Qt.FocusReason.ShortcutFocusReason)

    def go_to(self, judged: Judged) -> bool:
        """Go to the next cell of which this is said; tell whether there is one."""
        first = self.sheets.currentIndex()
        for turn in range(_SHEETS + 1):
            place = (first + turn) % _SHEETS
            table, model = self.tables[place], self.models[place]
            now = table.currentIndex()
            start = (now.row(), now.column()) if turn == 0 else (-1, -1)
            for index in model.entries():
                entry = model.entry(index)
                is_ahead = (index.row(), index.column()) > start
                if is_ahead and entry is not None and entry.judged is judged:
                    self.sheets.setCurrentIndex(place)
                    table.setCurrentIndex(index)
                    table.setFocus(Qt.FocusReason.ShortcutFocusReason)
                    return True
        return False

    # ----- inside -----

    def _commit(self, entry: Entry, text: str) -> str:
        """Make one edit of what was typed; return why it cannot be made."""
        session, barn = self._session, self._session.document
        try:
            record = entry.put(barn.record, text)
            session.apply(f"Note {entry.what}", edits.set_record(barn, record))
        except LiftlaneError as error:
            return str(error)
        return ""

    def _tell_counts(self) -> None:
        sections = [model.section for model in self.models]
        out = sum(section.count(Judged.OUT) for section in sections)
        blank = sum(section.count(Judged.BLANK) for section in sections)
        size = sum(section.size for section in sections)
        sign = f"{_OUT} " if out else (f"{_IN} " if not blank and size else "")
        words = f"{sign}Out of tolerance: {out}    Still blank: {blank} of {size}"
        self.counts.tell(words, is_wrong=out > 0)
        self.next_out.setEnabled(out > 0)
        self.next_blank.setEnabled(blank > 0)

    def _tell_note(self, *_place: int) -> None:
        self._note.setText(self.models[self.sheets.currentIndex()].section.note)

    def _tell_fault(self, words: str) -> None:
        self.fault.tell(f"{_OUT} {words}" if words else "", is_wrong=True)
        self.fault.setVisible(bool(words))

    def _listen(self) -> None:
        session = self._session
        session.document_changed.connect(self._on_document_changed)
        self.came_into_sight.connect(self.renew)
        self._preferences.changed.connect(self._on_document_changed)
        for table in self.tables:
            table.refused.connect(self._tell_fault)
        self.sheets.currentChanged.connect(self._tell_note)
        self.by.editingFinished.connect(self._on_names_edited)
        self.date.editingFinished.connect(self._on_names_edited)
        self.today.clicked.connect(self._on_today_clicked)
        self.next_blank.clicked.connect(partial(self._on_next_clicked, Judged.BLANK))
        self.next_out.clicked.connect(partial(self._on_next_clicked, Judged.OUT))

    def _on_document_changed(self, _after: object = None) -> None:
        if self.is_seen:
            self.renew()

    def _on_names_edited(self) -> None:
        for edit in (self.by, self.date):
            edit.setModified(False)
        barn = self._session.document
        record = with_names(barn.record, by=self.by.text(), date=self.date.text())
        if record != barn.record:
            noted = partial(edits.set_record, record=record)
            self._session.ask("Note who measured, and when", noted)

    def _on_today_clicked(self, *_checked: bool) -> None:
        self.date.setText(date.today().isoformat())
        self._on_names_edited()

    def _on_next_clicked(self, judged: Judged, *_checked: bool) -> None:
        self.go_to(judged)

    def _lay_out(self) -> None:
        self.by.setAccessibleName("measured by")
        self.date.setAccessibleName("date of the measurements")
        self.date.setPlaceholderText("year-month-day")
        names = ("heights", "lift and meters", "bonds and static")
        for table, name in zip(self.tables, names, strict=True):
            table.setAccessibleName(f"commissioning record, {name}")
            self.sheets.addTab(table, name)
        self.sheets.setCornerWidget(self._note)
        self.sheets.setDocumentMode(True)
        layout = QVBoxLayout(self)
        layout.addLayout(self._head())
        layout.addWidget(self.fault)
        layout.addWidget(self.sheets, 1)

    def _head(self) -> QHBoxLayout:
        head = QHBoxLayout()
        for widget in (self.counts, self.next_blank, self.next_out):
            head.addWidget(widget)
        head.addStretch(1)
        for label, edit in (("Measured b&y", self.by), ("Da&te", self.date)):
            words = QLabel(label)
            words.setBuddy(edit)
            edit.setMaximumWidth(self.fontMetrics().averageCharWidth() * _NAME)
            head.addWidget(words)
            head.addWidget(edit)
        head.addWidget(self.today)
        return head


def _title(title: str, model: RecordModel) -> str:
    section = model.section
    out, blank = section.count(Judged.OUT), section.count(Judged.BLANK)
    if out:
        return f"{_OUT} {title}: {out} out"
    return f"{title}: {blank} blank" if blank else f"{_IN} {title}"
