"""Mesh files in: all four formats, real files, and every refusal."""

import json
import math
import os
import struct
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import trimesh

from core.errors import MeshFileError, NotWrittenError
from core.geometry import meshes
from core.geometry.meshes import (
    MESH_SUFFIXES,
    UpAxis,
    load_mesh,
    mesh_size,
    placed,
    write_mesh,
)
from core.geometry.shapes import Mesh
from core.geometry.surface import Surface
from core.quantities import LengthUnit
from tests.surface_specimens import as_mesh

ROOT = Path(__file__).parents[3]
REAL_FILES = Path(
    os.environ.get("LIFTLANE_REAL_FILES", ROOT.parent / "shared" / "real")
)


def wedge() -> trimesh.Trimesh:
    """Return a closed wedge of 2 x 3 x 5 with no symmetry, x 0..2, y 0..3, z 0..5."""
    points = np.array([[0, 0, 0], [2, 0, 0], [0, 3, 0], [0, 0, 5.0]])
    faces = [[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]]
    return trimesh.Trimesh(points, faces, process=False)


POINTS = (
    b"ply\nformat ascii 1.0\nelement vertex 1\nproperty float x\n"
    b"property float y\nproperty float z\nend_header\n0 0 0\n"
)


def spoil(path: Path, content: bytes) -> Path:
    path.write_bytes(content)
    return path


def load(path: Path) -> Mesh:
    return load_mesh(path, unit=LengthUnit.INCH, up="z")


@pytest.mark.parametrize("suffix", MESH_SUFFIXES)
def test_every_format_comes_in_whole(tmp_path: Path, suffix: str) -> None:
    path = tmp_path / f"wedge{suffix}"
    wedge().export(path)
    mesh = load(path)
    assert mesh_size(mesh) == (2.0, 3.0, 5.0)
    assert len(mesh.faces) == 4
    assert Surface.of(mesh).closed


@pytest.mark.parametrize(
    ("name", "encoding"), [("text.stl", "stl_ascii"), ("text.ply", "ascii")]
)
def test_text_forms_come_in_whole(tmp_path: Path, name: str, encoding: str) -> None:
    path = tmp_path / name
    if name.endswith("stl"):
        wedge().export(path, file_type=encoding)
    else:
        wedge().export(path, encoding=encoding)
    mesh = load(path)
    assert mesh_size(mesh) == (2.0, 3.0, 5.0)
    assert Surface.of(mesh).closed


@pytest.mark.oracle
@pytest.mark.parametrize("suffix", [".stl", ".ply"])
def test_direct_readers_agree_with_trimesh(tmp_path: Path, suffix: str) -> None:
    path = tmp_path / f"ball{suffix}"
    trimesh.creation.icosphere(2, radius=7.3).export(path)
    read = trimesh.load_mesh(path, process=False)  # second method: trimesh's reader
    mesh = load(path)
    # the room's y runs against the file's, and the triangles are turned over
    mirrored = (read.vertices * (1.0, -1.0, 1.0))[read.faces[:, ::-1]]
    assert np.array_equal(mesh.vertices[mesh.faces], mirrored)


def test_polygons_and_extra_columns_in_a_ply_file_are_read(tmp_path: Path) -> None:
    path = spoil(
        tmp_path / "quad.ply",
        b"ply\nformat ascii 1.0\nelement vertex 4\nproperty float x\n"
        b"property float y\nproperty float z\nproperty uchar red\n"
        b"element face 1\nproperty list uchar int vertex_indices\nend_header\n"
        b"0 0 0 9\n4 0 0 9\n4 4 0 9\n0 4 0 9\n4 0 1 2 3\n",
    )
    mesh = load(path)
    assert len(mesh.faces) == 2
    assert mesh_size(mesh) == (4.0, 4.0, 0.0)


@pytest.mark.parametrize(
    ("unit", "inches"),  # exact by the international inch of 25.4 mm
    [("in", 1.0), ("ft", 12.0), ("mm", 5 / 127), ("cm", 50 / 127), ("m", 5000 / 127)],
)
def test_units_become_inches(tmp_path: Path, unit: str, inches: float) -> None:
    path = tmp_path / "wedge.stl"
    wedge().export(path)
    mesh = load_mesh(path, unit=LengthUnit(unit), up="z")
    assert mesh_size(mesh) == pytest.approx((2 * inches, 3 * inches, 5 * inches))


@pytest.mark.parametrize(
    ("up", "tip"),
    # hand-worked: the corner of the wedge that lies furthest along the up axis
    # must come to lie at +z, the one against it at -z
    [("x", (0, 0, 2)), ("y", (0, 0, 3)), ("z", (0, 0, 5))],
)
@pytest.mark.parametrize("sign", ["", "-"])
def test_the_up_axis_ends_up_upright(
    tmp_path: Path, up: str, tip: tuple[float, ...], sign: str
) -> None:
    path = tmp_path / "wedge.ply"
    wedge().export(path)
    axis: UpAxis = f"{sign}{up}"
    mesh = load_mesh(path, unit=LengthUnit.INCH, up=axis)
    wanted = np.array(tip) * (-1 if sign else 1)
    assert (mesh.vertices == wanted).all(axis=1).any()


def test_what_is_left_in_a_file_is_left_in_the_room(tmp_path: Path) -> None:
    """Hand-worked: with x ahead and z up, a file's y points left, the room's right."""
    path = tmp_path / "wedge.ply"
    wedge().export(path)
    mesh = load(path)
    assert np.ptp(mesh.vertices[:, 1]) == 3.0
    assert mesh.vertices[:, 1].max() == 0.0


@pytest.mark.parametrize("up", ["x", "-x", "y", "-y", "z", "-z"])
def test_no_up_axis_turns_the_mesh_inside_out(tmp_path: Path, up: UpAxis) -> None:
    """The signed volume of the wedge is +5, hand-worked: 2 * 3 * 5 / 6."""
    path = tmp_path / "wedge.ply"
    wedge().export(path)
    mesh = load_mesh(path, unit=LengthUnit.INCH, up=up)
    corners = mesh.vertices[mesh.faces]
    assert np.linalg.det(corners).sum() / 6 == pytest.approx(5.0)


def test_parts_of_a_scene_stand_where_their_nodes_put_them(tmp_path: Path) -> None:
    scene = trimesh.Scene()
    turn = trimesh.transformations.rotation_matrix(math.pi / 2, (0, 0, 1))
    turn[:3, 3] = (100, 0, 0)
    scene.add_geometry(wedge(), geom_name="wedge")
    scene.graph.update(frame_to="second", geometry="wedge", matrix=turn)
    path = tmp_path / "two.glb"
    scene.export(path)
    mesh = load(path)
    assert len(mesh.faces) == 8
    # hand-worked: in the file the wedges cover y 0..3, in the room -3..0
    assert mesh.vertices.min(axis=0) == pytest.approx((0, -3, 0), abs=1e-5)
    assert mesh.vertices.max(axis=0) == pytest.approx((100, 0, 5), abs=1e-5)
    assert Surface.of(mesh).closed


def test_placing_scales_then_turns_then_moves() -> None:
    """Hand-worked: (2, 0, 0) x 10 turned a quarter is (0, 20, 0)."""
    mesh = placed(
        as_mesh(wedge()), origin=(5.0, 6.0, 7.0), heading=math.pi / 2, scale=10.0
    )
    assert mesh.vertices[1] == pytest.approx((5, 26, 7))
    assert mesh.vertices[2] == pytest.approx((-25, 6, 7))
    assert mesh.vertices[3] == pytest.approx((5, 6, 57))


def test_a_mesh_survives_writing_to_the_last_bit(tmp_path: Path) -> None:
    ball = as_mesh(trimesh.creation.icosphere(2, radius=math.pi))
    write_mesh(tmp_path / "ball.ply", ball)
    back = load(tmp_path / "ball.ply")
    assert np.array_equal(back.vertices, ball.vertices)
    assert np.array_equal(back.faces, ball.faces)
    # second method: trimesh reads the same file
    read = trimesh.load_mesh(tmp_path / "ball.ply", process=False)
    assert np.array_equal(read.vertices, ball.vertices * (1.0, -1.0, 1.0))


def test_writing_into_a_missing_folder_is_said(tmp_path: Path) -> None:
    with pytest.raises(NotWrittenError, match="cannot be written"):
        write_mesh(tmp_path / "none" / "ball.ply", as_mesh(wedge()))


def cut_short(path: Path) -> Path:
    """Take the last 30 bytes off a file."""
    return spoil(path, path.read_bytes()[:-30])


@pytest.mark.parametrize("suffix", [".stl", ".ply", ".glb"])
def test_a_file_cut_short_is_refused(tmp_path: Path, suffix: str) -> None:
    path = tmp_path / f"ball{suffix}"
    trimesh.creation.icosphere(2).export(path)
    with pytest.raises(MeshFileError, match=f"ball{suffix}: .*(short|damaged|no tri)"):
        load(cut_short(path))


@pytest.mark.parametrize("suffix", MESH_SUFFIXES)
@pytest.mark.parametrize("seed", range(5))
def test_noise_is_refused(tmp_path: Path, suffix: str, seed: int) -> None:
    noise = np.random.default_rng(seed).bytes(4000)
    with pytest.raises(MeshFileError, match="noise"):
        load(spoil(tmp_path / f"noise{suffix}", noise))


@pytest.mark.parametrize("suffix", MESH_SUFFIXES)
@pytest.mark.parametrize("seed", range(12))
def test_a_file_with_spoiled_bytes_loads_or_is_refused(
    tmp_path: Path, suffix: str, seed: int
) -> None:
    """Nothing but a mesh of finite numbers or a MeshFileError comes out."""
    path = tmp_path / f"spoiled{suffix}"
    wedge().export(path)
    content = bytearray(path.read_bytes())
    rng = np.random.default_rng(seed)
    for place in rng.integers(0, len(content), 1 + seed):
        content[place] = rng.integers(0, 256)
    try:
        mesh = load(spoil(path, bytes(content)))
    except MeshFileError:
        return
    Surface.of(mesh)


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("a.dae", b"x", "ends in .glb, .obj, .ply, .stl"),
        ("noend", b"x", 'not ""'),
        ("empty.stl", b"", "the mesh file is empty"),
        ("empty.obj", b"# nothing\n", "no triangles"),
        ("none.stl", struct.pack("<80xI", 0), "no triangles"),
        (
            "points.ply",
            POINTS,
            "points but no triangles",
        ),
        ("points.obj", b"v 0 0 0\nv 1 0 0\nv 0 1 0\n", "no triangles"),
        ("wrong.glb", b"glTG" + bytes(30), "not a GLB file"),
        ("old.glb", struct.pack("<4sIII4s", b"glTF", 1, 20, 0, b"JSON"), "version 2"),
        ("far.obj", b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 9\n", "far.obj: "),
        ("nan.obj", b"v 0 0 nan\nv 1 0 0\nv 0 1 0\nf 1 2 3\n", "not a finite number"),
    ],
)
def test_unusable_files_are_refused_with_the_reason(
    tmp_path: Path, name: str, content: bytes, words: str
) -> None:
    with pytest.raises(MeshFileError, match=name) as caught:
        load(spoil(tmp_path / name, content))
    assert words in str(caught.value)


def test_a_missing_file_and_a_folder_are_named(tmp_path: Path) -> None:
    with pytest.raises(MeshFileError, match=r"gone\.stl: no such mesh file"):
        load(tmp_path / "gone.stl")
    (tmp_path / "folder.stl").mkdir()
    with pytest.raises(MeshFileError, match="not a file"):
        load(tmp_path / "folder.stl")


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
@pytest.mark.parametrize("suffix", [".stl", ".ply"])
def test_a_vertex_that_is_no_number_is_refused(
    tmp_path: Path, suffix: str, value: float
) -> None:
    content = trimesh.exchange.export.export_mesh(wedge(), None, suffix[1:])
    five, bad = np.array([5.0, value], dtype="<f4")
    assert five.tobytes() in content
    spoil(tmp_path / f"bad{suffix}", content.replace(five.tobytes(), bad.tobytes()))
    with pytest.raises(MeshFileError, match="not a finite number"):
        load(tmp_path / f"bad{suffix}")


def glb(head: dict[str, object]) -> bytes:
    text = json.dumps(head).encode()
    text += b" " * (-len(text) % 4)
    chunk = struct.pack("<I4s", len(text), b"JSON") + text
    return struct.pack("<4sII", b"glTF", 2, 12 + len(chunk)) + chunk


@pytest.mark.parametrize(
    "extension",
    ["KHR_draco_mesh_compression", "EXT_meshopt_compression", "KHR_mesh_quantization"],
)
def test_a_compressed_glb_names_its_compression(tmp_path: Path, extension: str) -> None:
    content = glb({"asset": {"version": "2.0"}, "extensionsRequired": [extension]})
    with pytest.raises(MeshFileError, match=f"{extension}.*uncompressed"):
        load(spoil(tmp_path / "small.glb", content))


def test_a_glb_that_holds_no_mesh_is_refused(tmp_path: Path) -> None:
    content = glb({"asset": {"version": "2.0"}, "scene": 0, "scenes": [{"nodes": []}]})
    with pytest.raises(MeshFileError, match=r"empty\.glb"):
        load(spoil(tmp_path / "empty.glb", content))


def test_limits_of_size_are_stated(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "wedge.stl"
    wedge().export(path)
    monkeypatch.setattr(meshes, "MAX_TRIANGLES", 3)
    with pytest.raises(MeshFileError, match="4 triangles, at most 3; thin out"):
        load(path)
    monkeypatch.setattr(meshes, "MAX_FILE_BYTES", 100)
    with pytest.raises(MeshFileError, match="MiB, at most 0 MiB; thin out"):
        load(path)


def test_geometry_starts_without_trimesh_and_scipy() -> None:
    code = (
        "import sys, core.geometry.meshes, core.geometry.inside, "
        "core.geometry.sweep_surface\n"
        "sys.exit(bool({'trimesh', 'scipy'} & set(sys.modules)))"
    )
    assert subprocess.run([sys.executable, "-c", code], cwd=ROOT).returncode == 0


@pytest.mark.skipif(not REAL_FILES.is_dir(), reason="the real files are not here")
class TestRealFiles:
    """Files that nobody here made; sizes by their README."""

    @pytest.mark.parametrize(
        ("name", "size"),
        [
            # published: a hall of 14 x 21 m; lamps hang 12.5 to 14 m up (its nodes)
            ("warehouse.glb", (14.0, 21.0, 14.0)),
            # published: 10.5 x 10.9 x 2.2 with z up
            ("simple_room.glb", (10.5, 10.9, 2.2)),
        ],
    )
    def test_rooms_come_in_to_size(
        self, name: str, size: tuple[float, float, float]
    ) -> None:
        mesh = load_mesh(REAL_FILES / name, unit=LengthUnit.METRE, up="z")
        metres = np.array(mesh_size(mesh)) * 0.0254
        assert metres == pytest.approx(np.array(size), abs=0.1)

    def test_a_watertight_file_is_closed(self) -> None:
        """Published: 680 faces, watertight."""
        path = REAL_FILES / "obstacle_world.stl"
        mesh = load_mesh(path, unit=LengthUnit.METRE, up="z")
        assert len(mesh.faces) == 680
        assert Surface.of(mesh).closed

    def test_a_roof_of_loose_parts_is_not_closed(self) -> None:
        """Published: 251 loose parts, none watertight."""
        path = REAL_FILES / "warehouse.glb"
        mesh = load_mesh(path, unit=LengthUnit.METRE, up="z")
        assert not Surface.of(mesh).closed

    def test_points_are_refused(self) -> None:
        with pytest.raises(MeshFileError, match="points but no triangles"):
            load(REAL_FILES / "room_scan1_points.ply")
