"""A field for a length, an angle, a voltage or any other number of the document."""

from PySide6.QtCore import QSize, Qt, QTimer, Signal
from PySide6.QtGui import (
    QColor,
    QKeyEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QValidator,
    QWheelEvent,
)
from PySide6.QtWidgets import QAbstractSpinBox, QWidget

from core.errors import QuantityError
from core.model.spec import NumberSpec
from core.quantities import LengthStyle, Quantity
from viewer.panels.colours import theme_of
from viewer.panels.quantities import Typing, stepped, typing_of
from viewer.paper.guarded import guarded

__all__ = ["LENGTH", "QuantityEdit"]

SETTLE = 400  # after the last step it counts as entered [ms]
COARSE = 16  # steps of a page key

LENGTH = NumberSpec(quantity=Quantity.LENGTH)


class QuantityEdit(QAbstractSpinBox):
    """Shows one number as text and reads what is typed.

    Emits `entered(number)` when a new, right value was typed and left or confirmed,
    None where it may be left out and was cleared, and `refused(str)` with a sentence
    when it was wrong: the text stays, with a red frame, until it is mended or Esc
    brings the old one back.
    """

    entered = Signal(object)
    refused = Signal(str)

    def __init__(
        self,
        spec: NumberSpec,
        *,
        style: LengthStyle = LengthStyle.FEET,
        optional: bool = False,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._spec = spec
        self._optional = optional
        self._style = style
        self._value: float | None = None
        self._shown = ""
        self._wrong = False
        self._settling = QTimer(self)
        self._settling.setSingleShot(True)
        self._settling.setInterval(SETTLE)
        self._settling.timeout.connect(self.finish)
        self.editingFinished.connect(self.finish)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccelerated(True)

    # ----- what is there -----

    @property
    def value(self) -> float | None:
        """The number that was shown or entered last, None for several or none."""
        return self._value

    @property
    def is_wrong(self) -> bool:
        """Whether the text is not a value that the field takes."""
        return self._wrong

    @property
    def is_changed(self) -> bool:
        """Whether the text is not the one that was shown."""
        return self.text() != self._shown

    def show_value(self, value: float | None, *, hint: str = "") -> None:
        """Show a number; without one the hint, in grey.

        A text that is being typed stays when the number is still the same.
        """
        same = value is not None and value == self._value
        if same and (self._wrong or (self.hasFocus() and self.is_changed)):
            return
        self._value = value
        self._show_text("" if value is None else self._typing.format(value))
        self.lineEdit().setPlaceholderText(hint)
        self._tell_exact()

    def set_style(self, style: LengthStyle) -> None:
        """Show lengths in another style."""
        if style is self._style:
            return
        self._style = style
        if self._value is not None and not self.is_changed:
            self._show_text(self._typing.format(self._value))
            self._tell_exact()

    def mark(self, wrong: bool) -> None:  # noqa: FBT001 - a setter of one flag
        """Draw the red frame, or take it away."""
        if wrong != self._wrong:
            self._wrong = wrong
            self.update()

    def forget(self) -> None:
        """Let go of what was typed and not entered."""
        self._settling.stop()
        self._value = None
        self._show_text("")

    def finish(self) -> None:
        """Take what was typed as entered, or refuse it."""
        self._settling.stop()
        if not self.is_changed:
            self.mark(wrong=False)
            return
        try:
            value = self._read()
        except QuantityError as error:
            self.mark(wrong=True)
            self.refused.emit(str(error))
            return
        self._value = value
        self._show_text("" if value is None else self._typing.format(value))
        self._tell_exact()
        self.entered.emit(value)

    def _read(self) -> float | None:
        """Read the text; nothing is a value too where it may be left out."""
        if self._optional and not self.text().strip():
            return None
        return self._typing.read(self.text(), self._spec)

    # ----- the spin box's own -----

    def stepBy(self, steps: int) -> None:  # noqa: N802 - Qt's name
        """Step the number by sixteenths or millimetres, and enter it in a moment."""
        typing = self._typing
        try:
            start = typing.parse(self.text()) if self.is_changed else self._value
        except QuantityError:
            return
        value = stepped(start or 0.0, typing.step, steps)
        if self._spec.allows(value):
            self.lineEdit().setText(typing.format(value))
            self._settling.start()

    def stepEnabled(self) -> QAbstractSpinBox.StepEnabledFlag:  # noqa: N802 - Qt's name
        """Both ways, unless the field is only shown."""
        if self.isReadOnly():
            return QAbstractSpinBox.StepEnabledFlag.StepNone
        flags = QAbstractSpinBox.StepEnabledFlag
        return flags.StepUpEnabled | flags.StepDownEnabled

    def validate(self, text: str, place: int) -> tuple[QValidator.State, str, int]:
        """Let everything be typed; it is read when it is left."""
        return QValidator.State.Acceptable, text, place

    def fixup(self, text: str) -> str:
        """Leave a text as it was typed."""
        return text

    def sizeHint(self) -> QSize:
        """Return a size that holds a usual length."""
        return self._sized("00 ft 00-00/00 in")

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return a size that still holds most lengths."""
        return self._sized("00 ft 00 in")

    def _sized(self, text: str) -> QSize:
        line = self.lineEdit().sizeHint()
        return QSize(self.fontMetrics().horizontalAdvance(text) + 36, line.height() + 4)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Bring the old text back on Esc; enter on Return and stay here."""
        if event.key() == Qt.Key.Key_Escape and (self.is_changed or self._wrong):
            self._settling.stop()
            self._show_text(
                "" if self._value is None else self._typing.format(self._value)
            )
            self.refused.emit("")
            event.accept()
            return
        super().keyPressEvent(event)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Leave the wheel to the list that the field is in."""
        event.ignore()

    @guarded
    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the field, with a frame when its text is wrong."""
        super().paintEvent(event)
        if self._wrong:
            with QPainter(self) as painter:
                painter.setPen(QPen(QColor(theme_of(self.palette()).stop), 3))
                painter.drawRect(self.rect().adjusted(1, 1, -2, -2))

    # ----- inside -----

    @property
    def _typing(self) -> Typing:
        return typing_of(self._spec, style=self._style)

    def _show_text(self, text: str) -> None:
        self._shown = text
        self.lineEdit().setText(text)
        self.mark(wrong=False)

    def _tell_exact(self) -> None:
        """Say in the tooltip what rounding hides."""
        exact = self._typing.exact
        hidden = ""
        if exact is not None and self._value is not None:
            rounded = self._typing.parse(self._shown)
            hidden = exact(self._value) if abs(rounded - self._value) > 1e-9 else ""
        self.setToolTip(f"exactly {hidden}" if hidden else "")
