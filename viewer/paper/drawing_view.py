"""A drawing of the session's barn with rulers, tools and a live read-out.

It holds no truth: it draws what the session shows, feeds its tool with events,
and asks the session for what comes of them.
"""

from abc import abstractmethod
from collections.abc import Sequence

from PySide6.QtCore import QPoint, QRectF, Qt, QTimer, Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QGridLayout, QLabel, QWidget

from core.analysis.report import Report
from core.drawing.memo import Memo
from core.drawing.records import Drawing
from core.drawing.shown import Shown
from core.errors import LiftlaneError
from core.geometry.shapes import Vec2, Vec3
from core.model.barn import Barn
from core.rules.finding import Outcome
from viewer.paper.canvas import Canvas
from viewer.paper.guarded import guarded
from viewer.paper.painter import Look
from viewer.paper.rulers import Ruler
from viewer.paper.theme import LIGHT, Theme
from viewer.paper.turns import Turns
from viewer.session import Session
from viewer.tools.events import Event, Press
from viewer.tools.pointer import Pointer
from viewer.tools.steps import Stage, Step

__all__ = ["DrawingView"]

_REST = 30  # a pointer that stands still so long during a drag has stopped [ms]
_SIGHT = 48.0  # what is brought into sight is at least so far inside [px]


class DrawingView(QWidget):
    """One view of the document; emits `pointed(words)` with the live read-out.

    Views with one `common` memo share what they all need; those with the same
    `turns` are drawn one after another.

    `menu_asked` passes on a right click, in global coordinates, after what lies
    under it has been chosen.
    """

    pointed = Signal(str)
    menu_asked = Signal(QPoint)

    def __init__(
        self,
        session: Session,
        *,
        common: Memo | None = None,
        turns: Turns | None = None,
        v_sign: int = 1,
    ) -> None:
        super().__init__()
        self.session = session
        self._memo = Memo(common)
        self._pointer = Pointer()
        self._theme = LIGHT
        self._drawing: Drawing | None = None
        self._shown = session.shown()
        self._report: Report | None = None
        self._cautions: frozenset[str] = frozenset()
        self._problem = ""  # why what is being dragged cannot go there
        self.canvas = Canvas(self)
        self._across = Ruler(Qt.Orientation.Horizontal)
        self._upright = Ruler(Qt.Orientation.Vertical, sign=v_sign)
        self._nothing = QLabel(self)
        self._arrange()
        self._turns = turns or Turns(self)
        self._report_due = QTimer(self)
        self._report_due.setSingleShot(True)
        self._report_due.setInterval(_REST)
        self._report_due.timeout.connect(self._on_report_due)
        self._listen()

    def _arrange(self) -> None:
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setSpacing(0)
        grid.addWidget(self._across, 0, 1)
        grid.addWidget(self._upright, 1, 0)
        grid.addWidget(self.canvas, 1, 1)
        grid.addWidget(self._nothing, 1, 1, Qt.AlignmentFlag.AlignCenter)
        self.setFocusProxy(self.canvas)
        self.canvas.setAccessibleName(self.title)
        self._nothing.hide()

    def _listen(self) -> None:
        session = self.session
        for signal in (
            session.document_changed,
            session.preview_changed,
            session.selection_changed,
            session.lift_changed,
            session.cut_changed,
            session.run_changed,
        ):
            signal.connect(self.ask_to_draw)
        session.report_changed.connect(self._on_report_changed)
        session.path_changed.connect(self._on_path_changed)
        session.style_changed.connect(self._on_style_changed)
        self.canvas.acted.connect(self._on_canvas_acted)
        self.canvas.hovered.connect(self._on_canvas_hovered)
        self.canvas.view_changed.connect(self._on_view_changed)
        self.canvas.menu_asked.connect(self.menu_asked)

    # ----- what each view says itself -----

    @property
    @abstractmethod
    def title(self) -> str:
        """Its name."""

    @abstractmethod
    def draw(
        self, barn: Barn, report: Report | None, shown: Shown, memo: Memo
    ) -> Drawing:
        """Return its drawing; a `LiftlaneError` says why there is none."""

    @abstractmethod
    def readout(self, at: Vec2) -> str:
        """Return the words for a place of its plane [in]."""

    # ----- drawing -----

    @property
    def drawing(self) -> Drawing | None:
        """What it shows, None if there is nothing to show."""
        return self._drawing

    @property
    def is_stale(self) -> bool:
        """Whether it is about to draw something newer."""
        return self._turns.is_waiting(self.refresh)

    def set_theme(self, theme: Theme) -> None:
        """Draw in another theme."""
        self._theme = theme
        self.refresh()
        self._on_view_changed()

    def refresh(self) -> None:
        """Draw what the session shows now."""
        self._turns.leave(self.refresh)
        session = self.session
        self._shown = session.shown()
        self._look_at_report(session.report)
        try:
            drawing = self.draw(session.barn, session.report, self._shown, self._memo)
        except LiftlaneError as error:
            self._show_nothing(str(error))
            return
        self._nothing.hide()
        self._drawing = drawing
        self.canvas.show_drawing(drawing, self._look(), session.style)

    def bring_into_sight(self, points: Sequence[Vec3]) -> None:
        """Move the sheet so that a place of the room [in] is well inside it."""
        drawing, canvas = self.drawing, self.canvas
        if drawing is None or not points:
            return
        x, y, z = (sum(axis) / len(points) for axis in zip(*points, strict=True))
        at = canvas.to_pixels(drawing.frame.point((x, y, z)))
        size = canvas.viewport().size()
        inside = QRectF(0.0, 0.0, size.width(), size.height()).adjusted(
            _SIGHT, _SIGHT, -_SIGHT, -_SIGHT
        )
        if not inside.contains(at):
            off = inside.center() - at
            canvas.pan(off.x(), off.y())

    def _show_nothing(self, why: str) -> None:
        self._drawing = None
        self._nothing.setText(why)
        self._nothing.show()

    def _look(self) -> Look:
        return Look(
            theme=self._theme,
            selection=self._shown.selection,
            cautions=self._cautions,
        )

    def _look_at_report(self, report: Report | None) -> None:
        if report is self._report:
            return
        self._report = report
        findings = report.findings if report else ()
        self._cautions = frozenset(
            str(number)
            for number, finding in enumerate(findings, 1)
            if finding.outcome is Outcome.CAUTION
        )

    @guarded
    def showEvent(self, event: QShowEvent) -> None:
        """Catch up with what changed while it was hidden."""
        super().showEvent(event)
        self.refresh()

    def ask_to_draw(self) -> None:
        """Draw anew when its turn comes, if it is seen at all."""
        if self.isVisible():
            self._turns.wait(self.refresh)

    def _on_report_changed(self) -> None:
        """Leave a report to the next move if there is likely to be one soon."""
        session = self.session
        if session.barn is not session.document:
            self._report_due.start()
        elif not session.is_checking:
            self.ask_to_draw()

    def _on_report_due(self) -> None:
        """Draw a report that came during a drag, unless a frame has done it."""
        if self.session.report is not self._report and not self.session.is_checking:
            self.ask_to_draw()

    def _on_path_changed(self) -> None:
        self._pointer = Pointer()
        self.canvas.show_notes(())
        self.refresh()
        self.canvas.fit()

    def _on_style_changed(self) -> None:
        self.refresh()
        self._on_view_changed()

    def _on_view_changed(self) -> None:
        seen, style = self.canvas.seen(), self.session.style
        theme = self._theme
        self._across.show_range(seen.low[0], seen.high[0], theme=theme, style=style)
        self._upright.show_range(seen.low[1], seen.high[1], theme=theme, style=style)

    # ----- the tool -----

    def _on_canvas_acted(self, event: Event) -> None:
        if isinstance(event, Press) and self.is_stale:
            self.refresh()
        if self._drawing is None:
            return
        stage = Stage(
            barn=self.session.document,
            drawing=self._drawing,
            shown=self._shown,
            seen=self.canvas.seen() if isinstance(event, Press) else None,
        )
        self._take(self._pointer.feed(event, stage))

    def _take(self, step: Step) -> None:
        session = self.session
        if step.selection is not None:
            session.select(self._in_order(step.selection))
        if step.cut is not None:
            session.set_cut(step.cut)
        self.canvas.show_notes(step.notes, step.band)
        if step.request is not None:
            session.ask(step.request.name, step.request.edit)
        elif step.preview is not None or not step.is_dragging:
            session.preview(step.preview)
        self._problem = step.problem if step.is_dragging else ""
        if step.problem and not step.is_dragging:
            session.failed.emit(step.problem)

    def _in_order(self, ids: frozenset[str]) -> tuple[str, ...]:
        kept = tuple(each for each in self.session.selection if each in ids)
        return (*kept, *sorted(ids.difference(kept)))

    def _on_canvas_hovered(self, at: Vec2 | None) -> None:
        self._across.show_pointer(at[0] if at else None)
        self._upright.show_pointer(at[1] if at else None)
        words = self.readout(at) if at and self._drawing else ""
        self.pointed.emit(self._problem or words)
