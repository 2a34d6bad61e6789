"""Meshes that others made, placed in a barn and checked; skipped where missing."""

import json
import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from core.barnfile import save_barn
from core.model.fixtures import MeshUp, Scan
from core.quantities import LengthUnit
from tests.specimens import plain_barn
from viewer.cli.main import main

REAL_FILES = Path(__file__).resolve().parents[3] / "shared" / "real"
pytestmark = pytest.mark.skipif(
    not REAL_FILES.is_dir(), reason="the real files are not beside this checkout"
)


def _barn_with(file: str, folder: Path, **place: float) -> Path:
    """Write the plain barn with one real file in it."""
    shutil.copy(REAL_FILES / file, folder / file)
    scan = Scan(id="real", file=file, unit=LengthUnit.METRE, up=MeshUp.Z, **place)
    plain = plain_barn()
    barn = replace(plain, fixtures=(*plain.fixtures, scan))
    save_barn(barn, folder / "barn.json")
    return folder / "barn.json"


def _checked(barn: Path, capsys: pytest.CaptureFixture[str]) -> tuple[int, dict]:
    code = main(["check", str(barn), "--json", "-"])
    return code, json.loads(capsys.readouterr().out)


@pytest.mark.parametrize("file", ["warehouse.glb", "obstacle_world.stl"])
def test_a_mesh_far_away_stops_no_run(
    file: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    barn = _barn_with(file, tmp_path, x=4000.0, y=4000.0)
    _, report = _checked(barn, capsys)
    assert not any(
        "real" in (f["other"] or "")
        for f in report["findings"]
        if f["result"] == "stop"
    )


@pytest.mark.parametrize(
    ("file", "x"),
    # published: the hall is 14 m wide, so that its wall stands 7 m from its middle
    [
        ("warehouse.glb", 240.0 + 7.0 / 0.0254),
        ("obstacle_world.stl", 240.0),
        ("simple_room.glb", 240.0),
    ],
)
def test_a_mesh_across_the_runs_blocks_them(
    file: str, x: float, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    barn = _barn_with(file, tmp_path, x=x, y=138.0)
    code, report = _checked(barn, capsys)
    blocked = [row for run in report["runs"] for row in run["blocked"]]
    assert code == 1
    assert any(row["other"] == "real" for row in blocked)
    assert all(row["lo"] < row["hi"] for row in blocked)


def test_a_point_cloud_is_refused_with_the_reason(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    barn = _barn_with("room_scan1_points.ply", tmp_path)
    assert main(["check", str(barn)]) == 3
    assert "points but no triangles" in capsys.readouterr().err
