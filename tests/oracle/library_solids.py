"""The same solids as objects of the collision libraries coal and python-fcl."""

from typing import Any

import coal
import fcl
import numpy as np
from numpy.typing import NDArray
from scipy.spatial import ConvexHull

from core.geometry.runs import SweptRun
from core.geometry.shapes import Box, Capsule, Cylinder, Hull, Shape, Sphere

Array = NDArray[np.float64]
Placed = tuple[Any, Array, Array]
TIGHT = 1e-9


def frame_along(axis: Array) -> Array:
    """Return a rotation matrix whose last column lies along an axis."""
    z = axis / np.linalg.norm(axis) if np.any(axis) else np.array([0.0, 0.0, 1.0])
    x = np.cross(z, np.eye(3)[np.argmin(np.abs(z))])
    x /= np.linalg.norm(x)
    return np.column_stack([x, np.cross(z, x), z])


def pose(shape: Shape) -> tuple[Array, Array]:
    """Return rotation and middle of a shape; hulls stay where their points are."""
    if isinstance(shape, Box):
        return np.array(shape.axes).T, np.array(shape.center)
    if isinstance(shape, Sphere):
        return np.eye(3), np.array(shape.center)
    if isinstance(shape, (Capsule, Cylinder)):
        a, b = np.array(shape.a), np.array(shape.b)
        return frame_along(b - a), (a + b) / 2
    return np.eye(3), np.zeros(3)


def solid(library: Any, shape: Shape) -> Any:
    """Return a shape as a geometry of coal or fcl, about its own middle."""
    if isinstance(shape, Box):
        return library.Box(*(2.0 * np.array(shape.half)))
    if isinstance(shape, Sphere):
        return library.Sphere(shape.radius)
    if isinstance(shape, (Capsule, Cylinder)):
        length = float(np.linalg.norm(np.subtract(shape.b, shape.a)))
        return getattr(library, type(shape).__name__)(shape.radius, length)
    if isinstance(shape, Hull):
        return _hull(library, np.array(shape.points))
    message = f"no solid of {type(shape).__name__}"
    raise TypeError(message)


def _hull(library: Any, points: Array) -> Any:
    if library is coal:
        corners = coal.StdVec_Vec3s()
        corners.extend(points)
        return coal.Convex.convexHull(corners, True, None)
    hull = ConvexHull(points)
    faces = []
    for simplex, plane in zip(hull.simplices, hull.equations, strict=True):
        a, b, c = points[simplex]
        inward = np.dot(np.cross(b - a, c - a), plane[:3]) < 0.0
        faces += [3, *(simplex[::-1] if inward else simplex)]
    return fcl.Convex(points, len(hull.simplices), np.array(faces))


class Judge:
    """Distances of one solid to level rectangles of coal, at a tight tolerance."""

    def __init__(self, run: SweptRun, shape: Shape) -> None:
        start, end = np.array([*run.start, 0.0]), np.array([*run.end, 0.0])
        self.run = run
        self.length = float(np.linalg.norm(end - start))
        along = (end - start) / self.length
        up = np.array([0.0, 0.0, 1.0])
        self.turn = np.column_stack([along, np.cross(up, along), up])
        self.start = start
        self.shape = solid(coal, shape)
        self.place = coal.Transform3s(*pose(shape))
        self.request = coal.DistanceRequest()
        self.request.gjk_tolerance = TIGHT
        self.request.gjk_max_iterations = 1000

    def gap(self, u: tuple[float, float], w: tuple[float, float]) -> float:
        """Return the distance to the run's breadth from u to u and w to w [in]."""
        size = (u[1] - u[0], 2.0 * self.run.side, w[1] - w[0])
        middle = self.start + self.turn @ np.array([sum(u) / 2, 0.0, sum(w) / 2])
        return float(
            coal.distance(
                coal.Box(*size),
                coal.Transform3s(self.turn, middle),
                self.shape,
                self.place,
                self.request,
                coal.DistanceResult(),
            )
        )

    def gap_at(self, height: float) -> float:
        """Return the distance of the bare body at a height of the axis [in]."""
        return self.gap(
            (0.0, self.length), (height - self.run.down, height + self.run.up)
        )

    def gap_at_station(self, station: float) -> float:
        """Return the distance of the cut at a station, swept over the travel [in]."""
        top = self.run.low + self.run.travel + self.run.up
        return self.gap((station, station), (self.run.low - self.run.down, top))

    def least(self) -> float:
        """Return the distance of the bare body over the travel [in]."""
        top = self.run.low + self.run.travel + self.run.up
        return self.gap((0.0, self.length), (self.run.low - self.run.down, top))
