"""Triangles of solids and strands, with the normals that make round things round.

A form is a heap of triangles. In numbers, ``cross(b - a, c - a)`` of a triangle
points out of the solid; room axes are left-handed, so that to the eye its corners
run clockwise.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import singledispatch
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from core.geometry.shapes import (
    Box,
    Capsule,
    Cylinder,
    FloatArray,
    Hull,
    Mesh,
    Sphere,
    Vec3,
)

__all__ = [
    "Floats",
    "Form",
    "Ints",
    "ball",
    "disc",
    "lathe",
    "line_form",
    "merged",
    "ring",
    "shape_form",
    "tube",
]

Floats = NDArray[np.floating[Any]]  # single precision: rays need no more
Ints = NDArray[np.integer[Any]]

TILE = 30.0  # longest side of a triangle's legs on a large face [in]
_FILLED = 0.4  # bends of thinner lines are left open [in]
_STRAIGHT = 0.995  # cosine of a bend that shows no gap
_STEEP = 0.9  # vertical part of a way beyond which x serves to lie across it
_GENTLE = 0.8  # cosine between a face and its corner up to which it looks smooth
_SIDES = ((0.3, 6), (1.2, 12), (4.0, 20), (math.inf, 48))  # by radius [in]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Form:
    """Triangles `(n, 3, 3)` [in] and the unit normals of their corners `(n, 3, 3)`."""

    corners: Floats
    normals: Floats

    def __len__(self) -> int:
        """Return the number of triangles."""
        return len(self.corners)


def merged(forms: Iterable[Form]) -> Form:
    """Return one form of many."""
    parts = list(forms)
    if not parts:
        return Form(
            corners=np.zeros((0, 3, 3), np.float32),
            normals=np.zeros((0, 3, 3), np.float32),
        )
    return Form(
        corners=np.concatenate([part.corners for part in parts]),
        normals=np.concatenate([part.normals for part in parts]),
    )


@singledispatch
def shape_form(shape: object) -> Form:
    """Return the triangles of a shape.

    Parameters
    ----------
    shape : Shape
        A box, cylinder, capsule, sphere, hull or mesh [in].

    Returns
    -------
    Form
        Flat faces exact; round ones by chords whose corners lie on the surface.
    """
    message = f"{type(shape).__name__}: no such kind of shape"
    raise TypeError(message)


@shape_form.register
def _box(box: Box) -> Form:
    axes, center = np.array(box.axes), np.array(box.center)
    arms = axes * np.array(box.half)[:, None]
    faces = []
    for k in range(3):
        for sign in (-1.0, 1.0):
            u, v = arms[(k + 1) % 3], arms[(k + 2) % 3]
            if sign < 0:
                u, v = v, u
            out = sign * arms[k]
            faces.append(_plate(center + out - u - v, 2 * u, 2 * v))
    whole = merged(faces)
    return whole if np.linalg.det(axes) > 0 else _turned_over(whole)


def _turned_over(form: Form) -> Form:
    """Return the triangles with the other side out."""
    return Form(corners=form.corners[:, ::-1], normals=-form.normals[:, ::-1])


def _plate(origin: FloatArray, u: FloatArray, v: FloatArray) -> Form:
    """Return a rectangle in tiles; its outside is where ``cross(u, v)`` points."""
    m, n = (max(1, math.ceil(float(np.linalg.norm(way)) / TILE)) for way in (u, v))
    s, t = np.linspace(0.0, 1.0, m + 1), np.linspace(0.0, 1.0, n + 1)
    grid = origin + s[:, None, None] * u + t[None, :, None] * v
    normal = np.cross(u, v)
    normal = normal / max(float(np.linalg.norm(normal)), 1e-12)
    return _skin(grid, np.broadcast_to(normal, grid.shape))


def _skin(grid: FloatArray, normals: FloatArray) -> Form:
    """Return the triangles of a net of points `(m, n, 3)`, leaving out empty ones."""

    def cells(net: FloatArray) -> FloatArray:
        a, b = net[:-1, :-1], net[1:, :-1]
        c, d = net[1:, 1:], net[:-1, 1:]
        pairs = np.stack([np.stack([a, b, c], 2), np.stack([a, c, d], 2)], 2)
        return pairs.reshape(-1, 3, 3)

    corners, turned = cells(grid), cells(normals)
    sides = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    kept = np.einsum("ij,ij->i", sides, sides) > 1e-14
    return Form(
        corners=corners[kept].astype(np.float32),
        normals=turned[kept].astype(np.float32),
    )


def _frame(a: Vec3, b: Vec3) -> tuple[FloatArray, FloatArray, FloatArray, float]:
    """Return the unit vectors along a segment and twice across, and its length."""
    way = np.subtract(b, a)
    length = float(np.linalg.norm(way))
    along = way / length if length > 0 else np.array([0.0, 0.0, 1.0])
    x, y, z = along.tolist()
    flat = math.hypot(x, y)
    across = (y / flat, -x / flat, 0.0) if abs(z) < _STEEP else _level(y, z)
    u, v, w = across
    up = np.array([y * w - z * v, z * u - x * w, x * v - y * u])
    return along, np.array(across), up, length


def _level(y: float, z: float) -> Vec3:
    """Return the unit vector across a steep way that lies in the plane x = 0."""
    size = math.hypot(y, z)
    return (0.0, z / size, -y / size)


def _sides(radius: float) -> int:
    """Return with how many chords a circle is drawn."""
    return next(sides for limit, sides in _SIDES if radius <= limit)


def _circle(across: FloatArray, up: FloatArray, sides: int) -> FloatArray:
    """Return unit vectors round an axis `(sides + 1, 3)`, the first twice."""
    turn = 2 * np.pi * np.arange(sides + 1) / sides
    turn[-1] = 0.0
    return np.cos(turn)[:, None] * across + np.sin(turn)[:, None] * up


def tube(
    a: Vec3,
    b: Vec3,
    radius: float,
    *,
    far: float | None = None,
    capped: int = 2,
) -> Form:
    """Return a round bar, or a cone where its far end has another radius.

    Parameters
    ----------
    a, b : Vec3
        Centres of its ends [in].
    radius, far : float
        Radius at a, and at b if that is another one [in].
    capped : int
        2 with both end faces, 0 with none.
    """
    along, across, up, length = _frame(a, b)
    if length == 0.0:
        return merged(())
    end = radius if far is None else far
    around = _circle(across, up, _sides(max(radius, end)))
    steps = np.linspace(0.0, 1.0, max(1, math.ceil(length / TILE)) + 1)
    radii = radius + steps * (end - radius)
    middle = np.array(a) + steps[:, None] * length * along
    grid = middle[None] + radii[None, :, None] * around[:, None]
    slope = around + (radius - end) / length * along
    slope = slope / np.linalg.norm(slope, axis=-1, keepdims=True)
    parts = [_skin(grid, np.broadcast_to(slope[:, None], grid.shape))]
    if capped:
        parts += [disc(a, -along, radius), disc(b, along, end)]
    return merged(parts)


def lathe(a: Vec3, b: Vec3, profile: Sequence[tuple[float, float]]) -> Form:
    """Return a turned body: radius [in] at shares of the way from a to b [-]."""
    along, across, up, length = _frame(a, b)
    shares, radii = np.array(profile).T
    around = _circle(across, up, _sides(float(radii.max())))
    middle = np.array(a) + (shares * length)[:, None] * along
    grid = middle[None] + radii[None, :, None] * around[:, None]
    slope = np.gradient(radii, shares * length)
    normals = around[:, None] - slope[None, :, None] * along
    normals = normals / np.linalg.norm(normals, axis=-1, keepdims=True)
    return _skin(grid, normals)


def disc(center: Vec3, facing: Sequence[float] | FloatArray, radius: float) -> Form:
    """Return a flat round face [in] that faces a way."""
    way = np.asarray(facing, dtype=float)
    return ring(center, way, 0.0, radius)


def ring(
    center: Vec3, facing: Sequence[float] | FloatArray, inner: float, outer: float
) -> Form:
    """Return a flat ring between two radii [in] that faces a way."""
    if outer <= 0.0:
        return merged(())
    normal = np.asarray(facing, dtype=float)
    normal = normal / np.linalg.norm(normal)
    a = np.array(center)
    _, across, up, _ = _frame(center, tuple((a + normal).tolist()))
    around = _circle(across, up, _sides(outer))
    grid = a + np.array([outer, inner])[:, None, None] * around[None]
    form = _skin(grid, np.broadcast_to(normal, grid.shape))
    return _facing(form, normal)


def _facing(form: Form, normal: FloatArray) -> Form:
    """Return a flat form with its triangles turned to face a way."""
    a, b, c = (form.corners[:, k].astype(float) for k in range(3))
    wrong = np.cross(b - a, c - a) @ normal < 0
    corners = form.corners.copy()
    corners[wrong] = corners[wrong][:, ::-1]
    return Form(corners=corners, normals=form.normals)


def ball(center: Vec3, radius: float) -> Form:
    """Return a ball [in]."""
    rows = max(6, _sides(radius) // 3)
    up = np.linspace(-np.pi / 2, np.pi / 2, rows + 1)
    turn = np.linspace(0.0, 2 * np.pi, 2 * rows + 1)
    level = np.cos(up)[None, :]
    normals = np.stack(
        [
            np.cos(turn)[:, None] * level,
            np.sin(turn)[:, None] * level,
            np.broadcast_to(np.sin(up)[None, :], (len(turn), len(up))),
        ],
        axis=-1,
    )
    return _skin(np.array(center) + radius * normals, normals)


@shape_form.register
def _cylinder(shape: Cylinder) -> Form:
    return tube(shape.a, shape.b, shape.radius)


@shape_form.register
def _capsule(shape: Capsule) -> Form:
    body = tube(shape.a, shape.b, shape.radius, capped=0)
    return merged([body, ball(shape.a, shape.radius), ball(shape.b, shape.radius)])


@shape_form.register
def _sphere(shape: Sphere) -> Form:
    return ball(shape.center, shape.radius)


@shape_form.register
def _hull(shape: Hull) -> Form:
    # a late import: scipy takes a while to load and hulls are few
    from scipy.spatial import ConvexHull

    points = np.array(shape.points)
    return _flat(points[np.asarray(ConvexHull(points).simplices)], points.mean(axis=0))


def _flat(corners: FloatArray, inside: FloatArray) -> Form:
    """Return flat triangles turned away from a point inside."""
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    length = np.linalg.norm(normals, axis=1)
    kept = length > 1e-9
    corners, normals = corners[kept], normals[kept] / length[kept][:, None]
    away = np.einsum("ij,ij->i", normals, corners.mean(axis=1) - inside)
    wrong = away < 0
    corners[wrong], normals[wrong] = corners[wrong][:, ::-1], -normals[wrong]
    return Form(
        corners=corners.astype(np.float32),
        normals=np.repeat(normals[:, None], 3, axis=1).astype(np.float32),
    )


@shape_form.register
def _mesh(shape: Mesh) -> Form:
    corners = shape.vertices[shape.faces]
    sides = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    sums = np.zeros_like(shape.vertices, dtype=float)
    for k in range(3):
        np.add.at(sums, shape.faces[:, k], sides)
    flat = np.broadcast_to(_units(sides)[:, None], corners.shape)
    smooth = _units(sums)[shape.faces]
    gentle = np.einsum("ijk,ijk->ij", flat, smooth) > _GENTLE
    normals = np.where(gentle[..., None], smooth, flat)
    return Form(corners=corners.astype(np.float32), normals=normals.astype(np.float32))


def _units(vectors: FloatArray) -> FloatArray:
    length = np.linalg.norm(vectors, axis=-1, keepdims=True)
    units: FloatArray = vectors / np.maximum(length, 1e-30)
    return units


def line_form(points: Sequence[Vec3], radius: float) -> Form:
    """Return a round line through points [in], with balls in its sharp bends."""
    pieces = [(a, b) for a, b in pairwise(points) if a != b]
    parts = [tube(a, b, radius, capped=0) for a, b in pieces]
    if radius > _FILLED:
        bends = ((a, b, c) for (a, b), (_, c) in pairwise(pieces))
        parts += [ball(b, radius) for a, b, c in bends if _is_sharp(a, b, c)]
    if pieces:
        parts += [_end(*pieces[0], radius), _end(*pieces[-1][::-1], radius)]
    return merged(parts)


def _is_sharp(a: Vec3, b: Vec3, c: Vec3) -> bool:
    """Return whether a line turns by more than some degrees."""
    before, after = np.subtract(b, a), np.subtract(c, b)
    lengths = float(np.linalg.norm(before) * np.linalg.norm(after))
    return float(before @ after) < _STRAIGHT * lengths


def _end(at: Vec3, other: Vec3, radius: float) -> Form:
    """Return the end face of a line."""
    return disc(at, np.subtract(at, other), radius)
