"""The parts panel: the job's own pulleys, ropes, screws, with their sources."""

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QSignalBlocker, Qt
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QMenu,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from core.catalogue.parts import Part
from core.errors import LiftlaneError
from core.model.barn import Barn
from core.model.edits import Edited
from viewer.panels.changing import Path
from viewer.panels.details import edit_name, scrolled
from viewer.panels.forms import Form
from viewer.panels.note import Note
from viewer.panels.own_parts import (
    add_copy,
    add_new,
    delete,
    own_part,
    set_part_value,
    standard_by_kind,
    users_of,
)
from viewer.panels.panel import Panel
from viewer.panels.part_words import part_line
from viewer.panels.words import choice_words
from viewer.preferences import Preferences
from viewer.session import Session

__all__ = ["PartsPanel"]

_NONE = (
    "This job has no parts of its own. Copy a standard part to change its numbers, or "
    "add one; it can then be chosen wherever a part of its kind is."
)
_KEY = Qt.ItemDataRole.UserRole
_LINES = 5  # of the list that are seen at once


class PartsPanel(Panel):
    """Lists the job's own parts and edits the chosen one; each value is one edit."""

    def __init__(
        self, session: Session, preferences: Preferences, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setAccessibleName("the job's own parts")
        self._session = session
        self._preferences = preferences
        self._key = ""
        self.add_button = _menu_button(
            "Add", "Add a part in usual sizes, to be corrected", self._add_menu()
        )
        self.copy_button = _menu_button(
            "Copy", "Copy a standard part to change its numbers", self._copy_menu()
        )
        self.delete_button = QPushButton("Delete")
        self.delete_button.setToolTip("Take the chosen part out of the job")
        self.delete_button.clicked.connect(self.delete)
        self.parts = QListWidget()
        self.parts.setAccessibleName("parts of the job's own")
        self.parts.currentItemChanged.connect(self._on_part_chosen)
        self.title = QLabel()
        self.title.setTextFormat(Qt.TextFormat.PlainText)
        self.title.setWordWrap(True)
        self.uses = Note()
        self.fault = Note()
        self.fault.hide()
        self.form = Form(self._commit)
        self._lay_out()
        session.document_changed.connect(self._on_document_changed)
        preferences.changed.connect(self._on_document_changed)
        self.came_into_sight.connect(self.renew)
        self.renew()

    # ----- commands -----

    def add(self, kind: str) -> None:
        """Add a part of a kind and choose it."""
        words = choice_words(kind).lower()
        self._ask(f"Add a {words} of the job's own", partial(add_new, kind=kind))

    def copy(self, key: str) -> None:
        """Add a copy of a part and choose it."""
        catalogue = self._session.catalogue
        self._ask(f"Copy {key}", partial(add_copy, catalogue=catalogue, key=key))

    def delete(self) -> None:
        """Delete the chosen part, or say what uses it."""
        key = self._key
        self._ask(f"Delete part {key}", partial(delete, key=key), choose=False)

    def _ask(
        self, name: str, edit: Callable[[Barn], Edited], *, choose: bool = True
    ) -> None:
        """Make an edit; say below why it cannot be made."""
        try:
            after = edit(self._session.document)
            if choose:
                self._key = after.barn.parts[-1].id
            self._session.apply(name, after)
        except LiftlaneError as error:
            self._tell(str(error))
            return
        self._tell("")

    # ----- showing -----

    def renew(self) -> None:
        """Show the document as it is now."""
        barn = self._session.document
        keys = [part.id for part in barn.parts]
        if self._key not in keys:
            self._key = keys[-1] if keys else ""
        self._list(barn.parts)
        part = own_part(barn, self._key)
        self.delete_button.setEnabled(part is not None)
        self.parts.setVisible(bool(keys))
        self.form.setVisible(part is not None)
        self.title.setVisible(part is not None)
        if part is None:
            self.uses.setText(_NONE)
            self.form.clear()
            return
        self._show(part)

    def _show(self, part: Part) -> None:
        session, barn = self._session, self._session.document
        self.title.setText(f"{choice_words(part.kind)} {part.id}")
        users = users_of(barn, part.id)
        used = f"Used by {', '.join(users)}." if users else "Nothing uses it yet."
        self.uses.setText(used)
        self.form.show_items(
            [part],
            keys=(part.id,),
            barn=barn,
            catalogue=session.catalogue,
            style=self._preferences.length_style(barn.job),
        )

    def _list(self, parts: tuple[Part, ...]) -> None:
        lines = [(part.id, f"{part.id}: {part_line(part)}") for part in parts]
        listed = [self.parts.item(row) for row in range(self.parts.count())]
        known = [(item.data(_KEY), item.text()) for item in listed]
        with QSignalBlocker(self.parts):
            if lines != known:
                self._fill(lines)
            row = next((n for n, (key, _) in enumerate(lines) if key == self._key), -1)
            self.parts.setCurrentRow(row)

    def _fill(self, lines: list[tuple[str, str]]) -> None:
        self.parts.clear()
        for key, line in lines:
            item = QListWidgetItem(line)
            item.setData(_KEY, key)
            item.setToolTip(line)
            self.parts.addItem(item)

    def _tell(self, words: str) -> None:
        self.fault.setText(words)
        self.fault.setVisible(bool(words))

    # ----- following -----

    def _on_part_chosen(self, item: QListWidgetItem | None) -> None:
        if item is not None:
            self.form.finish()
            self._key = str(item.data(_KEY))
            self._tell("")
            self.renew()

    def _on_document_changed(self, _after: object = None) -> None:
        if self.is_seen:
            self.renew()

    def _commit(self, path: Path, value: object) -> str:
        """Make one edit of the chosen part; return why it cannot be made."""
        session, key = self._session, self._key
        try:
            after = set_part_value(session.document, key, path, value)
            if path == ("id",):
                self._key = str(value)
            session.apply(edit_name(path, f"part {key}"), after)
        except LiftlaneError as error:
            self._key = key
            return str(error)
        return ""

    # ----- building -----

    def _add_menu(self) -> QMenu:
        menu = QMenu("Add", self)
        for kind in standard_by_kind():
            action = menu.addAction(choice_words(kind))
            action.triggered.connect(partial(self._on_add_chosen, kind))
        return menu

    def _copy_menu(self) -> QMenu:
        menu = QMenu("Copy", self)
        for kind, parts in standard_by_kind().items():
            inner = menu.addMenu(choice_words(kind))
            for part in parts:
                action = inner.addAction(part_line(part))
                action.triggered.connect(partial(self._on_copy_chosen, part.id))
        return menu

    def _on_add_chosen(self, kind: str, *_checked: bool) -> None:
        self.add(kind)

    def _on_copy_chosen(self, key: str, *_checked: bool) -> None:
        self.copy(key)

    def _lay_out(self) -> None:
        font = self.title.font()
        font.setBold(True)
        self.title.setFont(font)
        self.parts.setMaximumHeight(self.fontMetrics().lineSpacing() * (_LINES + 1))
        policy = QSizePolicy.Policy
        self.parts.setSizePolicy(policy.Expanding, policy.Maximum)
        row = QHBoxLayout()
        for button in (self.add_button, self.copy_button, self.delete_button):
            row.addWidget(button)
        row.addStretch(1)
        inner = QWidget()
        column = QVBoxLayout(inner)
        column.setContentsMargins(0, 0, 0, 0)
        for widget in (self.title, self.uses, self.form):
            column.addWidget(widget)
        column.addStretch(1)
        self.area = scrolled(inner)
        layout = QVBoxLayout(self)
        layout.addLayout(row)
        layout.addWidget(self.parts)
        layout.addWidget(self.fault)
        layout.addWidget(self.area, 1)


def _menu_button(title: str, tip: str, menu: QMenu) -> QPushButton:
    button = QPushButton(title)
    button.setToolTip(tip)
    button.setAccessibleDescription(tip)
    button.setMenu(menu)
    return button
