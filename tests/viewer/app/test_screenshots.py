"""The command that takes pictures of the window: files, sizes, something in each."""

import os
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from core.barnfile.files import save_barn
from tests.conftest import ROOT
from tests.specimens import plain_barn

pytestmark = pytest.mark.slow

_DOCKS = ("plan", "objects", "findings")


def taken(barn: Path, out: Path, *more: str) -> subprocess.CompletedProcess[str]:
    """Run the command as a person does, without a screen."""
    command = [sys.executable, "-m", "viewer.app.screenshots", str(barn)]
    docks = [word for name in _DOCKS for word in ("--dock", name)]
    return subprocess.run(
        [*command, "--out", str(out), *docks, *more],
        cwd=ROOT,
        env={**os.environ, "QT_QPA_PLATFORM": "offscreen"},
        capture_output=True,
        text=True,
        check=False,
        timeout=300,
    )


@pytest.fixture(scope="module")
def pictures(tmp_path_factory: pytest.TempPathFactory) -> Mapping[str, Image.Image]:
    folder = tmp_path_factory.mktemp("pictures")
    save_barn(plain_barn(), folder / "barn.json")
    done = taken(folder / "barn.json", folder / "out")
    assert done.returncode == 0, done.stderr
    return {
        path.name: Image.open(path).convert("RGB")
        for path in (folder / "out").glob("*.png")
    }


def test_the_window_and_each_dock_are_there_light_and_dark_at_both_scales(
    pictures: Mapping[str, Image.Image],
) -> None:
    assert set(pictures) == {
        f"{name}-{scheme}-{scale}.png"
        for name in ("window", *_DOCKS)
        for scheme in ("light", "dark")
        for scale in (1, 2)
    }
    assert pictures["window-light-1.png"].size == (1600, 1000)


@pytest.mark.parametrize("name", ["window", *_DOCKS])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_picture_at_twice_the_scale_has_twice_the_size(
    pictures: Mapping[str, Image.Image], name: str, scheme: str
) -> None:
    once, twice = (pictures[f"{name}-{scheme}-{scale}.png"] for scale in (1, 2))
    assert np.array(twice.size) == pytest.approx(2 * np.array(once.size), abs=40)


@pytest.mark.parametrize("name", ["window", *_DOCKS])
def test_no_picture_is_blank_and_dark_ones_are_dark(
    pictures: Mapping[str, Image.Image], name: str
) -> None:
    light, dark = (
        np.asarray(pictures[f"{name}-{scheme}-1.png"], dtype=float)
        for scheme in ("light", "dark")
    )
    for picture in (light, dark):
        assert len(np.unique(picture.reshape(-1, 3), axis=0)) > 8
        assert picture.std() > 8.0
    assert light.mean() > 150.0
    assert dark.mean() < 105.0


def test_a_barn_that_is_not_there_is_no_success(tmp_path: Path) -> None:
    done = taken(tmp_path / "no.json", tmp_path / "out", "--scale", "1")
    assert done.returncode == 3
    assert "cannot be opened" in done.stderr
    assert list((tmp_path / "out").glob("*.png")) == []
