"""Where a picture is taken from, how large and how even, with a glimpse of it."""

from collections.abc import Callable
from dataclasses import replace
from functools import partial

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QPixmap
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QSlider,
    QVBoxLayout,
    QWidget,
)

from viewer.app.picture_rows import Evenness, SizeRow
from viewer.app.picture_wanted import PictureOffer, PictureWanted
from viewer.app.wanting_dialog import WantingDialog
from viewer.app.workshop import made_apart
from viewer.jobs import Jobs
from viewer.panels.note import Note

__all__ = ["PictureDialog"]

_SIZES = ((1280, 720), (1920, 1080), (3840, 2160), (1200, 900))
_PANEL_SIZES = ((960, 640), (640, 480), (1280, 720), (1920, 1080))
_LEAST, _LARGEST = (160, 120), 7680  # as the picture itself has them [px]
_RAYS = 16  # usual [-]
_GLIMPSE = (400, 240)  # place of the small picture [px]
_CALM = 350  # after a change, before the small picture is begun [ms]


class PictureDialog(WantingDialog[PictureWanted]):
    """Asks for a picture, or those of a sheet; calls back with what is wanted.

    A small rough picture follows what is chosen; it is made in a process of its own.
    """

    def __init__(
        self,
        offer: PictureOffer,
        answered: Callable[[PictureWanted], object],
        parent: QWidget | None,
    ) -> None:
        super().__init__(offer.title, "Write...", answered, parent)
        self._offer = offer
        self.place = QComboBox()
        for place in offer.places:
            self.place.addItem(place.words)
        self.lift = QSlider(Qt.Orientation.Horizontal)
        self.lift.setRange(0, 100)
        self.lift.setPageStep(10)
        self.lift_words = QLabel()
        self.size_row = SizeRow(
            _SIZES if offer.lifts == 1 else _PANEL_SIZES, least=_LEAST, largest=_LARGEST
        )
        self.evenness = Evenness(_RAYS)
        self.clashes = QCheckBox("&Mark the clashes")
        self.animals = QCheckBox("&Animals in the pens, for scale")
        self.glimpse = QLabel()
        self.glimpse.setFixedSize(*_GLIMPSE)
        self.glimpse.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.glimpse.setAccessibleName("a small picture of what is chosen")
        self._jobs = Jobs(self)
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(_CALM)
        self._lay_out()
        self._show(offer.wanted)
        self._listen()
        self._on_changed()

    @property
    def wanted(self) -> PictureWanted:
        """What is chosen now."""
        place = self._offer.places[self.place.currentIndex()]
        width, height = self.size_row.value
        return replace(
            self._offer.wanted,
            eye=place.eye,
            view=place.view,
            lift=self.lift.value() / 100,
            width=width,
            height=height,
            samples=self.evenness.rays,
            clashes=int(self.clashes.isChecked()),
            animals=int(self.animals.isChecked()),
        )

    def done(self, result: int) -> None:
        """Close, and let no work go on."""
        self._soon.stop()
        self._jobs.close()
        super().done(result)

    def _lay_out(self) -> None:
        lift = QWidget()
        row = QHBoxLayout(lift)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(self.lift, 1)
        row.addWidget(self.lift_words)
        self.lift_words.setMinimumWidth(
            self.lift_words.fontMetrics().horizontalAdvance("working height")
        )
        self.lift.setAccessibleName("lift")
        form = QFormLayout()
        form.addRow("Look &from", self.place)
        form.addRow("&Lift", lift)
        form.addRow("&Size", self.size_row)
        form.addRow("&Evenness", self.evenness)
        form.addRow("", self.clashes)
        form.addRow("", self.animals)
        for row_of in (lift, self.clashes):
            form.setRowVisible(row_of, self._offer.lifts == 1)
        side = QVBoxLayout()
        side.addWidget(self.glimpse)
        side.addWidget(Note("A rough glimpse; the picture itself is finer."))
        side.addStretch(1)
        both = QHBoxLayout()
        both.addLayout(form, 1)
        both.addLayout(side)
        column = QVBoxLayout(self)
        column.addLayout(both)
        column.addWidget(self.buttons)

    def _show(self, wanted: PictureWanted) -> None:
        eyes = [place.eye for place in self._offer.places]
        self.place.setCurrentIndex(eyes.index(wanted.eye))
        self.lift.setValue(round(100 * wanted.lift))
        self.size_row.show_value(wanted.width, wanted.height)
        self.evenness.show_rays(wanted.samples)
        self.clashes.setChecked(bool(wanted.clashes))
        self.animals.setChecked(bool(wanted.animals))

    def _listen(self) -> None:
        self.place.currentIndexChanged.connect(self._on_changed)
        self.lift.valueChanged.connect(self._on_changed)
        self.size_row.changed.connect(self._on_changed)
        self.clashes.toggled.connect(self._on_changed)
        self.animals.toggled.connect(self._on_changed)
        self._soon.timeout.connect(self._begin_glimpse)
        self._jobs.finished.connect(self._on_glimpse_made)
        self._jobs.failed.connect(self._on_glimpse_failed)

    def _on_changed(self) -> None:
        self.lift_words.setText(_lift_words(self.lift.value()))
        self._soon.start()

    def _begin_glimpse(self) -> None:
        self._jobs.cancel()
        if self.glimpse.pixmap().isNull():
            self.glimpse.setText("looking \u2026")
        self._jobs.run(partial(made_apart, self._offer.glimpse(self.wanted)))

    def _on_glimpse_made(self, content: object) -> None:
        picture = QPixmap()
        if isinstance(content, bytes) and picture.loadFromData(content):
            how = Qt.AspectRatioMode.KeepAspectRatio
            smooth = Qt.TransformationMode.SmoothTransformation
            self.glimpse.setPixmap(picture.scaled(*_GLIMPSE, how, smooth))

    def _on_glimpse_failed(self, error: Exception) -> None:
        self.glimpse.setWordWrap(True)
        self.glimpse.setText(str(error))


def _lift_words(percent: int) -> str:
    """Return a lift as it is read [%]."""
    ends = {0: "working height", 100: "stowed"}
    return ends.get(percent, f"{percent} % lifted")
