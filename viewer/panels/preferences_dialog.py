"""The preferences of this user on this machine; a change shows at once."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QApplication,
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QSpinBox,
    QVBoxLayout,
    QWidget,
)

from viewer.panels.editors import QuietCombo
from viewer.panels.note import Note
from viewer.preferences import LEAST_TEXT, MOST_TEXT, Preferences, Scheme, Units

__all__ = ["PreferencesDialog", "set_text_size"]

_UNITS = {
    Units.JOB: "as the job says",
    Units.FEET: "feet, inches and sixteenths",
    Units.MILLIMETRES: "millimetres",
}
_SCHEMES = {
    Scheme.SYSTEM: "as the system is",
    Scheme.LIGHT: "light",
    Scheme.DARK: "dark",
}
_STEP = 10  # of the text size [%]
_USUAL = "usual-text-size"  # where the application keeps its own size


def set_text_size(application: QApplication, percent: int) -> None:
    """Let every text of the window be larger or smaller.

    Parameters
    ----------
    application : QApplication
        The application.
    percent : int
        Of its usual size [%].
    """
    usual = application.property(_USUAL)
    font = application.font()
    if usual is None:
        usual = font.pointSizeF()
        application.setProperty(_USUAL, usual)
    size = float(usual) * percent / 100
    if abs(font.pointSizeF() - size) > 0.01:
        font.setPointSizeF(size)
        application.setFont(font)


class PreferencesDialog(QDialog):
    """Sets units, colours and text size."""

    def __init__(self, preferences: Preferences, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle("Preferences")
        self._preferences = preferences
        self.units = QuietCombo()
        self.units.addItems(list(_UNITS.values()))
        self.units.setCurrentIndex(list(_UNITS).index(preferences.units))
        self.scheme = QuietCombo()
        self.scheme.addItems(list(_SCHEMES.values()))
        self.scheme.setCurrentIndex(list(_SCHEMES).index(preferences.scheme))
        self.text = QSpinBox()
        self.text.setRange(LEAST_TEXT, MOST_TEXT)
        self.text.setSingleStep(_STEP)
        self.text.setSuffix(" %")
        self.text.setValue(preferences.text_size)
        self.units.activated.connect(self._on_units_activated)
        self.scheme.activated.connect(self._on_scheme_activated)
        self.text.valueChanged.connect(self._on_text_changed)
        form = QFormLayout()
        form.addRow("&Lengths are shown in", self.units)
        form.addRow("&Colours", self.scheme)
        form.addRow("&Text size", self.text)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.close)
        layout = QVBoxLayout(self)
        layout.addLayout(form)
        layout.addWidget(Note("A length is read in any unit, however it is shown."))
        layout.addWidget(buttons)

    def _on_units_activated(self, index: int) -> None:
        self._preferences.units = list(_UNITS)[index]

    def _on_scheme_activated(self, index: int) -> None:
        self._preferences.scheme = list(_SCHEMES)[index]

    def _on_text_changed(self, percent: int) -> None:
        self._preferences.text_size = percent
