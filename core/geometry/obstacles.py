"""Many convex solids as arrays, so that they can be measured all at once."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import IntEnum
from functools import cached_property, singledispatch

import numpy as np
from numpy.typing import NDArray

from core.errors import ValueRangeError
from core.geometry.hull_faces import hull_faces
from core.geometry.shapes import (
    Box,
    Capsule,
    Cylinder,
    FloatArray,
    Hull,
    IntArray,
    Shape,
    Sphere,
    Vec3,
)

__all__ = ["HullFeatures", "ObstacleSet", "SolidKind"]

_FIELDS = 15
_FLAT = 1e-9
Float32Array = NDArray[np.float32]


class SolidKind(IntEnum):
    """Which formulas a solid is measured with."""

    UPRIGHT_BOX = 0
    UPRIGHT_CYLINDER = 1
    CAPSULE = 2
    TILTED_BOX = 3
    TILTED_CYLINDER = 4
    HULL = 5


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HullFeatures:
    """Edges and triangles of one convex hull.

    `edges` is `(6, e)`: start and direction [in]. `faces` is `(13, f)`: a
    corner, the two sides from it [in], the outward unit normal [-] and the
    distance of the face from the room's zero along it [in].
    """

    edges: FloatArray
    faces: FloatArray


@dataclass(frozen=True, kw_only=True, eq=False)
class ObstacleSet:
    """Convex solids in columns; the index is the position in the given sequence.

    Attributes
    ----------
    kind : IntArray, shape (n,)
        A `SolidKind` for each solid.
    center, half : FloatArray, shape (3, n)
        The box round each solid, square to the room axes [in].
    fields : FloatArray, shape (15, n)
        Boxes: centre, half sizes [in], axes [-] (an upright box has its vertical
        axis last). Cylinders: middle [in], axis [-], half length, radius [in].
        Capsules: start, direction [in], an unused field, radius [in].
        Hulls: position in `hulls`.
    hulls : tuple of HullFeatures
        Features of the hulls.
    """

    kind: IntArray
    center: FloatArray
    half: FloatArray
    fields: FloatArray
    hulls: tuple[HullFeatures, ...]

    @classmethod
    def of(cls, shapes: Sequence[Shape]) -> "ObstacleSet":
        """Return the set of the given convex shapes.

        Raises
        ------
        ValueRangeError
            For a mesh, a negative size or a hull whose points lie in one plane.
        """
        rows = [_row(shape) for shape in shapes]
        hulls = tuple(row.hull for row in rows if row.hull is not None)
        kind = np.array([row.kind for row in rows], dtype=np.int64)
        fields = np.zeros((_FIELDS, len(rows)))
        for column, row in enumerate(rows):
            fields[: len(row.fields), column] = row.fields
        fields[0, kind == SolidKind.HULL] = np.arange(len(hulls))
        bounds = np.array([row.bounds for row in rows]).reshape(-1, 6).T
        return cls(
            kind=kind,
            center=np.ascontiguousarray(bounds[:3]),
            half=np.ascontiguousarray(bounds[3:]),
            fields=fields,
            hulls=hulls,
        )

    def __len__(self) -> int:
        """Return the number of solids."""
        return int(self.kind.size)

    @cached_property
    def hull_tables(self) -> "HullTables":
        """The features of all hulls, end to end."""
        return HullTables.of(self.hulls)

    @cached_property
    def coarse(self) -> tuple[Float32Array, Float32Array, float]:
        """Centres and half sizes in single precision, and their greatest size [in]."""
        size = float(np.abs(self.center).max() + self.half.max()) if len(self) else 0.0
        return self.center.astype(np.float32), self.half.astype(np.float32), size

    def replaced(self, changes: Mapping[int, Shape]) -> "ObstacleSet":
        """Return a copy in which the solids at the given positions are exchanged."""
        kind, fields = self.kind.copy(), self.fields.copy()
        center, half = self.center.copy(), self.half.copy()
        hulls = list(self.hulls)
        for column, shape in changes.items():
            row = _row(shape)
            center[:, column], half[:, column] = row.bounds[:3], row.bounds[3:]
            if row.hull is None:
                fields[: len(row.fields), column] = row.fields
            elif kind[column] == SolidKind.HULL:
                hulls[int(fields[0, column])] = row.hull
            else:
                fields[0, column] = len(hulls)
                hulls.append(row.hull)
            kind[column] = row.kind
        changed = replace(
            self, kind=kind, center=center, half=half, fields=fields, hulls=tuple(hulls)
        )
        if changed.hulls == self.hulls and "hull_tables" in self.__dict__:
            changed.__dict__["hull_tables"] = self.hull_tables
        return changed


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HullTables:
    """Features of many hulls end to end, with where each hull begins."""

    edges: FloatArray
    edge_starts: IntArray
    faces: FloatArray
    face_starts: IntArray

    @classmethod
    def of(cls, hulls: Sequence[HullFeatures]) -> "HullTables":
        """Return the features of the given hulls, end to end."""
        edges = [hull.edges for hull in hulls]
        faces = [hull.faces for hull in hulls]
        return cls(
            edges=np.concatenate(edges, axis=1) if edges else np.zeros((6, 0)),
            edge_starts=_starts(edge.shape[1] for edge in edges),
            faces=np.concatenate(faces, axis=1) if faces else np.zeros((13, 0)),
            face_starts=_starts(face.shape[1] for face in faces),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Row:
    """One solid: kind, bounding box (centre, half sizes), fields, hull features."""

    kind: SolidKind
    bounds: tuple[float, ...]
    fields: tuple[float, ...]
    hull: HullFeatures | None = None


def _starts(counts: Iterable[int]) -> IntArray:
    """Return where each part begins, and the end, from the lengths of the parts."""
    return np.cumsum([0, *counts], dtype=np.int64)


def _refuse_negative(thing: str, *sizes: float) -> None:
    """Refuse a solid with a negative or undefined size."""
    if not all(size >= 0.0 for size in sizes):
        message = f"{thing} size = {min(sizes):g} in must not be negative; mend it"
        raise ValueRangeError(message)


@singledispatch
def _row(shape: Shape) -> _Row:
    """Return one solid as a row of numbers."""
    message = f"{type(shape).__name__} is not a convex solid; measure it as a surface"
    raise ValueRangeError(message)


@_row.register
def _(shape: Box) -> _Row:
    _refuse_negative("box", *shape.half)
    axes, half = shape.axes, shape.half
    reach = tuple(
        sum(size * abs(axis[k]) for size, axis in zip(half, axes, strict=True))
        for k in range(3)
    )
    vertical = [k for k in range(3) if axes[k][0] == 0.0 == axes[k][1]]
    level = all(axes[k][2] == 0.0 for k in range(3) if k not in vertical)
    upright = len(vertical) == 1 and level
    order = ([k for k in range(3) if k not in vertical] if upright else [0, 1, 2]) + (
        vertical if upright else []
    )
    return _Row(
        kind=SolidKind.UPRIGHT_BOX if upright else SolidKind.TILTED_BOX,
        bounds=(*shape.center, *reach),
        fields=(
            *shape.center,
            *(half[k] for k in order),
            *(part for k in order for part in axes[k]),
        ),
    )


@_row.register
def _(shape: Cylinder) -> _Row:
    _refuse_negative("cylinder", shape.radius)
    middle = _middle(shape.a, shape.b)
    length = _length(shape.a, shape.b)
    axis = (
        tuple((b - a) / length for a, b in zip(shape.a, shape.b, strict=True))
        if length
        else (0.0, 0.0, 1.0)
    )
    upright = axis[0] == 0.0 == axis[1]
    reach = tuple(
        length / 2 * abs(part) + shape.radius * max(1.0 - part * part, 0.0) ** 0.5
        for part in axis
    )
    return _Row(
        kind=SolidKind.UPRIGHT_CYLINDER if upright else SolidKind.TILTED_CYLINDER,
        bounds=(*middle, *reach),
        fields=(*middle, *axis, length / 2, shape.radius),
    )


@_row.register
def _(shape: Capsule) -> _Row:
    _refuse_negative("capsule", shape.radius)
    along = tuple(b - a for a, b in zip(shape.a, shape.b, strict=True))
    reach = tuple(abs(part) / 2 + shape.radius for part in along)
    return _Row(
        kind=SolidKind.CAPSULE,
        bounds=(*_middle(shape.a, shape.b), *reach),
        fields=(*shape.a, *along, 0.0, shape.radius),
    )


@_row.register
def _(shape: Sphere) -> _Row:
    return _row(Capsule(a=shape.center, b=shape.center, radius=shape.radius))


@_row.register
def _(shape: Hull) -> _Row:
    points = np.array(shape.points, dtype=np.float64).reshape(-1, 3)
    found = hull_faces(points)
    if found is None:
        message = (
            f"hull of {len(points)} points has no volume; give at least four "
            "points that are not in one plane"
        )
        raise ValueRangeError(message)
    low, high = points.min(axis=0), points.max(axis=0)
    return _Row(
        kind=SolidKind.HULL,
        bounds=(*((low + high) / 2).tolist(), *((high - low) / 2).tolist()),
        fields=(),
        hull=_hull_features(points, *found),
    )


def _hull_features(
    points: FloatArray, corners: IntArray, normal: FloatArray
) -> HullFeatures:
    """Return edges and faces of a hull of triangles; lines on a face are no edges."""
    pairs = np.sort(corners[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2), axis=1)
    key = pairs[:, 0] * len(points) + pairs[:, 1]
    order = key.argsort(kind="stable")
    key = key[order]
    first = np.concatenate(([True], key[1:] != key[:-1])).nonzero()[0]
    times = np.diff(first, append=key.size)
    sides = np.repeat(normal, 3, axis=0)[order]
    turn = np.abs(sides - np.repeat(sides[first], times, axis=0)).max(axis=1)
    bend = np.maximum.reduceat(turn, first)
    pairs = pairs[order[first]][(bend > _FLAT) | (times == 1)]
    start = points[pairs[:, 0]]
    edges = np.concatenate((start, points[pairs[:, 1]] - start), axis=1)
    corner = points[corners[:, 0]]
    side, other = points[corners[:, 1]] - corner, points[corners[:, 2]] - corner
    offset = (normal * corner).sum(axis=1)
    faces = np.concatenate((corner, side, other, normal, offset[:, None]), axis=1)
    return HullFeatures(
        edges=np.ascontiguousarray(edges.T), faces=np.ascontiguousarray(faces.T)
    )


def _middle(a: Vec3, b: Vec3) -> Vec3:
    """Return the point half-way between two points."""
    return ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2, (a[2] + b[2]) / 2)


def _length(a: Vec3, b: Vec3) -> float:
    """Return the distance between two points."""
    return float(np.hypot(np.hypot(b[0] - a[0], b[1] - a[1]), b[2] - a[2]))
