"""A small writer of binary glTF 2.0: meshes, nodes, morph targets, one animation.

Points come in the room's frame and leave in that of glTF, whose triangles turn the
other way round: see `core.geometry.gltf_frame`.

References
----------
Khronos Group, glTF 2.0 Specification, 2021, ch. 3 and 4.4.
"""

import json
import struct
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from core.geometry.gltf_frame import gltf_axes, gltf_points
from core.geometry.shapes import Vec3
from core.picture.finishes import LOOKS, Finish
from core.picture.forms import Floats, Form, Ints

__all__ = ["Glb", "glb_bytes"]

_FLOAT, _SHORT, _INT = 5126, 5123, 5125
_ARRAY, _ELEMENTS = 34962, 34963
_SHINING = {Finish.LAMP: (1.0, 1.0, 1.0), Finish.DAYLIGHT: (0.75, 0.82, 0.9)}
_METALLIC = 0.2  # what mirrors more than this is metal [-]

_Json = dict[str, Any]


@dataclass(slots=True, kw_only=True)
class Glb:
    """A file in the making; it grows by `add_mesh`, `add_node` and `animate`."""

    name: str
    nodes: list[_Json] = field(default_factory=list)
    meshes: list[_Json] = field(default_factory=list)
    materials: list[_Json] = field(default_factory=list)
    accessors: list[_Json] = field(default_factory=list)
    views: list[_Json] = field(default_factory=list)
    channels: list[_Json] = field(default_factory=list)
    samplers: list[_Json] = field(default_factory=list)
    content: bytearray = field(default_factory=bytearray)
    looks: dict[tuple[Finish, int], int] = field(default_factory=dict)
    times: dict[tuple[float, ...], int] = field(default_factory=dict)

    def add_mesh(
        self,
        name: str,
        parts: Sequence[tuple[Finish, Form]],
        *,
        moved: Sequence[Sequence[Form]] = (),
        sides: int = 1,
    ) -> int:
        """Add a mesh and return its number.

        Parameters
        ----------
        name : str
            Its name.
        parts : sequence
            Finish and triangles [in, room] of each of its primitives.
        moved : sequence of sequence of Form
            For each morph target, the same triangles elsewhere.
        sides : int
            2 to see its faces from behind too [-].
        """
        primitives = []
        for number, (finish, form) in enumerate(parts):
            targets = [target[number] for target in moved]
            primitives.append(self._primitive(finish, form, targets, sides))
        mesh: _Json = {"name": name, "primitives": primitives}
        if moved:
            mesh["weights"] = [0.0] * len(moved)
        self.meshes.append(mesh)
        return len(self.meshes) - 1

    def add_node(self, name: str, mesh: int, *, at: Vec3 | None = None) -> int:
        """Add a node with a mesh [in, room] and return its number."""
        node: _Json = {"name": name, "mesh": mesh}
        if at is not None:
            node["translation"] = gltf_points(np.array(at)).tolist()
        self.nodes.append(node)
        return len(self.nodes) - 1

    def animate(
        self, node: int, path: str, times: Sequence[float], values: Floats
    ) -> None:
        """Let a node's translation [m, glTF] or weights change evenly in time [s]."""
        key = tuple(times)
        if key not in self.times:
            self.times[key] = self._accessor(
                np.array(times, np.float32), "SCALAR", _FLOAT, bounds=1
            )
        kind = "VEC3" if path == "translation" else "SCALAR"
        output = self._accessor(values.astype(np.float32), kind, _FLOAT)
        sampler = {
            "input": self.times[key],
            "output": output,
            "interpolation": "LINEAR",
        }
        self.samplers.append(sampler)
        target = {"node": node, "path": path}
        channel = {"sampler": len(self.samplers) - 1, "target": target}
        self.channels.append(channel)

    def _primitive(
        self, finish: Finish, form: Form, targets: Sequence[Form], sides: int
    ) -> _Json:
        forms = [form, *targets]
        columns = [_vertices(part) for part in forms]
        _, first, index = np.unique(
            np.round(np.concatenate(columns, axis=1), 5),
            axis=0,
            return_index=True,
            return_inverse=True,
        )
        index = index.reshape(-1, 3)[:, ::-1].ravel()
        kind = _SHORT if len(first) < 2**16 - 1 else _INT
        small = kind == _SHORT
        packed: Ints = index.astype(np.uint16) if small else index.astype(np.uint32)
        primitive: _Json = {
            "attributes": self._attributes(columns[0][first]),
            "indices": self._accessor(packed, "SCALAR", kind, target=_ELEMENTS),
            "material": self._material(finish, sides),
        }
        if targets:
            primitive["targets"] = [
                self._attributes(column[first] - columns[0][first])
                for column in columns[1:]
            ]
        return primitive

    def _attributes(self, vertices: Floats) -> dict[str, int]:
        places, normals = vertices[:, :3], vertices[:, 3:]
        return {
            "POSITION": self._accessor(places, "VEC3", _FLOAT, target=_ARRAY, bounds=1),
            "NORMAL": self._accessor(normals, "VEC3", _FLOAT, target=_ARRAY),
        }

    def _material(self, finish: Finish, sides: int) -> int:
        key = (finish, sides)
        if key not in self.looks:
            look = LOOKS[finish]
            metal = look.mirror > _METALLIC
            tint = [min(1.0, c + (look.mirror if metal else 0.0)) for c in look.tint]
            material: _Json = {
                "name": finish.name.lower().replace("_", " "),
                "pbrMetallicRoughness": {
                    "baseColorFactor": [*(round(c, 4) for c in tint), 1.0],
                    "metallicFactor": 0.6 if metal else 0.0,
                    "roughnessFactor": round(0.35 + look.rough, 3),
                },
            }
            if sides == 2:
                material["doubleSided"] = True
            if finish in _SHINING:
                material["emissiveFactor"] = list(_SHINING[finish])
            self.materials.append(material)
            self.looks[key] = len(self.materials) - 1
        return self.looks[key]

    def _accessor(
        self,
        values: Floats | Ints,
        kind: str,
        component: int,
        *,
        target: int | None = None,
        bounds: int = 0,
    ) -> int:
        if component == _FLOAT:
            values = np.ascontiguousarray(values, dtype=np.float32)
        view: _Json = {
            "buffer": 0,
            "byteOffset": len(self.content),
            "byteLength": values.nbytes,
        }
        if target is not None:
            view["target"] = target
        self.views.append(view)
        self.content += values.tobytes()
        self.content += b"\0" * (-len(self.content) % 4)
        count = len(values) if kind != "SCALAR" else values.size
        accessor: _Json = {
            "bufferView": len(self.views) - 1,
            "componentType": component,
            "count": count,
            "type": kind,
        }
        if bounds:
            flat = values.reshape(count, -1)
            accessor["min"] = [float(v) for v in flat.min(axis=0)]
            accessor["max"] = [float(v) for v in flat.max(axis=0)]
        self.accessors.append(accessor)
        return len(self.accessors) - 1


def _vertices(form: Form) -> Floats:
    """Return place [m] and normal of each corner `(3 n, 6)`, in glTF's axes."""
    normals = gltf_axes(form.normals.reshape(-1, 3)).astype(np.float64)
    normals /= np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-12)
    return np.concatenate([gltf_points(form.corners.reshape(-1, 3)), normals], axis=1)


def glb_bytes(glb: Glb, *, title: str, cautions: Sequence[str]) -> bytes:
    """Return the file.

    Parameters
    ----------
    glb : Glb
        Its parts, one node at least.
    title : str
        Name of the scene.
    cautions : sequence of str
        Words that go with it, kept in the asset's extras.
    """
    head: _Json = {
        "asset": {
            "version": "2.0",
            "generator": "Liftlane",
            "extras": {"title": title, "cautions": list(cautions)},
        },
        "scene": 0,
        "scenes": [{"name": title, "nodes": list(range(len(glb.nodes)))}],
        "nodes": glb.nodes,
        "meshes": glb.meshes,
        "materials": glb.materials,
        "accessors": glb.accessors,
        "bufferViews": glb.views,
        "buffers": [{"byteLength": len(glb.content)}],
    }
    if glb.channels:
        animation = {
            "name": glb.name,
            "channels": glb.channels,
            "samplers": glb.samplers,
        }
        head["animations"] = [animation]
    text = json.dumps(head, separators=(",", ":"), allow_nan=False).encode()
    text += b" " * (-len(text) % 4)
    length = 12 + 8 + len(text) + 8 + len(glb.content)
    return b"".join(
        (
            struct.pack("<4sII", b"glTF", 2, length),
            struct.pack("<I4s", len(text), b"JSON"),
            text,
            struct.pack("<I4s", len(glb.content), b"BIN\0"),
            bytes(glb.content),
        )
    )
