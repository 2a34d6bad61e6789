"""A new room from a few numbers: walls, ceiling, alley, pens, and a first run each."""

from collections.abc import Callable
from dataclasses import replace
from functools import partial

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QLineEdit,
    QSpinBox,
    QVBoxLayout,
    QWidget,
)

from core.errors import LiftlaneError
from core.model import edits
from core.model.barn import Barn
from core.model.room import (
    FlatCeiling,
    GableCeiling,
    SlopedCeiling,
    SteppedCeiling,
    Ventilation,
)
from core.model.spec import NumberSpec
from core.model.starting import new_barn
from core.quantities import LengthStyle, Quantity
from viewer.panels.ceilings import other_ceiling
from viewer.panels.editors import QuietCombo, Tick
from viewer.panels.note import Note
from viewer.panels.quantity_edit import QuantityEdit
from viewer.panels.room import add_first_runs
from viewer.panels.sketch import CeilingSketch, PlanSketch
from viewer.panels.words import choice_words

__all__ = ["NewRoom", "room_from"]

_SIZE = NumberSpec(quantity=Quantity.LENGTH, above=0.0)
_CEILINGS = (FlatCeiling, SlopedCeiling, GableCeiling, SteppedCeiling)
_CEILING_WORDS = ("Flat", "Mono-slope", "Gable", "Stepped")
_NUMBERS = {  # a usual finishing room [in]; common practice, no published source
    "length": ("&Length of the room", 1200.0),
    "width": ("&Width of the room", 492.0),
    "height": ("&Height of the ceiling at the left wall", 96.0),
    "alley": ("Width of the &alley", 36.0),
    "spacing": ("&Trusses every", 48.0),
}


def room_from(
    numbers: dict[str, float],
    *,
    name: str,
    ceiling: type,
    pens: int,
    ventilation: Ventilation,
    with_runs: bool,
) -> Barn:
    """Make a barn from what was typed.

    Parameters
    ----------
    numbers : dict of str to float
        Length, width, height, alley and spacing [in].
    name : str
        Name of the barn.
    ceiling : type
        Class of the ceiling.
    pens : int
        Pens in each strip [-], 0 for pens about 10 ft long.
    ventilation : Ventilation
        How the room is ventilated.
    with_runs : bool
        Whether each strip gets a run.

    Returns
    -------
    Barn
        The barn.

    Raises
    ------
    EditError
        If the numbers do not fit together.
    """
    barn = new_barn(
        numbers["length"],
        numbers["width"],
        numbers["height"],
        name=name,
        alley_width=numbers["alley"],
    )
    room = replace(
        barn.room,
        ceiling=other_ceiling(barn.room, ceiling),
        trusses=replace(barn.room.trusses, spacing=numbers["spacing"]),
        ventilation=ventilation,
    )
    barn = edits.set_room(barn, room).barn
    for strip in room.strips if pens else ():
        barn = edits.split_strip(barn, strip.id, count=pens).barn
    return add_first_runs(barn).barn if with_runs else barn


class NewRoom(QDialog):
    """Asks for a few numbers and shows what comes of them; calls back with a barn."""

    def __init__(
        self,
        made: Callable[[Barn], object],
        *,
        style: LengthStyle,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle("New room")
        self._made = made
        self._style = style
        self._barn: Barn | None = None
        self.name = QLineEdit("New barn")
        self.numbers = {key: self._number(key) for key in _NUMBERS}
        self.ceiling = QuietCombo()
        self.ceiling.addItems(list(_CEILING_WORDS))
        self.pens = QSpinBox()
        self.pens.setRange(0, 200)
        self.pens.setSpecialValueText("about 10 ft each")
        self.ventilation = QuietCombo()
        self.ventilation.addItems([choice_words(each.value) for each in Ventilation])
        self.ventilation.setCurrentIndex(list(Ventilation).index(Ventilation.WALL_FANS))
        self.runs = Tick("one over each strip, on the fewest trusses")
        self.runs.setChecked(True)
        self.sketch = CeilingSketch()
        self.plan = PlanSketch()
        self.said = Note()
        self.buttons = QDialogButtonBox(
            QDialogButtonBox.StandardButton.Ok | QDialogButtonBox.StandardButton.Cancel
        )
        self._lay_out()
        self._listen()
        self._renew()

    @property
    def barn(self) -> Barn | None:
        """What would be made, None while something is wrong."""
        return self._barn

    def accept(self) -> None:
        """Hand the barn over."""
        for edit in self.numbers.values():
            edit.finish()
        self._renew()
        if self._barn is not None:
            super().accept()
            self._made(self._barn)

    def _number(self, key: str) -> QuantityEdit:
        words, value = _NUMBERS[key]
        edit = QuantityEdit(_SIZE, style=self._style)
        edit.setAccessibleName(words.replace("&", ""))
        edit.show_value(value)
        return edit

    def _lay_out(self) -> None:
        form = QFormLayout()
        form.addRow("&Name of the barn", self.name)
        for key, edit in self.numbers.items():
            form.addRow(_NUMBERS[key][0], edit)
        form.addRow("&Ceiling", self.ceiling)
        form.addRow("&Pens in each strip", self.pens)
        form.addRow("&Ventilation", self.ventilation)
        form.addRow("&Runs", self.runs)
        layout = QVBoxLayout(self)
        layout.addLayout(form)
        for widget in (self.sketch, self.plan, self.said, self.buttons):
            layout.addWidget(widget)
        layout.setStretchFactor(self.plan, 1)

    def _listen(self) -> None:
        for edit in self.numbers.values():
            edit.entered.connect(self._renew)
            edit.refused.connect(self._on_number_refused)
        self.name.textChanged.connect(self._renew)
        self.ceiling.currentIndexChanged.connect(self._renew)
        self.ventilation.currentIndexChanged.connect(self._renew)
        self.pens.valueChanged.connect(self._renew)
        self.runs.toggled.connect(self._renew)
        self.buttons.accepted.connect(self.accept)
        self.buttons.rejected.connect(self.reject)

    def _on_number_refused(self, words: str) -> None:
        self._show(None, words)

    def _renew(self, *_value: object) -> None:
        """Show what comes of the numbers, or why nothing does."""
        if any(edit.is_wrong for edit in self.numbers.values()):
            self._show(None, "Mend the number in the frame first.")
            return
        numbers = {key: edit.value or 0.0 for key, edit in self.numbers.items()}
        make = partial(
            room_from,
            numbers,
            name=self.name.text().strip(),
            ceiling=_CEILINGS[self.ceiling.currentIndex()],
            pens=self.pens.value(),
            ventilation=list(Ventilation)[self.ventilation.currentIndex()],
            with_runs=self.runs.isChecked(),
        )
        try:
            barn = make()
        except LiftlaneError as error:
            self._show(None, str(error))
            return
        self._show(barn, _count_words(barn))

    def _show(self, barn: Barn | None, words: str) -> None:
        self._barn = barn
        self.plan.show_barn(barn)
        if barn is not None:
            self.sketch.show_room(barn.room, self._style)
        self.said.setText(words)
        self.buttons.button(QDialogButtonBox.StandardButton.Ok).setEnabled(
            barn is not None
        )


def _count_words(barn: Barn) -> str:
    supports = sum(len(run.supports) for run in barn.runs)
    return (
        f"{len(barn.room.strips)} strips, {len(barn.room.pens)} pens, "
        f"{len(barn.runs)} runs on {supports} supports. Everything can be changed "
        "later."
    )
