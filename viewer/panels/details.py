"""The details panel: every property of what is chosen, edited by typing."""

from collections.abc import Callable
from functools import partial
from typing import Protocol

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QLabel, QScrollArea, QVBoxLayout, QWidget

from core.errors import LiftlaneError
from core.model.barn import Barn
from core.model.edits import Edited
from viewer.panels.changing import Path, objects_of, set_value
from viewer.panels.forms import Form
from viewer.panels.note import Note
from viewer.panels.panel import Panel
from viewer.panels.words import class_words, field_words, object_title, summary
from viewer.preferences import Preferences
from viewer.session import Session

__all__ = ["Details", "ReadsFirst", "edit_name", "scrolled"]

_NOTHING = "Nothing is chosen. Choose something in a drawing or in the list of objects."


def edit_name(path: Path, subject: str) -> str:
    """Return what a typed value is called in the undo list.

    Examples
    --------
    >>> edit_name(("start", 1), "run-1")
    'Set start of run-1'
    """
    fields = [step for step in path if isinstance(step, str)]
    return f"Set {field_words(fields[-1]).lower()} of {subject}"


def scrolled(widget: QWidget) -> QScrollArea:
    """Return a widget in an area that scrolls when it is too tall."""
    area = QScrollArea()
    area.setWidgetResizable(True)
    area.setFrameShape(QFrame.Shape.NoFrame)
    area.setWidget(widget)
    return area


class ReadsFirst(Protocol):
    """Who reads the files that an edit needs, before it is made."""

    def __call__(
        self, after: Barn, *, go_on: Callable[[], object], ended: Callable[[], object]
    ) -> bool:
        """Tell whether there is anything to read; then `go_on` comes later."""


class Details(Panel):
    """Shows the selection of a session as a form; each typed value is one edit."""

    def __init__(
        self, session: Session, preferences: Preferences, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setAccessibleName("details of what is chosen")
        self._session = session
        self._preferences = preferences
        self._ids: tuple[str, ...] = ()
        self.reads_first: ReadsFirst | None = None
        self.title = QLabel()
        self.title.setWordWrap(True)
        self.title.setTextFormat(Qt.TextFormat.PlainText)
        font = self.title.font()
        font.setBold(True)
        self.title.setFont(font)
        self.about = Note()
        self.form = Form(self._commit)
        layout = QVBoxLayout(self)
        inner = QWidget()
        column = QVBoxLayout(inner)
        column.setContentsMargins(0, 0, 0, 0)
        for widget in (self.title, self.about, self.form):
            column.addWidget(widget)
        column.addStretch(1)
        self.area = scrolled(inner)
        layout.addWidget(self.area)
        session.selection_changed.connect(self._on_selection_changed)
        session.document_changed.connect(self._on_document_changed)
        preferences.changed.connect(self.renew)
        self.renew()

    def renew(self) -> None:
        """Show the selection as it is now."""
        session = self._session
        items = objects_of(session.document, session.selection)
        self._ids = tuple(items)
        self.form.setVisible(bool(items))
        if not items:
            self.title.setText("")
            self.about.setText(_NOTHING)
            self.form.clear()
            return
        self._tell_title(items)
        self.form.show_items(
            list(items.values()),
            keys=self._ids,
            barn=session.document,
            catalogue=session.catalogue,
            style=self._preferences.length_style(session.document.job),
        )

    def _tell_title(self, items: dict[str, object]) -> None:
        if len(items) == 1:
            ((key, item),) = items.items()
            self.title.setText(object_title(item, key))
            self.about.setText(_first_sentence(type(item)))
            return
        self.title.setText(summary(self._session.document, self._ids))
        classes = sorted({class_words(type(item)).lower() for item in items.values()})
        same = "what they have alike" if len(classes) > 1 else "all of them"
        self.about.setText(f"{', '.join(classes)}: a change goes into {same}.")

    def _on_selection_changed(self) -> None:
        if self._ids != tuple(
            objects_of(self._session.document, self._session.selection)
        ):
            self.form.finish()
        self.renew()

    def _on_document_changed(self, _after: object) -> None:
        self.renew()

    def _commit(self, path: Path, value: object) -> str:
        """Make one edit of all that is chosen; return why it cannot be made."""
        session, ids = self._session, self._ids
        name = edit_name(path, summary(session.document, ids))
        try:
            after = set_value(session.document, ids, path, value)
            if not self._is_read_first(name, after):
                session.apply(name, after)
        except LiftlaneError as error:
            return str(error)
        if path == ("id",):
            session.select([str(value)])
        return ""

    def _is_read_first(self, name: str, after: Edited) -> bool:
        """Put the edit off while something large is read for it; then show it."""
        if self.reads_first is None:
            return False
        make = partial(self._session.ask, name, lambda _barn: after)
        return self.reads_first(after.barn, go_on=make, ended=self.renew)


def _first_sentence(cls: type) -> str:
    text = " ".join((cls.__doc__ or "").split())
    plain = text.replace("`", "").replace(" [in]", "")
    return plain.split(". ")[0].rstrip(".") + "."
