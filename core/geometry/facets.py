"""What the surface of a solid looks like: flat triangles with normals, and its edges.

Curved faces come as chords whose corners lie on the true surface. The order of a
triangle's corners says nothing; its normals point out of the solid.
"""

import math
from dataclasses import dataclass
from functools import singledispatch

import numpy as np

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
)

__all__ = ["Facets", "facets", "joined", "ring_frame", "sides_of", "tube"]

_CHORD = 0.06  # a chord may lie this far inside its circle [in]
_FEWEST, _MOST = 8, 48  # chords of a full turn
_FLAT = 1e-6  # square of the sine below which two faces are one
_BOX_SIDES = tuple((axis, way) for axis in range(3) for way in (-1.0, 1.0))
_SQUARE = np.array([(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Facets:
    """A surface to draw or to aim at.

    Attributes
    ----------
    corners : (m, 3, 3) array
        The corners of each triangle [in].
    normals : (m, 3, 3) array
        The unit normal at each corner, outward [-].
    edges : (k, 2, 3) array
        Both ends of each sharp edge [in].
    """

    corners: FloatArray
    normals: FloatArray
    edges: FloatArray


def joined(*parts: Facets) -> Facets:
    """Return several surfaces as one; without any, an empty one."""
    blank = np.zeros((0, 3, 3))
    return Facets(
        corners=np.concatenate([blank, *(part.corners for part in parts)]),
        normals=np.concatenate([blank, *(part.normals for part in parts)]),
        edges=np.concatenate([blank[:, :2], *(part.edges for part in parts)]),
    )


def sides_of(radius: float) -> int:
    """Return the chords of a full turn that stay near their circle.

    Parameters
    ----------
    radius : float
        Radius of the circle [in].

    Returns
    -------
    int
        A multiple of four from 8 to 48; the chords lie within 0.06 in of the circle
        up to a radius of 28 in.
    """
    if radius <= _CHORD:
        return _FEWEST
    count = math.pi / math.acos(1.0 - _CHORD / radius)
    return min(_MOST, max(_FEWEST, 4 * math.ceil(count / 4)))


@singledispatch
def facets(shape: Shape) -> Facets:
    """Return the surface of a solid.

    Parameters
    ----------
    shape : Shape
        The solid, in room coordinates [in].

    Returns
    -------
    Facets
        Its surface; empty for a hull without volume. A mesh has no edges and one
        normal for each triangle, by the order of its corners.
    """
    message = f"no surface for {type(shape).__name__}"
    raise TypeError(message)


@facets.register
def _(shape: Box) -> Facets:
    axes, half, center = np.array(shape.axes), np.array(shape.half), shape.center
    parts = []
    for axis, way in _BOX_SIDES:
        others = [k for k in range(3) if k != axis]
        local = np.zeros((4, 3))
        local[:, axis] = way
        local[:, others] = _SQUARE
        parts.append(_polygon((local * half) @ axes + center, way * axes[axis]))
    corners = np.array([(x, y, z) for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)])
    placed = (corners * half) @ axes + center
    pairs = [(i, i | bit) for bit in (1, 2, 4) for i in range(8) if not i & bit]
    return _with_edges(joined(*parts), placed[np.array(pairs)])


def _polygon(outline: FloatArray, normal: FloatArray) -> Facets:
    """Return a flat convex polygon as a fan."""
    count = len(outline) - 2
    fan = np.stack(
        (np.repeat(outline[:1], count, axis=0), outline[1:-1], outline[2:]), axis=1
    )
    normals = np.broadcast_to(normal, fan.shape).copy()
    return Facets(corners=fan, normals=normals, edges=np.zeros((0, 2, 3)))


def _with_edges(surface: Facets, edges: FloatArray) -> Facets:
    return Facets(corners=surface.corners, normals=surface.normals, edges=edges)


@facets.register
def _(shape: Cylinder) -> Facets:
    if shape.a == shape.b:
        return joined()
    sides = sides_of(shape.radius)
    body = tube(np.array((shape.a, shape.b)), shape.radius, sides=sides)
    along = _unit(np.array(shape.b) - np.array(shape.a))
    rings = [_ring(np.array(end), along, shape.radius, sides) for end in _ends(shape)]
    caps = [_polygon(rings[0], -along), _polygon(rings[1], along)]
    edges = [np.stack((ring, np.roll(ring, -1, axis=0)), axis=1) for ring in rings]
    return _with_edges(joined(body, *caps), np.concatenate(edges))


def _ends(shape: Cylinder | Capsule) -> tuple[Vec3, Vec3]:
    return shape.a, shape.b


def _unit(vector: FloatArray) -> FloatArray:
    length = float(np.sqrt((vector * vector).sum()))
    return vector / length if length else vector


def ring_frame(along: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return two unit vectors square to a unit vector and to each other [-]."""
    helper = np.zeros(3)
    helper[int(np.argmin(np.abs(along)))] = 1.0
    side = _unit(np.cross(along, helper))
    return side, np.asarray(np.cross(along, side))


def _ring(center: FloatArray, along: FloatArray, radius: float, n: int) -> FloatArray:
    """Return the corners of a polygon in the circle about an axis [in]."""
    side, up = ring_frame(along)
    turn = np.linspace(0.0, 2.0 * math.pi, n, endpoint=False)[:, None]
    ring: FloatArray = center + radius * (np.cos(turn) * side + np.sin(turn) * up)
    return ring


def tube(points: FloatArray, radius: float, *, sides: int) -> Facets:
    """Return an open tube round a line that bends little.

    Parameters
    ----------
    points : (n, 3) array
        The axis [in]; all rings lie square to the way from its first point to its
        last.
    radius : float
        Outside radius [in].
    sides : int
        Chords of a full turn.

    Returns
    -------
    Facets
        Without caps and edges.
    """
    along = _unit(points[-1] - points[0])
    ring = _ring(np.zeros(3), along, radius, sides)
    outward = ring / radius
    grid = points[:, None, :] + ring
    return _skin(grid, np.broadcast_to(outward, grid.shape))


def _skin(grid: FloatArray, normals: FloatArray) -> Facets:
    """Return the surface through rings of points, each ring closed."""

    def cells(values: FloatArray) -> FloatArray:
        after = np.roll(values, -1, axis=1)
        a, b, c, d = values[:-1], values[1:], after[1:], after[:-1]
        two = np.stack((a, b, c, a, c, d), axis=2)
        return np.asarray(two.reshape(-1, 3, 3))

    return Facets(
        corners=cells(grid), normals=cells(normals), edges=np.zeros((0, 2, 3))
    )


@facets.register
def _(shape: Sphere) -> Facets:
    return _round(np.array(shape.center), np.array(shape.center), shape.radius)


@facets.register
def _(shape: Capsule) -> Facets:
    return _round(np.array(shape.a), np.array(shape.b), shape.radius)


def _round(a: FloatArray, b: FloatArray, radius: float) -> Facets:
    """Return a capsule, or a ball where both ends are one."""
    along = _unit(b - a) if (a != b).any() else np.array((0.0, 0.0, 1.0))
    sides = sides_of(radius)
    steps = np.linspace(0.0, math.pi / 2, sides // 4 + 1)
    low, high = np.pi - steps[::-1], steps[::-1]
    side, up = ring_frame(along)
    turn = np.linspace(0.0, 2.0 * math.pi, sides, endpoint=False)[:, None]
    round_ = np.cos(turn) * side + np.sin(turn) * up
    polar = np.concatenate((low[::-1], high))[:, None, None]
    normals = np.sin(polar) * round_ + np.cos(polar) * along
    middle = np.where(np.cos(polar) < -1e-12, a, b)
    middle[: len(low)] = a
    return _skin(middle + radius * normals, normals)


@facets.register
def _(shape: Hull) -> Facets:
    # a late import: scipy takes longer to load than a small room takes to draw
    from scipy.spatial import ConvexHull, QhullError

    points = np.array(shape.points)
    try:
        hull = ConvexHull(points)
    except QhullError:
        return joined()
    normal: FloatArray = hull.equations[:, :3]
    corners = points[hull.simplices]
    normals = np.repeat(normal[:, None, :], 3, axis=1)
    # side k of a triangle lies opposite its corner k
    ends = np.stack([corners[:, [1, 2]], corners[:, [2, 0]], corners[:, [0, 1]]], 1)
    turn = np.cross(normal[:, None, :], normal[hull.neighbors])
    own = np.arange(len(corners))[:, None] < hull.neighbors
    sharp = ((turn * turn).sum(axis=2) > _FLAT) & own
    return Facets(corners=corners, normals=normals, edges=ends[sharp])


@facets.register
def _(shape: Mesh) -> Facets:
    corners = shape.vertices[shape.faces]
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    size = np.sqrt((normal * normal).sum(axis=1, keepdims=True))
    normal = np.divide(normal, size, out=np.zeros_like(normal), where=size > 0.0)
    normals = np.repeat(normal[:, None, :], 3, axis=1)
    return Facets(corners=corners, normals=normals, edges=np.zeros((0, 2, 3)))
