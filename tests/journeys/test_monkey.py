"""Random gestures and commands on the real window: it stays whole and undoes them."""

import random

import pytest
from PySide6.QtWidgets import QApplication

from core.drawing.records import Handle
from tests.gui import drag, settle
from viewer.app.window import MainWindow

pytestmark = pytest.mark.gui

_STEPS, _SEED = 400, 20  # a seed that is fixed so that a failure comes again
_COMMANDS = (
    "edit.undo",
    "edit.redo",
    "edit.duplicate",
    "edit.delete",
    "edit.choose-all",
    "edit.choose-none",
    "view.zoom-in",
    "view.fit",
    "cut.back",
    "cut.ahead",
    "lift.up",
    "lift.down",
    "lift.working",
    "lift.stowed",
    "finding.next",
    "finding.previous",
)


def _drag_something(window: MainWindow, chance: random.Random) -> None:
    view = chance.choice(window.views)
    if view.drawing is None:
        return
    handles = [r for r in view.drawing.records if isinstance(r, Handle)]
    if not handles:
        return
    u, v = chance.choice(handles).at
    to = (u + chance.uniform(-60.0, 60.0), v + chance.uniform(-60.0, 60.0))
    drag(view, (u, v), to, steps=2)


def _choose_something(window: MainWindow, chance: random.Random) -> None:
    barn = window.session.document
    ids = [each.id for each in (*barn.fixtures, *barn.runs)]
    if ids:
        window.session.select(chance.sample(ids, k=min(len(ids), 2)))


def act(window: MainWindow, chance: random.Random) -> None:
    """Do one thing that a hand without a plan might do."""
    kind = chance.randrange(3)
    if kind == 0:
        _drag_something(window, chance)
    elif kind == 1:
        _choose_something(window, chance)
    else:
        window.actions_table.by_id[chance.choice(_COMMANDS)].trigger()
    QApplication.processEvents()


def test_after_many_random_steps_undo_leads_back_to_the_start(
    window: MainWindow,
) -> None:
    session, chance = window.session, random.Random(_SEED)
    first, names = session.document, set()
    for _ in range(_STEPS):
        act(window, chance)
        names.add(session.undo_name)
    assert len(names) > 5, "the steps did change the barn"
    while session.undo_name:
        session.undo()
    settle(window)
    assert session.document == first
