"""The commands that take pictures: what they write, and what they say when refused."""

import io
import struct
from pathlib import Path

import pytest
from PIL import Image

from core.barnfile.files import save_barn
from tests.core.picture.scenes import scene_barn
from viewer.cli.main import main

SMALL = ("--size", "160x120", "--samples", "1")


@pytest.fixture(scope="module")
def barn(tmp_path_factory) -> str:
    path = tmp_path_factory.mktemp("barns") / "scene.json"
    save_barn(scene_barn(), path)
    return str(path)


def test_a_picture_is_written(barn, tmp_path: Path, capsys) -> None:
    out = tmp_path / "room.png"
    where = ("--eye", "2ft, 138, 5ft", "--look", "300,138,60", "--lift", "0.5")
    assert main(["picture", barn, "--out", str(out), *where, *SMALL]) == 0
    assert Image.open(io.BytesIO(out.read_bytes())).size == (160, 120)
    said = capsys.readouterr()
    assert said.out == ""
    assert "100 %" in said.err


def test_before_and_after_is_written_as_a_page(barn, tmp_path: Path) -> None:
    out = tmp_path / "sheet.pdf"
    assert main(["before-after", barn, "--out", str(out), *SMALL]) == 0
    assert out.read_bytes().startswith(b"%PDF")


@pytest.mark.slow
def test_a_walk_is_written(barn, tmp_path: Path) -> None:
    out = tmp_path / "walk.webp"
    through = ("--through", "main-door,mid-alley", "--seconds", "0.5", "--rate", "4")
    assert main(["walk", barn, "--out", str(out), *through, *SMALL]) == 0
    assert Image.open(io.BytesIO(out.read_bytes())).n_frames == 2


def test_a_model_for_the_phone_is_written(barn, tmp_path: Path) -> None:
    out = tmp_path / "room.glb"
    assert main(["phone", barn, "--out", str(out)]) == 0
    content = out.read_bytes()
    assert struct.unpack_from("<4sII", content) == (b"glTF", 2, len(content))
    assert len(content) < 10_000_000


@pytest.mark.parametrize(
    ("more", "code", "words"),
    [
        (("--eye", "roof"), 3, 'no eye point is called "roof"'),
        (("--eye", "1,2"), 3, '"1,2" is no point'),
        (("--eye", "1,2,three"), 3, "three"),
        (("--eye", "1,2,3"), 3, "--look"),
        (("--eye", "1,2,3", "--look", "1,2,3"), 3, "the eye is where it looks at"),
        (("--size", "0x0"), 3, "picture width = 0 px"),
        (("--lift", "2"), 3, "lift = 2"),
        (("--lift", "nan"), 3, "lift = nan"),
        (("--samples", "0"), 3, "samples = 0"),
    ],
)
def test_a_spoiled_picture_is_refused(
    barn, tmp_path: Path, capsys, more, code, words
) -> None:
    out = tmp_path / "room.png"
    assert main(["picture", barn, "--out", str(out), *more]) == code
    said = capsys.readouterr().err
    assert words in said
    assert "Traceback" not in said
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    "more", [("--size", "big"), ("--look", "1,2"), ("--show", "x")]
)
def test_wrong_usage_is_told_apart(barn, tmp_path: Path, more) -> None:
    with pytest.raises(SystemExit) as refused:
        main(["picture", barn, "--out", str(tmp_path / "a.png"), *more])
    assert refused.value.code == 2


@pytest.mark.parametrize("command", ["picture", "before-after", "walk", "phone"])
def test_a_missing_barn_cannot_be_read(command, tmp_path: Path, capsys) -> None:
    name = "a.webp" if command == "walk" else "a.png"
    out = str(tmp_path / name)
    assert main([command, str(tmp_path / "no.json"), "--out", out]) == 3
    assert "no.json" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("command", ["picture", "before-after", "walk", "phone"])
def test_a_missing_folder_cannot_be_written(barn, command, tmp_path, capsys) -> None:
    name = "a.webp" if command == "walk" else "a.png"
    assert main([command, barn, "--out", str(tmp_path / "no" / name)]) == 4
    assert "no such folder" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("command", "name"), [("before-after", "a.doc"), ("walk", "a.avi")]
)
def test_an_unknown_kind_of_file_is_refused(barn, command, name, tmp_path) -> None:
    assert main([command, barn, "--out", str(tmp_path / name)]) == 3
    assert list(tmp_path.iterdir()) == []


def test_a_picture_that_is_interrupted_leaves_nothing(
    barn, tmp_path: Path, monkeypatch
) -> None:
    def interrupt(*_args, **_options):
        raise KeyboardInterrupt

    out = tmp_path / "room.png"
    out.write_bytes(b"old")
    monkeypatch.setattr("core.picture.picture.take_picture", interrupt)
    assert main(["picture", barn, "--out", str(out), *SMALL]) not in {0, 1}
    assert out.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [out]


def test_pictures_load_no_qt(barn, tmp_path: Path, run_python) -> None:
    out = str(tmp_path / "room.png")
    code = (
        "import sys, viewer.cli.main as m;"
        f"m.main(['picture', {barn!r}, '--out', {out!r}, '--size', '160x120',"
        " '--samples', '1']);"
        "bad = [n for n in sys.modules if n.split('.')[0] in"
        " {'PySide6', 'pyqtgraph', 'OpenGL', 'trimesh'}];"
        "sys.stderr.write(' '.join(bad)); sys.exit(len(bad) > 0)"
    )
    done = run_python("-c", code)
    assert done.returncode == 0, done.stderr
    assert Path(out).exists()
