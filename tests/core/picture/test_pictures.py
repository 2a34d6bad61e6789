"""Files: a picture with its caption, the sheet, the walk."""

import io
from dataclasses import replace

import numpy as np
import pypdfium2
import pytest
from PIL import Image

from core.errors import NotWrittenError, ValueRangeError
from core.model.room import Alley
from core.picture import film
from core.picture.caption import captioned, lift_words, strip_for
from core.picture.eyes import eye_named, eye_points
from core.picture.film import film_bytes, film_kind
from core.picture.picture import Shot, png_bytes, take_picture
from core.picture.sheet import compare, sheet_bytes, sheet_kind
from core.picture.walk import Walk, alley_path, take_walk
from core.picture.walk import _moment as moment
from core.picture.watch import CancelledError
from core.placement.ceiling import ceiling_height
from tests.core.picture.scenes import scene_barn, subject

DOOR = eye_named(scene_barn(), "main-door")
SHOT = replace(Shot.of(DOOR, width=200, height=140, lift=0.25), samples=1)


class _Cancelled:
    is_cancelled = True

    def report(self, share: float, words: str) -> None:
        raise AssertionError(share, words)


def test_a_picture_file_has_the_size_asked_for_and_a_caption() -> None:
    pixels = take_picture(subject(), SHOT, workers=1)
    assert pixels.shape == (140, 200, 3)
    image = Image.open(io.BytesIO(png_bytes(pixels)))
    assert image.size == (200, 140)
    strip = strip_for("plain barn", "25 % lifted", width=200, height=140)
    paper = np.asarray(image)[-strip.height :]
    assert (paper.min(axis=2) > 240).mean() > 0.5
    assert (paper.max(axis=2) < 120).mean() > 0.01


def test_clash_marks_are_drawn_on_request_alone() -> None:
    barn = scene_barn()
    run = barn.runs[0]
    from core.analysis.analyse import analyse
    from core.model.fixtures import Post
    from core.picture.subject import subject_of

    post = Post(id="post", x=200.0, y=run.start[1] + 3.0, width=4.0, depth=4.0)
    barn = replace(barn, fixtures=(*barn.fixtures, post))
    report = analyse(barn, meshes={}).report
    with_post = subject_of(barn, meshes={}, report=report)
    plain = take_picture(with_post, SHOT, workers=1)
    shown = take_picture(with_post, replace(SHOT, clashes=1), workers=1)
    assert (plain != shown).any(axis=2).sum() > 50
    assert (plain == shown).all(axis=2).mean() > 0.5


@pytest.mark.parametrize(("width", "height"), [(0, 140), (200, 0), (9000, 140)])
def test_a_size_out_of_range_is_refused(width, height) -> None:
    with pytest.raises(ValueRangeError, match=r"picture (width|height) = \d+ px"):
        take_picture(subject(), replace(SHOT, width=width, height=height))


def test_the_caution_is_whole_on_every_width() -> None:
    from core.rules.cautions import CAUTIONS

    for width in (160, 480, 1280, 1920):
        strip = strip_for("room", "stowed", width=width, height=720)
        assert " ".join(strip.caution) == CAUTIONS[0]


def test_a_long_name_is_cut_before_it_meets_the_state() -> None:
    strip = strip_for(
        "a very long name of a room " * 9, "stowed", width=320, height=240
    )
    sheet = captioned(np.zeros((240, 320, 3), np.uint8), strip)
    assert sheet.shape == (240 + strip.height, 320, 3)


def test_a_lift_is_never_called_working_or_stowed_before_it_is() -> None:
    assert lift_words(0.001) == "1 % lifted"
    assert lift_words(0.999) == "99 % lifted"


def test_a_sheet_puts_working_and_stowed_side_by_side() -> None:
    pixels = compare(subject(), DOOR, width=160, height=120, samples=1, workers=1)
    count = 3 if "clash" in _clash_words() else 2
    assert pixels.shape[1] == count * 160 + (count + 1) * 6
    left, right = pixels[6:126, 6:166], pixels[6:126, 172:332]
    assert (left != right).any()
    page = pypdfium2.PdfDocument(sheet_bytes(pixels, kind="pdf", title="plain barn"))
    assert len(page) == 1
    # hand-worked: 17 in of 72 points
    assert page[0].get_size()[0] == pytest.approx(17 * 72, abs=1)
    again = sheet_bytes(pixels, kind="pdf", title="plain barn")
    assert again == sheet_bytes(pixels, kind="pdf", title="plain barn")


def _clash_words() -> str:
    from core.picture.clashes import worst_clash

    return "clash" if worst_clash(subject().report) else ""


@pytest.mark.parametrize(
    ("name", "read"),
    [("a.jpg", sheet_kind), ("a", sheet_kind), ("a.png", film_kind)],
)
def test_other_kinds_of_file_are_refused(name, read) -> None:
    with pytest.raises(ValueRangeError, match="choose one of them"):
        read(name)


def test_a_walk_starts_stowed_and_ends_working_inside_the_room() -> None:
    barn = scene_barn()
    walk = Walk(path=alley_path(barn), seconds=4.0, rate=10.0)
    lifts = []
    for number in range(walk.frames):
        eye, look, lift = moment(walk, number / (walk.frames - 1))
        lifts.append(lift)
        assert 0 < eye[0] < barn.room.length
        assert 0 < eye[1] < barn.room.width
        assert 40 < eye[2] < ceiling_height(barn.room, eye[0], eye[1])
        assert look[0] > eye[0]
    assert (lifts[0], lifts[-1]) == (1.0, 0.0)
    assert lifts == sorted(lifts, reverse=True)
    assert len(set(lifts)) > 15


@pytest.mark.parametrize("length", [200.0, 420.0])
def test_a_walk_ends_before_its_alley_does(length) -> None:
    barn = scene_barn()
    alley = Alley(id="alley", x=0.0, y=110.0, length=length, width=56.0)
    barn = replace(barn, room=replace(barn.room, alleys=(alley,)))
    start, *_, end = (place.eye for place in alley_path(barn))
    assert start[0] + 60.0 < end[0] < length - 30.0


@pytest.mark.slow
def test_a_walk_is_filmed_through_eye_points() -> None:
    path = eye_points(scene_barn())
    walk = Walk(path=path, seconds=0.5, rate=8.0, width=160, height=120, samples=1)
    frames = take_walk(subject(), walk, workers=1)
    assert len(frames) == walk.frames == 4
    for kind in ("webp", "gif"):
        image = Image.open(io.BytesIO(film_bytes(frames, rate=8.0, kind=kind)))
        assert (image.size, image.n_frames) == ((160, 120), 4)
    assert (frames[0] != frames[-1]).any()


def test_an_mp4_is_read_back() -> None:
    av = pytest.importorskip("av")
    frames = [np.full((64, 96, 3), shade, np.uint8) for shade in (20, 120, 220)]
    content = film_bytes(frames, rate=5.0, kind="mp4")
    with av.open(io.BytesIO(content)) as read:
        shades = [f.to_ndarray(format="rgb24").mean() for f in read.decode(video=0)]
    assert shades == pytest.approx([20, 120, 220], abs=4)


def test_an_mp4_without_its_package_is_refused_in_words(monkeypatch) -> None:
    import sys

    monkeypatch.setitem(sys.modules, "av", None)
    with pytest.raises(NotWrittenError, match=r"\.webp or \.gif"):
        film._mp4([np.zeros((64, 64, 3), np.uint8)], 5.0)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"seconds": 0.0}, "walk of 0 s"),
        ({"width": 0}, "film width = 0 px"),
        ({"height": 4001}, "film height = 4001 px"),
        ({"path": (DOOR,)}, "two eye points"),
    ],
)
def test_a_spoiled_walk_is_refused(change, words) -> None:
    with pytest.raises(ValueRangeError, match=words):
        Walk(**{"path": eye_points(scene_barn()), **change})


def test_everything_is_given_up_when_asked() -> None:
    walk = Walk(path=alley_path(scene_barn()), width=160, height=120)
    for work in (
        lambda: take_picture(subject(), SHOT, watch=_Cancelled()),
        lambda: compare(subject(), DOOR, width=160, height=120, watch=_Cancelled()),
        lambda: take_walk(subject(), walk, watch=_Cancelled()),
    ):
        with pytest.raises(CancelledError):
            work()
