"""The solids that a room is made of, in room coordinates.

All lengths are inches. A shape is immutable and compares by value, so that an
unchanged fixture yields an unchanged shape.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

__all__ = [
    "Box",
    "Capsule",
    "Cylinder",
    "FloatArray",
    "Hull",
    "IntArray",
    "Mesh",
    "Shape",
    "Sphere",
    "Vec2",
    "Vec3",
    "as_vec3",
    "upright_box",
]

Vec2 = tuple[float, float]
Vec3 = tuple[float, float, float]
FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

_WORLD_AXES: tuple[Vec3, Vec3, Vec3] = (
    (1.0, 0.0, 0.0),
    (0.0, 1.0, 0.0),
    (0.0, 0.0, 1.0),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """A box in any pose: centre [in], half sizes [in], three unit axes as rows [-]."""

    center: Vec3
    half: Vec3
    axes: tuple[Vec3, Vec3, Vec3] = _WORLD_AXES


@dataclass(frozen=True, slots=True, kw_only=True)
class Cylinder:
    """A flat-ended cylinder between the centres of its end faces [in]."""

    a: Vec3
    b: Vec3
    radius: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Capsule:
    """All points within `radius` [in] of the segment from a to b [in]."""

    a: Vec3
    b: Vec3
    radius: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Sphere:
    """A ball: centre [in] and radius [in]."""

    center: Vec3
    radius: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Hull:
    """The convex hull of at least four points [in] that are not in one plane."""

    points: tuple[Vec3, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Mesh:
    """A triangle surface: vertices `(n, 3)` [in], faces `(m, 3)` of vertex indices.

    Compares by identity: a mesh is loaded once and then only moved by loading
    it in another place.
    """

    vertices: FloatArray = field(repr=False)
    faces: IntArray = field(repr=False)


Shape = Box | Cylinder | Capsule | Sphere | Hull | Mesh


def upright_box(low: Sequence[float], high: Sequence[float]) -> Box:
    """Return the box with faces square to the room axes between two corners [in].

    Examples
    --------
    >>> upright_box((0, 0, 0), (2, 4, 6)).half
    (1.0, 2.0, 3.0)
    """
    center = tuple((a + b) / 2 for a, b in zip(low, high, strict=True))
    half = tuple((b - a) / 2 for a, b in zip(low, high, strict=True))
    return Box(
        center=(center[0], center[1], center[2]), half=(half[0], half[1], half[2])
    )


def as_vec3(point: FloatArray) -> Vec3:
    """Return a point `(3,)` as plain numbers."""
    x, y, z = point.tolist()
    return x, y, z
