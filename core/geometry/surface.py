"""A triangle surface laid out for fast questions: small blocks of near triangles.

The triangles are sorted along a Morton curve and cut into blocks of 64, and
these into leaves of 8. A question first asks the boxes of the blocks, then of the
leaves, then only the triangles of the leaves that matter. A surface is moved by its
placement: the question is taken into the surface's own frame, so that nothing is
built again.
"""

import math
from dataclasses import dataclass, field, replace
from typing import Self

import numpy as np
from numpy.typing import NDArray

from core.errors import ValueRangeError
from core.geometry.shapes import FloatArray, IntArray, Mesh, Vec3

__all__ = ["BLOCK", "GROUP", "LEAF", "Surface"]

_Keys = NDArray[np.uint64]

BLOCK = 64  # triangles in a block; clearance_method measured 64 as the best size
GROUP = 64  # blocks in a group
LEAF = 8  # triangles in a leaf: one line of a processor's cache a coordinate
_CURVE_BITS = 13  # Morton bits an axis; the index takes the other 25 of 64 bits
_INDEX_BITS = np.uint64(64 - 3 * _CURVE_BITS)
# (shift, mask) steps that move bit i of a 13-bit number to bit 3 i
_SPREAD = (
    (32, 0x1F00000000FFFF),
    (16, 0x1F0000FF0000FF),
    (8, 0x100F00F00F00F00F),
    (4, 0x10C30C30C30C30C3),
    (2, 0x1249249249249249),
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Surface:
    """A blocked triangle surface and where it stands.

    Attributes
    ----------
    corners : (9, blocks, 64) float
        Corner coordinates [in] in the surface's own frame, in the order
        x0 y0 z0 x1 y1 z1 x2 y2 z2. The last block is filled up with triangles
        shrunk to one corner of the last triangle.
    leaf_low, leaf_high : (3, 8 blocks) float
        Box of each 8 triangles in a row [in], own frame.
    low, high : (3, blocks) float
        Box of each block [in], own frame.
    group_low, group_high : (3, groups) float
        Box of each 64 blocks in a row [in], own frame.
    count : int
        Number of triangles [-].
    closed : bool
        Whether every edge is met by an even number of triangles, so that the
        surface parts space into inside and outside. Corners meet where their
        coordinates are equal to the last bit.
    origin : Vec3
        Room position [in] of the own origin.
    heading : float
        Turn of the own frame about the vertical, anticlockwise from above [rad].
    """

    corners: FloatArray = field(repr=False)
    leaf_low: FloatArray = field(repr=False)
    leaf_high: FloatArray = field(repr=False)
    low: FloatArray = field(repr=False)
    high: FloatArray = field(repr=False)
    group_low: FloatArray = field(repr=False)
    group_high: FloatArray = field(repr=False)
    count: int
    closed: bool
    origin: Vec3 = (0.0, 0.0, 0.0)
    heading: float = 0.0

    @classmethod
    def of(cls, mesh: Mesh) -> Self:
        """Sort the triangles of a mesh into blocks.

        Raises
        ------
        ValueRangeError
            If the mesh has no triangle, or a corner that is not finite.
        """
        if not len(mesh.faces):
            message = "mesh: 0 triangles, at least 1 is needed"
            raise ValueRangeError(message)
        if not np.isfinite(mesh.vertices).all():
            message = "mesh: a vertex is not a finite number, mend the mesh"
            raise ValueRangeError(message)
        order = _morton_order(_middles(mesh))
        corners = _blocked(mesh, order)
        points = corners.reshape(3, 3, -1)
        leaf_low = _ends_of_leaves(np.minimum, points)
        leaf_high = _ends_of_leaves(np.maximum, points)
        leaves = BLOCK // LEAF
        low = leaf_low.reshape(3, -1, leaves).min(axis=2)
        high = leaf_high.reshape(3, -1, leaves).max(axis=2)
        groups = np.arange(0, low.shape[1], GROUP)
        return cls(
            corners=corners,
            leaf_low=leaf_low,
            leaf_high=leaf_high,
            low=low,
            high=high,
            group_low=np.minimum.reduceat(low, groups, axis=1),
            group_high=np.maximum.reduceat(high, groups, axis=1),
            count=len(mesh.faces),
            closed=_is_closed(mesh),
        )

    def moved(self, *, origin: Vec3, heading: float) -> Self:
        """Return the same surface in another place; shares all triangles.

        Parameters
        ----------
        origin : Vec3
            Room position of the own origin [in].
        heading : float
            Turn about the vertical, anticlockwise from above [rad].
        """
        return replace(self, origin=origin, heading=heading)

    def to_own(self, points: FloatArray) -> FloatArray:
        """Take room points `(n, 3)` [in] into the own frame."""
        return _turned(points - np.array(self.origin), -self.heading)

    def to_room(self, points: FloatArray) -> FloatArray:
        """Take points `(n, 3)` [in] of the own frame into the room."""
        return np.asarray(_turned(points, self.heading) + np.array(self.origin))


def _ends_of_leaves(extreme: np.ufunc, points: FloatArray) -> FloatArray:
    """Return the least or greatest coordinates of each leaf, `(3, leaves)`."""
    ends = extreme(extreme(points[0], points[1]), points[2])
    left = LEAF
    while left > 1:
        ends, left = extreme(ends[:, ::2], ends[:, 1::2]), left // 2
    return np.asarray(ends)


def _is_closed(mesh: Mesh) -> bool:
    """Tell whether every edge of some length occurs an even number of times.

    Edges are compared by a 64-bit mix of their corners' coordinates: two
    different edges of a mesh of 1e6 triangles share one with a chance of 1e-7.
    """
    corners = _position_keys(mesh.vertices)[mesh.faces]
    edges = np.concatenate(
        [_edge_keys(corners[:, k - 1], corners[:, k]) for k in range(3)]
    )
    edges.sort()
    first = np.flatnonzero(np.diff(edges, prepend=~edges[:1]))
    return not (np.diff(first, append=len(edges)) % 2).any()


def _position_keys(points: FloatArray) -> _Keys:
    """Return one number a point that depends on its coordinates alone."""
    keys = np.zeros(len(points), dtype=np.uint64)
    for axis in range(3):
        positive_zero = points[:, axis] + 0.0
        keys = _mixed(keys + positive_zero.view(np.uint64))
    return keys


def _edge_keys(a: _Keys, b: _Keys) -> _Keys:
    """Return one number an edge, the same both ways; drop edges of no length."""
    long = a != b
    return _mixed(a[long] + b[long])


def _mixed(keys: _Keys) -> _Keys:
    """Scatter the bits of each number: the last step of MurmurHash3, 64 bits."""
    keys ^= keys >> np.uint64(33)
    keys *= np.uint64(0xFF51AFD7ED558CCD)
    keys ^= keys >> np.uint64(33)
    keys *= np.uint64(0xC4CEB9FE1A85EC53)
    keys ^= keys >> np.uint64(33)
    return keys


def _turned(points: FloatArray, heading: float) -> FloatArray:
    """Turn points about the vertical; a heading of 0 changes no bit."""
    if heading == 0.0:
        return points
    cos, sin = math.cos(heading), math.sin(heading)
    x, y, z = points.T
    return np.stack((cos * x - sin * y, sin * x + cos * y, z), axis=-1)


def _middles(mesh: Mesh) -> FloatArray:
    """Return three times the middle of each triangle, `(m, 3)`."""
    a, b, c = mesh.faces.T
    middles: FloatArray = mesh.vertices[a]
    middles += mesh.vertices[b]
    middles += mesh.vertices[c]
    return middles


def _morton_order(points: FloatArray) -> IntArray:
    """Order points along a Morton curve; equal cells keep their order."""
    low = points.min(axis=0)
    size = float((points.max(axis=0) - low).max())
    scale = (2**_CURVE_BITS - 1) / size if size > 0 else 0.0
    cells = ((points - low) * scale).astype(np.uint64)
    keys = np.zeros(len(points), dtype=np.uint64)
    for axis in range(3):
        keys |= _spread(cells[:, axis]) << np.uint64(axis)
    keys <<= _INDEX_BITS
    keys |= np.arange(len(points), dtype=np.uint64)
    keys.sort()
    return (keys & ((np.uint64(1) << _INDEX_BITS) - np.uint64(1))).astype(np.int64)


def _spread(numbers: _Keys) -> _Keys:
    """Put two zero bits after each bit of 13-bit numbers."""
    spread = numbers.copy()
    for shift, mask in _SPREAD:
        spread = (spread | (spread << np.uint64(shift))) & np.uint64(mask)
    return spread


def _blocked(mesh: Mesh, order: IntArray) -> FloatArray:
    """Return the corners of the ordered triangles, `(9, blocks, 64)`."""
    blocks = -(-len(order) // BLOCK)
    faces = np.full((blocks * BLOCK, 3), mesh.faces[order[-1], 0])
    faces[: len(order)] = mesh.faces[order]
    corners = np.zeros((9, blocks, BLOCK))
    for corner in range(3):
        points = mesh.vertices[faces[:, corner]].reshape(blocks, BLOCK, 3)
        corners[3 * corner : 3 * corner + 3] = points.transpose(2, 0, 1)
    return corners
