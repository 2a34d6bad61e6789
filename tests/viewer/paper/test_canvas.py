"""The canvas repaints in part what it would repaint whole; it looks where told."""

from collections.abc import Callable
from functools import partial

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QColor, QImage
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from core.drawing.records import Bounds, Grip
from core.model import edits
from core.model.barn import Barn
from core.model.fixtures import Scan
from tests.gui import drag, handle_at, settle
from tests.specimens import full_barn, plain_barn
from viewer.app.window import MainWindow
from viewer.paper.backing import Backing
from viewer.paper.canvas import Canvas
from viewer.paper.theme import DARK
from viewer.session import Session

pytestmark = pytest.mark.gui

_ROUNDING = 12  # of 255


def painted_anew(canvas: Canvas) -> QImage:
    """Paint what a canvas shows with nothing kept from before."""
    fresh = Backing()
    drawing = canvas.drawing
    assert drawing is not None
    scale = canvas._page_scale()
    size, ratio = canvas.viewport().size(), canvas.devicePixelRatioF()
    fresh.frame(size, ratio, origin=canvas._origin, scale=scale)
    fresh.show(drawing, canvas._look, scale)
    fresh.repaint()
    return fresh.picture.toImage()


def pixels(picture: QImage) -> np.ndarray:
    plain = picture.convertToFormat(QImage.Format.Format_RGB32)
    shape = (plain.height(), plain.width(), 4)
    return np.frombuffer(plain.constBits(), np.uint8).reshape(shape).astype(int)


def assert_whole(window: MainWindow) -> None:
    settle(window)
    for view in window.views:
        kept = pixels(view.canvas._backing.picture.toImage())
        anew = pixels(painted_anew(view.canvas))
        # allowed: the last bits of a smoothed edge depend on where it is clipped
        assert np.abs(kept - anew).max() <= _ROUNDING, view.title


@pytest.mark.parametrize("make", [plain_barn, full_barn], ids=["plain", "full"])
def test_a_partial_repaint_gives_what_a_whole_one_gives(
    make: Callable[[], Barn],
    make_session: Callable[..., Session],
    make_window: Callable[[Session], MainWindow],
) -> None:
    barn = make()
    scans = [each.id for each in barn.fixtures if isinstance(each, Scan)]
    barn = edits.delete_objects(barn, scans).barn if scans else barn
    session = make_session(barn)
    window = make_window(session)
    support = barn.runs[0].supports[1]
    for step in range(1, 4):
        moved = edits.move_support(
            barn, support.id, station=support.station + 7.0 * step
        )
        session.preview(moved.barn)
        session.set_lift(0.25 * step)
        assert_whole(window)
    session.preview(None)
    session.select([barn.runs[0].id, barn.fixtures[0].id])
    assert_whole(window)
    session.ask("Delete", partial(edits.delete_objects, ids=[barn.fixtures[0].id]))
    assert_whole(window)
    session.set_cut(100.0)
    session.set_run(barn.runs[1].id)
    assert_whole(window)
    session.undo()
    assert_whole(window)


def test_a_fitted_view_shows_all_of_its_drawing(window: MainWindow) -> None:
    for view in window.views:
        seen, drawing = view.canvas.seen(), view.drawing
        assert drawing is not None
        for axis in (0, 1):
            assert seen.low[axis] <= drawing.bounds.low[axis]
            assert seen.high[axis] >= drawing.bounds.high[axis]


def test_the_wheel_zooms_about_the_pointer(window: MainWindow) -> None:
    canvas = window.plan.canvas
    at = QPointF(300.0, 120.0)
    before, scale = canvas.to_plane(at), canvas.scale_shown
    canvas.zoom(1.7, at)
    assert canvas.scale_shown == pytest.approx(1.7 * scale)
    # allowed: the plane's origin lies on a whole pixel
    for kept, old in zip(canvas.to_plane(at), before, strict=True):
        assert kept == pytest.approx(old, abs=1.0 / canvas.scale_shown)


def test_the_plane_and_the_pixels_lead_back_to_each_other(window: MainWindow) -> None:
    canvas = window.section.canvas
    canvas.show_bounds(Bounds(low=(10.0, 20.0), high=(60.0, 90.0)))
    at = canvas.to_pixels((33.5, 47.25))
    assert canvas.to_plane(at) == pytest.approx((33.5, 47.25))


def test_the_middle_button_moves_the_sheet_and_no_object(window: MainWindow) -> None:
    canvas = window.plan.canvas
    canvas.zoom(3.0)
    before, held = canvas.to_plane(QPointF(0.0, 0.0)), Qt.MouseButton.MiddleButton
    viewport = canvas.viewport()
    QTest.mousePress(viewport, held, pos=QPoint(200, 150))
    for x in (215, 240, 260):
        QTest.mouseMove(viewport, QPoint(x, 130))
    QTest.mouseRelease(viewport, held, pos=QPoint(260, 130))
    after = canvas.to_plane(QPointF(0.0, 0.0))
    assert after[0] - before[0] == pytest.approx(-60.0 / canvas.scale_shown)
    assert window.session.undo_name == ""


def test_a_still_right_click_asks_for_the_menu(
    window: MainWindow, qtbot: QtBot
) -> None:
    with qtbot.waitSignal(window.plan.menu_asked):
        QTest.mouseClick(
            window.plan.canvas.viewport(),
            Qt.MouseButton.RightButton,
            pos=QPoint(90, 90),
        )


@pytest.mark.parametrize("key", [Qt.Key.Key_Home, Qt.Key.Key_0])
def test_a_key_shows_all_again(window: MainWindow, key: Qt.Key) -> None:
    canvas = window.plan.canvas
    scale = canvas.scale_shown
    QTest.keyClick(canvas, Qt.Key.Key_Plus)
    assert canvas.scale_shown > scale
    QTest.keyClick(canvas, key)
    assert canvas.scale_shown == pytest.approx(scale)


def test_live_dimensions_are_shown_in_a_drag_and_gone_after_it(
    window: MainWindow,
) -> None:
    view = window.plan
    window.session.select(["support-1-2"])
    settle(window)
    start = handle_at(view, "support-1-2", Grip.SUPPORT)
    drag(view, start, (start[0] + 20.0, start[1]), let_go=False)
    assert view.canvas._notes
    QTest.keyClick(view.canvas, Qt.Key.Key_Escape)
    assert not view.canvas._notes


def test_dark_paper_is_dark(window: MainWindow) -> None:
    window.plan.set_theme(DARK)
    settle(window)
    picture = window.plan.canvas.viewport().grab().toImage()
    assert picture.pixelColor(3, 3) == QColor(DARK.paper)


def test_a_readout_names_place_truss_and_ceiling(window: MainWindow) -> None:
    words = window.plan.readout((192.0, -60.0))
    # hand-worked: 192 in = 16 ft = 4877 mm; trusses every 4 ft from 0: the fifth
    assert "along 16 ft 0 in (4877 mm)" in words
    assert "across 5 ft 0 in (1524 mm)" in words
    assert "truss 5" in words
    assert "height" in window.section.readout((60.0, 50.0))
    assert "station" in window.long_section.readout((60.0, 50.0))


def test_the_sheet_stays_under_the_pointer_when_the_view_grows_in_a_drag(
    window: MainWindow,
) -> None:
    view = window.plan
    window.session.select(["run-1"])
    settle(window)
    start = handle_at(view, "run-1", Grip.BODY)
    drag(view, start, (start[0], start[1] - 20.0), let_go=False)
    place, scale = view.canvas.to_pixels((50.0, -60.0)), view.canvas.scale_shown
    window.resizeDocks([window.docks["plan"]], [300], Qt.Orientation.Vertical)
    settle(window)
    assert view.canvas.scale_shown == pytest.approx(scale)
    # allowed: the plane's origin lies on a whole pixel
    assert (view.canvas.to_pixels((50.0, -60.0)) - place).manhattanLength() <= 2.0
    QTest.keyClick(view.canvas, Qt.Key.Key_Escape)
    QTest.mouseRelease(view.canvas.viewport(), Qt.MouseButton.LeftButton)
