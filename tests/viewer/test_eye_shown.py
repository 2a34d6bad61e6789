"""The eye point that the plan shows: the one that was chosen last."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from core.drawing.records import Grip, Handle
from core.model.job import EyePoint
from tests.gui import settle
from tests.specimens import plain_barn
from viewer.app.window import MainWindow
from viewer.session import Session

pytestmark = pytest.mark.gui

EYES = tuple(
    EyePoint(id=name, eye=(x, 138.0, 66.0), look=(x + 100.0, 138.0, 60.0))
    for name, x in (("near-the-door", 40.0), ("mid-alley", 200.0))
)


@pytest.fixture
def window(
    make_window: Callable[[Session], MainWindow],
    make_session: Callable[..., Session],
) -> MainWindow:
    return make_window(make_session(replace(plain_barn(), eyes=EYES)))


def shown(window: MainWindow) -> set[str]:
    settle(window)
    assert window.plan.drawing is not None
    return {
        record.owner
        for record in window.plan.drawing.records
        if isinstance(record, Handle) and record.grip is Grip.EYE
    }


def test_the_plan_shows_the_eye_point_that_is_chosen_among_the_objects(
    window: MainWindow,
) -> None:
    assert shown(window) == {"near-the-door"}
    objects = window.panels.objects
    for key in ("mid-alley", "near-the-door", "mid-alley"):
        objects.tree.setCurrentIndex(next(objects.model.indexes_of([key])))
        assert window.session.selection == (key,)
        assert shown(window) == {key}
    window.session.select(["run-1"])
    assert shown(window) == {"mid-alley"}


def test_an_eye_point_shown_otherwise_is_shown_again_when_chosen(
    window: MainWindow,
) -> None:
    window.session.select(["near-the-door"])
    window.session.set_eye("mid-alley")
    assert shown(window) == {"mid-alley"}
    window.session.select(["near-the-door"])
    assert shown(window) == {"near-the-door"}
