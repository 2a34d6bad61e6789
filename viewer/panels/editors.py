"""One field of the document as widgets that can be typed into, made from its spec."""

from abc import abstractmethod
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QWheelEvent
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QLabel,
    QLineEdit,
    QStyle,
    QStyleOptionButton,
    QVBoxLayout,
    QWidget,
)

from core.catalogue.catalogue import Catalogue
from core.catalogue.parts import Part
from core.model.barn import Barn
from core.model.fields import Point3
from core.model.spec import (
    ChoiceSpec,
    FlagSpec,
    NumberSpec,
    OptionalSpec,
    Spec,
    TextSpec,
)
from core.quantities import LengthStyle
from viewer.panels.changing import Path
from viewer.panels.colours import OUTCOME_SIGNS, theme_of
from viewer.panels.links import targets_in
from viewer.panels.note import Note
from viewer.panels.part_words import part_line, part_note, part_source
from viewer.panels.quantity_edit import QuantityEdit
from viewer.panels.words import choice_words
from viewer.paper.guarded import guarded

__all__ = [
    "LEFT_OUT",
    "SEVERAL",
    "ChoiceEditor",
    "Editor",
    "FlagEditor",
    "LeafEditor",
    "LinkEditor",
    "NumberEditor",
    "QuietCombo",
    "Sheet",
    "TextEditor",
    "Tick",
    "common",
    "simple_editor",
]

SEVERAL = "several values"
LEFT_OUT = "not given"
_WRONG = next(iter(OUTCOME_SIGNS.values()))


@dataclass(slots=True, kw_only=True, eq=False)
class Sheet:
    """What all editors of a form share; the form renews it before it shows values.

    `commit` takes the path of a value and the value, and returns why it could
    not be set, or an empty text.
    """

    barn: Barn
    catalogue: Catalogue
    commit: Callable[[Path, object], str]
    style: LengthStyle = LengthStyle.FEET
    near: Point3 = (0.0, 0.0, 0.0)
    _lines: dict[tuple[type, ...], dict[str | None, str]] = field(default_factory=dict)

    def take(self, barn: Barn, catalogue: Catalogue, style: LengthStyle) -> None:
        """Be of another moment of the document."""
        if barn is not self.barn or catalogue is not self.catalogue:
            self._lines.clear()
        self.barn, self.catalogue, self.style = barn, catalogue, style

    def lines(self, targets: tuple[type, ...]) -> dict[str | None, str]:
        """List what a field may name, each with a line of words; looked up once."""
        if targets not in self._lines:
            self._lines[targets] = (
                {
                    part.id: part_line(part)
                    for part in self.catalogue.by_id.values()
                    if isinstance(part, targets)
                }
                if issubclass(targets[0], Part)
                else targets_in(self.barn, targets)
            )
        return self._lines[targets]


class Editor(QWidget):
    """Shows one value, or the same value of several objects, and lets it be changed."""

    def __init__(self, sheet: Sheet, path: Path, label: str) -> None:
        super().__init__()
        self.sheet = sheet
        self.path = path
        self.label = label

    @abstractmethod
    def show_values(self, values: Sequence[Any]) -> None:
        """Show the value of each object of the form."""

    @abstractmethod
    def forget(self) -> None:
        """Let go of what was typed and not entered."""

    @abstractmethod
    def finish(self) -> None:
        """Enter what was typed."""

    @property
    def is_wide(self) -> bool:
        """Whether it takes a row of its own below its label."""
        return False


def common(values: Sequence[Any]) -> tuple[bool, Any]:
    """Tell whether all values are one, and which."""
    first = values[0] if values else None
    return all(value == first for value in values), first


class QuietCombo(QComboBox):
    """A choice that the wheel does not change by chance."""

    def __init__(self) -> None:
        super().__init__()
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        adjust = QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon
        self.setSizeAdjustPolicy(adjust)
        self.setMinimumContentsLength(10)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Leave the wheel to the list that the field is in."""
        event.ignore()

    def showPopup(self) -> None:  # noqa: N802 - Qt's name
        """Open the list as wide as its longest line."""
        width = self.view().sizeHintForColumn(0) + 32
        self.view().setMinimumWidth(min(width, 640))
        super().showPopup()


class LeafEditor(Editor):
    """An editor of one input, with a line below for what is wrong."""

    def __init__(self, sheet: Sheet, path: Path, label: str, entry: QWidget) -> None:
        super().__init__(sheet, path, label)
        self.entry = entry
        entry.setAccessibleName(label)
        self._fault = QLabel()
        self._fault.setWordWrap(True)
        self._fault.setVisible(False)
        self._fault.setAccessibleName(f"what is wrong with {label}")
        self._box = QVBoxLayout(self)
        self._box.setContentsMargins(0, 0, 0, 0)
        self._box.setSpacing(2)
        self._box.addWidget(entry)
        self._box.addWidget(self._fault)
        self.setFocusProxy(entry)

    @property
    def fault(self) -> str:
        """What is wrong with the value that was typed, empty if nothing."""
        return self._fault.text().removeprefix(f"{_WRONG} ")

    def show_fault(self, words: str) -> None:
        """Show what is wrong, or nothing."""
        self._fault.setText(f"{_WRONG} {words}" if words else "")
        self._fault.setVisible(bool(words))
        self.entry.setAccessibleDescription(words)

    def commit(self, value: object) -> bool:
        """Ask for the edit; show in place why it cannot be made."""
        fault = self.sheet.commit(self.path, value)
        self.show_fault(fault)
        return not fault

    def forget(self) -> None:
        """Let go of the sentence."""
        self.show_fault("")

    def finish(self) -> None:
        """Nothing waits here."""


class NumberEditor(LeafEditor):
    """A number with its unit."""

    def __init__(
        self,
        sheet: Sheet,
        path: Path,
        label: str,
        *,
        spec: NumberSpec,
        optional: bool = False,
    ) -> None:
        self.edit = QuantityEdit(spec, style=sheet.style, optional=optional)
        super().__init__(sheet, path, label, self.edit)
        self.edit.entered.connect(self._on_number_entered)
        self.edit.refused.connect(self.show_fault)

    def show_values(self, values: Sequence[Any]) -> None:
        """Show the number, or that there are several."""
        self.edit.set_style(self.sheet.style)
        same, value = common(values)
        hint = LEFT_OUT if same else SEVERAL
        self.edit.show_value(value if same else None, hint=hint)
        if not self.edit.is_wrong:
            self.show_fault("")

    def forget(self) -> None:
        """Let go of the text."""
        super().forget()
        self.edit.forget()

    def finish(self) -> None:
        """Enter what was typed."""
        self.edit.finish()

    def _on_number_entered(self, value: float | None) -> None:
        self.edit.mark(wrong=not self.commit(value))


class TextEditor(LeafEditor):
    """A line of text."""

    def __init__(
        self,
        sheet: Sheet,
        path: Path,
        label: str,
        *,
        spec: TextSpec,
        optional: bool = False,
    ) -> None:
        self.edit = QLineEdit()
        self._optional = optional
        super().__init__(sheet, path, label, self.edit)
        self._spec = spec
        self._shown: str | None = None
        self.edit.editingFinished.connect(self.finish)

    def show_values(self, values: Sequence[Any]) -> None:
        """Show the text, or that there are several."""
        same, value = common(values)
        text = str(value) if same and value is not None else ""
        if text == self._shown and (self.fault or self.edit.hasFocus()):
            return
        self._shown = text
        self.edit.setText(text)
        left_out = LEFT_OUT if self._optional else ""
        self.edit.setPlaceholderText(left_out if same else SEVERAL)
        self.show_fault("")

    def forget(self) -> None:
        """Let go of the text."""
        super().forget()
        self._shown = None

    def finish(self) -> None:
        """Enter the text if it is another one."""
        text = self.edit.text()
        if self._shown is None or text == self._shown:
            return
        if self._optional and not text.strip():
            self.commit(None)
        elif not self._spec.allows(text):
            self.show_fault(f"{self.label.lower()} cannot be empty")
        else:
            self.commit(text)


class Tick(QCheckBox):
    """A box to tick whose frame is seen in light and dark."""

    @guarded
    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw a frame round the box in the ink of the theme."""
        super().paintEvent(event)
        option = QStyleOptionButton()
        self.initStyleOption(option)
        part = QStyle.SubElement.SE_CheckBoxIndicator
        box = self.style().subElementRect(part, option, self)
        with QPainter(self) as painter:
            painter.setPen(QColor(theme_of(self.palette()).faint))
            painter.drawRect(box.adjusted(0, 0, -1, -1))


class FlagEditor(LeafEditor):
    """Yes or no."""

    def __init__(self, sheet: Sheet, path: Path, label: str) -> None:
        self.box = Tick("yes")
        super().__init__(sheet, path, label, self.box)
        self.box.clicked.connect(self._on_box_clicked)

    def show_values(self, values: Sequence[Any]) -> None:
        """Show the tick, or a half one for several."""
        same, value = common(values)
        self.box.setTristate(not same)
        state = Qt.CheckState.Checked if value else Qt.CheckState.Unchecked
        self.box.setCheckState(state if same else Qt.CheckState.PartiallyChecked)
        self.show_fault("")

    def _on_box_clicked(self) -> None:
        self.box.setTristate(False)
        self.commit(self.box.checkState() is not Qt.CheckState.Unchecked)


class ChoiceEditor(LeafEditor):
    """One of some words."""

    def __init__(
        self, sheet: Sheet, path: Path, label: str, *, spec: ChoiceSpec
    ) -> None:
        self.combo = QuietCombo()
        super().__init__(sheet, path, label, self.combo)
        self._values = list(spec.choices.values())
        self.combo.addItems([choice_words(each) for each in spec.choices])
        self.combo.setPlaceholderText(SEVERAL)
        self.combo.activated.connect(self._on_choice_activated)

    def show_values(self, values: Sequence[Any]) -> None:
        """Show the choice, or none for several."""
        same, value = common(values)
        known = same and value in self._values
        self.combo.setCurrentIndex(self._values.index(value) if known else -1)
        self.show_fault("")

    def _on_choice_activated(self, index: int) -> None:
        self.commit(self._values[index])


class LinkEditor(LeafEditor):
    """The id of another object, or of a part of the catalogue with its rating."""

    def __init__(
        self,
        sheet: Sheet,
        path: Path,
        label: str,
        *,
        targets: tuple[type, ...],
        optional: str = "",
    ) -> None:
        self.combo = QuietCombo()
        super().__init__(sheet, path, label, self.combo)
        self._targets = targets
        self._optional = optional
        self._ids: list[str | None] = []
        self.source = Note()
        self._is_part = issubclass(targets[0], Part)
        self._box.insertWidget(1, self.source)
        self.combo.setPlaceholderText(SEVERAL)
        self.combo.activated.connect(self._on_choice_activated)

    def show_values(self, values: Sequence[Any]) -> None:
        """Show what is named, or none for several."""
        same, value = common(values)
        self._fill(value if same else None)
        known = same and value in self._ids
        self.combo.setCurrentIndex(self._ids.index(value) if known else -1)
        self._tell_source(value if same else None)
        self.show_fault("")

    def _fill(self, value: object) -> None:
        """List what may be named: parts in words, objects by their ids."""
        lines: dict[str | None, str] = {None: self._optional} if self._optional else {}
        lines |= self.sheet.lines(self._targets)
        if isinstance(value, str) and value not in lines:
            lines[value] = f"{value} (not there)"
        if list(lines) != self._ids:
            self._ids = list(lines)
            self.combo.clear()
            self.combo.addItems(list(lines.values()))

    def _tell_source(self, value: object) -> None:
        part = self.sheet.catalogue.by_id.get(str(value))
        shown = part if self._is_part else None
        self.source.setText(part_note(shown) if shown else "")
        self.source.setVisible(shown is not None)
        self.combo.setToolTip(part_source(shown) if shown else "")

    def _on_choice_activated(self, index: int) -> None:
        self.commit(self._ids[index])


def simple_editor(sheet: Sheet, path: Path, label: str, spec: Spec) -> Editor | None:
    """Return the editor of a value without parts, None for another one."""
    match spec:
        case OptionalSpec(inner=NumberSpec() as inner):
            return NumberEditor(sheet, path, label, spec=inner, optional=True)
        case OptionalSpec(inner=TextSpec() as inner):
            return TextEditor(sheet, path, label, spec=inner, optional=True)
        case NumberSpec():
            return NumberEditor(sheet, path, label, spec=spec)
        case TextSpec():
            return TextEditor(sheet, path, label, spec=spec)
        case FlagSpec():
            return FlagEditor(sheet, path, label)
        case ChoiceSpec():
            return ChoiceEditor(sheet, path, label, spec=spec)
    return None
