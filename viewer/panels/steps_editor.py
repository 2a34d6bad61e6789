"""The steps of a stepped ceiling: where each begins, and how high it is."""

from collections.abc import Sequence
from dataclasses import replace
from functools import partial
from typing import Any

from PySide6.QtWidgets import QGridLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from core.model.room import StepAxis, SteppedCeiling
from core.model.spec import ChoiceSpec, ListSpec, NumberSpec, fields_of
from viewer.panels.changing import Path
from viewer.panels.editors import ChoiceEditor, Editor, NumberEditor, Sheet
from viewer.panels.layouts import emptied, small_button
from viewer.panels.note import Note

__all__ = ["StepsEditor"]

_STEP = 48.0  # from the last start to a new one, if there is room for it [in]


class StepsEditor(Editor):
    """A row for each step; adding or taking out one changes both lists at once."""

    cls = SteppedCeiling

    def __init__(self, sheet: Sheet, path: Path, label: str) -> None:
        super().__init__(sheet, path, label)
        specs = {field.name: field.spec for field in fields_of(SteppedCeiling)}
        axis = ChoiceSpec(choices={each.value: each for each in StepAxis})
        self.axis = ChoiceEditor(sheet, (*path, "axis"), "Steps go", spec=axis)
        self._item = {name: _item(specs[name]) for name in ("starts", "heights")}
        self._ceiling: SteppedCeiling | None = None
        self._count = -1
        self.editors: list[tuple[NumberEditor, NumberEditor]] = []
        self._rows = QWidget()
        self._grid = QGridLayout(self._rows)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._note = Note()
        self._note.setVisible(False)
        self.add = QPushButton("Add a step")
        self.add.clicked.connect(self._on_add_clicked)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        for widget in (self.axis, self._rows, self._note, self.add):
            layout.addWidget(widget)

    @property
    def is_wide(self) -> bool:
        """Always."""
        return True

    def show_values(self, values: Sequence[Any]) -> None:
        """Show the steps of the first ceiling."""
        ceiling: SteppedCeiling = values[0]
        self._ceiling = ceiling
        self.axis.show_values([ceiling.axis])
        if len(ceiling.starts) != self._count:
            self._build(len(ceiling.starts))
        rows = zip(self.editors, ceiling.starts, ceiling.heights, strict=True)
        for (start, height), x, z in rows:
            start.show_values([x])
            height.show_values([z])

    def forget(self) -> None:
        """Let go of what was typed."""
        for pair in self.editors:
            for editor in pair:
                editor.forget()

    def finish(self) -> None:
        """Enter what was typed."""
        for pair in self.editors:
            for editor in pair:
                editor.finish()

    def _build(self, count: int) -> None:
        self._count = count
        self.editors = []
        emptied(self._grid)
        self._grid.addWidget(QLabel("Begins at"), 0, 0)
        self._grid.addWidget(QLabel("Height"), 0, 1)
        for place in range(count):
            self._build_row(place)

    def _build_row(self, place: int) -> None:
        start, height = (
            NumberEditor(
                self.sheet,
                (*self.path, name, place),
                f"step {place + 1} {words}",
                spec=self._item[name],
            )
            for name, words in (("starts", "begins at"), ("heights", "height"))
        )
        start.edit.setReadOnly(place == 0)
        out = small_button("\N{MINUS SIGN}", f"take step {place + 1} out")
        out.setEnabled(place > 0)
        out.clicked.connect(partial(self._take_out, place))
        self.editors.append((start, height))
        for column, widget in enumerate((start, height, out)):
            self._grid.addWidget(widget, place + 1, column)

    def _on_add_clicked(self) -> None:
        if self._ceiling is None:
            return
        starts, heights = self._ceiling.starts, self._ceiling.heights
        self._commit((*starts, starts[-1] + _STEP), (*heights, heights[-1]))

    def _take_out(self, place: int, *_checked: bool) -> None:
        if self._ceiling is None:
            return
        starts, heights = self._ceiling.starts, self._ceiling.heights
        self._commit(
            starts[:place] + starts[place + 1 :], heights[:place] + heights[place + 1 :]
        )

    def _commit(self, starts: tuple[float, ...], heights: tuple[float, ...]) -> None:
        if self._ceiling is None:
            return
        ceiling = replace(self._ceiling, starts=starts, heights=heights)
        fault = self.sheet.commit(self.path, ceiling)
        self._note.setText(fault)
        self._note.setVisible(bool(fault))


def _item(spec: object) -> NumberSpec:
    if not isinstance(spec, ListSpec) or not isinstance(spec.item, NumberSpec):
        msg = f"{spec!r} is no list of numbers"
        raise TypeError(msg)
    return spec.item
