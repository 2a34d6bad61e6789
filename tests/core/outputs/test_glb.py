"""The GLB read back: metres, y up, names, see-through envelope, nothing mirrored."""

import io
import json
import struct
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import trimesh

from core.analysis.analyse import Analysis, analyse
from core.geometry.shapes import Mesh
from core.model.fixtures import PlainBox, Scan
from core.outputs.glb import ENVELOPE_ALPHA, room_glb
from core.quantities import LengthUnit
from tests.specimens import LENGTH, WIDTH, plain_barn

METRE = 0.0254  # exact, the inch of 1959


def read(content: bytes) -> trimesh.Scene:
    return trimesh.load_scene(io.BytesIO(content), file_type="glb")


def gltf(content: bytes) -> dict[str, Any]:
    """Return the JSON part of a GLB file; layout as published in glTF 2.0, 4.4."""
    size = struct.unpack("<I", content[12:16])[0]
    return json.loads(content[20 : 20 + size])


def bounds_of(scene: trimesh.Scene, owner: str) -> np.ndarray:
    """Return the box of all nodes of an owner, from every vertex."""
    points = []
    for node in scene.graph.nodes_geometry:
        matrix, geometry = scene.graph[node]
        if node == owner or node.startswith(f"{owner} "):
            points.append(
                trimesh.transform_points(scene.geometry[geometry].vertices, matrix)
            )
    joined = np.concatenate(points)
    return np.array((joined.min(axis=0), joined.max(axis=0)))


@pytest.fixture(scope="module")
def content() -> bytes:
    return room_glb(analyse(plain_barn()))


def test_the_floor_is_the_room_in_metres_with_y_up(content: bytes) -> None:
    low, high = bounds_of(read(content), "floor")
    # hand-worked: 480 x 276 in of floor; right is +X, forward -Z, up +Y
    assert (low[0], high[0]) == pytest.approx((0.0, WIDTH * METRE))
    assert (low[2], high[2]) == pytest.approx((-LENGTH * METRE, 0.0))
    assert high[1] == pytest.approx(0.0)


def test_a_fixture_by_the_left_wall_is_on_the_left_from_the_main_door() -> None:
    boxes = tuple(
        PlainBox(id=name, x=x, y=y, z=60.0, length=10.0, width=6.0, height=4.0)
        for name, x, y in (("by-left", 100.0, 20.0), ("by-right", 100.0, 250.0))
    )
    scene = read(room_glb(analyse(replace(plain_barn(), fixtures=boxes))))
    left, right = (
        bounds_of(scene, name).mean(axis=0) for name in ("by-left", "by-right")
    )
    # who stands at the main door looks along -Z with +Y up: right is look x up
    look, up = np.array((0.0, 0.0, -1.0)), np.array((0.0, 1.0, 0.0))
    to_the_right = np.cross(look, up)
    assert left @ to_the_right < right @ to_the_right
    # hand-worked: 250 - 20 = 230 in apart, both 100 in from the front, 62 in up
    assert (right - left) @ to_the_right == pytest.approx(230.0 * METRE, abs=1e-6)
    assert left @ look == pytest.approx(100.0 * METRE, abs=1e-6)
    assert left @ up == pytest.approx(62.0 * METRE, abs=1e-6)


def test_no_node_mirrors_its_mesh_and_solids_face_outward(content: bytes) -> None:
    scene = read(content)
    assert len(scene.graph.nodes_geometry) > 20
    for node in scene.graph.nodes_geometry:
        matrix, geometry = scene.graph[node]
        assert np.linalg.det(matrix[:3, :3]) > 0.0
        assert scene.geometry[geometry].volume > 0.0


def test_a_scan_keeps_its_sides_though_the_frames_differ_in_hand() -> None:
    # a tetrahedron with outward faces in the room's own numbers
    vertices = np.array(((0, 0, 0), (20, 0, 0), (0, 30, 0), (0, 0, 40)), dtype=float)
    faces = np.array(((0, 2, 1), (0, 1, 3), (0, 3, 2), (1, 2, 3)))
    mesh = Mesh(vertices=vertices + np.array((100.0, 40.0, 60.0)), faces=faces)
    scan = Scan(id="scan", file="s.ply", unit=LengthUnit.INCH)
    barn = replace(plain_barn(), fixtures=(scan,))
    meshes = {"scan": mesh}
    content = room_glb(analyse(barn, meshes=meshes), meshes=meshes)
    (name,) = (n for n in read(content).geometry if n.startswith("scan"))
    # hand-worked: 20 x 30 x 40 / 6 = 4000 cubic inches
    volume = abs(read(content).geometry[name].volume)
    assert volume == pytest.approx(4000.0 * METRE**3, rel=1e-5)


def test_names_and_owners_are_extras_and_equal_parts_share_a_mesh(
    content: bytes,
) -> None:
    data = gltf(content)
    nodes = {n["name"]: n for n in data["nodes"] if "mesh" in n}
    barn = plain_barn()
    run = barn.runs[0]
    assert nodes[f"{run.id} pipe"]["extras"]["owner"] == run.id
    rods = [
        nodes[f"{run.id} insulator {support.id}"]["mesh"] for support in run.supports
    ]
    assert len(rods) > 1
    assert len(set(rods)) == 1


def test_the_envelope_is_see_through_and_the_pipe_is_not(content: bytes) -> None:
    materials = {m["name"]: m for m in gltf(content)["materials"]}
    envelope = materials["envelope"]
    assert envelope["alphaMode"] == "BLEND"
    assert envelope["pbrMetallicRoughness"]["baseColorFactor"][3] == pytest.approx(
        ENVELOPE_ALPHA, abs=0.01
    )
    assert materials["run"].get("alphaMode", "OPAQUE") == "OPAQUE"


def test_the_envelope_reaches_its_limit_below_the_points() -> None:
    analysis: Analysis = analyse(plain_barn())
    scene = read(room_glb(analysis))
    run = analysis.report.barn.runs[0]
    low, _ = bounds_of(scene, f"{run.id} envelope")
    # hand-worked: points reach 2 in below the axis at 50 in, 6 in of air below them
    assert low[1] == pytest.approx((50.0 - 2.0 - 6.0) * METRE, abs=1e-4)
