"""Locks, autosave, recovery and changes on disk, on real files."""

import json
import os
from dataclasses import replace
from functools import partial

import pytest

from core.barnfile.files import load_barn, save_barn
from core.errors import BarnFileError
from core.model.edits import move_objects, rename_barn
from tests.specimens import plain_barn
from tests.viewer.care.answers import Answers
from viewer.care.documents import DocumentCare
from viewer.care.recovery import abandoned

pytestmark = pytest.mark.gui


@pytest.fixture
def file(tmp_path):
    path = tmp_path / "barns" / "room.json"
    path.parent.mkdir()
    save_barn(plain_barn(), path)
    return path


@pytest.fixture
def folder(tmp_path):
    return tmp_path / "recovery"


@pytest.fixture
def window(make_session, preferences, folder):
    """Return a function that makes a session with its care and its answers."""
    cares = []

    def make():
        session, answers = make_session(plain_barn()), Answers()
        cares.append(DocumentCare(session, preferences, answers, folder=folder))
        return session, cares[-1], answers

    yield make
    for care in cares:
        care.close()
        care.deleteLater()


def move(session):
    session.ask("Move", partial(move_objects, ids=["run-1"], by=(0.0, 1.0, 0.0)))


def test_an_opened_file_is_among_the_recent_ones(window, file, preferences):
    session, care, answers = window()
    assert care.open(file)
    assert session.path == file
    assert preferences.recent == (file,)
    assert answers.asked == []


def test_a_spoiled_file_gives_its_faults_and_never_half_a_document(window, file):
    session, care, answers = window()
    before = session.document
    held = json.loads(file.read_text("utf-8"))
    held["runs"][0]["working_height"] = "four feet"
    held["rooom"] = 1
    file.write_text(json.dumps(held), "utf-8")
    assert not care.open(file)
    assert session.document is before
    assert session.path is None
    assert answers.asked == ["faults"]
    error = answers.offered["error"]
    assert isinstance(error, BarnFileError)
    assert {fault.path for fault in error.faults} >= {"rooom", "runs[0].working_height"}


def test_a_second_window_is_told_who_has_the_file(window, file):
    _, first, _ = window()
    session, second, answers = window()
    assert first.open(file)
    before = session.document
    assert not second.open(file)
    assert answers.asked == ["held"]
    assert str(os.getpid()) in answers.offered["holder"]
    assert session.document is before
    assert second.holder_of(file)
    assert not first.holder_of(file)


def test_a_copy_of_a_held_file_has_no_file_and_wants_saving(window, file):
    _, first, _ = window()
    session, second, answers = window()
    first.open(file)
    second.open(file)
    answers.offered["open_copy"]()
    assert session.path is None
    assert session.document == plain_barn()
    assert not session.is_clean


def test_a_file_is_free_again_when_its_window_is_closed(window, file):
    _, first, _ = window()
    _, second, answers = window()
    first.open(file)
    first.close()
    assert second.open(file)
    assert answers.asked == []


def test_saving_elsewhere_takes_the_lock_along(window, file, tmp_path):
    session, first, _ = window()
    _, second, _ = window()
    first.open(file)
    session.save_as(tmp_path / "other.json")
    assert second.holder_of(tmp_path / "other.json")
    assert not second.holder_of(file)


def test_a_folder_that_takes_no_lock_can_still_be_read(window, file, monkeypatch):
    from PySide6.QtCore import QLockFile

    monkeypatch.setattr(QLockFile, "tryLock", lambda *_: False)
    monkeypatch.setattr(
        QLockFile, "error", lambda *_: QLockFile.LockError.PermissionError
    )
    _, care, answers = window()
    assert care.open(file)
    assert answers.asked == []


def test_unsaved_work_is_copied_and_the_copy_goes_with_a_save(
    qtbot, window, file, folder
):
    session, care, _ = window()
    care.open(file)
    assert not care.autosave.file.exists()
    with qtbot.waitSignal(care.autosave.written, timeout=5000):  # the 5 s promised
        move(session)
    assert care.autosave.file.exists()
    assert load_barn(file) == plain_barn()  # the user's own file is left alone
    session.save()
    assert not care.autosave.file.exists()
    assert abandoned(folder) == ()


def test_undoing_everything_takes_the_copy_away(qtbot, window, file):
    session, care, _ = window()
    care.open(file)
    move(session)
    with qtbot.waitSignal(care.autosave.written):
        care.autosave.write()
    session.undo()
    assert not care.autosave.file.exists()


def test_a_copy_that_cannot_be_written_is_said(qtbot, window, folder):
    session, care, _ = window()
    move(session)
    for left in folder.iterdir():
        left.unlink()
    folder.rmdir()
    with qtbot.waitSignal(care.autosave.failed) as failed:
        care.autosave.write()
    assert "no copy of unsaved work" in failed.args[0]


def test_the_copy_of_a_living_window_is_not_offered(qtbot, window):
    session, care, _ = window()
    _, other, answers = window()
    move(session)
    with qtbot.waitSignal(care.autosave.written):
        care.autosave.write()
    assert not other.offer_recovery()
    assert answers.asked == []


def abandon(session, care):
    """Let a window end as kill -9 does: its copy stays, its lock is nobody's."""
    care.autosave._slot._lock.unlock()
    care._lock.release()
    return session.document


def test_what_a_dead_window_left_is_offered_and_recovered(qtbot, window, file):
    session, care, _ = window()
    care.open(file)
    move(session)
    with qtbot.waitSignal(care.autosave.written):
        care.autosave.write()
    lost = abandon(session, care)

    session, care, answers = window()
    assert care.offer_recovery()
    (copy,) = answers.offered["found"]
    assert copy.origin == file
    assert copy.name == "plain barn"
    with qtbot.waitSignal(care.autosave.written):
        answers.offered["take"](copy)
    assert session.document == lost
    assert session.path == file
    assert not session.is_clean
    assert not copy.file.exists()  # this window has a copy of its own by now
    assert care.autosave.file.exists()


def test_what_is_not_wanted_is_deleted(qtbot, window):
    session, care, _ = window()
    move(session)
    with qtbot.waitSignal(care.autosave.written):
        care.autosave.write()
    abandon(session, care)
    _, care, answers = window()
    care.offer_recovery()
    (copy,) = answers.offered["found"]
    answers.offered["discard"](copy)
    assert not care.offer_recovery()


@pytest.mark.parametrize("text", ["", "{}", "[1]", '{"liftlane-recovery": 2}'])
def test_a_file_that_is_no_copy_is_left_alone(window, folder, text):
    _, care, _ = window()
    folder.joinpath("other.json").write_text(text, "utf-8")
    assert not care.offer_recovery()
    assert folder.joinpath("other.json").exists()


def other_barn():
    return rename_barn(plain_barn(), "another barn").barn


def replace_file(path):
    """Save as this program and most editors do: a new file in the old one's place."""
    save_barn(other_barn(), path)


def rewrite_file(path):
    """Save as some editors do: into the same file."""
    copy = path.with_suffix(".other")
    save_barn(other_barn(), copy)
    path.write_bytes(copy.read_bytes())


@pytest.mark.parametrize("change", [replace_file, rewrite_file])
def test_a_change_on_disk_is_noticed_each_time(qtbot, window, file, change):
    session, care, answers = window()
    care.open(file)
    change(file)
    qtbot.waitUntil(lambda: answers.asked == ["changed"])
    assert not answers.offered["has_edits"]
    answers.offered["reload"]()
    assert session.document.name == "another barn"
    save_barn(plain_barn(), file)
    qtbot.waitUntil(lambda: answers.asked == ["changed", "changed"])


def test_unsaved_changes_are_told_with_a_change_on_disk(qtbot, window, file):
    session, care, answers = window()
    care.open(file)
    move(session)
    replace_file(file)
    qtbot.waitUntil(lambda: answers.asked == ["changed"])
    assert answers.offered["has_edits"]
    assert session.document != other_barn()


def test_our_own_save_is_no_change_on_disk(qtbot, window, file):
    session, care, answers = window()
    care.open(file)
    move(session)
    with qtbot.waitSignal(care._watch._watcher.directoryChanged):
        session.save()
    qtbot.waitUntil(lambda: not care._watch._settling.isActive())
    assert answers.asked == []


def test_a_touched_file_with_the_same_bytes_is_no_change(qtbot, window, file):
    _, care, answers = window()
    care.open(file)
    with qtbot.waitSignal(care._watch._watcher.fileChanged):
        file.write_bytes(file.read_bytes())
    qtbot.waitUntil(lambda: not care._watch._settling.isActive())
    assert answers.asked == []


def test_a_file_that_goes_away_is_told(qtbot, window, file):
    _, care, answers = window()
    care.open(file)
    file.unlink()
    qtbot.waitUntil(lambda: answers.asked == ["gone"])


def test_recent_files_are_few_newest_first_and_there(preferences, tmp_path):
    paths = [tmp_path / f"{number}.json" for number in range(14)]
    for path in paths:
        path.write_text("{}", "utf-8")
        preferences.remember(path)
    preferences.remember(paths[3])
    paths[12].unlink()
    recent = preferences.recent
    assert recent[:3] == (paths[3], paths[13], paths[11])
    assert len(recent) <= 10
    preferences.forget(paths[13])
    assert paths[13] not in preferences.recent


def test_odd_settings_fall_back_to_the_usual_ones(preferences):
    settings = preferences.settings
    settings.setValue("units", "cubits")
    settings.setValue("text-size", "large")
    assert preferences.units.value == "job"
    assert preferences.text_size == 100
    settings.setValue("text-size", "900")
    assert preferences.text_size == 200


def test_a_barn_without_a_file_is_recovered_without_one(qtbot, window):
    session, care, _ = window()
    session.new(replace(plain_barn(), name="on paper"))
    move(session)
    with qtbot.waitSignal(care.autosave.written):
        care.autosave.write()
    abandon(session, care)
    session, care, answers = window()
    care.offer_recovery()
    with qtbot.waitSignal(care.autosave.written):
        answers.offered["take"](answers.offered["found"][0])
    assert session.document.name == "on paper"
    assert session.path is None
