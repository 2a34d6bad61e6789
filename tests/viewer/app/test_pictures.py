"""Pictures, sheets, walks and models made from the window, read back."""

import io
import json
import math
import os
import struct
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

import numpy as np
import psutil
import pypdfium2 as pdfium
import pytest
from PIL import Image
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from core.barnfile.files import BarnFile
from core.model.job import EyePoint
from tests.gui import Answers
from tests.specimens import plain_barn
from viewer.app.picture_dialog import PictureDialog
from viewer.app.picture_wanted import (
    PictureOffer,
    PictureWanted,
    WalkOffer,
    WalkWanted,
)
from viewer.app.pictures_made import glimpse_made
from viewer.app.questions import Questions
from viewer.app.walk_dialog import WalkDialog
from viewer.app.window import MainWindow
from viewer.room3d.camera import FIELD, Camera
from viewer.room3d.panel import Room3dPanel

pytestmark = pytest.mark.gui
PATIENCE = 60_000  # [ms]
SMALL = {"width": 200, "height": 140, "samples": 1}


def answers(window: MainWindow) -> Answers:
    assert isinstance(window.questions, Answers)
    return window.questions


def done(window: MainWindow, qtbot: QtBot, action: str) -> None:
    with qtbot.waitSignal(window.maker.idle, timeout=PATIENCE):
        window.actions_table.by_id[f"picture.{action}"].trigger()


def made(window: MainWindow, qtbot: QtBot, action: str, place: Path) -> bytes:
    answers(window).path = str(place)
    done(window, qtbot, action)
    assert answers(window).told == []
    return place.read_bytes()


def test_a_picture_is_written_as_it_was_asked_for(
    window: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    window.session.set_lift(0.4)
    answers(window).picture_wanted = SMALL
    content = made(window, qtbot, "room", tmp_path / "room.png")
    picture = Image.open(io.BytesIO(content))
    assert picture.size == (200, 140)
    assert np.ptp(np.asarray(picture)) > 150
    (offer,) = answers(window).offers
    assert isinstance(offer, PictureOffer)
    assert offer.wanted.lift == pytest.approx(0.4)
    assert [place.words for place in offer.places] == [
        "main door",
        "mid alley",
        "above the pens",
    ]
    answers(window).picture_wanted = {**SMALL, "lift": 1.0}
    assert made(window, qtbot, "room", tmp_path / "stowed.png") != content


def test_size_and_evenness_are_proposed_again(
    window: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    answers(window).picture_wanted = SMALL
    made(window, qtbot, "room", tmp_path / "room.png")
    answers(window).path = ""
    window.actions_table.by_id["picture.room"].trigger()
    again = answers(window).offers[-1].wanted
    assert (again.width, again.height, again.samples) == (200, 140, 1)


def test_working_and_stowed_are_written_on_a_sheet(
    window: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    answers(window).picture_wanted = SMALL
    content = made(window, qtbot, "before-after", tmp_path / "sheet.pdf")
    page = pdfium.PdfDocument(content)[0]
    # hand-worked: 17 in of 72 points, on which two pictures of 200 px and three gaps
    # of 6 px lie side by side
    assert page.get_size()[0] == pytest.approx(17 * 72, abs=1)
    (image,) = page.get_objects(filter=[pdfium.raw.FPDF_PAGEOBJ_IMAGE])
    assert image.get_px_size()[0] == 418


def test_a_walk_is_written_as_a_film(
    window: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    answers(window).picture_wanted = {**SMALL, "seconds": 0.5, "rate": 6.0}
    content = made(window, qtbot, "walk", tmp_path / "walk.webp")
    film = Image.open(io.BytesIO(content))
    assert (film.size, film.n_frames) == ((200, 140), 3)


def test_a_model_for_a_phone_is_written(
    window: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    content = made(window, qtbot, "phone", tmp_path / "room.glb")
    (size,) = struct.unpack_from("<I", content, 12)
    head = json.loads(content[20 : 20 + size])
    assert {"run-1", "run-2"} <= {node["name"] for node in head["nodes"]}
    assert len(head["animations"]) == 1


def test_a_picture_with_helpers_is_given_up_and_leaves_nothing(
    window: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    answers(window).picture_wanted = {"width": 1920, "height": 1080, "samples": 64}
    answers(window).path = str(tmp_path / "room.png")
    window.actions_table.by_id["picture.room"].trigger()
    qtbot.waitUntil(lambda: len(crew()) > 2, timeout=PATIENCE)
    dialog = window.maker.dialog
    assert dialog is not None
    QTest.mouseClick(dialog.close_button, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: not window.maker.is_busy, timeout=PATIENCE)
    begun = time.monotonic()
    while crew() and time.monotonic() - begun < 10:
        time.sleep(0.05)
    assert crew() == []
    assert not (tmp_path / "room.png").exists()
    assert answers(window).told == []


def crew() -> list[int]:
    """Second method: what the system lists below this process."""
    found = psutil.Process(os.getpid()).children(recursive=True)
    return [each.pid for each in found if is_working(each)]


def is_working(process: psutil.Process) -> bool:
    try:
        return "spawn_main" in " ".join(process.cmdline())
    except psutil.Error:
        return False


@pytest.mark.parametrize("action", ["room", "before-after", "walk", "phone"])
def test_a_folder_that_cannot_be_written_is_told_before_any_work(
    window: MainWindow,
    qtbot: QtBot,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    action: str,
) -> None:
    # root, as which tests may run, could write all the same
    monkeypatch.setattr(os, "access", lambda *_: False)
    endings = {"room": "png", "before-after": "pdf", "walk": "gif", "phone": "glb"}
    place = tmp_path / f"out.{endings[action]}"
    answers(window).path = str(place)
    done(window, qtbot, action)
    (told,) = answers(window).told
    assert told[0].startswith(f'"{place}" could not be written')
    assert told[0].endswith("choose another place.")
    assert not place.exists()


@pytest.mark.parametrize(
    ("action", "name"),
    [("room", "a.jpg"), ("before-after", "a.svg"), ("walk", "a.avi")],
)
def test_a_name_that_says_no_form_is_told(
    window: MainWindow, tmp_path: Path, action: str, name: str
) -> None:
    answers(window).path = str(tmp_path / name)
    window.actions_table.by_id[f"picture.{action}"].trigger()
    (told,) = answers(window).told
    assert f'"{name}"' in told[0]
    assert not window.maker.is_busy


def test_an_eye_that_looks_at_itself_is_told(
    window: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    spoiled = EyePoint(id="here", eye=(60.0, 60.0, 60.0), look=(60.0, 60.0, 60.0))
    answers(window).picture_wanted = {**SMALL, "eye": spoiled}
    answers(window).path = str(tmp_path / "room.png")
    done(window, qtbot, "room")
    assert "the eye is where it looks at" in answers(window).told[0][0].lower()


def test_a_picture_is_taken_as_the_room_in_3_d_shows_it(
    window: MainWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    camera = Camera(eye=(60.0, 138.0, 60.0), look=(300.0, 100.0, 50.0))
    monkeypatch.setattr(Room3dPanel, "camera", property(lambda _panel: camera))
    window.room_3d.picture_wanted.emit()
    offer = answers(window).offers[-1]
    assert isinstance(offer, PictureOffer)
    assert (offer.wanted.eye.eye, offer.wanted.eye.look) == (camera.eye, camera.look)
    # hand-worked: as much upright as the room in 3-D, 16 to 9
    upright = 2 * math.atan(math.tan(offer.wanted.view / 2) * 9 / 16)
    assert upright == pytest.approx(FIELD)
    outside = Camera(eye=(-200.0, 138.0, 160.0), look=(300.0, 100.0, 50.0))
    monkeypatch.setattr(Room3dPanel, "camera", property(lambda _panel: outside))
    window.room_3d.picture_wanted.emit()
    again = answers(window).offers[-1]
    assert isinstance(again, PictureOffer)
    assert again.places[0].words == "main door"


# ----- the dialogs -----


def offered(window: MainWindow, action: str) -> PictureOffer | WalkOffer:
    answers(window).path = ""
    window.actions_table.by_id[f"picture.{action}"].trigger()
    return answers(window).offers[-1]


def picture_dialog(
    window: MainWindow, action: str, answered: Callable[[PictureWanted], object]
) -> PictureDialog:
    offer = offered(window, action)
    assert isinstance(offer, PictureOffer)
    Questions().picture(window, offer, answered)
    return next(iter(window.findChildren(PictureDialog)))


def test_the_dialog_hands_over_what_is_chosen(window: MainWindow) -> None:
    got: list[PictureWanted] = []
    dialog = picture_dialog(window, "room", got.append)
    QTest.keyClicks(dialog.place, "mid")
    dialog.lift.setValue(100)
    assert dialog.lift_words.text() == "stowed"
    dialog.clashes.click()
    dialog.size_row.known.setCurrentIndex(1)
    dialog.size_row.known.activated.emit(1)
    QTest.mouseClick(dialog.write_button, Qt.MouseButton.LeftButton)
    (wanted,) = got
    assert wanted.eye.id == "mid-alley"
    assert (wanted.lift, wanted.clashes, wanted.animals) == (1.0, 1, 0)
    assert (wanted.width, wanted.height, wanted.samples) == (1920, 1080, 16)


def test_a_glimpse_follows_and_ends_with_the_dialog(
    window: MainWindow, qtbot: QtBot
) -> None:
    got: list[PictureWanted] = []
    dialog = picture_dialog(window, "room", got.append)
    qtbot.waitUntil(lambda: not dialog.glimpse.pixmap().isNull(), timeout=PATIENCE)
    first = dialog.glimpse.pixmap().toImage()
    dialog.place.setCurrentIndex(2)
    changed = partial(_differs, dialog, first)
    qtbot.waitUntil(changed, timeout=PATIENCE)
    dialog.place.setCurrentIndex(0)
    qtbot.waitUntil(lambda: bool(crew()), timeout=PATIENCE)
    dialog.reject()
    assert crew() == []
    assert got == []


def _differs(dialog: PictureDialog, first: object) -> bool:
    return dialog.glimpse.pixmap().toImage() != first


def test_a_glimpse_is_small_and_has_the_shape_of_the_picture() -> None:
    class Quiet:
        is_cancelled = False

        def report(self, share: float, words: str) -> None:
            assert 0.0 <= share <= 1.0, words

    eye = EyePoint(id="eye", eye=(20.0, 138.0, 60.0), look=(300.0, 138.0, 50.0))
    wanted = PictureWanted(
        eye=eye, view=1.2, lift=0.0, width=1600, height=800, samples=64
    )
    content = glimpse_made(BarnFile(barn=plain_barn()), Quiet(), wanted=wanted)
    assert Image.open(io.BytesIO(content)).size == (400, 200)


def test_the_dialog_of_a_sheet_asks_for_no_lift(window: MainWindow) -> None:
    dialog = picture_dialog(window, "before-after", lambda _: None)
    assert not dialog.lift.isVisible()
    assert not dialog.clashes.isVisible()
    assert dialog.animals.isVisible()
    dialog.reject()


def test_the_dialog_of_a_walk_hands_over_even_sizes(window: MainWindow) -> None:
    got: list[WalkWanted] = []
    offer = offered(window, "walk")
    assert isinstance(offer, WalkOffer)
    Questions().walk(window, offer, got.append)
    dialog = next(iter(window.findChildren(WalkDialog)))
    dialog.size_row.width_box.setValue(641)
    dialog.seconds.setValue(3.0)
    dialog.rate.setValue(12)
    assert dialog.note.text().startswith("36 pictures.")
    assert dialog.size_row.known.currentText() == "640 x 400"
    QTest.mouseClick(dialog.write_button, Qt.MouseButton.LeftButton)
    assert got == [
        WalkWanted(eyes=(), seconds=3.0, rate=12.0, width=640, height=400, samples=6)
    ]
