"""The dock with the room: its view, its buttons, and a note where it cannot be."""

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import (
    QComboBox,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QStackedWidget,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from core.model.barn import object_ids
from viewer.paper.guarded import guarded
from viewer.paper.theme import LIGHT, Theme
from viewer.room3d.camera import Camera, beside, kept_above_floor, ray_through
from viewer.room3d.eyes import eye_name, eye_points
from viewer.room3d.marks import clashes_at, stopped, tags
from viewer.room3d.note import no_opengl
from viewer.room3d.picking import Hit, Targets, line_under, ray_hit
from viewer.room3d.scene import RoomScene, SceneMemo
from viewer.room3d.shown import Shown
from viewer.session import Session

if TYPE_CHECKING:
    from viewer.room3d.view import RoomView

__all__ = ["Room3dPanel"]

_FINDING_AWAY = 130.0  # from the eye to a finding that is brought into view [in]
_HINT_WALK = "W A S D or arrows walk, Q E and the mouse turn, Shift hurries, Esc leaves"
_HINT_ORBIT = "Drag turns, right button moves, wheel nears, double click looks at"


class Room3dPanel(QWidget):
    """The room in 3-D with its buttons; of the same document, selection and lift.

    The view is made when it is first shown: loading OpenGL takes a moment. Emits
    `picture_wanted` when a picture of what is seen is asked for.
    """

    picture_wanted = Signal()

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.view: RoomView | None = None
        self.theme: Theme = LIGHT
        self.scene: RoomScene | None = None
        self._memo = SceneMemo()
        self._targets: tuple[RoomScene, Targets] | None = None
        self._eyes: dict[str, Camera] = {}
        self._finding: int | None = None
        self._has_begun = False
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.timeout.connect(self.refresh)
        self._lay_out()
        self._listen()

    @property
    def title(self) -> str:
        """Its name."""
        return "Room in 3-D"

    @property
    def camera(self) -> Camera | None:
        """The eye of the view, None before it was ever shown."""
        return None if self.view is None else self.view.camera

    @property
    def is_stale(self) -> bool:
        """Whether a change has not been shown yet."""
        return self._soon.isActive()

    # ----- making it -----

    def _lay_out(self) -> None:
        self.walk_button = _button("&Walk", "Walk through the room at eye height")
        self.envelope_button = _button("&Air", "Show the air to keep round every run")
        self.animal_button = _button("A&nimals", "Show animals in the pens, for scale")
        self.whole_button = QToolButton()
        self.whole_button.setText("W&hole room")
        self.whole_button.setToolTip("Look at the whole room from outside (0)")
        self.eyes = QComboBox()
        self.eyes.setAccessibleName("Look from")
        self.eyes.setMinimumContentsLength(16)
        self.eyes.setToolTip("Look from a named place")
        self.picture_button = QToolButton()
        self.picture_button.setText("Pict&ure...")
        self.picture_button.setToolTip("Write a picture as it is seen now (Ctrl+I)")
        self.hint = QLabel(_HINT_ORBIT)
        self.bar = QWidget()
        row = QHBoxLayout(self.bar)
        row.setContentsMargins(4, 2, 4, 2)
        for widget in (self.walk_button, self.whole_button, self.eyes):
            row.addWidget(widget)
        row.addWidget(self.envelope_button)
        row.addWidget(self.animal_button)
        row.addWidget(self.picture_button)
        row.addWidget(self.hint, 1)
        self.hint.setMinimumWidth(0)
        self.stack = QStackedWidget()
        self.stack.addWidget(self._note_page())
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.bar)
        column.addWidget(self.stack, 1)
        self.bar.setEnabled(False)

    def _note_page(self) -> QWidget:
        page = QWidget()
        self.note = QLabel()
        self.note.setWordWrap(True)
        self.note.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.note.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.again = QPushButton("&Try again")
        self.again.clicked.connect(self._on_again_clicked)
        column = QVBoxLayout(page)
        column.addStretch(1)
        column.addWidget(self.note)
        column.addWidget(self.again, 0, Qt.AlignmentFlag.AlignCenter)
        column.addStretch(1)
        self.again.hide()
        return page

    def _listen(self) -> None:
        session = self.session
        for signal in (
            session.document_changed,
            session.preview_changed,
            session.report_changed,
        ):
            signal.connect(self._on_scene_changed)
        session.lift_changed.connect(self._on_lift_changed)
        session.selection_changed.connect(self._on_selection_changed)
        self.walk_button.toggled.connect(self._on_walk_toggled)
        self.whole_button.clicked.connect(self.show_whole)
        self.envelope_button.toggled.connect(self._on_state_changed)
        self.animal_button.toggled.connect(self._on_state_changed)
        self.eyes.activated.connect(self._on_eye_chosen)
        self.picture_button.clicked.connect(self.picture_wanted)

    @guarded
    def showEvent(self, event: QShowEvent) -> None:
        """Make the view when it is first shown."""
        super().showEvent(event)
        if not self._has_begun:
            self._has_begun = True
            self._begin()
        elif self.view is not None:
            self._on_scene_changed()

    def _begin(self) -> None:
        reason = no_opengl()
        if reason:
            self._tell(reason)
            return
        try:
            # a late import: it needs OpenGL, and takes half a second
            from viewer.room3d.view import RoomView
        except ImportError as error:
            self._tell(f"The room needs OpenGL, which could not be loaded ({error}).")
            return
        self.view = RoomView()
        self.view.clicked.connect(self._on_view_clicked)
        self.view.looked_at.connect(self._on_view_looked_at)
        self.view.walk_ended.connect(self._on_walk_ended)
        self.view.draw_failed.connect(self._on_draw_failed)
        self.setFocusProxy(self.view)
        self.stack.addWidget(self.view)
        self.stack.setCurrentWidget(self.view)
        self.bar.setEnabled(True)
        self.refresh()
        self.show_whole()

    def _tell(self, words: str) -> None:
        """Show a note in the place of the view."""
        self.note.setText(words)
        self.stack.setCurrentIndex(0)

    def _on_draw_failed(self, words: str) -> None:
        self._tell(
            f"The room could not be drawn ({words}). Plan, sections, findings and all "
            "sheets work as always."
        )
        self.again.show()

    def _on_again_clicked(self) -> None:
        if self.view is not None:
            self.again.hide()
            self.stack.setCurrentWidget(self.view)
            self.view.update()

    # ----- what is shown -----

    def set_theme(self, theme: Theme) -> None:
        """Show the room in another theme."""
        self.theme = theme
        self._on_state_changed()

    def show_whole(self) -> None:
        """Look at the whole room from outside."""
        self.walk_button.setChecked(False)
        if self.view is not None:
            self.view.show_whole()

    def look(self, camera: Camera) -> None:
        """Look from another place."""
        if self.view is not None:
            self.view.look(camera)

    def refresh(self) -> None:
        """Show the barn as it is now."""
        self._soon.stop()
        view, session = self.view, self.session
        if view is None:
            return
        before, report = self.scene, session.report
        fits = report if report is not None and report.barn is session.barn else None
        self.scene = self._memo.scene(
            session.barn, report, session.meshes, session.catalogue
        )
        view.show_scene(
            self.scene, self._shown(), tags(fits, session.barn, session.finding)
        )
        self._show_eyes()
        if before is None or before.barn.name != self.scene.barn.name:
            self.show_whole()

    def _shown(self) -> Shown:
        session = self.session
        runs = self.scene.runs if self.scene else ()
        report = session.report
        return Shown(
            theme=self.theme,
            lift=session.lift,
            selection=session.selection,
            clashes=clashes_at(report, runs, session.lift),
            stopped=stopped(report),
            all_envelopes=self.envelope_button.isChecked(),
            animals=self.animal_button.isChecked(),
        )

    def _show_eyes(self) -> None:
        eyes = dict(eye_points(self.session.barn))
        if eyes != self._eyes:
            self._eyes = eyes
            self.eyes.clear()
            self.eyes.addItems(list(eyes))
            self.eyes.setCurrentIndex(-1)
            self.eyes.setPlaceholderText("Look from")

    # ----- what the session tells -----

    def _on_scene_changed(self) -> None:
        if self.view is not None and self.isVisible():
            self._soon.start(0)

    def _on_state_changed(self) -> None:
        if self.view is None or self.scene is None or not self.isVisible():
            return
        session = self.session
        self.view.show_state(
            self._shown(), tags(session.report, session.barn, session.finding)
        )

    def _on_lift_changed(self, _lift: float) -> None:
        self._on_state_changed()

    def _on_selection_changed(self) -> None:
        self._on_state_changed()
        number = self.session.finding
        if number != self._finding:
            self._finding = number
            if number is not None:
                self._look_at_finding(number)

    def _look_at_finding(self, number: int) -> None:
        report = self.session.report
        if self.view is None or report is None:
            return
        points = report.findings[number - 1].points
        if points:
            x, y, z = (sum(c) / len(points) for c in zip(*points, strict=True))
            self.walk_button.setChecked(False)
            room = self.session.barn.room
            self.look(beside((x, y, z), room, away=_FINDING_AWAY))

    def _look_at(self, at: tuple[float, float, float], away: float) -> None:
        """Look at a place the way one looks now, from so far away [in]."""
        if self.view is None:
            return
        now = self.view.camera
        scale = away / max(now.distance, 1e-6)
        x, y, z = (
            p + scale * (e - k) for p, e, k in zip(at, now.eye, now.look, strict=True)
        )
        self.view.look(kept_above_floor(Camera(eye=(x, y, z), look=at)))

    # ----- what the user does -----

    def _on_walk_toggled(self, walk: bool) -> None:  # noqa: FBT001 - slot of a signal
        self.hint.setText(_HINT_WALK if walk else _HINT_ORBIT)
        if self.view is not None:
            self.view.set_walking(walk)
            self.view.setFocus()

    def _on_walk_ended(self) -> None:
        self.walk_button.setChecked(False)

    def _on_eye_chosen(self, _index: int) -> None:
        name = self.eyes.currentText()
        camera = self._eyes.get(name)
        if camera is not None:
            self.walk_button.setChecked(False)
            self.look(camera)
        for eye in self.session.barn.eyes:
            if eye_name(eye.id) == name:
                self.session.set_eye(eye.id)

    def hit_at(self, x: float, y: float) -> Hit | None:
        """Return what is under a pixel of the view."""
        view, scene = self.view, self.scene
        if view is None or scene is None:
            return None
        pixel, size, lift = (x, y), view.size_px, self.session.lift
        ray = ray_through(view.camera, pixel, size)
        if self._targets is None or self._targets[0] is not scene:
            self._targets = (scene, Targets(scene.aimed_at))
        hits = [ray_hit(ray, self._targets[1])]
        hits += [
            ray_hit(ray, Targets((form.piece,)), moved=form.way(lift))
            for form in scene.runs
        ]
        shut = [
            piece
            for wall, pieces in scene.walls.items()
            if view.stage.is_shut(wall)
            for piece in pieces
        ]
        hits.append(ray_hit(ray, Targets(shut)))
        nearest = min((h for h in hits if h), key=lambda h: h.distance, default=None)
        lines = [(form.run.id, form.axis + form.way(lift)) for form in scene.runs]
        if view.stage.hung is not None:
            lines += [(owner, points) for owner, _, points in view.stage.hung.lines]
        return line_under(view.camera, pixel, size, lines, nearest)

    def _on_view_clicked(self, x: float, y: float, more: bool) -> None:  # noqa: FBT001 - slot of a signal
        hit = self.hit_at(x, y)
        known = set(object_ids(self.session.document))
        owner = hit.owner if hit is not None and hit.owner in known else None
        chosen = self.session.selection
        if owner is None:
            self.session.select(chosen if more else ())
        elif not more:
            self.session.select((owner,))
        elif owner in chosen:
            self.session.select(each for each in chosen if each != owner)
        else:
            self.session.select((*chosen, owner))

    def _on_view_looked_at(self, x: float, y: float) -> None:
        hit = self.hit_at(x, y)
        if hit is not None and self.view is not None and not self.view.is_walking:
            self._look_at(hit.at, self.view.camera.distance)


def _button(text: str, tip: str) -> QToolButton:
    button = QToolButton()
    button.setText(text)
    button.setToolTip(tip)
    button.setCheckable(True)
    return button
