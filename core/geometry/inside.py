"""Whether points lie inside a closed surface or a convex solid."""

import numpy as np
from numpy.typing import NDArray

from core.errors import ValueRangeError
from core.geometry.shapes import (
    Box,
    Capsule,
    Cylinder,
    FloatArray,
    Hull,
    IntArray,
    Sphere,
    Vec3,
)
from core.geometry.surface import BLOCK, Surface

__all__ = ["is_inside_shape", "points_inside"]

BoolArray = NDArray[np.bool_]
ConvexSolid = Box | Capsule | Cylinder | Hull | Sphere

_PAIRS = 1 << 20  # boxes tested against points at once, keeps memory small


def points_inside(surface: Surface, points: FloatArray) -> BoolArray:
    """Tell for each point whether it lies inside a closed surface.

    Counts the triangles above the point. Two triangles that share an edge decide
    from the same rounded numbers on which side of it the point is, so a vertical
    line through an edge or a corner is counted once. A point within rounding of
    the surface (1e-12 of the coordinates) may be called either.

    Parameters
    ----------
    surface : Surface
        A closed surface; parts inside parts count as hollow.
    points : (n, 3) float
        Room points [in].

    Returns
    -------
    (n,) bool

    Raises
    ------
    ValueRangeError
        If the surface is not closed: it has no inside.
    """
    if not surface.closed:
        message = (
            "mesh: not closed, so it has no inside; close its holes or check "
            "the inside by eye"
        )
        raise ValueRangeError(message)
    own = surface.to_own(np.asarray(points, dtype=float))
    step = max(1, _PAIRS // surface.low.shape[1])
    parts = [
        _crossings_above(surface, own[first : first + step]) % 2 == 1
        for first in range(0, len(own), step)
    ]
    return np.concatenate(parts) if parts else np.zeros(0, dtype=bool)


def _crossings_above(surface: Surface, points: FloatArray) -> IntArray:
    """Count the triangles that a line straight up from each point meets."""
    x, y, z = points.T[:, :, None]
    low, high = surface.low, surface.high
    over = (low[0] <= x) & (x <= high[0]) & (low[1] <= y) & (y <= high[1])
    point, block = np.nonzero(over & (z <= high[2]))
    corners = surface.corners[:, block].reshape(3, 3, -1, BLOCK)
    hits = _is_under(corners - points[point].T[:, :, None]).sum(axis=1)
    return np.bincount(point, hits, len(points)).astype(np.int64)


def _is_under(corners: FloatArray) -> BoolArray:
    """Tell which triangles `(3 corners, 3 axes, ...)` lie above the origin."""
    x, y, z = corners[:, 0], corners[:, 1], corners[:, 2]
    # twice the signed plan area of the origin with the edge opposite each corner
    area = np.stack([_cross(x, y, 1, 2), _cross(x, y, 2, 0), _cross(x, y, 0, 1)])
    odd = np.zeros(x.shape[1:], dtype=bool)
    for k, (i, j) in enumerate(((1, 2), (2, 0), (0, 1))):
        up = y[j] > 0.0
        odd ^= (up != (y[i] > 0.0)) & (np.where(up, area[k], -area[k]) > 0.0)
    whole = area.sum(axis=0)
    with np.errstate(divide="ignore", invalid="ignore"):
        height = (area * z).sum(axis=0) / whole
    height = np.where(whole == 0.0, z[0], height)
    height = np.clip(height, z.min(axis=0), z.max(axis=0))
    return np.asarray(odd & (height > 0.0))


def _cross(x: FloatArray, y: FloatArray, i: int, j: int) -> FloatArray:
    """Return the plan cross product of two corners; swapped corners negate it."""
    cross: FloatArray = x[i] * y[j] - x[j] * y[i]
    return cross


def is_inside_shape(shape: ConvexSolid, points: FloatArray) -> BoolArray:
    """Tell for each point whether it lies inside a convex solid.

    A point on the solid's face is not inside.

    Parameters
    ----------
    shape : Box, Cylinder, Capsule, Sphere or Hull
        The solid; for a mesh see `points_inside`.
    points : (n, 3) float
        Room points [in].

    Returns
    -------
    (n,) bool

    Examples
    --------
    >>> ball = Sphere(center=(0.0, 0.0, 0.0), radius=2.0)
    >>> is_inside_shape(ball, np.array([[1.0, 0.0, 0.0], [2.0, 0.0, 0.0]]))
    array([ True, False])
    """
    match shape:
        case Box():
            return _is_inside_box(shape, points)
        case Sphere():
            return _length(points - np.array(shape.center)) < shape.radius
        case Capsule():
            return _is_inside_capsule(shape, points)
        case Cylinder():
            return _is_inside_cylinder(shape, points)
        case Hull():
            return _is_inside_hull(shape, points)


def _is_inside_box(box: Box, points: FloatArray) -> BoolArray:
    """Tell which points lie inside a box."""
    along = _along(points - np.array(box.center), np.array(box.axes))
    return _all(np.abs(along) < np.array(box.half))


def _is_inside_capsule(capsule: Capsule, points: FloatArray) -> BoolArray:
    """Tell which points lie within the radius of a capsule's segment."""
    from_a, axis, along, length = _on_axis(capsule.a, capsule.b, points)
    nearest = np.clip(along, 0.0, length)
    return _length(from_a - nearest[:, None] * axis) < capsule.radius


def _is_inside_cylinder(cylinder: Cylinder, points: FloatArray) -> BoolArray:
    """Tell which points lie between a cylinder's ends and within its radius."""
    from_a, axis, along, length = _on_axis(cylinder.a, cylinder.b, points)
    beside = _length(from_a - along[:, None] * axis) < cylinder.radius
    return beside & (along > 0.0) & (along < length)


def _is_inside_hull(hull: Hull, points: FloatArray) -> BoolArray:
    """Tell which points lie behind every face plane of a hull."""
    # a late import: scipy takes longer to load than most answers take
    from scipy.spatial import ConvexHull

    planes: FloatArray = ConvexHull(np.array(hull.points)).equations
    return _all(_along(points, planes[:, :3]) < -planes[:, 3])


def _all(true: BoolArray) -> BoolArray:
    """Tell for each row whether all of it is true."""
    return np.asarray(true.all(axis=1))


def _along(points: FloatArray, axes: FloatArray) -> FloatArray:
    """Return the coordinates of points `(n, 3)` along axes, `(n, axes)` [in]."""
    return np.asarray((points[:, None, :] * axes).sum(axis=2))


def _length(vectors: FloatArray) -> FloatArray:
    """Return the length of each vector `(n, 3)`."""
    return np.asarray(np.sqrt((vectors * vectors).sum(axis=1)))


def _on_axis(
    a: Vec3, b: Vec3, points: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray, float]:
    """Return points from a, the unit axis, distances along it, and its length."""
    from_a = points - np.array(a)
    axis = np.array(b) - np.array(a)
    length = float(_length(axis[None])[0])
    axis = axis / length if length > 0.0 else axis
    return from_a, axis, _along(from_a, axis[None])[:, 0], length
