import os
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from core.barnfile import MeshLibrary, open_barn
from core.errors import MeshFileError
from core.model.fixtures import MeshUp, Scan
from core.quantities import LengthUnit
from tests.specimens import FIXTURES, full_barn
from tests.spoiled_files import ONE_TRIANGLE, write_good_files

REAL_FILES = Path(__file__).resolve().parents[4] / "shared" / "real"
SCAN = Scan(id="scan-1", file="scan.stl", unit=LengthUnit.MILLIMETRE)


@pytest.fixture
def library(tmp_path: Path) -> MeshLibrary:
    (tmp_path / "scan.stl").write_text(ONE_TRIANGLE)
    return MeshLibrary(tmp_path)


def test_a_scan_is_scaled_turned_and_moved(library: MeshLibrary) -> None:
    scan = replace(SCAN, x=10.0, y=20.0, z=5.0, scale=2.54, heading=np.pi / 2)

    # hand-worked: 1000 mm x 2.54 = 100 in; the file's y is the room's -y; a quarter
    # turn takes x to y and -y to x
    assert library.mesh(scan).vertices == pytest.approx(
        np.array([[10.0, 20.0, 5.0], [10.0, 120.0, 5.0], [110.0, 20.0, 5.0]])
    )


def test_the_axis_that_points_up_is_that_of_the_file(library: MeshLibrary) -> None:
    mesh = library.mesh(replace(SCAN, unit=LengthUnit.METRE, up=MeshUp.Y))

    # the triangle's side along the file's y stands upright
    assert np.ptp(mesh.vertices, axis=0)[2] == pytest.approx(1000 / 0.0254)


def test_an_unchanged_scan_gives_the_same_mesh(library: MeshLibrary) -> None:
    assert library.mesh(SCAN) is library.mesh(replace(SCAN, name="other"))
    assert library.mesh(SCAN) is not library.mesh(replace(SCAN, x=1.0))


def test_a_changed_file_is_read_again(library: MeshLibrary, tmp_path: Path) -> None:
    before = library.mesh(SCAN)
    path = tmp_path / "scan.stl"
    path.write_text(ONE_TRIANGLE.replace("1000", "2000"))
    os.utime(path, ns=(1, 1))

    after = library.mesh(SCAN)

    assert np.ptp(after.vertices) == pytest.approx(2 * np.ptp(before.vertices))


def test_a_file_that_went_away_is_missed(library: MeshLibrary, tmp_path: Path) -> None:
    library.mesh(SCAN)
    (tmp_path / "scan.stl").unlink()

    with pytest.raises(MeshFileError, match=r"scan\.stl"):
        library.mesh(SCAN)


def test_an_opened_barn_brings_its_meshes(tmp_path: Path) -> None:
    file = open_barn(write_good_files(tmp_path))

    assert file.meshes.keys() == {"scan-1"}


def test_every_scan_without_a_mesh_is_a_fault(tmp_path: Path) -> None:
    scans = (replace(SCAN, file="a.stl"), replace(SCAN, id="scan-2", file="b.stl"))
    barn = replace(full_barn(), fixtures=(FIXTURES["light"], *scans))

    meshes, faults = MeshLibrary(tmp_path).load(barn)

    assert meshes == {}
    assert [fault.path for fault in faults] == ["fixtures[1].file", "fixtures[2].file"]


@pytest.mark.skipif(not REAL_FILES.is_dir(), reason="the real files are not here")
@pytest.mark.parametrize(
    ("file", "up", "size"),
    [
        # sizes in metres as the files' own notes give them, to their last digit
        ("simple_room.glb", MeshUp.Z, (10.5, 10.9, 2.2)),
        ("obstacle_world.stl", MeshUp.Z, None),
        ("warehouse.glb", MeshUp.Y, None),
    ],
)
def test_a_mesh_that_others_made_is_placed(
    file: str, up: MeshUp, size: tuple[float, float, float] | None
) -> None:
    scan = replace(SCAN, file=file, unit=LengthUnit.METRE, up=up)
    barn = replace(full_barn(), fixtures=(scan,))

    meshes, faults = MeshLibrary(REAL_FILES).load(barn)

    assert faults == ()
    metres = np.ptp(meshes["scan-1"].vertices, axis=0) * 0.0254
    assert size is None or metres == pytest.approx(size, abs=0.06)


@pytest.mark.skipif(not REAL_FILES.is_dir(), reason="the real files are not here")
def test_a_point_cloud_that_others_made_is_refused() -> None:
    scan = replace(SCAN, file="room_scan1_points.ply", unit=LengthUnit.METRE)
    barn = replace(full_barn(), fixtures=(scan,))

    _, faults = MeshLibrary(REAL_FILES).load(barn)

    assert [fault.path for fault in faults] == ["fixtures[0].file"]
    assert "point" in faults[0].expected
