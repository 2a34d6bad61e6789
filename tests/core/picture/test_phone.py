"""The GLB for the phone, read back."""

import io
import json
import struct
from functools import cache

import numpy as np
import pytest

from core.errors import ValueRangeError
from core.geometry.shapes import Mesh
from core.picture import phone
from core.picture.hanging_things import point_tips
from core.picture.phone import SECONDS, phone_model
from core.picture.watch import CancelledError
from core.placement.runs import height_at, tube_radius
from core.placement.scene import strands
from tests.core.picture.scenes import LEFT_FAN, RIGHT_TUBE, scene_barn, subject

METRE = 0.0254
_SIZES = {"SCALAR": 1, "VEC3": 3}
_KINDS = {5123: np.uint16, 5125: np.uint32, 5126: np.float32}


class Model:
    """A GLB file read back with nothing but the standard (glTF 2.0, 4.4)."""

    def __init__(self, content: bytes) -> None:
        magic, version, length = struct.unpack_from("<4sII", content)
        assert (magic, version, length) == (b"glTF", 2, len(content))
        size, kind = struct.unpack_from("<I4s", content, 12)
        assert kind == b"JSON"
        self.head = json.loads(content[20 : 20 + size])
        self.content = content[20 + size + 8 :]

    def values(self, number: int) -> np.ndarray:
        accessor = self.head["accessors"][number]
        view = self.head["bufferViews"][accessor["bufferView"]]
        wide = _SIZES[accessor["type"]]
        flat = np.frombuffer(
            self.content,
            _KINDS[accessor["componentType"]],
            accessor["count"] * wide,
            view["byteOffset"],
        )
        return flat.reshape(accessor["count"], wide)

    def node(self, name: str) -> int:
        (found,) = [k for k, n in enumerate(self.head["nodes"]) if n["name"] == name]
        return found

    def places(self, name: str, target: int | None = None) -> np.ndarray:
        mesh = self.head["meshes"][self.head["nodes"][self.node(name)]["mesh"]]
        parts = []
        for primitive in mesh["primitives"]:
            place = self.values(primitive["attributes"]["POSITION"])
            if target is not None:
                moved = primitive["targets"][target]["POSITION"]
                place = place + self.values(moved)
            parts.append(place)
        return np.concatenate(parts)

    def channel(self, name: str) -> tuple[np.ndarray, np.ndarray, str]:
        animation = self.head["animations"][0]
        node = self.node(name)
        (channel,) = [c for c in animation["channels"] if c["target"]["node"] == node]
        sampler = animation["samplers"][channel["sampler"]]
        return (
            self.values(sampler["input"])[:, 0],
            self.values(sampler["output"]),
            channel["target"]["path"],
        )


@cache
def content() -> bytes:
    return phone_model(scene_barn(), meshes={})


@cache
def model() -> Model:
    return Model(content())


@pytest.mark.parametrize("run", scene_barn().runs, ids=lambda run: run.id)
def test_the_animation_begins_at_working_height_and_ends_stowed(run) -> None:
    times, moves, path = model().channel(run.id)
    assert path == "translation"
    assert (times[0], times[-1]) == (0.0, SECONDS)
    height = model().places(run.id)[:, 1]
    barn, catalogue = scene_barn(), subject().catalogue
    for key, lift in ((0, 0.0), (-1, 1.0)):
        z = height_at(run, barn.room, catalogue, lift=lift)
        radius = tube_radius(run, catalogue)
        # hand-worked: couplings stand 14 % above the tube
        top = (z + 1.14 * radius) * METRE
        assert height.max() + moves[key, 1] == pytest.approx(top, abs=2e-4)
        tips = [tip[2] for _, tip in point_tips(run, z, None, radius)]
        low = min(tips) * METRE
        assert height.min() + moves[key, 1] == pytest.approx(low, abs=2e-4)


def test_ropes_reach_from_pulley_to_insulator_at_both_ends() -> None:
    barn, catalogue = scene_barn(), subject().catalogue
    checked = 0
    for lift, target in ((0.0, None), (1.0, -1)):
        for strand in strands(barn, catalogue, lift=lift):
            name = f"{strand.owner} {strand.part}"
            mesh = model().head["meshes"][
                model().head["nodes"][model().node(name)]["mesh"]
            ]
            moved = "targets" in mesh["primitives"][0]
            places = model().places(name, target if moved else None)
            low = min(point[2] for point in strand.points) * METRE
            slack = (strand.radius + 0.2) * METRE
            assert places[:, 1].min() == pytest.approx(low, abs=slack)
            checked += 1
    assert checked > 20


def test_left_stays_left_and_up_is_up() -> None:
    # hand-worked: looking along -z, as x of the room lies there, right is x of glTF
    fan, tube = model().places(LEFT_FAN), model().places(RIGHT_TUBE)
    assert fan[:, 0].max() < tube[:, 0].min()
    assert fan[:, 2].max() < 0
    ceiling, floor = model().places("ceiling"), model().places("floor")
    assert ceiling[:, 1].min() > floor[:, 1].max()
    assert ceiling[:, 1].min() == pytest.approx(100.0 * METRE, abs=1e-4)


def test_another_reader_finds_the_room_the_right_way_out() -> None:
    import trimesh

    # second method: trimesh reads it, and closed parts must hold a positive volume
    scene = trimesh.load_scene(io.BytesIO(content()), file_type="glb")
    volumes = [
        geometry.volume
        for name, geometry in scene.geometry.items()
        if name.startswith(("hopper", RIGHT_TUBE, "lamp-a"))
    ]
    assert len(volumes) >= 3
    assert min(volumes) > 0


def test_walls_are_left_out_from_behind() -> None:
    scene = model()
    for name in ("front wall", "left wall", "ceiling"):
        places = scene.places(name)
        assert np.ptp(places, axis=0).min() == pytest.approx(0.0, abs=1e-5)


def test_scans_are_thinned_until_a_phone_takes_them(monkeypatch) -> None:
    monkeypatch.setattr(phone, "_MOST_FACES", 500)
    y, x = np.mgrid[0:40, 0:40].astype(float)
    vertices = np.stack([x, y, np.zeros_like(x)], axis=-1).reshape(-1, 3)
    corner = (np.arange(39)[:, None] * 40 + np.arange(39)).ravel()
    faces = np.concatenate(
        [
            np.stack([corner, corner + 1, corner + 41], axis=1),
            np.stack([corner, corner + 41, corner + 40], axis=1),
        ]
    )
    thin = phone._thinned(Mesh(vertices=vertices, faces=faces))
    assert 50 < len(thin.faces) <= 500
    assert np.ptp(thin.vertices[:, 0]) > 35


def test_a_model_too_large_for_a_phone_is_refused(monkeypatch) -> None:
    monkeypatch.setattr(phone, "LARGEST_FILE", 1000)
    with pytest.raises(ValueRangeError, match="thin out the scans"):
        phone_model(scene_barn(), meshes={})


def test_the_model_is_given_up_when_asked() -> None:
    class Cancelled:
        is_cancelled = True

        def report(self, share: float, words: str) -> None:
            raise AssertionError(share, words)

    with pytest.raises(CancelledError):
        phone_model(scene_barn(), meshes={}, watch=Cancelled())


def test_cautions_travel_with_the_model() -> None:
    from core.rules.cautions import CAUTIONS

    extras = model().head["asset"]["extras"]
    assert set(CAUTIONS) <= set(extras["cautions"])
