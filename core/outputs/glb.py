"""The room as GLB: metres, y up, each part with its name, the envelope see-through.

See `core.geometry.gltf_frame` for the axes.
"""

import math
from collections.abc import Iterator, Mapping
from functools import singledispatch
from typing import Any

import numpy as np
import trimesh
from trimesh.visual import TextureVisuals
from trimesh.visual.material import PBRMaterial

from core.analysis.analyse import Analysis
from core.geometry.gltf_frame import gltf_points
from core.geometry.runs import SweptRun
from core.geometry.shapes import (
    Box,
    Capsule,
    Cylinder,
    FloatArray,
    Hull,
    Mesh,
    Shape,
    Sphere,
    Vec3,
    upright_box,
)
from core.placement.building import building_solids
from core.placement.scene import placed_solids, strands
from core.placement.solids import Group, Moving

__all__ = ["ENVELOPE_ALPHA", "room_glb"]

ENVELOPE_ALPHA = 0.25
_ROUND = 16  # sides of a round part
_VERTICES, _ELEMENTS = 34962, 34963  # ARRAY_BUFFER and ELEMENT_ARRAY_BUFFER

# red, green, blue, opacity; after Okabe and Ito where a colour means something
_COLOURS: Mapping[str, tuple[float, float, float, float]] = {
    Group.BUILDING: (0.80, 0.80, 0.78, 1.0),
    "ceiling": (0.90, 0.90, 0.88, 0.15),
    "wall": (0.85, 0.85, 0.83, 0.25),
    Group.FIXTURE: (0.55, 0.58, 0.62, 1.0),
    "moving": (0.55, 0.58, 0.62, 0.25),
    Group.RUN: (0.75, 0.77, 0.80, 1.0),
    Group.ROPE: (0.95, 0.95, 0.92, 1.0),
    Group.CABLE: (0.35, 0.35, 0.37, 1.0),
    Group.LEAD: (0.84, 0.37, 0.0, 1.0),
    "floor": (0.62, 0.60, 0.57, 1.0),
    "envelope": (0.0, 0.45, 0.70, ENVELOPE_ALPHA),
}
_METAL = frozenset({str(Group.RUN), str(Group.CABLE)})


# the library does not say what these take
_VISUALS: Any = TextureVisuals
_MATERIAL: Any = PBRMaterial


class _Room:
    """A scene being filled: equal shapes of one colour share one mesh."""

    def __init__(self) -> None:
        self.scene: Any = trimesh.Scene(base_frame="room")
        self.count: dict[str, int] = {}

    def add(self, owner: str, part: str, colour: str, shape: Shape) -> None:
        """Add one shape under the name of its owner and part."""
        for kind, matrix, mesh in _instances(shape):
            geometry = kind if mesh is None else f"{owner} {part}"
            geometry = f"{geometry} {colour}"
            if geometry not in self.scene.geometry:
                made = _UNITS[kind].copy() if mesh is None else mesh
                made.visual = _VISUALS(material=_material(colour))
                self.scene.geometry[geometry] = made
            self.scene.graph.update(
                frame_to=self._name(f"{owner} {part}".strip()),
                frame_from="room",
                matrix=matrix,
                geometry=geometry,
                metadata={"owner": owner, "part": part, "kind": colour},
            )

    def _name(self, name: str) -> str:
        count = self.count.get(name, 0) + 1
        self.count[name] = count
        return name if count == 1 else f"{name} ({count})"


def _material(colour: str) -> Any:
    *rgb, alpha = _COLOURS[colour]
    return _MATERIAL(
        name=colour,
        baseColorFactor=[*rgb, alpha],
        metallicFactor=0.6 if colour in _METAL else 0.0,
        roughnessFactor=0.7,
        alphaMode="BLEND" if alpha < 1.0 else "OPAQUE",
        doubleSided=alpha < 1.0,
    )


_UNITS: Mapping[str, trimesh.Trimesh] = {
    "box": trimesh.creation.box((1.0, 1.0, 1.0)),
    "cylinder": trimesh.creation.cylinder(radius=1.0, height=1.0, sections=_ROUND),
    "sphere": trimesh.creation.icosphere(subdivisions=2, radius=1.0),
}
_Instance = tuple[str, FloatArray, trimesh.Trimesh | None]


def _matrix(columns: FloatArray, center: Vec3 | FloatArray) -> FloatArray:
    """Return a node's matrix from its three scaled axes and its middle, of the room.

    The axes are those of a shape that is the same on both sides, so that one of them
    may be turned round to keep the hand of the frame.
    """
    axes = gltf_points(columns.T).T
    if np.linalg.det(axes) < 0.0:
        axes[:, 0] *= -1.0
    matrix = np.eye(4)
    matrix[:3, :3] = axes
    matrix[:3, 3] = gltf_points(np.asarray(center))
    return matrix


@singledispatch
def _instances(shape: Shape) -> Iterator[_Instance]:
    raise TypeError(shape)


@_instances.register
def _(shape: Box) -> Iterator[_Instance]:
    columns = np.array(shape.axes).T * (2.0 * np.array(shape.half))
    yield "box", _matrix(columns, shape.center), None


@_instances.register
def _(shape: Cylinder) -> Iterator[_Instance]:
    yield _rod(shape.a, shape.b, shape.radius)


@_instances.register
def _(shape: Sphere) -> Iterator[_Instance]:
    yield "sphere", _matrix(np.eye(3) * shape.radius, shape.center), None


@_instances.register
def _(shape: Capsule) -> Iterator[_Instance]:
    if math.dist(shape.a, shape.b) > 0.0:
        yield _rod(shape.a, shape.b, shape.radius)
    for end in (shape.a, shape.b):
        yield from _instances(Sphere(center=end, radius=shape.radius))


@_instances.register
def _(shape: Hull) -> Iterator[_Instance]:
    points = gltf_points(np.array(shape.points))
    yield "hull", np.eye(4), trimesh.convex.convex_hull(points)


@_instances.register
def _(shape: Mesh) -> Iterator[_Instance]:
    # the frames differ in hand: faces are turned round with the vertices
    mesh = trimesh.Trimesh(
        vertices=gltf_points(shape.vertices), faces=shape.faces[:, ::-1], process=False
    )
    yield "mesh", np.eye(4), mesh


def _rod(a: Vec3, b: Vec3, radius: float) -> _Instance:
    way = np.subtract(b, a)
    length = float(np.linalg.norm(way))
    along = way / length
    side = np.cross(along, np.eye(3)[int(np.argmin(np.abs(along)))])
    side /= np.linalg.norm(side)
    columns = np.stack(
        (side * radius, np.cross(along, side) * radius, along * length), axis=1
    )
    return "cylinder", _matrix(columns, np.add(a, b) / 2.0), None


def room_glb(
    analysis: Analysis,
    *,
    meshes: Mapping[str, Mesh] | None = None,
    lift: float = 0.0,
) -> bytes:
    """Return the room with everything in it as a GLB file.

    Parameters
    ----------
    analysis : Analysis
        The barn and how its runs hang.
    meshes : mapping of str to Mesh, optional
        The mesh of each scan, in room coordinates [in].
    lift : float
        Where the runs are: 0 at working height, 1 stowed [-].

    Returns
    -------
    bytes
        The file. Every node is named by its owner and part and has both as extras.
    """
    room = _Room()
    _add_building(room, analysis)
    _add_standing(room, analysis, meshes or {})
    _add_runs(room, analysis, lift)
    _add_hung(room, analysis, lift)
    exported = room.scene.export(file_type="glb", tree_postprocessor=_say_targets)
    return bytes(exported)


def _say_targets(tree: dict[str, Any]) -> None:
    """Say of each part of the file whether vertices or their order lie in it.

    References
    ----------
    Khronos Group, glTF 2.0 Specification, 2021, 5.11 (bufferView.target).
    """
    for mesh in tree["meshes"]:
        for primitive in mesh["primitives"]:
            held = [(primitive["indices"], _ELEMENTS)]
            held += [(k, _VERTICES) for k in primitive["attributes"].values()]
            for accessor, target in held:
                view = tree["accessors"][accessor]["bufferView"]
                tree["bufferViews"][view]["target"] = target


def _add_building(room: _Room, analysis: Analysis) -> None:
    barn = analysis.report.barn
    size = barn.room
    floor = upright_box((0.0, 0.0, -2.0), (size.length, size.width, 0.0))
    room.add("floor", "", "floor", floor)
    for solid in building_solids(size):
        if solid.owner.endswith(" wall"):
            room.add(solid.owner, solid.part, "wall", solid.shape)
        elif solid.owner == "ceiling":
            room.add(solid.owner, solid.part, "ceiling", solid.shape)
        else:
            colour = "moving" if solid.moving is Moving.SWEPT else str(solid.group)
            room.add(solid.owner, solid.part, colour, solid.shape)


def _add_standing(room: _Room, analysis: Analysis, meshes: Mapping[str, Mesh]) -> None:
    barn = analysis.report.barn
    for solid in placed_solids(barn, meshes, analysis.catalogue):
        if solid.group is Group.BUILDING:
            continue
        colour = "moving" if solid.moving is Moving.SWEPT else str(solid.group)
        room.add(solid.owner, solid.part, colour, solid.shape)


def _add_runs(room: _Room, analysis: Analysis, lift: float) -> None:
    for key, found in analysis.report.runs.items():
        body = found.evidence.body
        height = body.low + lift * body.travel
        a, b = ((*end, height) for end in (body.start, body.end))
        room.add(key, "pipe", str(Group.RUN), Cylinder(a=a, b=b, radius=body.radius))
        hull = Hull(points=tuple(map(tuple, _envelope(body, height).tolist())))
        room.add(key, "envelope", "envelope", hull)


def _envelope(body: SweptRun, height: float) -> FloatArray:
    """Return points whose hull is the air round a run's live metal."""
    (x0, y0), (x1, y1) = body.start, body.end
    length = math.dist(body.start, body.end)
    way = ((x1 - x0) / length, (y1 - y0) / length)
    ball = trimesh.creation.icosphere(subdivisions=2, radius=body.radius + body.limit)
    corners = [
        (x - across * way[1], y + across * way[0], height + up)
        for x, y in (body.start, body.end)
        for across in {-body.side, body.side}
        for up in {-body.down, body.up}
    ]
    points: FloatArray = (np.array(corners)[:, None, :] + ball.vertices).reshape(-1, 3)
    return points


def _add_hung(room: _Room, analysis: Analysis, lift: float) -> None:
    barn = analysis.report.barn
    for strand in strands(barn, analysis.catalogue, lift=lift):
        for a, b in zip(strand.points, strand.points[1:], strict=False):
            if math.dist(a, b) > 1e-6:
                rod = Cylinder(a=a, b=b, radius=strand.radius)
                room.add(strand.owner, strand.part, str(strand.group), rod)
