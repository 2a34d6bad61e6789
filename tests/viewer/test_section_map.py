"""The section shows where a chosen run could hang, and only then."""

import pytest

from core.barnfile.files import BarnFile
from core.drawing.memo import Memo
from core.drawing.records import Role
from tests.specimens import plain_barn
from viewer.section import SectionView
from viewer.session import Session

pytestmark = [pytest.mark.gui, pytest.mark.usefixtures("qapp")]


def _mapped(view: SectionView, session: Session) -> bool:
    drawing = view.draw(session.barn, session.report, session.shown(), Memo())
    return any(
        record.role is Role.FREE_SPACE
        for group in drawing.groups
        for record in group.records
    )


def test_a_chosen_run_brings_its_free_space(qtbot) -> None:
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
