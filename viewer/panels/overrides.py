"""Rule values of this job's own: which, how much, and above all why."""

from dataclasses import dataclass, replace
from functools import partial

from PySide6.QtWidgets import (
    QFormLayout,
    QGridLayout,
    QGroupBox,
    QLabel,
    QLineEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

import core.rules.book  # declares every rule
from core.errors import LiftlaneError, QuantityError
from core.model import edits
from core.model.barn import Barn
from core.model.edits import Edited
from core.model.job import RuleOverride
from core.quantities import LengthStyle, LengthUnit, parse_length
from core.rules.registry import Rule
from core.rules.wording import measure
from viewer.panels.editors import QuietCombo
from viewer.panels.layouts import emptied
from viewer.panels.note import Note
from viewer.panels.rules_touched import rule_tooltip
from viewer.preferences import Preferences
from viewer.session import Session

__all__ = ["Limit", "Overrides", "limits", "read_value"]

_LENGTHS = ("in", "gap")


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """One value of one rule, under the key that an override names it by."""

    rule: Rule
    name: str
    usual: float

    @property
    def key(self) -> str:
        """The rule's id for its first value, with the value's name for another."""
        is_first = self.name == next(iter(self.rule.limits))
        return self.rule.id if is_first else f"{self.rule.id}/{self.name}"


def limits() -> dict[str, Limit]:
    """Return every value of every rule by its key."""
    every = [
        Limit(rule=rule, name=name, usual=usual)
        for rule in core.rules.book.rules()
        for name, usual in rule.limits.items()
    ]
    return {limit.key: limit for limit in every}


def read_value(text: str, unit: str, *, style: LengthStyle) -> float:
    """Read a rule's value as it is typed.

    Parameters
    ----------
    text : str
        What was typed.
    unit : str
        The rule's unit; `in` and `gap` are lengths.
    style : LengthStyle
        What a bare length is meant in.

    Returns
    -------
    float
        The value in the rule's unit [-].

    Raises
    ------
    QuantityError
        If it is no such value.
    """
    if unit in _LENGTHS:
        metric = style is LengthStyle.MILLIMETRES
        return parse_length(
            text, unit=LengthUnit.MILLIMETRE if metric else LengthUnit.INCH
        )
    plain = text.strip().removesuffix(unit).strip()
    try:
        return float(plain)
    except ValueError:
        msg = f'"{text.strip()}" is not a number; write it like 12.5'
        raise QuantityError(msg) from None


class Overrides(QWidget):
    """Lists the job's own values and takes a new one with its reason."""

    def __init__(
        self, session: Session, preferences: Preferences, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._session = session
        self._preferences = preferences
        self._limits = limits()
        self._rows = QWidget()
        self._grid = QGridLayout(self._rows)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setColumnStretch(0, 1)
        self.removes: dict[str, QPushButton] = {}
        self.rule = QuietCombo()
        for key in self._limits:
            self.rule.addItem(key, key)
        self.usual = Note()
        self.value = QLineEdit()
        self.reason = QLineEdit()
        self.reason.setPlaceholderText("why this job needs another value")
        self.add = QPushButton("Set the value")
        self.fault = Note()
        self.rule.currentIndexChanged.connect(self._on_rule_changed)
        self.add.clicked.connect(self.set_value)
        self.reason.returnPressed.connect(self.set_value)
        self._lay_out()
        session.document_changed.connect(self._on_document_changed)
        preferences.changed.connect(self.renew)
        self.renew()

    def renew(self) -> None:
        """Show the job's own values as they are now."""
        emptied(self._grid)
        self.removes.clear()
        overrides = self._session.document.job.overrides
        if not overrides:
            self._grid.addWidget(Note("Every rule has its usual value."), 0, 0)
        for row, override in enumerate(overrides):
            self._add_row(row, override)
        self._on_rule_changed()

    def set_value(self) -> None:
        """Set the chosen value for this job; it takes a reason."""
        limit = self._limits[self.rule.currentData()]
        reason = self.reason.text().strip()
        try:
            unit = limit.rule.unit
            value = read_value(self.value.text(), unit, style=self._style)
            if not reason:
                msg = "say why: a value of its own needs a reason on every output"
                raise QuantityError(msg)
            self._put(
                limit.key, RuleOverride(rule=limit.key, value=value, reason=reason)
            )
        except LiftlaneError as error:
            self.fault.setText(str(error))
            return
        self.fault.setText("")
        self.value.clear()
        self.reason.clear()

    @property
    def _style(self) -> LengthStyle:
        return self._preferences.length_style(self._session.document.job)

    def _put(self, key: str, override: RuleOverride | None) -> None:
        barn = self._session.document
        after = _with_override(barn, key, override)
        verb = "Set" if override is not None else "Drop"
        self._session.apply(f"{verb} own value of {key}", after)

    def _add_row(self, row: int, override: RuleOverride) -> None:
        limit = self._limits.get(override.rule)
        unit = limit.rule.unit if limit else "-"
        value = measure(override.value, unit, style=self._style)
        usual = measure(limit.usual, unit, style=self._style) if limit else "no rule"
        label = QLabel(f"{override.rule}: {value} in place of {usual}")
        label.setWordWrap(True)
        remove = QPushButton("Drop")
        remove.setAccessibleName(f"drop the own value of {override.rule}")
        remove.clicked.connect(partial(self._on_drop_clicked, override.rule))
        self.removes[override.rule] = remove
        self._grid.addWidget(label, 2 * row, 0)
        self._grid.addWidget(remove, 2 * row, 1)
        self._grid.addWidget(Note(override.reason), 2 * row + 1, 0)

    def _on_drop_clicked(self, key: str, *_checked: bool) -> None:
        self._put(key, None)

    def _on_rule_changed(self, *_index: int) -> None:
        limit = self._limits.get(self.rule.currentData())
        if limit is None:
            return
        value = measure(limit.usual, limit.rule.unit, style=self._style)
        self.usual.setText(f"usual: {limit.name} {value}; {limit.rule.source}")
        self.rule.setToolTip(rule_tooltip(limit.rule))

    def _on_document_changed(self, _after: object) -> None:
        self.renew()

    def _lay_out(self) -> None:
        new = QGroupBox("Another value for this job")
        form = QFormLayout(new)
        form.addRow("R&ule", self.rule)
        form.addRow("", self.usual)
        form.addRow("&Value", self.value)
        form.addRow("&Reason", self.reason)
        form.addRow("", self.add)
        form.addRow(self.fault)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self._rows)
        layout.addWidget(new)


def _with_override(barn: Barn, key: str, override: RuleOverride | None) -> Edited:
    others = tuple(each for each in barn.job.overrides if each.rule != key)
    kept = others if override is None else (*others, override)
    return edits.set_job(barn, replace(barn.job, overrides=kept))
