"""The lift: a slider in height above the floor, its marks, and a play button."""

from collections.abc import Iterator
from dataclasses import dataclass
from time import perf_counter

from PySide6.QtCore import (
    QEvent,
    QPointF,
    QRectF,
    QSignalBlocker,
    QSize,
    Qt,
    QTimer,
)
from PySide6.QtGui import QBrush, QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import (
    QGridLayout,
    QLabel,
    QSizePolicy,
    QSlider,
    QToolButton,
    QWidget,
)

from core.analysis.report import Report
from core.model.runs import Run
from core.placement.runs import stow_height
from core.quantities import LengthStyle, format_length
from core.rules.finding import Outcome
from viewer.panels.colours import OUTCOME_SIGNS
from viewer.paper.guarded import guarded
from viewer.paper.theme import LIGHT, Theme
from viewer.session import Session

__all__ = ["Heights", "LiftPanel", "heights_of", "in_the_way"]

_STEPS = 16  # of the slider per inch
_SWEEP = 6.0  # one way up or down in play [s]
_FRAME = 16  # between two steps of play [ms]
_WIDEST = "00 ft 00-00/00 in"  # beside the scale
_TEXT_AT = 13.0  # left edge of the texts beside the scale [px]
_LETTERS = 28  # greatest width of the panel
_CLASH = OUTCOME_SIGNS[Outcome.STOP]


@dataclass(frozen=True, slots=True, kw_only=True)
class Heights:
    """Working and stowed height of a run's axis, and its blocked heights [in]."""

    run: str
    working: float
    stowed: float
    blocked: tuple[tuple[float, float], ...] = ()

    @property
    def travel(self) -> float:
        """The height between [in]."""
        return self.stowed - self.working

    def at(self, lift: float) -> float:
        """Return the height at a lift [in]."""
        return self.working + lift * self.travel

    def lift(self, height: float) -> float:
        """Return the lift at a height [-]."""
        return (height - self.working) / self.travel if self.travel else 0.0


def heights_of(session: Session) -> Heights | None:
    """Return the heights of the run that the long section shows."""
    for run in session.barn.runs:
        if run.id == session.run:
            return _heights(session, run, session.report)
    return None


def in_the_way(report: Report | None, run: str | None, height: float) -> list[str]:
    """Return what is inside the envelope of a run at a height of its axis [in]."""
    known = report.runs.get(run) if report and run else None
    found = [
        contact.other
        for contact in (known.contacts if known else ())
        if any(low <= height <= high for low, high in contact.bands)
    ]
    return list(dict.fromkeys(found))


def _heights(session: Session, run: Run, report: Report | None) -> Heights:
    found = report.runs.get(run.id) if report else None
    if found is not None:
        return Heights(
            run=run.name or run.id,
            working=found.working_height,
            stowed=found.stow_height,
            blocked=found.blocked,
        )
    stowed = stow_height(run, session.barn.room, session.catalogue)
    return Heights(run=run.name or run.id, working=run.working_height, stowed=stowed)


class _Scale(QWidget):
    """The marks beside the slider: heights, blocked bands, the present height."""

    def __init__(self) -> None:
        super().__init__()
        self._heights: Heights | None = None
        self._lift = 0.0
        self._theme, self._style = LIGHT, LengthStyle.FEET
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Expanding)

    def sizeHint(self) -> QSize:
        """Leave room for the words."""
        words = self.fontMetrics().horizontalAdvance(_WIDEST)
        return QSize(round(_TEXT_AT) + words, 160)

    def show_heights(
        self, heights: Heights | None, lift: float, *, theme: Theme, style: LengthStyle
    ) -> None:
        """Show the marks of a run at a lift."""
        state = (heights, lift, theme, style)
        if state != (self._heights, self._lift, self._theme, self._style):
            self._heights, self._lift, self._theme, self._style = state
            self.update()

    def _pixel(self, lift: float) -> float:
        pad = self.fontMetrics().height() * 0.8  # for the words at both ends
        return self.height() - pad - lift * (self.height() - 2 * pad)

    @guarded
    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint the marks."""
        heights, theme = self._heights, self._theme
        if heights is None:
            return
        foot, head = (QPointF(4.0, self._pixel(end)) for end in (0.0, 1.0))
        with QPainter(self) as painter:
            painter.setPen(QPen(QColor(theme.plain)))
            painter.drawLine(foot, head)
            for low, high in heights.blocked:
                self._paint_band(painter, heights.lift(low), heights.lift(high))
            for lift, words, height in self._marks(heights):
                self._paint_mark(painter, lift, words, height)

    def _marks(self, heights: Heights) -> Iterator[tuple[float, str, float]]:
        yield 0.0, "working", heights.working
        yield 1.0, "stowed", heights.stowed

    def _paint_mark(
        self, painter: QPainter, lift: float, words: str, height: float
    ) -> None:
        pixel = self._pixel(lift)
        painter.setPen(QPen(QColor(self._theme.strong)))
        painter.drawLine(QPointF(0.0, pixel), QPointF(10.0, pixel))
        text = format_length(height, style=self._style)
        painter.drawText(QPointF(_TEXT_AT, pixel + 4.0), text)
        painter.setPen(QPen(QColor(self._theme.plain)))
        line = painter.fontMetrics().height()
        below = line if lift > 0.5 else -line
        painter.drawText(QPointF(_TEXT_AT, pixel + 4.0 + below), words)

    def _paint_band(self, painter: QPainter, low: float, high: float) -> None:
        bottom, top = (self._pixel(min(max(end, 0.0), 1.0)) for end in (low, high))
        box = QRectF(0.0, top, 8.0, max(bottom - top, 2.0))
        colour = QColor(self._theme.stop)
        painter.fillRect(box, QBrush(colour, Qt.BrushStyle.BDiagPattern))
        painter.setPen(QPen(colour, 1.5))
        painter.drawRect(box)
        line = painter.fontMetrics().lineSpacing()
        if bottom - top > line:  # beside the words at both ends, never over them
            least, most = self._pixel(1.0) + 2 * line, self._pixel(0.0) - 2 * line
            at = max(min((bottom + top) / 2, most), least)
            painter.drawText(QPointF(_TEXT_AT, at + 4.0), "blocked")


class LiftPanel(QWidget):
    """Shows and sets the session's lift; Space plays it while it has the focus."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self._session = session
        self._theme = LIGHT
        self._heights: Heights | None = None
        self._way = 1.0
        self._before = 0.0
        self.slider = QSlider(Qt.Orientation.Vertical)
        self.slider.setAccessibleName("Lift: height of the run above the floor")
        self.play_button = QToolButton()
        self._scale = _Scale()
        self._height = QLabel()
        self._run = QLabel()
        self.clashes = QLabel()
        self._timer = QTimer(self)
        self._timer.setInterval(_FRAME)
        self._timer.setTimerType(Qt.TimerType.PreciseTimer)
        self._timer.timeout.connect(self._on_timer_timeout)
        self._arrange()
        self._listen()
        self._on_report_changed()
        self._show_playing()

    def _arrange(self) -> None:
        grid = QGridLayout(self)
        grid.setContentsMargins(6, 6, 6, 6)
        for label in (self._run, self._height):
            label.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.clashes.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        self.clashes.setTextFormat(Qt.TextFormat.PlainText)
        self.clashes.setAccessibleName("what is inside the envelope at this height")
        fixed = QSizePolicy.Policy.Fixed
        self.clashes.setSizePolicy(QSizePolicy.Policy.Ignored, fixed)
        self._measure()
        grid.addWidget(self._run, 0, 0, 1, 2)
        grid.addWidget(self.slider, 1, 0)
        grid.addWidget(self._scale, 1, 1)
        grid.addWidget(self._height, 2, 0, 1, 2)
        grid.addWidget(self.clashes, 3, 0, 1, 2)
        grid.addWidget(self.play_button, 4, 0, 1, 2, Qt.AlignmentFlag.AlignCenter)
        self.slider.setToolTip("Height of the run's pipe at its supports")

    def _measure(self) -> None:
        """Take the sizes that hang on the size of the text."""
        metrics = self.fontMetrics()
        self.setMaximumWidth(metrics.averageCharWidth() * _LETTERS)
        # two lines, whatever they say, so that the slider stays as it is
        self.clashes.setFixedHeight(2 * metrics.lineSpacing() + 2)

    def changeEvent(self, event: QEvent) -> None:
        """Follow the size of the text."""
        super().changeEvent(event)
        if event.type() is QEvent.Type.FontChange:
            self._measure()

    def _listen(self) -> None:
        session = self._session
        session.lift_changed.connect(self._on_lift_changed)
        session.report_changed.connect(self._on_report_changed)
        session.run_changed.connect(self._on_report_changed)
        session.document_changed.connect(self._on_report_changed)
        session.style_changed.connect(self._show_lift)
        self.slider.valueChanged.connect(self._on_slider_moved)
        self.play_button.clicked.connect(self.toggle)

    @property
    def is_playing(self) -> bool:
        """Whether the lift sweeps by itself."""
        return self._timer.isActive()

    def set_theme(self, theme: Theme) -> None:
        """Show the marks in another theme."""
        self._theme = theme
        self._show_lift()

    def toggle(self) -> None:
        """Begin to sweep the lift, or hold it."""
        if self.is_playing:
            self._timer.stop()
        else:
            self._before = perf_counter()
            if self._session.lift >= 1.0:
                self._way = -1.0
            elif self._session.lift <= 0.0:
                self._way = 1.0
            self._timer.start()
        self._show_playing()

    def stop(self) -> None:
        """Hold the lift."""
        if self.is_playing:
            self.toggle()

    def _show_playing(self) -> None:
        arrow = "\u275a\u275a  Hold" if self.is_playing else "\u25b6  Sweep"
        self.play_button.setText(arrow)

    def _on_timer_timeout(self) -> None:
        now = perf_counter()
        step, self._before = (now - self._before) / _SWEEP, now
        lift = self._session.lift + self._way * step
        if not 0.0 < lift < 1.0:
            self._way = -self._way
        self._session.set_lift(lift)

    def _on_slider_moved(self, value: int) -> None:
        steps = self.slider.maximum()
        if steps:
            self._session.set_lift(value / steps)

    def _on_report_changed(self) -> None:
        heights = heights_of(self._session)
        if heights != self._heights:
            self._heights = heights
            travel = max(0, round(heights.travel * _STEPS)) if heights else 0
            with QSignalBlocker(self.slider):
                self.slider.setRange(0, travel)
                self.slider.setSingleStep(_STEPS)
                self.slider.setPageStep(6 * _STEPS)
        for widget in (self.slider, self.play_button):
            widget.setEnabled(heights is not None)
        self._show_lift()

    def _on_lift_changed(self, _lift: float) -> None:
        self._show_lift()

    def _show_lift(self) -> None:
        heights, lift, style = self._heights, self._session.lift, self._session.style
        self._scale.show_heights(heights, lift, theme=self._theme, style=style)
        if heights is None:
            self._run.setText("no run")
            self._height.setText("")
            self.clashes.setText("")
            return
        value = round(lift * self.slider.maximum())
        if value != self.slider.value():
            with QSignalBlocker(self.slider):
                self.slider.setValue(value)
        self._run.setText(heights.run)
        self._height.setText(format_length(heights.at(lift), style=style))
        self._show_clashes(heights.at(lift))

    def _show_clashes(self, height: float) -> None:
        """Say what is in the way at this height, and how many more."""
        session = self._session
        found = in_the_way(session.report, session.run, height)
        words = f"{_CLASH} {found[0]}" if found else ""
        if len(found) > 1:
            words += f"\nand {len(found) - 1} more"
        if words != self.clashes.text():
            self.clashes.setText(words)
            self.clashes.setToolTip("In the way here: " + ", ".join(found))
