"""Making something long: another process, progress, cancel, all or nothing."""

import errno
import os
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

import psutil
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from tests.gui import Answers
from tests.viewer.app import work
from viewer.app.making import Files, Maker, Order
from viewer.jobs import Ticket

pytestmark = pytest.mark.gui
PATIENCE = 30_000  # [ms]


@pytest.fixture
def answers() -> Answers:
    return Answers()


@pytest.fixture
def maker(qtbot: QtBot, answers: Answers) -> Iterator[Maker]:
    window = QWidget()
    qtbot.addWidget(window)
    window.show()
    made = Maker(window, answers)
    yield made
    made.close()
    made.deleteLater()
    QApplication.processEvents()


def idle(maker: Maker, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: not maker.is_busy, timeout=PATIENCE)


def has_begun(mark: Path, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: mark.exists() and mark.read_text() != "", timeout=PATIENCE)


def test_a_file_is_made_in_another_process_and_its_place_is_said(
    maker: Maker, qtbot: QtBot, tmp_path: Path
) -> None:
    place = tmp_path / "hello.txt"
    with qtbot.waitSignal(maker.written, timeout=PATIENCE) as told:
        assert maker.write(Order(title="a word", make=work.hello, place=place))
    assert told.args == [place]
    assert place.read_text().startswith("made by ")
    assert place.read_text() != f"made by {os.getpid()}"
    assert maker.dialog is not None
    assert str(place) in maker.dialog.head.text()
    assert maker.dialog.close_button.text() == "Close"
    QTest.mouseClick(maker.dialog.close_button, Qt.MouseButton.LeftButton)
    assert maker.dialog is None


def test_several_files_go_into_a_folder(
    maker: Maker, qtbot: QtBot, tmp_path: Path
) -> None:
    place = tmp_path / "out"
    order = Order(title="files", make=partial(work.files, 3), place=place)
    with qtbot.waitSignal(maker.written, timeout=PATIENCE):
        maker.write(order)
    found = {str(p.relative_to(place)) for p in place.rglob("*") if p.is_file()}
    assert found == {str(Path("first", "0.txt")), "1.txt", "2.txt"}
    assert maker.dialog is not None
    assert "3 files" in maker.dialog.head.text()


@pytest.mark.parametrize("way", ["button", "escape", "frame"])
def test_cancel_ends_the_work_at_once_and_leaves_nothing(
    maker: Maker, qtbot: QtBot, tmp_path: Path, way: str
) -> None:
    begun, out = tmp_path / "begun", tmp_path / "out"
    out.mkdir()
    place = out / "never.txt"
    order = Order(title="nothing", make=partial(work.endless, begun), place=place)
    maker.write(order)
    has_begun(begun, qtbot)
    assert maker.dialog is not None
    qtbot.waitUntil(lambda: maker.dialog.step.text() == "working", timeout=PATIENCE)
    assert maker.dialog.bar.value() == 100
    if way == "button":
        QTest.mouseClick(maker.dialog.close_button, Qt.MouseButton.LeftButton)
    elif way == "escape":
        QTest.keyClick(maker.dialog, Qt.Key.Key_Escape)
    else:
        maker.dialog.close()
    qtbot.waitUntil(lambda: not maker.is_busy, timeout=2000)
    assert not psutil.pid_exists(int(begun.read_text()))
    assert list(out.iterdir()) == []
    assert maker.dialog is None


def test_one_thing_at_a_time(
    maker: Maker, qtbot: QtBot, answers: Answers, tmp_path: Path
) -> None:
    begun = tmp_path / "begun"
    place = tmp_path / "never.txt"
    maker.write(Order(title="a", make=partial(work.endless, begun), place=place))
    assert not maker.write(Order(title="b", make=work.hello, place=place))
    assert "still being made" in answers.told[0][0]
    has_begun(begun, qtbot)
    maker.close()
    idle(maker, qtbot)
    assert not psutil.pid_exists(int(begun.read_text()))
    assert not place.exists()


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (work.unwritable, "The film has no pictures; make it longer."),
        (work.ended, "The work ended before it was done (is memory short?);"),
    ],
)
def test_why_it_failed_is_said_in_a_sentence(
    maker: Maker,
    qtbot: QtBot,
    answers: Answers,
    tmp_path: Path,
    make: Callable[[Ticket], bytes],
    words: str,
) -> None:
    with qtbot.waitSignal(maker.idle, timeout=PATIENCE):
        maker.write(Order(title="a", make=make, place=tmp_path / "never.txt"))
    assert answers.told[0][0].startswith(words)
    assert maker.dialog is None
    assert list(tmp_path.iterdir()) == []


def test_a_fault_of_the_program_is_not_hidden(
    maker: Maker, qtbot: QtBot, answers: Answers, tmp_path: Path
) -> None:
    with (
        qtbot.captureExceptions() as caught,
        qtbot.waitSignal(maker.idle, timeout=PATIENCE),
    ):
        maker.write(Order(title="a", make=work.spoiled, place=tmp_path / "a.txt"))
    assert [str(each[1]) for each in caught] == ["spoiled on purpose"]
    assert "in spoiled" in caught[0][1].__notes__[0]
    assert answers.told == []


@pytest.mark.parametrize(
    ("name", "why"),
    [("no/such/a.txt", "no such folder"), ("folder", "directory"), ("a" * 300, "long")],
)
def test_a_place_that_cannot_be_written_is_told(
    maker: Maker, qtbot: QtBot, answers: Answers, tmp_path: Path, name: str, why: str
) -> None:
    (tmp_path / "folder").mkdir()
    with qtbot.waitSignal(maker.idle, timeout=PATIENCE):
        maker.write(Order(title="a", make=work.hello, place=tmp_path / name))
    assert "could not be written" in answers.told[0][0]
    assert why in answers.told[0][0]
    assert [path.name for path in tmp_path.iterdir()] == ["folder"]


def test_what_is_not_written_is_handed_over(maker: Maker, qtbot: QtBot) -> None:
    handed: list[object] = []
    assert maker.make("a word", work.hello, handed.append)
    idle(maker, qtbot)
    assert isinstance(handed[0], bytes)
    assert maker.dialog is None


@pytest.mark.parametrize("make", [work.hello, partial(work.files, 3)])
def test_a_full_disk_is_told_and_nothing_is_half_written(
    maker: Maker,
    qtbot: QtBot,
    answers: Answers,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    make: Callable[[Ticket], Files],
) -> None:
    def full(_file: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    with qtbot.waitSignal(maker.idle, timeout=PATIENCE):
        maker.write(Order(title="a", make=make, place=tmp_path / "out"))
    assert "could not be written (No space left on device)" in answers.told[0][0]
    assert list(tmp_path.iterdir()) == []
