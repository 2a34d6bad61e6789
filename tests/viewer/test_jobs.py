"""Work off the GUI thread: the newest wins, progress, cancel."""

import threading
from collections.abc import Iterator

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from viewer.jobs import Jobs, Ticket

pytestmark = pytest.mark.gui


@pytest.fixture
def jobs(qapp: QApplication) -> Iterator[Jobs]:
    made = Jobs()
    yield made
    made.close()
    made.deleteLater()
    qapp.processEvents()


def test_work_runs_elsewhere_and_its_result_comes_here(
    jobs: Jobs, qtbot: QtBot
) -> None:
    with qtbot.waitSignal(jobs.finished) as told:
        jobs.run(lambda _ticket: threading.get_ident())
    assert told.args[0] != threading.get_ident()
    assert not jobs.is_busy


def test_the_newest_of_all_that_wait_is_done_and_the_others_are_not(
    jobs: Jobs, qtbot: QtBot
) -> None:
    gate = threading.Event()
    results: list[object] = []
    jobs.finished.connect(results.append)
    jobs.run(lambda _ticket: gate.wait(10) and "first")
    for number in range(20):
        jobs.run(lambda _ticket, number=number: number)
    with qtbot.waitSignal(jobs.idle):
        gate.set()
    assert results == ["first", 19]


def test_progress_is_told_in_words(jobs: Jobs, qtbot: QtBot) -> None:
    def work(ticket: Ticket) -> str:
        ticket.report(0.5, "half")
        return "done"

    told: list[tuple[float, str]] = []
    jobs.progressed.connect(lambda share, words: told.append((share, words)))
    with qtbot.waitSignal(jobs.finished):
        jobs.run(work)
    assert told == [(0.5, "half")]


def test_cancelled_work_sees_it_and_is_not_told_of(jobs: Jobs, qtbot: QtBot) -> None:
    begun = threading.Event()

    def work(ticket: Ticket) -> str:
        begun.set()
        while not ticket.is_cancelled:
            pass
        return "too late"

    results: list[object] = []
    jobs.finished.connect(results.append)
    jobs.run(work)
    assert begun.wait(10)
    with qtbot.waitSignal(jobs.idle):
        jobs.cancel()
    assert results == []


def test_an_error_is_told_and_the_next_work_runs(jobs: Jobs, qtbot: QtBot) -> None:
    def wrong(_ticket: Ticket) -> None:
        msg = "spoiled"
        raise ValueError(msg)

    with qtbot.waitSignal(jobs.failed) as told:
        jobs.run(wrong)
    assert str(told.args[0]) == "spoiled"
    with qtbot.waitSignal(jobs.finished):
        jobs.run(lambda _ticket: 1)
