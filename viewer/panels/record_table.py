"""A table of the record: shows what is out of tolerance, takes what is typed."""

from collections.abc import Callable
from enum import Enum
from typing import Any

from PySide6.QtCore import (
    QAbstractItemModel,
    QAbstractTableModel,
    QEvent,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    Qt,
    Signal,
)
from PySide6.QtGui import (
    QBrush,
    QColor,
    QFocusEvent,
    QFont,
    QGuiApplication,
    QKeyEvent,
    QPalette,
)
from PySide6.QtWidgets import (
    QAbstractItemDelegate,
    QAbstractItemView,
    QLineEdit,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
    QWidget,
)

from core.outputs.commissioning import Judged
from core.rules.finding import Outcome
from viewer.panels.colours import OUTCOME_SIGNS, theme_of
from viewer.panels.record_rows import Cell, Entry, Section

__all__ = ["RecordModel", "RecordTable", "Step"]

AnyIndex = QModelIndex | QPersistentModelIndex
_NOWHERE = QModelIndex()
_OUT = OUTCOME_SIGNS[Outcome.STOP]
_SIGNS = {Judged.OUT: f"{_OUT} ", Judged.IN: f"{OUTCOME_SIGNS[Outcome.PASS]} "}
_SAID = {Judged.OUT: "Out of tolerance", Judged.BLANK: ""}
_LEAST = 20  # width of a cell to type into [letters]
_ROOM = 8  # above and below the letters of a row [px]


class Step(Enum):
    """Where to go from a cell: along the cells to type into, or down their column."""

    NEXT = (1, False)
    BACK = (-1, False)
    DOWN = (1, True)
    UP = (-1, True)


_KEYS = {
    Qt.Key.Key_Return: Step.DOWN,
    Qt.Key.Key_Enter: Step.DOWN,
    Qt.Key.Key_Tab: Step.NEXT,
    Qt.Key.Key_Backtab: Step.BACK,
}


def _step_of(event: QKeyEvent) -> Step | None:
    step = _KEYS.get(Qt.Key(event.key()))
    shifted = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
    return Step.UP if step is Step.DOWN and shifted else step


class RecordModel(QAbstractTableModel):
    """The rows of one section; `enter` hands on what was typed."""

    def __init__(
        self, commit: Callable[[Entry, str], str], parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._commit = commit
        self._section = Section(title="", columns=(), rows=(), note="")

    @property
    def section(self) -> Section:
        """What is shown."""
        return self._section

    def take(self, section: Section) -> None:
        """Show other rows; only those that differ are renewed while keys are alike."""
        old, self._section = self._section, section
        alike = [row.key for row in old.rows] == [row.key for row in section.rows]
        if not alike or old.columns != section.columns:
            self.beginResetModel()
            self.endResetModel()
            return
        last = len(section.columns) - 1
        for number, (a, b) in enumerate(zip(old.rows, section.rows, strict=True)):
            if a != b:
                self.dataChanged.emit(self.index(number, 0), self.index(number, last))

    def cell(self, index: AnyIndex) -> Cell:
        """Return what stands at an index."""
        return self._section.rows[index.row()].cells[index.column()]

    def entry(self, index: AnyIndex) -> Entry | None:
        """Return what is typed at an index, None for nothing."""
        cell = self.cell(index) if index.isValid() else None
        return cell if isinstance(cell, Entry) else None

    def enter(self, index: AnyIndex, text: str) -> str:
        """Enter a text; return why it cannot be, or nothing."""
        entry = self.entry(index)
        if entry is None or text.strip() == entry.text:
            return ""
        return self._commit(entry, text)

    def entries(self) -> list[QModelIndex]:
        """Return the indexes of all cells to type into, row by row."""
        return [
            self.index(r, c)
            for r, row in enumerate(self._section.rows)
            for c, cell in enumerate(row.cells)
            if isinstance(cell, Entry)
        ]

    def rowCount(self, parent: AnyIndex = _NOWHERE) -> int:
        """Return the number of rows."""
        return 0 if parent.isValid() else len(self._section.rows)

    def columnCount(self, parent: AnyIndex = _NOWHERE) -> int:
        """Return the number of columns."""
        return 0 if parent.isValid() else len(self._section.columns)

    def headerData(
        self,
        section: int,
        orientation: Qt.Orientation,
        role: int = Qt.ItemDataRole.DisplayRole,
    ) -> object:
        """Return the heading of a column."""
        columns = self._section.columns
        is_title = role == Qt.ItemDataRole.DisplayRole
        if is_title and orientation is Qt.Orientation.Horizontal:
            return columns[section] if section < len(columns) else None
        return None

    def flags(self, index: AnyIndex) -> Qt.ItemFlag:
        """Let entries be typed into."""
        flags = super().flags(index)
        is_entry = self.entry(index) is not None
        return flags | Qt.ItemFlag.ItemIsEditable if is_entry else flags

    def data(self, index: AnyIndex, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """Return what a cell shows."""
        cell = self.cell(index)
        match role:
            case Qt.ItemDataRole.DisplayRole:
                return _shown(cell)
            case Qt.ItemDataRole.EditRole:
                return cell.text if isinstance(cell, Entry) else None
            case Qt.ItemDataRole.AccessibleTextRole:
                return _spoken(cell)
            case Qt.ItemDataRole.ForegroundRole:
                return _ink(cell)
            case Qt.ItemDataRole.FontRole:
                return _font(cell)
        return None


def _judged(cell: Cell) -> Judged | None:
    return cell.judged if isinstance(cell, Entry) else _as_judged(cell)


def _as_judged(cell: Cell) -> Judged | None:
    return cell if isinstance(cell, Judged) else None


def _shown(cell: Cell) -> str:
    if isinstance(cell, Entry):
        sign = f"{_OUT} " if cell.judged is Judged.OUT else ""
        return f"{sign}{cell.text}" if cell.text else cell.hint
    judged = _as_judged(cell)
    if judged is None:
        return str(cell)
    return _SIGNS.get(judged, "") + _SAID.get(judged, str(judged))


def _spoken(cell: Cell) -> str:
    if isinstance(cell, Entry):
        return f"{cell.what}: {_shown(cell) if cell.text else 'blank'}"
    return _shown(cell)


def _ink(cell: Cell) -> QBrush | None:
    theme = theme_of(QGuiApplication.palette())
    if _judged(cell) is Judged.OUT:
        return QBrush(QColor(theme.stop))
    is_hint = isinstance(cell, Entry) and not cell.text
    return QBrush(QColor(theme.faint)) if is_hint else None


def _font(cell: Cell) -> QFont | None:
    is_hint = isinstance(cell, Entry) and not cell.text
    if _judged(cell) is not Judged.OUT and not is_hint:
        return None
    font = QFont()
    font.setBold(not is_hint)
    font.setItalic(is_hint)
    return font


class _Typist(QStyledItemDelegate):
    """Opens the editor; what cannot be meant stays in it with a frame."""

    refused = Signal(str)
    stepped = Signal(object)

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self._index = QPersistentModelIndex()
        self.closeEditor.connect(self._on_editor_closed)

    def createEditor(  # noqa: N802 - Qt's name
        self, parent: QWidget, _option: QStyleOptionViewItem, index: AnyIndex
    ) -> QWidget:
        """Return a line to type into."""
        editor = QLineEdit(parent)
        editor.setFrame(False)
        self._index = QPersistentModelIndex(index)
        entry = _model(index).entry(index)
        if entry is not None:
            editor.setAccessibleName(entry.what)
            editor.setPlaceholderText(entry.hint)
        return editor

    def setEditorData(self, editor: QWidget, index: AnyIndex) -> None:  # noqa: N802 - Qt's name
        """Put what is there into the editor."""
        entry = _model(index).entry(index)
        if isinstance(editor, QLineEdit) and entry is not None:
            editor.setText(entry.text)

    def setModelData(  # noqa: N802 - Qt's name
        self, editor: QWidget, _model: QAbstractItemModel, index: AnyIndex
    ) -> None:
        """Enter what was typed when the editor is left for something else."""
        if isinstance(editor, QLineEdit):
            self.refused.emit(self._enter(index, editor))

    def eventFilter(self, editor: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        """Enter on Return and Tab, and go on to the next cell."""
        if not isinstance(event, QKeyEvent) or not isinstance(editor, QLineEdit):
            return super().eventFilter(editor, event)
        step = _step_of(event) if event.type() is QEvent.Type.KeyPress else None
        if step is None:
            return super().eventFilter(editor, event)
        self._leave(editor, step)
        return True

    def _on_editor_closed(self, _editor: QWidget, hint: object) -> None:
        """Let the words go when Esc brings back what was there."""
        if hint is QAbstractItemDelegate.EndEditHint.RevertModelCache:
            self.refused.emit("")

    def _leave(self, editor: QLineEdit, step: Step) -> None:
        words = self._enter(self._index, editor)
        self.refused.emit(words)
        if words:
            palette = editor.palette()
            stop = QColor(theme_of(palette).stop)
            palette.setColor(QPalette.ColorRole.Text, stop)
            editor.setPalette(palette)
            return
        self.closeEditor.emit(editor, QAbstractItemDelegate.EndEditHint.NoHint)
        self.stepped.emit(step)

    def _enter(self, index: AnyIndex, editor: QLineEdit) -> str:
        return _model(index).enter(index, editor.text()) if index.isValid() else ""


def _model(index: AnyIndex) -> RecordModel:
    model: Any = index.model()
    if not isinstance(model, RecordModel):
        msg = "a record table shows records only"
        raise TypeError(msg)
    return model


class RecordTable(QTableView):
    """Typed into like a list on paper: Enter goes down, Tab to the next cell.

    Typing replaces what is there, F2 mends it, Delete clears it, Esc leaves it. Past
    the last cell Tab goes on out of the table. Emits `refused(str)` with why something
    cannot be entered, with nothing once it can.
    """

    refused = Signal(str)

    def __init__(self, model: RecordModel, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._model = model
        self.setModel(model)
        typist = _Typist(self)
        typist.refused.connect(self.refused)
        typist.stepped.connect(self.step)
        self.setItemDelegate(typist)
        rows = self.verticalHeader()
        rows.hide()
        rows.setDefaultSectionSize(self.fontMetrics().height() + _ROOM)
        self.horizontalHeader().setStretchLastSection(True)
        self.setWordWrap(False)
        self.setTabKeyNavigation(False)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        trigger = QAbstractItemView.EditTrigger
        self.setEditTriggers(
            trigger.AnyKeyPressed
            | trigger.EditKeyPressed
            | trigger.DoubleClicked
            | trigger.SelectedClicked
        )
        model.modelReset.connect(self.fit)

    def fit(self) -> None:
        """Make every column as wide as what is in it, and wide enough to type into."""
        self.resizeColumnsToContents()
        least = self.fontMetrics().averageCharWidth() * _LEAST
        rows = self._model.section.rows
        for column, cell in enumerate(rows[0].cells if rows else ()):
            if isinstance(cell, Entry):
                self.setColumnWidth(column, max(self.columnWidth(column), least))

    def step(self, step: Step) -> bool:
        """Go to the next cell to type into; tell whether there is one."""
        way, in_column = step.value
        now = self.currentIndex()
        places = [
            index
            for index in self._model.entries()
            if not in_column or index.column() == now.column()
        ]
        ahead = [i for i in places if way * _order(i, now) > 0] if now.isValid() else []
        if not ahead:
            return False
        self.setCurrentIndex(ahead[0] if way > 0 else ahead[-1])
        return True

    def event(self, event: QEvent) -> bool:
        """Keep the keys that clear a cell from the window, which deletes objects."""
        if event.type() is QEvent.Type.ShortcutOverride and _clears(event):
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Go down on Return, clear on Delete."""
        step = _step_of(event)
        if _clears(event):
            self.refused.emit(self._model.enter(self.currentIndex(), ""))
        elif step in (Step.DOWN, Step.UP):
            self.step(step)
        else:
            super().keyPressEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Begin with the first cell to type into."""
        super().focusInEvent(event)
        entries = self._model.entries()
        if entries and self._model.entry(self.currentIndex()) is None:
            self.setCurrentIndex(entries[0])

    def focusNextPrevChild(self, on: bool) -> bool:  # noqa: N802, FBT001 - Qt's own
        """Go to the next cell on Tab, and out of the table behind the last."""
        return self.step(Step.NEXT if on else Step.BACK) or super().focusNextPrevChild(
            on
        )


def _order(a: QModelIndex, b: QModelIndex) -> int:
    """Tell which of two cells comes first: below 0 for the first one."""
    here, there = (a.row(), a.column()), (b.row(), b.column())
    return (here > there) - (here < there)


def _clears(event: QEvent) -> bool:
    if not isinstance(event, QKeyEvent) or event.modifiers() & ~_KEYPAD:
        return False
    return event.key() in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace)


_KEYPAD = Qt.KeyboardModifier.KeypadModifier
