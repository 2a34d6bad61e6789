"""Copies along a line: how many, and the step from one to the next."""

from functools import partial

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QLabel,
    QSpinBox,
    QVBoxLayout,
    QWidget,
)

from core.errors import LiftlaneError
from core.model import edits
from core.model.edits import Edited
from viewer.panels.changing import new_ids
from viewer.panels.note import Note
from viewer.panels.quantity_edit import LENGTH, QuantityEdit
from viewer.panels.words import summary
from viewer.preferences import Preferences
from viewer.session import Session

__all__ = ["ArrayDialog"]

_MOST = 500
_STEP = 120.0  # along the room at first [in]


class ArrayDialog(QDialog):
    """Shows the copies in every view while it is open; they become one edit."""

    def __init__(
        self, session: Session, preferences: Preferences, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self._session = session
        self._ids = session.selection
        self._title = summary(session.document, self._ids)
        self.setWindowTitle(f"Array of {self._title}")
        style = preferences.length_style(session.document.job)
        self.count = QSpinBox()
        self.count.setRange(1, _MOST)
        self.count.setValue(1)
        self.count.valueChanged.connect(self._show)
        self.steps = tuple(QuantityEdit(LENGTH, style=style) for _ in range(3))
        for edit, value in zip(self.steps, (_STEP, 0.0, 0.0), strict=True):
            edit.show_value(value)
            edit.entered.connect(self._show)
            edit.refused.connect(self._tell)
        self.fault = Note()
        self.buttons = QDialogButtonBox(
            QDialogButtonBox.StandardButton.Ok | QDialogButtonBox.StandardButton.Cancel
        )
        self.buttons.accepted.connect(self.accept)
        self.buttons.rejected.connect(self.reject)
        self._lay_out()
        self._show()

    def accept(self) -> None:
        """Make the copies, as one edit, and choose them."""
        for edit in self.steps:
            edit.finish()
        if any(edit.is_wrong for edit in self.steps):
            return
        before = self._session.document
        self._session.preview(None)
        try:
            made = self._copies()
        except LiftlaneError as error:
            self._tell(str(error))
            return
        self._session.apply(f"Array of {self._title}", made)
        super().accept()
        new = new_ids(before, self._session.document)
        self._session.select([*self._ids, *new])

    def reject(self) -> None:
        """Leave everything as it was."""
        self._session.preview(None)
        super().reject()

    def _lay_out(self) -> None:
        form = QFormLayout()
        form.addRow("&Copies", self.count)
        names = ("Step &along the room", "Step a&cross the room", "Step &upward")
        for name, edit in zip(names, self.steps, strict=True):
            edit.setAccessibleName(name.replace("&", ""))
            form.addRow(name, edit)
        layout = QVBoxLayout(self)
        layout.addWidget(QLabel(f"Copies of {self._title} along a line:"))
        layout.addLayout(form)
        layout.addWidget(self.fault)
        layout.addWidget(self.buttons)

    def _copies(self) -> Edited:
        x, y, z = (edit.value or 0.0 for edit in self.steps)
        copy = partial(edits.copy_objects, ids=self._ids, count=self.count.value())
        return copy(self._session.document, by=(x, y, z))

    def _show(self, *_value: object) -> None:
        """Show the copies as they would be."""
        try:
            barn = self._copies().barn
        except LiftlaneError as error:
            self._session.preview(None)
            self._tell(str(error))
            return
        self._tell("")
        self._session.preview(barn)

    def _tell(self, words: str) -> None:
        self.fault.setText(words)
        ok = self.buttons.button(QDialogButtonBox.StandardButton.Ok)
        ok.setEnabled(not words)
