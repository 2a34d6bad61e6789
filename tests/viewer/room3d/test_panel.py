"""The dock on a display without OpenGL, and what is marked at which lift."""

from dataclasses import replace

import pytest
from pytestqt.qtbot import QtBot

from core.analysis.analyse import analyse
from core.barnfile.files import BarnFile
from core.model.fixtures import PlainBox
from core.model.room import Wall
from core.rules.finding import Outcome
from tests.specimens import plain_barn
from viewer.paper.theme import DARK, LIGHT, contrast
from viewer.room3d.camera import Camera
from viewer.room3d.colours import backdrop, colour_of
from viewer.room3d.eyes import eye_points
from viewer.room3d.fading import fading
from viewer.room3d.marks import clashes_at, stopped, tags
from viewer.room3d.panel import Room3dPanel
from viewer.room3d.scene import SceneMemo
from viewer.room3d.shell import Surface
from viewer.session import Session

pytestmark = pytest.mark.gui

IN_THE_WAY = PlainBox(
    id="box-1", x=200.0, y=60.0, z=46.0, length=10.0, width=10.0, height=10.0
)


@pytest.fixture
def blocked():
    """Return a barn whose first run has a box in its way at working height."""
    barn = plain_barn()
    return replace(barn, fixtures=(*barn.fixtures, IN_THE_WAY))


def test_without_opengl_the_dock_says_so_and_all_else_works(
    qtbot: QtBot, blocked
) -> None:
    session = Session(BarnFile(barn=blocked))
    panel = Room3dPanel(session)
    qtbot.addWidget(panel)
    with qtbot.waitExposed(panel):
        panel.show()
    assert panel.view is None
    assert panel.stack.currentIndex() == 0
    assert "OpenGL" in panel.note.text()
    assert "Plan, sections" in panel.note.text()
    assert not panel.again.isVisible()
    assert not panel.bar.isEnabled()
    # nothing that the session tells, and no button, is taken amiss
    qtbot.waitUntil(lambda: not session.is_checking)
    session.set_lift(0.4)
    session.select(["box-1"])
    session.show_finding(1)
    session.preview(plain_barn())
    session.preview(None)
    panel.set_theme(DARK)
    panel.show_whole()
    panel.refresh()
    assert panel.hit_at(10.0, 10.0) is None
    assert panel.scene is None
    session.close()


def test_opengl_is_not_loaded_before_the_room_is_shown(run_python) -> None:
    code = (
        "import sys, viewer.room3d.panel;"
        "sys.exit(any(n.split('.')[0] in {'OpenGL', 'pyqtgraph'} for n in sys.modules))"
    )
    done = run_python("-c", code)
    assert done.returncode == 0, done.stderr


def test_a_clash_is_marked_at_the_lifts_where_it_is(blocked) -> None:
    found = analyse(blocked)
    scene = SceneMemo().scene(blocked, found.report, {}, found.catalogue)
    below, above = (clashes_at(found.report, scene.runs, lift) for lift in (0.0, 1.0))
    (clash,) = (each for each in below if each.other == "box-1")
    assert clash.run == "run-1"
    low, high = clash.stretches[0]
    # hand-worked: the box is from 171 to 181 in along the run, 6 in of air beside it
    assert low < 171.0 < 181.0 < high
    assert not [each for each in above if each.other == "box-1"]
    assert {"box-1", "run-1"} <= stopped(found.report)


def test_tags_bear_the_numbers_of_the_findings(blocked) -> None:
    report = analyse(blocked).report
    made = tags(report, blocked, None)
    numbers = {number for tag in made for number in tag.numbers}
    wanted = {
        number
        for number, finding in enumerate(report.findings, 1)
        if finding.outcome is Outcome.STOP and finding.points
    }
    assert numbers == wanted != set()
    assert tags(report, plain_barn(), None) == ()


def test_a_chosen_finding_has_a_tag_whatever_its_outcome(blocked) -> None:
    report = analyse(blocked).report
    number = next(
        n
        for n, finding in enumerate(report.findings, 1)
        if finding.outcome is Outcome.PASS and finding.points
    )
    assert number in {n for t in tags(report, blocked, number) for n in t.numbers}


def test_only_what_is_before_the_eye_fades() -> None:
    room = plain_barn().room
    walls, ceiling = fading(Camera(eye=(200, 138, 66), look=(300, 138, 60)), room)
    assert set(walls.values()) == {1.0}
    assert ceiling == 1.0
    walls, ceiling = fading(Camera(eye=(-200, 138, 400), look=(200, 138, 0)), room)
    assert walls[Wall.FRONT] < 0.2
    assert walls[Wall.BACK] == walls[Wall.LEFT] == walls[Wall.RIGHT] == 1.0
    assert ceiling == 0.0


def test_every_room_has_places_to_look_from() -> None:
    barn = plain_barn()
    eyes = dict(eye_points(barn))
    assert {"At the main door", "Half way along", "Over the pens"} <= set(eyes)
    for camera in eyes.values():
        x, y, z = camera.eye
        assert 0.0 < x < barn.room.length
        assert 0.0 < y < barn.room.width
        assert 0.0 < z < barn.room.ceiling.height
    # the main door is in the middle of the front wall
    assert eyes["At the main door"].eye[1] == 138.0


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=lambda t: t.name)
def test_what_matters_stands_out_from_the_room(theme) -> None:
    ground = [
        colour_of(theme, surface)
        for surface in (Surface.WALL, Surface.CEILING, Surface.PEN_FLOOR)
    ] + [backdrop(theme)]
    for colour in (theme.accent, theme.stop, colour_of(theme, Surface.RUN)):
        # WCAG 2.2, success criterion 1.4.11: 3 to 1 for graphical objects;
        # shaded floors come near it, an outline or hatching adds to it
        assert min(contrast(colour, other) for other in ground) > 1.9
