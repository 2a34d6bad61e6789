"""Triangle meshes from files: the one door to trimesh.

Binary STL and PLY files, the forms that scanners write, are read directly: that
spares a run of the command line the half second in which trimesh loads.
"""

import json
import math
import struct
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import numpy as np

from core.errors import MeshFileError, NotWrittenError
from core.geometry.shapes import FloatArray, IntArray, Mesh, Vec3
from core.quantities import LengthUnit

if TYPE_CHECKING:
    from trimesh import Scene

__all__ = [
    "MAX_FILE_BYTES",
    "MAX_TRIANGLES",
    "MESH_SUFFIXES",
    "UpAxis",
    "load_mesh",
    "mesh_size",
    "placed",
    "write_mesh",
]

UpAxis = Literal["x", "-x", "y", "-y", "z", "-z"]
MESH_SUFFIXES = (".glb", ".obj", ".ply", ".stl")
MAX_FILE_BYTES = 512 * 2**20
MAX_TRIANGLES = 8_000_000

# for each up axis of a file: which of its axes become x, y, z, and their signs;
# each one a turn; the mirror that the room needs comes after it
_TURNS: Mapping[str, tuple[tuple[int, int, int], Vec3]] = {
    "x": ((1, 2, 0), (1.0, 1.0, 1.0)),
    "-x": ((2, 1, 0), (1.0, 1.0, -1.0)),
    "y": ((0, 2, 1), (1.0, -1.0, 1.0)),
    "-y": ((0, 2, 1), (1.0, 1.0, -1.0)),
    "z": ((0, 1, 2), (1.0, 1.0, 1.0)),
    "-z": ((0, 1, 2), (1.0, -1.0, -1.0)),
}

# A file's axes are right-handed, those of the room left-handed: y runs to the right
# of x and z up. Mirrored across y, and its triangles turned over, a scan looks in
# the room as it does on the farm.
_MIRROR = np.array((1.0, -1.0, 1.0))

_STL_HEADER = 84
_STL_RECORD = np.dtype(
    [("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")]
)
_PLY_TYPES = (
    dict.fromkeys(("char", "int8"), "i1")
    | dict.fromkeys(("uchar", "uint8"), "u1")
    | dict.fromkeys(("short", "int16"), "<i2")
    | dict.fromkeys(("ushort", "uint16"), "<u2")
    | dict.fromkeys(("int", "int32"), "<i4")
    | dict.fromkeys(("uint", "uint32"), "<u4")
    | dict.fromkeys(("float", "float32"), "<f4")
    | dict.fromkeys(("double", "float64"), "<f8")
)
_PLY_HEADER_BYTES = 2**16  # a longer header is not believed
# glTF 2.0 extensions that do not touch the shape, by the start of their names
_HARMLESS_EXTENSIONS = ("KHR_materials", "KHR_texture", "EXT_texture", "KHR_lights")
# what trimesh's readers were seen to raise on spoiled files
_READER_FAULTS = (
    *(ArithmeticError, AssertionError, AttributeError, ImportError, LookupError),
    *(MemoryError, OSError, RuntimeError, TypeError, ValueError, struct.error),
)

_Arrays = tuple[FloatArray, IntArray]


def load_mesh(path: Path, *, unit: LengthUnit, up: UpAxis) -> Mesh:
    """Read a triangle mesh in inches, z up, about the origin of its file.

    Parameters
    ----------
    path : Path
        A GLB, OBJ, PLY or STL file of at most 512 MiB and 8 million triangles.
    unit : LengthUnit
        The unit of the numbers in the file; what a file says itself is not
        believed.
    up : {"x", "-x", "y", "-y", "z", "-z"}
        The axis of the file that points up.

    Returns
    -------
    Mesh
        Vertices [in] in axes as the room's, the file's second level axis turned
        to the right; a vertex that the file holds twice stays double.

    Raises
    ------
    MeshFileError
        If the file is missing, too large, of another kind, unreadable, empty,
        compressed, a point cloud, or has a vertex that is not a finite number.
    """
    _check_file(path)
    vertices, faces = _read(path)
    _check_arrays(path, vertices, faces)
    axes, signs = _TURNS[up]
    turned = vertices[:, axes] * (np.array(signs) * _MIRROR * unit.inches)
    return Mesh(vertices=turned, faces=np.ascontiguousarray(faces[:, ::-1]))


def placed(
    mesh: Mesh, *, origin: Vec3, heading: float = 0.0, scale: float = 1.0
) -> Mesh:
    """Return a mesh scaled about its origin, then turned, then moved.

    Parameters
    ----------
    mesh : Mesh
        The mesh about its own origin.
    origin : Vec3
        Room position of that origin [in].
    heading : float
        Turn about the vertical, from x towards y [rad].
    scale : float
        Size factor [-].

    Returns
    -------
    Mesh
        A new mesh with the same faces.
    """
    cos, sin = math.cos(heading) * scale, math.sin(heading) * scale
    x, y, z = mesh.vertices.T
    turned = np.stack((cos * x - sin * y, sin * x + cos * y, scale * z), axis=-1)
    return Mesh(vertices=turned + np.array(origin), faces=mesh.faces)


def mesh_size(mesh: Mesh) -> Vec3:
    """Return the size of a mesh along x, y and z [in]."""
    x, y, z = np.ptp(mesh.vertices, axis=0).tolist()
    return (x, y, z)


def write_mesh(path: Path, mesh: Mesh) -> None:
    """Write a mesh as a binary PLY file, its vertices [in] to the last bit.

    The file's axes are right-handed, z up; `load_mesh` brings the mesh back.

    Raises
    ------
    NotWrittenError
        If the file cannot be written.
    """
    head = (
        "ply\nformat binary_little_endian 1.0\n"
        f"element vertex {len(mesh.vertices)}\n"
        "property double x\nproperty double y\nproperty double z\n"
        f"element face {len(mesh.faces)}\n"
        "property list uchar int vertex_indices\nend_header\n"
    )
    faces = np.zeros(len(mesh.faces), dtype=[("count", "u1"), ("corners", "<i4", 3)])
    faces["count"] = 3
    faces["corners"] = mesh.faces[:, ::-1]
    body = (mesh.vertices * _MIRROR).astype("<f8").tobytes() + faces.tobytes()
    try:
        path.write_bytes(head.encode("ascii") + body)
    except OSError as error:
        message = f"{path}: cannot be written ({error.strerror})"
        raise NotWrittenError(message) from error


def _fault(path: Path, what: str) -> MeshFileError:
    """Return the error for a mesh file."""
    return MeshFileError(f"{path}: {what}")


def _check_file(path: Path) -> None:
    """Refuse what need not be opened to see that it cannot be used."""
    if path.suffix.lower() not in MESH_SUFFIXES:
        kinds = ", ".join(MESH_SUFFIXES)
        raise _fault(path, f'a mesh file ends in {kinds}, not "{path.suffix}"')
    if not path.exists():
        raise _fault(path, "no such mesh file")
    if not path.is_file():
        raise _fault(path, "not a file")
    size = path.stat().st_size
    if size == 0:
        raise _fault(path, "the mesh file is empty")
    if size > MAX_FILE_BYTES:
        limit = f"{MAX_FILE_BYTES / 2**20:.0f} MiB"
        raise _fault(
            path, f"{size / 2**20:.0f} MiB, at most {limit}; thin out the mesh"
        )


def _read(path: Path) -> _Arrays:
    """Read vertices and faces in the file's own unit and axes."""
    readers = {".stl": _read_stl, ".ply": _read_ply, ".glb": _read_glb}
    try:
        return readers.get(path.suffix.lower(), _read_with_trimesh)(path)
    except MeshFileError:
        raise
    except _READER_FAULTS as error:
        what = "cannot be read as a mesh, the file may be damaged"
        raise _fault(path, f"{what} ({type(error).__name__})") from error


def _check_arrays(path: Path, vertices: FloatArray, faces: IntArray) -> None:
    """Refuse a mesh that no distance can be measured to."""
    if not len(faces):
        raise _fault(path, "holds no triangles")
    if len(faces) > MAX_TRIANGLES:
        count = f"{len(faces):,} triangles, at most {MAX_TRIANGLES:,}"
        raise _fault(path, f"{count}; thin out the mesh")
    if faces.min() < 0 or faces.max() >= len(vertices):
        raise _fault(path, "a triangle names a vertex that is not there")
    bad = np.flatnonzero(~np.isfinite(vertices).all(axis=1))
    if len(bad):
        raise _fault(path, f"vertex {bad[0] + 1} is not a finite number, mend the mesh")


def _read_stl(path: Path) -> _Arrays:
    """Read a binary STL file, or leave a text one to trimesh."""
    content = path.read_bytes()
    count = int.from_bytes(content[80:_STL_HEADER], "little")
    if len(content) != _STL_HEADER + count * _STL_RECORD.itemsize:
        return _read_with_trimesh(path)
    records = np.frombuffer(content, dtype=_STL_RECORD, offset=_STL_HEADER)
    vertices = records["corners"].reshape(-1, 3).astype(float)
    return vertices, np.arange(3 * count).reshape(-1, 3)


def _read_ply(path: Path) -> _Arrays:
    """Read a plain binary PLY file, or leave another one to trimesh."""
    content = path.read_bytes()
    end = content.find(b"end_header", 0, _PLY_HEADER_BYTES)
    body = content.find(b"\n", end) + 1
    if not content.startswith(b"ply") or end < 0 or body == 0:
        raise _fault(path, "not a PLY file: it has no whole PLY header")
    head = content[:end].decode("ascii", errors="replace").split("\n")
    elements = _ply_elements(head)
    if not elements.get("face", (0, []))[0]:
        raise _point_cloud(path)
    records = _ply_records(elements)
    if "format binary_little_endian 1.0" not in map(str.strip, head) or not records:
        return _read_with_trimesh(path)
    return _ply_arrays(path, content[body:], elements, records)


def _ply_elements(head: list[str]) -> dict[str, tuple[int, list[list[str]]]]:
    """Return each element of a PLY header: its count and its properties' words."""
    elements: dict[str, tuple[int, list[list[str]]]] = {}
    for words in map(str.split, head):
        if words[:1] == ["element"]:
            elements[words[1]] = (int(words[2]), [])
        elif words[:1] == ["property"] and elements:
            elements[list(elements)[-1]][1].append(words[1:])
    return elements


def _ply_records(
    elements: dict[str, tuple[int, list[list[str]]]],
) -> tuple[np.dtype[np.void], np.dtype[np.void]] | None:
    """Return the record types of vertices and triangles, None for an unusual file."""
    if list(elements)[:2] != ["vertex", "face"]:
        return None
    vertex, face = elements["vertex"][1], elements["face"][1]
    if any(kind not in _PLY_TYPES for kind, *_ in vertex) or len(face) != 1:
        return None
    kind, *words = face[0]
    if kind != "list" or any(word not in _PLY_TYPES for word in words[:2]):
        return None
    count, index = (_PLY_TYPES[word] for word in words[:2])
    return (
        np.dtype([(name, _PLY_TYPES[kind]) for kind, name in vertex]),
        np.dtype([("count", count), ("corners", index, 3)]),
    )


def _ply_arrays(
    path: Path,
    body: bytes,
    elements: dict[str, tuple[int, list[list[str]]]],
    records: tuple[np.dtype[np.void], np.dtype[np.void]],
) -> _Arrays:
    """Cut the body of a binary PLY file into vertices and triangles."""
    vertex_count, face_count = elements["vertex"][0], elements["face"][0]
    start = vertex_count * records[0].itemsize
    vertices = np.frombuffer(body[:start], dtype=records[0])
    columns = [vertices[axis].astype(float) for axis in "xyz"]
    whole = (len(body) - start) // records[1].itemsize
    faces = np.frombuffer(
        body, dtype=records[1], offset=start, count=min(whole, face_count)
    )
    if (faces["count"] != 3).any():
        return _read_with_trimesh(path)
    if len(vertices) < vertex_count or len(faces) < face_count:
        raise _fault(path, "the file is cut short, copy it again")
    return np.stack(columns, axis=-1), faces["corners"].astype(np.int64)


def _read_glb(path: Path) -> _Arrays:
    """Read a GLB file that needs no extension for its shape."""
    with path.open("rb") as file:
        magic, version, length, size, kind = struct.unpack("<4sII I4s", file.read(20))
        if magic != b"glTF" or kind != b"JSON" or version != 2:
            raise _fault(path, "not a GLB file of glTF version 2")
        if length > path.stat().st_size:
            raise _fault(path, "the file is cut short, copy it again")
        head = json.loads(file.read(size))
    needed = [
        name
        for name in head.get("extensionsRequired", [])
        if not name.startswith(_HARMLESS_EXTENSIONS)
    ]
    if needed:
        what = f"its shape is stored with {', '.join(needed)}, which is not read here"
        raise _fault(path, f"{what}; export it uncompressed")
    return _read_with_trimesh(path)


def _point_cloud(path: Path) -> MeshFileError:
    """Return the refusal of points without triangles."""
    what = "holds points but no triangles; a point cloud has no surface to measure to"
    return _fault(path, f"{what}, make a mesh of it first")


def _read_with_trimesh(path: Path) -> _Arrays:
    """Read any of the formats through trimesh, all parts in their places."""
    # a late import: trimesh takes half a second to load
    import trimesh

    scene = trimesh.load_scene(path, process=False, skip_materials=True)
    parts = _scene_parts(scene)
    if not parts:
        shapes = scene.geometry.values()
        if any(isinstance(shape, trimesh.PointCloud) for shape in shapes):
            raise _point_cloud(path)
        return np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int64)
    offsets = np.cumsum([0, *(len(vertices) for vertices, _ in parts[:-1])])
    faces = [part[1] + offset for part, offset in zip(parts, offsets, strict=True)]
    return np.concatenate([part[0] for part in parts]), np.concatenate(faces)


def _scene_parts(scene: "Scene") -> list[_Arrays]:
    """Return every mesh of a scene where its node puts it."""
    import trimesh

    parts = []
    for node in scene.graph.nodes_geometry:
        matrix, name = scene.graph[node]
        shape = scene.geometry[name]
        if isinstance(shape, trimesh.Trimesh) and len(shape.faces):
            vertices = _transformed(np.asarray(shape.vertices, dtype=float), matrix)
            parts.append((vertices, np.asarray(shape.faces, dtype=np.int64)))
    return parts


def _transformed(points: FloatArray, matrix: FloatArray) -> FloatArray:
    """Apply a 4 x 4 matrix; equal points stay equal to the last bit."""
    x, y, z = points.T
    rows = [m[0] * x + m[1] * y + m[2] * z + m[3] for m in matrix[:3]]
    return np.stack(rows, axis=-1)
