"""Random gestures and commands on the real window: it stays whole and undoes them."""

from pathlib import Path

import pytest

from tests.gui import Answers, settle
from tests.monkey import Monkey, let_go
from viewer.app.window import MainWindow

pytestmark = pytest.mark.gui

_STEPS, _SEED = 250, 20  # a seed that is fixed so that a failure comes again


def test_after_many_random_steps_undo_leads_back_to_the_start(
    window: MainWindow, tmp_path: Path
) -> None:
    session, answers = window.session, window.questions
    assert isinstance(answers, Answers)
    first, names = session.document, set()
    monkey = Monkey(window, answers, tmp_path, seed=_SEED)
    for _ in range(_STEPS):
        monkey.act()
        names.add(session.undo_name)
    assert len(names) > 20, "the steps did change the barn"
    while session.undo_name:
        session.undo()
        let_go()
    settle(window)
    assert session.document == first
