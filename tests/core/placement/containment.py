"""Is a point in a solid? Half spaces and plain formulas, for the tests here alone."""

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import ConvexHull

from core.geometry.shapes import Box, Hull, Shape

Array = NDArray[np.float64]
ROUNDING = 1e-9


def hull_volume(hull: Hull) -> float:
    return float(ConvexHull(np.array(hull.points)).volume)


def is_in(shape: Shape, points: Array) -> NDArray[np.bool_]:
    """Tell which points (n, 3) lie in a box or hull or within rounding of it."""
    if isinstance(shape, Box):
        own = (points - np.array(shape.center)) @ np.array(shape.axes).T
        return (np.abs(own) <= np.array(shape.half) + ROUNDING).all(axis=1)
    assert isinstance(shape, Hull)
    faces = ConvexHull(np.array(shape.points)).equations
    return (points @ faces[:, :3].T + faces[:, 3] <= ROUNDING).all(axis=1)


def is_in_any(shapes: list[Shape], points: Array) -> NDArray[np.bool_]:
    return np.any([is_in(shape, points) for shape in shapes], axis=0)
