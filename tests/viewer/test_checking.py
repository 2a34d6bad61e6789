"""The process that checks: newest wins, it agrees, it can die."""

from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass
from multiprocessing.context import SpawnProcess
from time import sleep

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from core.analysis.analyse import analyse
from core.analysis.report import Report
from core.barnfile.files import open_barn
from core.geometry.shapes import Mesh
from core.model import edits
from tests.specimens import plain_barn
from viewer.checking import Checked, Checker, reshared

pytestmark = pytest.mark.gui


@pytest.fixture
def checker(qapp: QApplication) -> Iterator[Checker]:
    made = Checker()
    yield made
    made.close()
    made.deleteLater()
    qapp.processEvents()


def test_what_is_equal_is_the_same_object_again() -> None:
    old, new = plain_barn(), plain_barn()
    new = edits.move_support(new, "support-1-2", station=200.0).barn
    shared = reshared(old, new)
    assert shared == new
    assert shared.room is old.room
    assert shared.runs[1] is old.runs[1]
    assert shared.runs[0] is not old.runs[0]
    assert shared.runs[0].supports[0] is old.runs[0].supports[0]


def test_of_many_barns_the_first_and_the_newest_are_checked(
    checker: Checker, qtbot: QtBot
) -> None:
    first = plain_barn()
    barns = [
        edits.move_support(first, "support-1-2", station=170.0 + k).barn
        for k in range(9)
    ]
    answers: list[Checked] = []
    checker.checked.connect(answers.append)
    for barn in barns:
        checker.check(barn, {})
    qtbot.waitUntil(lambda: len(answers) == 2, timeout=30_000)
    assert answers[0].report.barn is barns[0]
    assert answers[1].report.barn is barns[-1]
    # second method: an analysis in this process that keeps nothing
    whole = analyse(barns[-1]).report
    assert answers[1].report.findings == whole.findings
    assert {k: r.blocked for k, r in answers[1].report.runs.items()} == {
        k: r.blocked for k, r in whole.runs.items()
    }


def test_only_what_differs_is_sent_and_the_report_is_whole(
    checker: Checker, qtbot: QtBot
) -> None:
    barn = open_barn("sample_barns/awkward.json").barn
    steps = [barn, edits.move_objects(barn, [barn.runs[0].id], (0.0, 2.0, 0.0)).barn]
    steps.append(edits.delete_objects(steps[-1], [barn.runs[-1].id]).barn)
    steps.append(edits.move_objects(steps[0], [barn.fixtures[0].id], (3, 0, 0)).barn)
    for step in steps:
        with qtbot.waitSignal(checker.checked, timeout=30_000) as told:
            checker.check(step, {})
        # second method: an analysis in this process that keeps nothing
        report, whole = told.args[0].report, analyse(step).report
        assert report.barn is step
        for each in fields(Report):
            if each.name != "barn":
                assert _plain(getattr(report, each.name)) == _plain(
                    getattr(whole, each.name)
                )


def _plain(value: object) -> object:
    """Return a value as plain ones that compare by value, whatever its class does."""
    match value:
        case np.ndarray():
            return value.tolist()
        case Mapping():
            return {key: _plain(item) for key, item in value.items()}
        case tuple():
            return [_plain(item) for item in value]
    if is_dataclass(value):
        return {each.name: _plain(getattr(value, each.name)) for each in fields(value)}
    return value


def test_a_dropped_check_is_not_told_of(checker: Checker, qtbot: QtBot) -> None:
    answers: list[Checked] = []
    checker.checked.connect(answers.append)
    checker.check(plain_barn(), {})
    checker.drop()
    qtbot.waitUntil(lambda: not checker.is_busy, timeout=30_000)
    assert answers == []


def test_a_dead_process_is_told_of_and_a_new_one_takes_its_place(
    checker: Checker, qtbot: QtBot
) -> None:
    with qtbot.waitSignal(checker.checked, timeout=30_000):
        checker.check(plain_barn(), {})
    with qtbot.waitSignal(checker.failed, timeout=30_000):
        checker.check(plain_barn(), {})
        checker._process.kill()
    with qtbot.waitSignal(checker.checked, timeout=30_000):
        checker.check(plain_barn(), {})


def test_nobody_waits_for_a_check_when_the_window_closes(checker: Checker) -> None:
    checker.check(plain_barn(), {"large": _large()})
    process = checker._process
    checker.close()
    assert not checker.is_busy
    assert not process.is_alive()


def _large() -> Mesh:
    """Return a mesh of more bytes than the pipe to a process holds."""
    vertices = np.zeros((300_000, 3))
    return Mesh(vertices=vertices, faces=np.array([[0, 1, 2]]))


def test_what_a_closed_process_still_says_is_no_answer_of_the_next(
    checker: Checker, qtbot: QtBot
) -> None:
    first = plain_barn()
    second = edits.move_support(first, "support-1-2", station=200.0).barn
    answers: list[Checked] = []
    failures: list[Exception] = []
    checker.checked.connect(answers.append)
    checker.failed.connect(failures.append)
    arrived: list[bytes] = []
    checker._arrived.connect(
        lambda _connection, raw: arrived.append(raw), Qt.ConnectionType.DirectConnection
    )
    checker.check(first, {})
    while not arrived:  # without the event loop: the answer waits in its queue
        sleep(0.01)
    checker.close()
    checker.check(second, {})
    qtbot.waitUntil(lambda: bool(answers), timeout=30_000)
    # second method: an analysis in this process that keeps nothing
    assert answers[0].report.findings == analyse(second).report.findings
    assert failures == []


def test_where_no_process_can_be_started_it_is_told_and_tried_again(
    checker: Checker, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(_process: object) -> None:
        raise BlockingIOError(11, "Resource temporarily unavailable")

    with monkeypatch.context() as patch:
        patch.setattr(SpawnProcess, "start", refused)
        with qtbot.waitSignal(checker.failed, timeout=5_000):
            checker.check(plain_barn(), {})
    assert not checker.is_busy
    with qtbot.waitSignal(checker.checked, timeout=30_000):
        checker.check(plain_barn(), {})
