"""How long and how large the film of a walk is, and where it leads."""

from collections.abc import Callable

from PySide6.QtWidgets import (
    QComboBox,
    QDoubleSpinBox,
    QFormLayout,
    QSpinBox,
    QVBoxLayout,
    QWidget,
)

from viewer.app.picture_rows import Evenness, SizeRow
from viewer.app.picture_wanted import WalkOffer, WalkWanted
from viewer.app.wanting_dialog import WantingDialog
from viewer.panels.note import Note

__all__ = ["WalkDialog"]

_SIZES = ((640, 400), (960, 540), (1280, 720), (1920, 1080))
_LEAST, _LARGEST = (160, 120), 1920  # as the film itself has them [px]
_RAYS = 6  # usual [-]
_SECONDS, _RATES = (0.5, 60.0), (2, 30)


class WalkDialog(WantingDialog[WalkWanted]):
    """Asks for a walk; calls back with what is wanted."""

    def __init__(
        self,
        offer: WalkOffer,
        answered: Callable[[WalkWanted], object],
        parent: QWidget | None,
    ) -> None:
        super().__init__("walk through the room", "Write...", answered, parent)
        self._offer = offer
        self.way = QComboBox()
        self.way.addItem("along the alley", ())
        if len(offer.eyes) > 1:
            words = " \u2192 ".join(eye.replace("-", " ") for eye in offer.eyes)
            self.way.addItem(f"through {words}", offer.eyes)
        self.seconds = QDoubleSpinBox()
        self.seconds.setRange(*_SECONDS)
        self.seconds.setDecimals(1)
        self.seconds.setSuffix(" s")
        self.rate = QSpinBox()
        self.rate.setRange(*_RATES)
        self.rate.setSuffix(" pictures a second")
        self.size_row = SizeRow(_SIZES, least=_LEAST, largest=_LARGEST, step=2)
        self.evenness = Evenness(_RAYS)
        self.note = Note()
        self._lay_out()
        self._show(offer.wanted)

    @property
    def wanted(self) -> WalkWanted:
        """What is chosen now."""
        width, height = self.size_row.value
        return WalkWanted(
            eyes=self._offer.eyes if self.way.currentIndex() else (),
            seconds=self.seconds.value(),
            rate=float(self.rate.value()),
            width=width,
            height=height,
            samples=self.evenness.rays,
        )

    def _lay_out(self) -> None:
        form = QFormLayout()
        form.addRow("Wa&y", self.way)
        form.addRow("&Length", self.seconds)
        form.addRow("&Rate", self.rate)
        form.addRow("&Size", self.size_row)
        form.addRow("&Evenness", self.evenness)
        column = QVBoxLayout(self)
        column.addLayout(form)
        column.addWidget(self.note)
        column.addStretch(1)
        column.addWidget(self.buttons)
        self.seconds.valueChanged.connect(self._tell)
        self.rate.valueChanged.connect(self._tell)

    def _show(self, wanted: WalkWanted) -> None:
        self.way.setCurrentIndex(1 if wanted.eyes and self.way.count() > 1 else 0)
        self.seconds.setValue(wanted.seconds)
        self.rate.setValue(round(wanted.rate))
        self.size_row.show_value(wanted.width, wanted.height)
        self.evenness.show_rays(wanted.samples)
        self._tell()

    def _tell(self) -> None:
        count = round(self.seconds.value() * self.rate.value())
        self.note.setText(
            f"{count} pictures. The runs sink to working height on the way. The form "
            "of the film goes by its name: .webp and .gif need nothing more, .mp4 "
            "needs the extra package of films."
        )
