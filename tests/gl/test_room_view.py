"""What the room view draws, by the colour of its pixels; what clicks and keys do."""

import math
from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QAction, QColor
from PySide6.QtWidgets import QDockWidget, QMainWindow
from pytestqt.qtbot import QtBot

from core.model.barn import Barn
from core.model.fixtures import PlainBox
from core.model.job import EyePoint
from core.placement.runs import height_at
from tests.gl.conftest import ShowRoom, drawn, middle, of_hue, pixels
from tests.specimens import plain_barn
from viewer.paper.theme import DARK, LIGHT
from viewer.room3d.camera import EYE_HEIGHT, Camera, pixel_of
from viewer.room3d.colours import backdrop
from viewer.room3d.panel import Room3dPanel

pytestmark = pytest.mark.gl

LEFT_BOX = PlainBox(
    id="box-left", x=200.0, y=20.0, z=60.0, length=16.0, width=16.0, height=16.0
)
RIGHT_BOX = replace(LEFT_BOX, id="box-right", y=256.0)
# across run-1 (y = 60) at its working height of 50 in
IN_THE_WAY = PlainBox(
    id="box-1", x=200.0, y=60.0, z=46.0, length=10.0, width=10.0, height=10.0
)
# from the main door, which is in the middle of the front wall, along the room
FROM_THE_DOOR = Camera(eye=(20.0, 138.0, EYE_HEIGHT), look=(400.0, 138.0, EYE_HEIGHT))
FROM_THE_ALLEY = Camera(eye=(120.0, 138.0, 70.0), look=(200.0, 60.0, 52.0))


def _with(*boxes: PlainBox) -> Barn:
    barn = plain_barn()
    return replace(barn, fixtures=(*barn.fixtures, *boxes))


def _look(qtbot: QtBot, panel: Room3dPanel, camera: Camera) -> None:
    panel.look(camera)
    drawn(qtbot, panel)


def _click(qtbot: QtBot, panel: Room3dPanel, at: tuple[float, float]) -> None:
    assert panel.view is not None
    place = QPoint(math.floor(at[0]), math.floor(at[1]))
    qtbot.mouseClick(panel.view, Qt.MouseButton.LeftButton, pos=place)


def _seen(panel: Room3dPanel, point: tuple[float, float, float]) -> tuple[float, float]:
    assert panel.view is not None
    at = pixel_of(panel.view.camera, point, panel.view.size_px)
    assert at is not None
    return at


# ----- what is drawn -----


def test_the_room_stands_on_its_backdrop(panel: Room3dPanel) -> None:
    picture = pixels(panel)
    corner = QColor(backdrop(LIGHT))
    wanted = (corner.red(), corner.green(), corner.blue())
    assert np.abs(picture[2, 2].astype(int) - wanted).max() <= 1
    is_room = np.abs(picture.astype(int) - wanted).max(axis=2) > 3
    assert 0.15 < is_room.mean() < 0.9
    assert panel.view.failures == 0


def test_a_chosen_thing_is_blue_and_nothing_else_is(qtbot, show_room) -> None:
    panel = show_room(_with(LEFT_BOX))
    _look(qtbot, panel, FROM_THE_DOOR)
    assert of_hue(pixels(panel), LIGHT.accent).sum() < 20
    panel.session.select(["box-left"])
    drawn(qtbot, panel)
    at = middle(of_hue(pixels(panel), LIGHT.accent))
    # its middle, as projected (second method: the camera's own arithmetic)
    seen = _seen(panel, (200.0, 20.0, 68.0))
    assert math.dist(at, seen) < 8.0


def test_the_room_is_not_mirrored(qtbot: QtBot, show_room: ShowRoom) -> None:
    panel = show_room(_with(LEFT_BOX, RIGHT_BOX))
    _look(qtbot, panel, FROM_THE_DOOR)
    half = panel.view.width() / 2
    for name, is_left in (("box-left", True), ("box-right", False)):
        panel.session.select([name])
        drawn(qtbot, panel)
        at, _down = middle(of_hue(pixels(panel), LIGHT.accent))
        assert (at < half) is is_left
        assert abs(at - half) > 50


def test_a_run_moves_with_the_lift(qtbot: QtBot, panel: Room3dPanel) -> None:
    session = panel.session
    run = session.barn.runs[0]
    session.select([run.id])
    eye = (204.0, 138.0, 70.0)
    _look(qtbot, panel, Camera(eye=eye, look=(204.0, 60.0, 70.0)))
    column = panel.view.width() // 2
    for lift in (0.0, 0.35, 1.0):
        session.set_lift(lift)
        drawn(qtbot, panel)
        # the air round a chosen run is a paler blue; the tube itself is the full one
        full = of_hue(pixels(panel), LIGHT.accent, slack=0.06)
        rows = np.nonzero(full[:, column])[0]
        height = height_at(run, session.barn.room, session.catalogue, lift=lift)
        _, down = _seen(panel, (204.0, 60.0, height))
        assert len(rows)
        assert abs(rows.mean() + 0.5 - down) < 4.0


def test_a_clash_is_vermilion_only_where_and_when_it_is(qtbot, show_room) -> None:
    panel = show_room(_with(IN_THE_WAY))
    _look(qtbot, panel, FROM_THE_ALLEY)
    red = of_hue(pixels(panel), LIGHT.stop)
    right, down = _seen(panel, (200.0, 60.0, 51.0))
    near = red[int(down) - 12 : int(down) + 12, int(right) - 12 : int(right) + 12]
    assert near.mean() > 0.3  # hatched: not all of it
    far = red[:, : int(right) - 200]
    assert far.mean() < 0.01
    panel.session.set_lift(1.0)
    drawn(qtbot, panel)
    cleared = of_hue(pixels(panel), LIGHT.stop)
    assert cleared.sum() < 0.4 * red.sum()  # its outline stays: it clashes on the way


def test_a_sound_barn_has_no_vermilion(qtbot: QtBot, panel: Room3dPanel) -> None:
    _look(qtbot, panel, FROM_THE_ALLEY)
    assert of_hue(pixels(panel), LIGHT.stop).sum() == 0


def test_numbers_of_findings_stand_beside_their_places(show_room) -> None:
    panel = show_room(_with(IN_THE_WAY))
    tags = panel.view.overlay.tags
    assert any(
        abs(tag.points[:, 0].mean() - 200.0) < 12.0 and 1 in tag.numbers for tag in tags
    )
    assert panel.view.overlay.isVisible()


def test_walls_and_ceiling_before_the_eye_fade(qtbot, show_room) -> None:
    panel = show_room(_with(LEFT_BOX))
    panel.session.select(["box-left"])
    for eye in ((200.0, -200.0, 80.0), (200.0, 40.0, 400.0), (-200.0, 20.0, 70.0)):
        _look(qtbot, panel, Camera(eye=eye, look=(200.0, 20.0, 68.0)))
        assert of_hue(pixels(panel), LIGHT.accent, slack=0.2).sum() > 60


def test_the_air_round_all_runs_is_shown_on_request(qtbot, panel) -> None:
    _look(qtbot, panel, Camera(eye=(204.0, 138.0, 70.0), look=(204.0, 60.0, 50.0)))
    before = pixels(panel).astype(int)
    panel.envelope_button.setChecked(True)
    drawn(qtbot, panel)
    bluer = (pixels(panel).astype(int) - before) @ (-1, 0, 1) > 10
    column = np.nonzero(bluer[:, panel.view.width() // 2])[0]
    # 6 in above and below the axis of the tube and more for its points
    _, top = _seen(panel, (204.0, 60.0, 56.0))
    _, low = _seen(panel, (204.0, 60.0, 44.0))
    assert column.min() <= top + 4
    assert column.max() >= low - 4


def test_animals_come_on_request(qtbot: QtBot, panel: Room3dPanel) -> None:
    before = pixels(panel)
    panel.animal_button.setChecked(True)
    drawn(qtbot, panel)
    changed = (pixels(panel) != before).any(axis=2)
    assert changed.mean() > 0.005


def test_dark_is_dark(qtbot: QtBot, panel: Room3dPanel) -> None:
    panel.set_theme(DARK)
    drawn(qtbot, panel)
    corner = QColor(backdrop(DARK))
    wanted = (corner.red(), corner.green(), corner.blue())
    picture = pixels(panel)
    assert np.abs(picture[2, 2].astype(int) - wanted).max() <= 1
    assert picture.mean() < 100


# ----- choosing -----


@pytest.mark.parametrize("name", ["box-left", "box-right"])
def test_a_click_chooses_what_is_under_it(qtbot, show_room, name: str) -> None:
    panel = show_room(_with(LEFT_BOX, RIGHT_BOX))
    _look(qtbot, panel, FROM_THE_DOOR)
    box = LEFT_BOX if name == "box-left" else RIGHT_BOX
    _click(qtbot, panel, _seen(panel, (box.x, box.y, box.z + 8.0)))
    assert panel.session.selection == (name,)


@pytest.mark.parametrize("lift", [0.0, 1.0])
def test_a_click_meets_a_thin_run_where_it_is_now(qtbot, panel, lift: float) -> None:
    panel.session.set_lift(lift)
    run = panel.session.barn.runs[0]
    room, parts = panel.session.barn.room, panel.session.catalogue
    _look(qtbot, panel, Camera(eye=(100.0, 138.0, 75.0), look=(204.0, 60.0, 66.0)))
    height = height_at(run, room, parts, lift=lift)
    right, down = _seen(panel, (230.0, 60.0, height))
    _click(qtbot, panel, (right + 1.0, down - 2.0))
    assert panel.session.selection == (run.id,)


def test_a_click_beside_everything_lets_go(qtbot, panel: Room3dPanel) -> None:
    panel.session.select(["light-1"])
    _click(qtbot, panel, (3.0, 3.0))
    assert panel.session.selection == ()


def test_a_click_with_control_chooses_one_more(qtbot, show_room) -> None:
    panel = show_room(_with(LEFT_BOX, RIGHT_BOX))
    _look(qtbot, panel, FROM_THE_DOOR)
    for box in (LEFT_BOX, RIGHT_BOX):
        right, down = _seen(panel, (box.x, box.y, box.z + 8.0))
        qtbot.mouseClick(
            panel.view,
            Qt.MouseButton.LeftButton,
            Qt.KeyboardModifier.ControlModifier,
            QPoint(int(right), int(down)),
        )
    assert panel.session.selection == ("box-left", "box-right")


def test_a_finding_is_brought_into_sight(qtbot, show_room) -> None:
    panel = show_room(_with(IN_THE_WAY))
    panel.session.show_finding(1)
    drawn(qtbot, panel)
    points = panel.session.report.findings[0].points
    right, down = _seen(panel, points[0])
    width, height = panel.view.size_px
    assert abs(right - width / 2) < 0.15 * width
    assert abs(down - height / 2) < 0.15 * height


# ----- moving about -----


def _drag(qtbot, panel, button, by: tuple[int, int]) -> None:
    view = panel.view
    start = QPoint(view.width() // 2, view.height() // 2)
    qtbot.mousePress(view, button, pos=start)
    for step in range(1, 11):
        at = start + QPoint(by[0] * step // 10, by[1] * step // 10)
        qtbot.mouseMove(view, at)
    qtbot.mouseRelease(view, button, pos=start + QPoint(*by))


def test_a_drag_never_takes_the_eye_below_the_floor(qtbot, panel) -> None:
    for _ in range(4):
        _drag(qtbot, panel, Qt.MouseButton.LeftButton, (40, -300))
        assert panel.view.camera.eye[2] > 0.0
    _drag(qtbot, panel, Qt.MouseButton.RightButton, (0, -300))
    assert panel.view.camera.eye[2] > 0.0
    drawn(qtbot, panel)
    assert panel.view.failures == 0


def test_a_drag_to_the_right_turns_the_room_to_the_right(qtbot, panel) -> None:
    near = (0.0, 138.0, 0.0)  # the front end, which is nearest to the eye
    before = _seen(panel, near)
    _drag(qtbot, panel, Qt.MouseButton.LeftButton, (60, 0))
    assert _seen(panel, near)[0] > before[0] + 5.0


@pytest.mark.parametrize("key", [Qt.Key.Key_W, Qt.Key.Key_Up, Qt.Key.Key_S])
def test_a_walk_ends_at_the_wall(qtbot, panel: Room3dPanel, key) -> None:
    room = panel.session.barn.room
    panel.look(FROM_THE_DOOR)
    panel.walk_button.setChecked(True)
    view = panel.view
    start = view.camera.eye
    qtbot.keyPress(view, key)
    qtbot.waitUntil(lambda: view.camera.eye != start)
    for _ in range(120):
        view.walk(0.1)
        x, y, z = view.camera.eye
        assert 0.0 < x < room.length
        assert 0.0 < y < room.width
        assert z == EYE_HEIGHT
    qtbot.keyRelease(view, key)
    end = room.length if key != Qt.Key.Key_S else 0.0
    assert abs(view.camera.eye[0] - end) < 20.0
    drawn(qtbot, panel)
    assert view.failures == 0


def test_looking_down_does_not_walk_down(qtbot, panel: Room3dPanel) -> None:
    panel.look(FROM_THE_DOOR)
    panel.walk_button.setChecked(True)
    _drag(qtbot, panel, Qt.MouseButton.LeftButton, (0, 250))
    view = panel.view
    assert view.camera.pitch < -0.5
    qtbot.keyPress(view, Qt.Key.Key_W)
    view.walk(0.1)
    qtbot.keyRelease(view, Qt.Key.Key_W)
    assert view.camera.eye[2] == EYE_HEIGHT
    assert view.camera.eye[0] > FROM_THE_DOOR.eye[0]


def test_a_key_of_the_walk_is_no_shortcut_meanwhile(qtbot, show_room) -> None:
    panel = show_room()
    called = []
    action = QAction("fit", panel)
    action.setShortcut("D")
    action.triggered.connect(lambda: called.append(True))
    panel.addAction(action)
    panel.look(FROM_THE_DOOR)
    panel.walk_button.setChecked(True)
    panel.activateWindow()
    panel.view.setFocus()
    before = panel.view.camera.eye
    qtbot.keyPress(panel.view, Qt.Key.Key_D)
    qtbot.waitUntil(lambda: panel.view.camera.eye[1] > before[1])
    qtbot.keyRelease(panel.view, Qt.Key.Key_D)
    assert not called


def test_escape_leaves_the_walk(qtbot, panel: Room3dPanel) -> None:
    panel.walk_button.setChecked(True)
    qtbot.keyPress(panel.view, Qt.Key.Key_Escape)
    assert not panel.walk_button.isChecked()
    assert not panel.view.is_walking


def test_the_tab_key_reaches_the_view(panel: Room3dPanel) -> None:
    assert panel.view.focusPolicy() is Qt.FocusPolicy.StrongFocus


@pytest.mark.parametrize("index", range(3))
def test_named_places_show_the_room(qtbot, panel, index: int) -> None:
    panel.eyes.setCurrentIndex(index)
    panel.eyes.activated.emit(index)
    drawn(qtbot, panel)
    picture = pixels(panel).reshape(-1, 3)
    assert picture.std(axis=0).min() > 8.0
    assert panel.view.failures == 0


def test_the_plan_shows_the_eye_point_that_one_looks_from(show_room) -> None:
    first, second = (
        EyePoint(id=name, eye=FROM_THE_DOOR.eye, look=FROM_THE_DOOR.look)
        for name in ("near-the-door", "mid-alley")
    )
    second = replace(second, eye=(200.0, 138.0, EYE_HEIGHT))
    panel = show_room(replace(plain_barn(), eyes=(first, second)))
    panel.session.select(["run-1"])
    for name, shown in (("Mid alley", second), ("Half way along", second)):
        index = panel.eyes.findText(name)
        panel.eyes.setCurrentIndex(index)
        panel.eyes.activated.emit(index)
        assert panel.session.eye == shown
    assert panel.session.selection == ("run-1",)


# ----- what may go wrong -----


def test_a_dock_that_floats_keeps_its_picture(qtbot, show_room) -> None:
    panel = show_room(_with(LEFT_BOX))
    window = QMainWindow()
    window.resize(1000, 720)
    dock = QDockWidget("Room in 3-D", window)
    dock.setWidget(panel)
    window.addDockWidget(Qt.DockWidgetArea.LeftDockWidgetArea, dock)
    with qtbot.waitExposed(window):
        window.show()
    panel.session.select(["box-left"])
    panel.look(FROM_THE_DOOR)
    for floats in (False, True, False):
        dock.setFloating(floats)
        drawn(qtbot, panel)
        assert of_hue(pixels(panel), LIGHT.accent).sum() > 100
    assert panel.view.failures == 0
    window.close()
    dock.setWidget(None)
    panel.setParent(None)
    window.deleteLater()


def test_two_views_draw_the_same_room(qtbot, show_room) -> None:
    first, second = show_room(_with(LEFT_BOX)), show_room(_with(LEFT_BOX))
    for panel in (first, second):
        panel.session.select(["box-left"])
        _look(qtbot, panel, FROM_THE_DOOR)
    counts = [of_hue(pixels(p), LIGHT.accent).sum() for p in (first, second)]
    assert counts[0] == counts[1] > 100


def test_a_draw_that_fails_is_said_and_can_be_tried_again(
    qtbot, panel, monkeypatch
) -> None:
    def fail() -> None:
        msg = "no such program"
        raise RuntimeError(msg)

    monkeypatch.setattr(panel.view.stage.still, "paint", fail)
    panel.view.update()
    qtbot.waitUntil(lambda: panel.stack.currentIndex() == 0)
    assert "no such program" in panel.note.text()
    assert panel.view.failures >= 3
    assert panel.again.isVisible()
    monkeypatch.undo()
    panel.again.click()
    drawn(qtbot, panel)
    assert panel.stack.currentWidget() is panel.view
    assert panel.view.trouble == ""


def test_an_edit_is_shown_and_taken_back(qtbot, show_room) -> None:
    panel = show_room(_with(LEFT_BOX))
    session = panel.session
    session.select(["box-left"])
    _look(qtbot, panel, FROM_THE_DOOR)
    before = middle(of_hue(pixels(panel), LIGHT.accent))
    moved = replace(LEFT_BOX, y=100.0)
    session.preview(
        replace(session.document, fixtures=(*session.document.fixtures[:-1], moved))
    )
    drawn(qtbot, panel)
    assert middle(of_hue(pixels(panel), LIGHT.accent))[0] > before[0] + 40
    session.preview(None)
    drawn(qtbot, panel)
    assert middle(of_hue(pixels(panel), LIGHT.accent)) == pytest.approx(before, abs=0.5)
