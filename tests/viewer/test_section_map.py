"""The section shows where a chosen run could hang, and only then."""

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from core.barnfile.files import BarnFile
from core.drawing.memo import Memo
from core.drawing.records import Role
from core.model.edits import move_objects
from tests.specimens import plain_barn
from viewer.section import SectionView
from viewer.session import Session

pytestmark = [pytest.mark.gui, pytest.mark.usefixtures("qapp")]


def _mapped(view: SectionView, session: Session) -> bool:
    """Draw, and again when the map that this asked for has been made."""
    view.draw(session.barn, session.report, session.shown(), Memo())
    while session.maps.is_busy:
        QApplication.processEvents()
    drawing = view.draw(session.barn, session.report, session.shown(), Memo())
    return any(
        record.role is Role.FREE_SPACE
        for group in drawing.groups
        for record in group.records
    )


def test_a_chosen_run_brings_its_free_space(qtbot: QtBot) -> None:
    session = Session(BarnFile(barn=plain_barn()))
    view = SectionView(session)
    qtbot.addWidget(view)
    qtbot.waitUntil(lambda: not session.is_checking)
    assert not _mapped(view, session)
    session.select(["run-1"])
    assert _mapped(view, session)
    session.select(["light-1"])
    assert not _mapped(view, session)
    session.close()


def test_the_map_is_made_elsewhere_and_the_newest_is_drawn(qtbot: QtBot) -> None:
    session = Session(BarnFile(barn=plain_barn()))
    view = SectionView(session)
    qtbot.addWidget(view)
    view.show()
    qtbot.waitUntil(lambda: view.isVisible() and not view.is_stale)
    session.select(["run-1"])
    view.refresh()
    states = [session.maps.is_busy]  # nobody has waited for it
    session.ask("moved", lambda b: move_objects(b, ["run-1"], (0.0, 3.0, 0.0)))
    qtbot.waitUntil(lambda: not (session.maps.is_busy or view.is_stale))
    states.append(session.maps.is_busy)
    assert states == [True, False]
    run = session.document.runs[0]
    found = session.maps.kept(run)
    assert found is not None
    assert found.frame.origin == run.start
    session.close()


def test_a_map_that_is_not_wanted_any_more_is_given_up(qtbot: QtBot) -> None:
    session = Session(BarnFile(barn=plain_barn()))
    view = SectionView(session)
    qtbot.addWidget(view)
    session.select(["run-1"])
    view.refresh()
    session.maps.forget()
    qtbot.waitUntil(lambda: not session.maps.is_busy)
    assert session.maps.kept(session.document.runs[0]) is None
    session.close()
