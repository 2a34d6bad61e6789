"""Random shapes and runs for trials: mixed rooms, and pairs near each other.

The mix of kinds: 30 % boxes square to the room, 20 % boxes turned about z, 5 % upright
cylinders, 10 % boxes in any pose, 10 % capsules, 12 % flat cylinders in any pose,
8 % balls, 5 % hulls. All lengths are inches.
"""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from core.geometry.runs import SweptRun
from core.geometry.shapes import Box, Capsule, Cylinder, Hull, Shape, Sphere, Vec3

Array = NDArray[np.float64]
Rng = np.random.Generator
Maker = Callable[[Rng, Array, float], Shape]


def _vec(values: Array) -> Vec3:
    return (float(values[0]), float(values[1]), float(values[2]))


def _pose(rng: Rng) -> Array:
    """Return a random rotation matrix: one in four within 1e-13 to 1e-2 of square."""
    start = rng.normal(size=(3, 3))
    if rng.random() < 0.25:
        lean = 10.0 ** rng.uniform(-13.0, -2.0, (3, 3)) * rng.choice([-1, 0, 1], (3, 3))
        start = np.eye(3)[rng.permutation(3)] + lean
    q, r = np.linalg.qr(start)
    return q * np.sign(np.diag(r))


def _posed_box(center: Array, half: Array, rows: Array) -> Box:
    axes = (_vec(rows[0]), _vec(rows[1]), _vec(rows[2]))
    return Box(center=_vec(center), half=_vec(half), axes=axes)


def _halves(rng: Rng, size: float) -> Array:
    """Return three half sizes; one in thirty is 0: a plate, a strip, a point."""
    return size * rng.uniform(0.1, 1.0, 3) * (rng.random(3) > 1 / 30)


def square_box(rng: Rng, center: Array, size: float) -> Box:
    return Box(center=_vec(center), half=_vec(_halves(rng, size)))


def turned_box(rng: Rng, center: Array, size: float) -> Box:
    turn = rng.choice([rng.uniform(-np.pi, np.pi), np.pi / 4, 1e-7])
    c, s = np.cos(turn), np.sin(turn)
    rows = np.array([[c, s, 0.0], [-s, c, 0.0], [0.0, 0.0, 1.0]])
    return _posed_box(center, _halves(rng, size), rows)


def tilted_box(rng: Rng, center: Array, size: float) -> Box:
    return _posed_box(center, _halves(rng, size), _pose(rng))


def upright_cylinder(rng: Rng, center: Array, size: float) -> Cylinder:
    up = np.array([0.0, 0.0, size * rng.uniform(0.2, 1.0)])
    return Cylinder(
        a=_vec(center - up), b=_vec(center + up), radius=size * rng.uniform(0.05, 0.8)
    )


def any_axis(rng: Rng, size: float) -> Array:
    """Return half an axis: level, steep or in any direction, square ones included."""
    unit = _pose(rng)[0]
    flatten = rng.choice([1.0, 1.0, 0.0, 1e-6])
    axis = unit * np.array([1.0, 1.0, flatten])
    if rng.random() < 0.2 or not np.any(axis):
        axis = np.array([[1.0, 0, 0], [0, 1.0, 0], [1e-5, 0, 1.0]])[rng.integers(3)]
    return axis / np.linalg.norm(axis) * size * rng.uniform(0.2, 1.5)


def tilted_cylinder(rng: Rng, center: Array, size: float) -> Cylinder:
    half = any_axis(rng, size)
    return Cylinder(
        a=_vec(center - half),
        b=_vec(center + half),
        radius=size * rng.uniform(0.05, 0.8),
    )


def level_cylinder(rng: Rng, center: Array, size: float) -> Cylinder:
    """Return a cylinder along x or y."""
    half = np.eye(3)[rng.integers(2)] * size * rng.uniform(0.2, 1.0)
    return Cylinder(a=_vec(center - half), b=_vec(center + half), radius=size * 0.6)


def capsule(rng: Rng, center: Array, size: float) -> Capsule:
    half = any_axis(rng, size)
    return Capsule(
        a=_vec(center - half),
        b=_vec(center + half),
        radius=size * rng.uniform(0.02, 0.4),
    )


def ball(rng: Rng, center: Array, size: float) -> Sphere:
    return Sphere(center=_vec(center), radius=size * rng.uniform(0.1, 1.0))


def hull(rng: Rng, center: Array, size: float) -> Hull:
    """Return the hull of 6 to 10 points on an ellipsoid, or of a wedge."""
    if rng.random() < 0.2:
        low, high = -0.5 * size, 0.5 * size
        corners = [
            (x, y, z)
            for x in (low, high)
            for y, z in ((low, low), (high, low), (0, high))
        ]
        points = np.array(corners) @ _pose(rng)
    else:
        points = rng.normal(size=(rng.integers(6, 11), 3))
        points *= (
            size / np.linalg.norm(points, axis=1)[:, None] * rng.uniform(0.3, 1.0, 3)
        )
    return Hull(points=tuple(_vec(p) for p in points + center))


KINDS: dict[str, tuple[float, Maker]] = {
    "square box": (0.30, square_box),
    "turned box": (0.20, turned_box),
    "upright cylinder": (0.05, upright_cylinder),
    "tilted box": (0.10, tilted_box),
    "capsule": (0.10, capsule),
    "flat cylinder": (0.12, tilted_cylinder),
    "ball": (0.08, ball),
    "hull": (0.05, hull),
}


def random_kind(rng: Rng) -> str:
    names = list(KINDS)
    return names[rng.choice(len(names), p=[KINDS[n][0] for n in names])]


def random_shape(rng: Rng, center: Array, size: float) -> Shape:
    """Return a shape of the mix, about `size` from its centre to its skin."""
    return KINDS[random_kind(rng)][1](rng, center, size)


def room(
    rng: Rng, count: int, *, sides: tuple[float, float], size: float
) -> list[Shape]:
    """Return a mixed room: shapes of up to `size`, up to 130 in above the floor."""
    low = np.array([0.0, 0.0, 0.0])
    high = np.array([*sides, 130.0])
    centers = rng.uniform(low, high, (count, 3))
    return [random_shape(rng, c, size * rng.uniform(0.2, 1.0)) for c in centers]


def trial_run(rng: Rng, **body: float) -> SweptRun:
    """Return a run of 20 to 200 ft in any plan direction, often square to the room."""
    turn = rng.choice([0.0, np.pi / 2, rng.uniform(-np.pi, np.pi)], p=[0.3, 0.2, 0.5])
    start, length = rng.uniform(0.0, 600.0, 2), rng.uniform(240.0, 2400.0)
    end = start + length * np.array([np.cos(turn), np.sin(turn)])
    return SweptRun(
        start=(float(start[0]), float(start[1])),
        end=(float(end[0]), float(end[1])),
        low=float(rng.uniform(30.0, 60.0)),
        travel=float(
            rng.choice([60.0, rng.uniform(0.0, 80.0), 0.0], p=[0.6, 0.3, 0.1])
        ),
        radius=float(rng.uniform(0.3, 1.5)),
        **body,
    )


def shape_near(rng: Rng, run: SweptRun) -> Shape:
    """Return a shape that may come near the run: a quarter each at its ends."""
    start, end = np.array(run.start), np.array(run.end)
    length = float(np.hypot(*(end - start)))
    along = (end - start) / length
    sizes = [rng.uniform(0.3, 3.0), rng.uniform(3.0, 30.0), rng.uniform(30.0, 1500.0)]
    size = float(rng.choice(sizes, p=[0.45, 0.45, 0.1]))
    room = size + run.radius + run.limit
    u = rng.choice([0.0, length, rng.uniform(0.0, length)], p=[0.25, 0.25, 0.5])
    u, v = u + rng.uniform(-room, room), rng.uniform(-room, room)
    z = rng.uniform(run.low - room, run.low + run.travel + room)
    plan = start + u * along + v * np.array([-along[1], along[0]])
    return random_shape(rng, np.array([*plan, z]), size)
