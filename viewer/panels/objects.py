"""The objects panel: everything in the barn in a tree that selects and edits."""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from functools import partial

from PySide6.QtCore import (
    QItemSelection,
    QItemSelectionModel,
    QModelIndex,
    QObject,
    Qt,
    Signal,
)
from PySide6.QtGui import QFont
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHBoxLayout,
    QLineEdit,
    QMenu,
    QPushButton,
    QTreeView,
    QVBoxLayout,
    QWidget,
)

from core.errors import LiftlaneError
from core.model import edits
from core.model.barn import Barn
from core.model.edits import Edited
from core.quantities import LengthStyle
from viewer.panels.array_dialog import ArrayDialog
from viewer.panels.changing import new_ids, objects_of
from viewer.panels.layouts import LetterColumns
from viewer.panels.new_objects import FIXTURES, GROUPS, add, label_of
from viewer.panels.note import Note
from viewer.panels.object_rows import (
    COLUMNS,
    Entry,
    cell,
    object_branches,
    row_words,
)
from viewer.panels.panel import Panel
from viewer.panels.tree_model import AnyIndex, Node, TreeModel
from viewer.panels.words import summary
from viewer.preferences import Preferences
from viewer.session import Session

__all__ = ["Objects", "ObjectsModel", "copied"]

_ID, _NAME = COLUMNS.index("Object"), COLUMNS.index("Name")
_COPY_STEP = (24.0, 24.0, 0.0)  # from an object to its copy [in]
_NOWHERE = QModelIndex()
_SAID = (Qt.ItemDataRole.ToolTipRole, Qt.ItemDataRole.AccessibleDescriptionRole)
_LETTERS = (26, 14)  # widths of the first columns, the last one takes the rest
_SPANNED = True  # the title of a group goes over all columns


def copied(barn: Barn, ids: Iterable[str]) -> Edited:
    """Copy objects a little beside themselves; supports go between trusses."""
    return edits.copy_objects(barn, tuple(ids), _COPY_STEP)


class ObjectsModel(TreeModel):
    """The objects of a barn; ids and names can be changed in place."""

    columns = COLUMNS
    renamed = Signal(str, int, str)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.style = LengthStyle.FEET

    def show_barn(self, barn: Barn, style: LengthStyle) -> None:
        """Take over a barn; a new style of lengths renews every cell."""
        if style is not self.style:
            self.style = style
            self.beginResetModel()
            self.endResetModel()
        self.take(object_branches(barn))

    def entry(self, index: AnyIndex) -> Entry | None:
        """Return what a row is."""
        what = self.node(index).what
        return what if isinstance(what, Entry) else None

    def indexes_of(self, ids: Iterable[str]) -> Iterator[QModelIndex]:
        """Yield the indexes of objects."""
        wanted = set(ids)
        for node in self._nodes.values():
            what = node.what
            named = isinstance(what, Entry) and node.key == what.id
            if named and isinstance(what, Entry) and what.id in wanted:
                yield self.index_of(node)

    def ids_in(self, index: AnyIndex) -> tuple[str, ...]:
        """Return the id of a row; those of the objects right in it for a group."""
        entry = self.entry(index)
        if entry is not None and entry.id:
            return (entry.id,)
        rows = [node.what for node in self.node(index).rows]
        return tuple(each.id for each in rows if isinstance(each, Entry) and each.id)

    def data(self, index: AnyIndex, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """Return what a cell shows."""
        node, entry = self.node(index), self.entry(index)
        if entry is None:
            return None
        if role in {Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.EditRole}:
            count = _count(node)
            return cell(entry, index.column(), count=count, style=self.style)
        if role in _SAID:
            return row_words(entry, self.style) or None
        if role == Qt.ItemDataRole.FontRole and entry.item is None:
            font = QFont()
            font.setBold(True)
            return font
        return None

    def flags(self, index: AnyIndex) -> Qt.ItemFlag:
        """Let ids and names be edited."""
        flags = super().flags(index)
        return flags | Qt.ItemFlag.ItemIsEditable if self._is_editable(index) else flags

    def setData(  # noqa: N802 - Qt's name
        self, index: AnyIndex, value: object, role: int = Qt.ItemDataRole.EditRole
    ) -> bool:
        """Ask for another id or name; the barn is changed by who listens."""
        entry = self.entry(index)
        if role != Qt.ItemDataRole.EditRole or entry is None:
            return False
        if not self._is_editable(index) or value == self.data(index):
            return False
        self.renamed.emit(entry.id, index.column(), str(value))
        return True

    def _is_editable(self, index: AnyIndex) -> bool:
        entry = self.entry(index)
        if entry is None or entry.item is None:
            return False
        field = {_ID: "id", _NAME: "name"}.get(index.column(), "")
        return bool(field) and hasattr(entry.item, field)


class Objects(Panel):
    """A tree of everything; what is chosen here is chosen everywhere, and back.

    `scan_wanted` tells that a scan is to be added, which takes a file.
    """

    scan_wanted = Signal()

    def __init__(
        self, session: Session, preferences: Preferences, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setAccessibleName("objects of the barn")
        self._session = session
        self._preferences = preferences
        self._is_following = False
        self.model = ObjectsModel(self)
        self.model.renamed.connect(self._on_renamed)
        self.fault = Note()
        self.fault.setVisible(False)
        self._make_tree()
        self._make_buttons()
        self._lay_out()
        session.document_changed.connect(self._on_document_changed)
        session.selection_changed.connect(self._on_selection_changed)
        preferences.changed.connect(self.renew)
        self.renew()

    def renew(self) -> None:
        """Show the document as it is now."""
        barn = self._session.document
        self._is_following = True
        self.model.show_barn(barn, self._preferences.length_style(barn.job))
        self._is_following = False
        self._on_selection_changed()

    # ----- commands -----

    def add(self, cls: type) -> None:
        """Add a new object of a class where the section is cut, and choose it."""
        session = self._session
        before = session.document
        edit = partial(
            add,
            cls=cls,
            x=session.cut,
            y=before.room.width / 2,
            chosen=session.selection,
        )
        if self._ask(f"Add {label_of(cls).lower()}", edit):
            session.select(new_ids(before, session.document)[:1])

    def copy(self) -> None:
        """Copy what is chosen, and choose the copies."""
        session = self._session
        before, ids = session.document, session.selection
        name = f"Copy {summary(before, ids)}"
        if ids and self._ask(name, partial(copied, ids=ids)):
            session.select(self._outermost(before))

    def array(self) -> None:
        """Ask for a number and a step, and copy what is chosen along a line."""
        if self._session.selection:
            ArrayDialog(self._session, self._preferences, self).open()

    def delete(self) -> None:
        """Delete what is chosen."""
        session = self._session
        ids = session.selection
        name = f"Delete {summary(session.document, ids)}"
        if ids:
            self._ask(name, partial(edits.delete_objects, ids=ids))

    def rename(self) -> None:
        """Edit the id of the row that has the focus; say so if it has none."""
        index = self.tree.currentIndex().siblingAtColumn(_ID)
        if self.tree.state() is QAbstractItemView.State.EditingState:
            return
        if self.model.flags(index) & Qt.ItemFlag.ItemIsEditable:
            # a row that goes makes Qt forget that it edits, and keep the field
            self.tree.closePersistentEditor(index)
            self.tree.edit(index)
        else:
            self._tell("What is chosen has no id that can be changed.")

    def _outermost(self, before: Barn) -> tuple[str, ...]:
        """Return the new ids without those of supports in new runs."""
        barn = self._session.document
        made = new_ids(before, barn)
        runs = [run for run in barn.runs if run.id in made]
        inner = {support.id for run in runs for support in run.supports}
        return tuple(each for each in made if each not in inner)

    def _ask(self, name: str, edit: "partial[Edited]") -> bool:
        """Make an edit; say below the tree why it cannot be made."""
        try:
            self._session.apply(name, edit(self._session.document))
        except LiftlaneError as error:
            self._tell(str(error))
            return False
        self._tell("")
        return True

    def _tell(self, words: str) -> None:
        self.fault.setText(words)
        self.fault.setVisible(bool(words))

    # ----- building -----

    def _make_tree(self) -> None:
        tree = self.tree = QTreeView()
        tree.setModel(self.model)
        tree.setAccessibleName("tree of objects")
        tree.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        tree.setUniformRowHeights(True)
        tree.setAlternatingRowColors(True)
        tree.setAllColumnsShowFocus(True)
        tree.setEditTriggers(
            QAbstractItemView.EditTrigger.EditKeyPressed
            | QAbstractItemView.EditTrigger.DoubleClicked
        )
        letter = self.fontMetrics().averageCharWidth()
        for column, letters in enumerate(_LETTERS):
            tree.header().resizeSection(column, letter * letters)
        LetterColumns(tree)
        self.model.rowsInserted.connect(self._span_groups)
        self.model.modelReset.connect(self._span_groups)
        tree.selectionModel().selectionChanged.connect(self._on_rows_selected)
        self.search = QLineEdit()
        self.search.setPlaceholderText("Find an object")
        self.search.setAccessibleName("find an object by id or name")
        self.search.setClearButtonEnabled(True)
        self.search.textChanged.connect(self._on_search_changed)

    def _span_groups(self, parent: QModelIndex = _NOWHERE, *_rows: int) -> None:
        """Let the titles of groups run over all columns."""
        for row in range(self.model.rowCount(parent)):
            index = self.model.index(row, 0, parent)
            entry = self.model.entry(index)
            if entry is not None and entry.item is None:
                self.tree.setFirstColumnSpanned(row, parent, _SPANNED)
                self._span_groups(index)

    def _make_buttons(self) -> None:
        self.add_button = QPushButton("Add")
        self.add_button.setToolTip("Add something new where the section is cut")
        self.add_button.setAccessibleName("add an object")
        self.add_button.setMenu(self.add_menu())
        self.buttons = {
            name: _button(name, tip, call)
            for name, tip, call in (
                ("Copy", "Put a copy of what is chosen beside it", self.copy),
                ("Array...", "Copy what is chosen along a line", self.array),
                ("Rename", "Give the object another id (F2)", self.rename),
                ("Delete", "Take what is chosen out of the barn", self.delete),
            )
        }

    def add_menu(self) -> QMenu:
        """Return a menu of everything that can be added."""
        menu = QMenu("Add", self)
        for title, makers in GROUPS.items():
            inner = menu.addMenu(title)
            for cls in makers:
                action = inner.addAction(label_of(cls))
                action.setData(cls)
                action.triggered.connect(partial(self.add, cls))
            if makers is FIXTURES:
                inner.addAction("Scan from a file...").triggered.connect(
                    self.scan_wanted
                )
        return menu

    def _lay_out(self) -> None:
        row = QHBoxLayout()
        row.addWidget(self.add_button)
        for button in self.buttons.values():
            row.addWidget(button)
        row.addStretch(1)
        layout = QVBoxLayout(self)
        layout.addLayout(row)
        layout.addWidget(self.search)
        layout.addWidget(self.tree, 1)
        layout.addWidget(self.fault)

    # ----- following -----

    def _on_document_changed(self, _after: object) -> None:
        self.renew()

    def _on_selection_changed(self) -> None:
        """Choose here what is chosen elsewhere, and bring it into sight."""
        ids = self._session.selection
        for button in self.buttons.values():
            button.setEnabled(bool(ids))
        if self._is_following or set(self._chosen()) == set(ids):
            return
        chosen = QItemSelection()
        indexes = list(self.model.indexes_of(ids))
        for index in indexes:
            chosen.select(index, index)
            self.tree.expand(index.parent())
        flags = QItemSelectionModel.SelectionFlag
        self._is_following = True
        model = self.tree.selectionModel()
        if indexes:
            model.setCurrentIndex(indexes[0], flags.NoUpdate)
            self.tree.scrollTo(indexes[0])
        model.select(chosen, flags.ClearAndSelect | flags.Rows)
        self._is_following = False

    def _chosen(self) -> tuple[str, ...]:
        rows = self.tree.selectionModel().selectedRows()
        ids = (each for index in rows for each in self.model.ids_in(index))
        return tuple(dict.fromkeys(ids))

    def _on_rows_selected(self, _now: QItemSelection, _before: QItemSelection) -> None:
        if not self._is_following:
            self._is_following = True
            self._session.select(self._chosen())
            self._is_following = False

    def _on_renamed(self, key: str, column: int, text: str) -> None:
        item = objects_of(self._session.document, [key])[key]
        changed = replace(item, **{"id" if column == _ID else "name": text})
        edit = partial(edits.replace_object, item=changed, id=key)
        if self._ask(f"Rename {key}", edit) and column == _ID:
            self._session.select([text])

    def _on_search_changed(self, text: str) -> None:
        """Choose the first object whose id or name has the letters."""
        words = text.casefold().strip()
        if not words:
            return
        for node in self._found(words):
            index = self.model.index_of(node)
            self.tree.setCurrentIndex(index)
            self.tree.scrollTo(index)
            return

    def _found(self, words: str) -> Iterator[Node]:
        root = self.model.node(_NOWHERE)
        waiting = list(root.rows)
        while waiting:
            node = waiting.pop(0)
            what = node.what
            waiting[:0] = node.rows
            if not isinstance(what, Entry) or what.item is None:
                continue
            name = str(getattr(what.item, "name", ""))
            if words in f"{what.title} {name}".casefold():
                yield node


def _count(node: Node) -> int:
    """Return how many objects are in a group, in the groups within it too."""
    rows = [(row, row.what) for row in node.rows]
    return sum(
        1 if isinstance(what, Entry) and what.item is not None else _count(row)
        for row, what in rows
    )


def _button(name: str, tip: str, call: object) -> QPushButton:
    button = QPushButton(name)
    button.setToolTip(tip)
    button.setAccessibleDescription(tip)
    button.clicked.connect(call)
    return button
