"""What a solid looks like on a plane: its outline as seen, and its face where cut.

Curved edges come as chords whose corners lie on the true curve.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache, singledispatch

import numpy as np

from core.drawing.records import Circle, Frame, Polygon, Record, Role, Strokes
from core.geometry.hull_faces import hull_faces
from core.geometry.shapes import (
    Box,
    Capsule,
    Cylinder,
    FloatArray,
    Hull,
    IntArray,
    Mesh,
    Shape,
    Sphere,
    Vec2,
    Vec3,
)

__all__ = [
    "Disc",
    "Face",
    "clipped_face",
    "convex_outline",
    "corners_of",
    "cut_face",
    "depth_range",
    "face_record",
    "seen_face",
]

_CHORDS = 48  # corners of a full turn; a multiple of four, so extremes are corners
_CORNERS = np.array(
    [(x, y, z) for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)], dtype=float
)
_KEPT_MESHES = 8
_FLAT = 1e-9  # sine of the angle below which an axis lies in a plane
_TURN = np.linspace(0.0, 2.0 * math.pi, _CHORDS, endpoint=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Disc:
    """A face that is a full circle [in]."""

    center: Vec2
    radius: float


Face = FloatArray | Disc


def face_record(face: Face, *, role: Role, owner: str, part: str = "") -> Record:
    """Return a face as a record: a circle, a polygon, or a cut scan's strokes."""
    if isinstance(face, Disc):
        return Circle(
            role=role, owner=owner, part=part, center=face.center, radius=face.radius
        )
    if face.ndim == 3:
        return Strokes(role=role, owner=owner, part=part, segments=face)
    return Polygon(role=role, owner=owner, part=part, outline=face)


def convex_outline(points: FloatArray) -> FloatArray:
    """Return the corners of the convex hull of plane points, anticlockwise.

    Parameters
    ----------
    points : (n, 2) array
        Plane points [in].

    Returns
    -------
    (m, 2) array
        The corners [in]; fewer than three where all points lie on one line.

    Examples
    --------
    >>> convex_outline(np.array([(0, 0), (2, 0), (1, 1), (2, 2), (0, 2.0)])).tolist()
    [[0.0, 0.0], [2.0, 0.0], [2.0, 2.0], [0.0, 2.0]]
    """
    if len(points) > 4 * _CHORDS:
        points = _thinned(points)
    ordered = sorted({(u, v) for u, v in points.tolist()})
    if len(ordered) < 3:
        return np.array(ordered, dtype=float).reshape(-1, 2)
    lower = _chain(ordered)
    upper = _chain(ordered[::-1])
    return np.array(lower[:-1] + upper[:-1])


def _chain(points: list[Vec2]) -> list[Vec2]:
    """Return one side of the hull of sorted points (Andrew's monotone chain)."""
    chain: list[Vec2] = []
    for u, v in points:
        while len(chain) > 1:
            (a, b), (c, d) = chain[-2], chain[-1]
            if (c - a) * (v - b) - (d - b) * (u - a) > 1e-12:
                break
            chain.pop()
        chain.append((u, v))
    return chain


def _thinned(points: FloatArray) -> FloatArray:
    """Keep what is on the hull of a great many points, dropping most of the rest."""
    angles = np.linspace(0.0, 2.0 * math.pi, 16, endpoint=False)
    ways = np.stack((np.cos(angles), np.sin(angles)))
    corners = points[np.argmax(points @ ways, axis=0)]
    after = np.roll(corners, -1, axis=0) - corners
    outside = np.zeros(len(points), dtype=bool)
    for corner, (du, dv) in zip(corners, after, strict=True):
        offset = points - corner
        outside |= du * offset[:, 1] - dv * offset[:, 0] <= 0.0
    kept: FloatArray = np.unique(points[outside], axis=0)
    return kept


@singledispatch
def seen_face(shape: Shape, frame: Frame) -> Face:
    """Return the outline of a solid as seen along the frame's direction of looking.

    A scan is outlined by the convex hull of its corners.

    Parameters
    ----------
    shape : Shape
        The solid, in room coordinates [in].
    frame : Frame
        The plane.

    Returns
    -------
    Face
        Corners `(n, 2)` [in] in order, or a disc.
    """
    message = f"no outline for {type(shape).__name__} on {frame}"
    raise TypeError(message)


@seen_face.register
def _(shape: Box, frame: Frame) -> Face:
    return convex_outline(frame.to_plane(_box_corners(shape)))


def _box_corners(shape: Box) -> FloatArray:
    corners: FloatArray = (_CORNERS * shape.half) @ np.array(shape.axes) + shape.center
    return corners


@seen_face.register
def _(shape: Hull, frame: Frame) -> Face:
    return convex_outline(frame.to_plane(np.array(shape.points)))


@seen_face.register
def _(shape: Mesh, frame: Frame) -> Face:
    return convex_outline(frame.to_plane(_outermost(shape)))


@lru_cache(maxsize=_KEPT_MESHES)
def _outermost(mesh: Mesh) -> FloatArray:
    """Return the vertices of a mesh that are corners of its convex hull [in]."""
    # the import takes longer than a small room takes to draw
    from scipy.spatial import ConvexHull, QhullError

    try:
        corners = ConvexHull(mesh.vertices).vertices
    except QhullError:  # all in one plane, or fewer than four
        return mesh.vertices
    outermost: FloatArray = mesh.vertices[corners]
    return outermost


@seen_face.register
def _(shape: Sphere, frame: Frame) -> Face:
    return Disc(center=frame.point(shape.center), radius=shape.radius)


@seen_face.register
def _(shape: Capsule, frame: Frame) -> Face:
    a, b = frame.point(shape.a), frame.point(shape.b)
    if math.dist(a, b) < _FLAT * shape.radius:
        return Disc(center=a, radius=shape.radius)
    return _stadium(a, b, shape.radius)


def _stadium(a: Vec2, b: Vec2, radius: float) -> FloatArray:
    """Return the outline of everything within `radius` of a plane segment."""
    heading = math.atan2(b[1] - a[1], b[0] - a[0])
    half = np.linspace(-math.pi / 2, math.pi / 2, _CHORDS // 2 + 1)
    arc = np.stack((np.cos(half + heading), np.sin(half + heading)), axis=-1)
    return np.concatenate((b + radius * arc, a - radius * arc))


@seen_face.register
def _(shape: Cylinder, frame: Frame) -> Face:
    a, b = frame.point(shape.a), frame.point(shape.b)
    axis, length = _unit(shape.a, shape.b)
    tilt = abs(float(np.dot(axis, frame.away)))
    if math.dist(a, b) < _FLAT * length:
        return Disc(center=a, radius=shape.radius)
    along = (np.array(b) - a) / math.dist(a, b)
    across = np.array((-along[1], along[0]))
    rim = shape.radius * (
        np.outer(np.sin(_TURN), across) + tilt * np.outer(np.cos(_TURN), along)
    )
    return convex_outline(np.concatenate((a + rim, b + rim)))


def _unit(a: Vec3, b: Vec3) -> tuple[FloatArray, float]:
    way = np.array(b) - a
    length = float(np.linalg.norm(way))
    return way / length, length


@singledispatch
def cut_face(shape: Shape, frame: Frame) -> Face | None:
    """Return the face where the frame's plane cuts a solid, None where it does not.

    A scan gives its cut as separate strokes `(n, 2, 2)`, since it may be open.

    Parameters
    ----------
    shape : Shape
        The solid, in room coordinates [in].
    frame : Frame
        The plane, at depth zero.

    Returns
    -------
    Face or None
        Corners `(n, 2)` [in] in order, strokes `(n, 2, 2)` [in], or a disc.
    """
    message = f"no cut for {type(shape).__name__} by {frame}"
    raise TypeError(message)


@cut_face.register
def _(shape: Box, frame: Frame) -> Face | None:
    return _cut_of_corners(_box_corners(shape), frame)


@cut_face.register
def _(shape: Hull, frame: Frame) -> Face | None:
    corners, edges = np.array(shape.points), _hull_edges(shape)
    if edges is None:
        return _cut_of_corners(corners, frame)
    depths = frame.depths(corners)[edges]
    crossed = (depths < 0.0).any(axis=1) & (depths >= 0.0).any(axis=1)
    if not crossed.any():
        return None
    d0, d1 = depths[crossed].T
    share = (d0 / (d0 - d1))[:, None]
    a, b = frame.to_plane(corners)[edges[crossed]].swapaxes(0, 1)
    face = convex_outline(a * (1.0 - share) + b * share)
    return face if len(face) > 2 else None


@lru_cache(maxsize=1024)
def _hull_edges(shape: Hull) -> IntArray | None:
    """Return the two corners of each edge of a hull `(n, 2)`, None if it is flat."""
    found = hull_faces(np.array(shape.points))
    if found is None:
        return None
    sides = found[0][:, ((0, 1), (1, 2), (2, 0))].reshape(-1, 2)
    edges: IntArray = np.unique(np.sort(sides, axis=1), axis=0)
    return edges


def _cut_of_corners(corners: FloatArray, frame: Frame) -> Face | None:
    """Cut the convex hull of some corners: every pair on either side, then a hull."""
    depths = frame.depths(corners)
    near, behind = depths < 0.0, depths >= 0.0
    if not near.any() or not behind.any():
        return None
    d0, d1 = depths[near][:, None], depths[behind][None, :]
    share = (d0 / (d0 - d1))[..., None]
    flat = frame.to_plane(corners)
    crossings = flat[near][:, None] * (1.0 - share) + flat[behind][None, :] * share
    face = convex_outline(crossings.reshape(-1, 2))
    return face if len(face) > 2 else None


@cut_face.register
def _(shape: Sphere, frame: Frame) -> Face | None:
    return _cut_ball(shape.center, shape.radius, frame)


def _cut_ball(center: Vec3, radius: float, frame: Frame) -> Disc | None:
    depth = float(frame.depths(np.array(center)))
    if abs(depth) >= radius:
        return None
    return Disc(center=frame.point(center), radius=math.sqrt(radius**2 - depth**2))


@cut_face.register
def _(shape: Cylinder, frame: Frame) -> Face | None:
    axis, length = _unit(shape.a, shape.b)
    depth = float(frame.depths(np.array(shape.a)))
    slope = float(np.dot(axis, frame.away))
    square = 1.0 - abs(slope) < _FLAT
    if square:
        inside = (
            min(depth, depth + slope * length)
            <= 0.0
            <= max(depth, depth + slope * length)
        )
        center = frame.point(shape.a)
        return Disc(center=center, radius=shape.radius) if inside else None
    return _slice_cylinder(shape, frame, axis=axis, length=length)


def _slice_cylinder(
    shape: Cylinder, frame: Frame, *, axis: FloatArray, length: float
) -> FloatArray | None:
    """Cut a cylinder by a plane that is not square to its axis.

    At t along the axis the plane meets the round slice in a chord at the distance
    d(t) = (depth + t * slope) / cosine from the axis, so every corner is exact.
    """
    slope = float(np.dot(axis, frame.away))
    depth = float(frame.depths(np.array(shape.a)))
    cosine = math.sqrt(1.0 - slope**2)
    ends = np.array((depth, depth + slope * length)) / cosine
    low, high = np.clip((ends.min(), ends.max()), -shape.radius, shape.radius)
    if low >= high and not (abs(slope) < _FLAT and abs(low) < shape.radius):
        return None
    if abs(slope) < _FLAT:
        along, apart = np.array((0.0, length)), np.full(2, ends[0])
    else:
        turn = np.linspace(
            math.asin(low / shape.radius), math.asin(high / shape.radius), _CHORDS // 2
        )
        apart = shape.radius * np.sin(turn)
        along = (apart * cosine - depth) / slope
    return _chords(shape, frame, axis=axis, along=along, apart=apart)


def _chords(
    shape: Cylinder,
    frame: Frame,
    *,
    axis: FloatArray,
    along: FloatArray,
    apart: FloatArray,
) -> FloatArray:
    """Return the outline through both ends of the chords of a cut cylinder."""
    away = np.array(frame.away)
    normal = away - float(axis @ away) * axis
    normal /= np.linalg.norm(normal)
    side = np.cross(axis, normal)
    half = np.sqrt(np.maximum(shape.radius**2 - apart**2, 0.0))
    middle = np.array(shape.a) + np.outer(along, axis) - np.outer(apart, normal)
    reach = np.outer(half, side)
    return convex_outline(
        frame.to_plane(np.concatenate((middle + reach, middle - reach)))
    )


@cut_face.register
def _(shape: Capsule, frame: Frame) -> Face | None:
    ends = (shape.a, shape.b)
    pieces = [
        disc
        for end in ends
        if (disc := _cut_ball(end, shape.radius, frame)) is not None
    ]
    barrel = (
        cut_face(Cylinder(a=shape.a, b=shape.b, radius=shape.radius), frame)
        if math.dist(*ends) > 0.0
        else None
    )
    if isinstance(barrel, Disc) or (barrel is None and len(pieces) == 1):
        return barrel if isinstance(barrel, Disc) else pieces[0]
    corners = [corners_of(disc) for disc in pieces]
    if barrel is not None:
        corners.append(barrel)
    return convex_outline(np.concatenate(corners)) if corners else None


def corners_of(face: Face) -> FloatArray:
    """Return the corners `(n, 2)` of a face [in]; a disc as a polygon in it."""
    if isinstance(face, Disc):
        ring = np.stack((np.cos(_TURN), np.sin(_TURN)), axis=-1)
        return face.center + face.radius * ring
    return face


def clipped_face(face: FloatArray, window: FloatArray) -> FloatArray:
    """Return the part of a convex face inside a convex window.

    Sutherland and Hodgman's way: cut by one edge of the window after the other.

    Parameters
    ----------
    face, window : (n, 2) array
        Corners in order [in].

    Returns
    -------
    (m, 2) array
        Corners of the common part, none where there is none [in].

    Examples
    --------
    >>> square = np.array(((0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0)))
    >>> sorted(map(tuple, clipped_face(square, square + 1.0).tolist()))
    [(1.0, 1.0), (1.0, 2.0), (2.0, 1.0), (2.0, 2.0)]
    """
    if not len(face) or _are_apart(face, window):
        return np.zeros((0, 2))
    kept: list[Vec2] = [(u, v) for u, v in face.tolist()]
    for a, b in _edges_across(_anticlockwise(window), face):
        kept = _left_of(kept, a, b)
        if not kept:
            break
    return np.array(kept, dtype=float).reshape(-1, 2)


def _edges_across(window: list[Vec2], face: FloatArray) -> Iterator[tuple[Vec2, Vec2]]:
    """Yield the edges of an anticlockwise window that some of a face lies beyond."""
    a = np.array(window)
    along = np.roll(a, -1, axis=0) - a
    u, v = (face[:, axis] - a[:, axis, None] for axis in (0, 1))
    beyond = (along[:, :1] * v - along[:, 1:] * u < 0.0).any(axis=1)
    for k in np.flatnonzero(beyond).tolist():
        yield window[k], window[(k + 1) % len(window)]


def _are_apart(a: FloatArray, b: FloatArray) -> bool:
    """Tell whether the upright rectangles round two faces are apart."""
    least, most = (
        np.maximum(a.min(axis=0), b.min(axis=0)),
        np.minimum(a.max(axis=0), b.max(axis=0)),
    )
    return bool((least > most).any())


def _anticlockwise(face: FloatArray) -> list[Vec2]:
    corners: list[Vec2] = [(u, v) for u, v in face.tolist()]
    after = corners[1:] + corners[:1]
    turn = sum(a[0] * b[1] - a[1] * b[0] for a, b in zip(corners, after, strict=True))
    return corners if turn >= 0.0 else corners[::-1]


def _left_of(face: list[Vec2], a: Vec2, b: Vec2) -> list[Vec2]:
    """Return the part of a convex face to the left of a line."""
    (u0, v0), du, dv = a, b[0] - a[0], b[1] - a[1]
    sides = [du * (v - v0) - dv * (u - u0) for u, v in face]
    if min(sides) >= 0.0:
        return face
    kept: list[Vec2] = []
    for k, (here, s) in enumerate(zip(face, sides, strict=True)):
        before, r = face[k - 1], sides[k - 1]
        if (s >= 0.0) != (r >= 0.0):
            share = r / (r - s)
            u, v = (p + (q - p) * share for p, q in zip(before, here, strict=True))
            kept.append((u, v))
        if s >= 0.0:
            kept.append(here)
    return kept


@cut_face.register
def _(shape: Mesh, frame: Frame) -> Face | None:
    depths = frame.depths(shape.vertices)
    behind = (depths >= 0.0).astype(np.int8)
    corners = shape.faces.T
    count = behind[corners[0]] + behind[corners[1]] + behind[corners[2]]
    faces = shape.faces[(count == 1) | (count == 2)]
    if not len(faces):
        return None
    sides = behind[faces]
    lone = np.where(sides.sum(axis=1) == 1, sides.argmax(axis=1), sides.argmin(axis=1))
    rows = np.arange(len(faces))
    apex = faces[rows, lone]
    others = (faces[rows, (lone + step) % 3] for step in (1, 2))
    ends = [_crossing(shape.vertices, depths, apex, other) for other in others]
    return frame.to_plane(np.stack(ends, axis=1))


def _crossing(
    vertices: FloatArray, depths: FloatArray, a: IntArray, b: IntArray
) -> FloatArray:
    """Return where edges between vertices a and b pass the plane [in]."""
    share = (depths[a] / (depths[a] - depths[b]))[:, None]
    points: FloatArray = vertices[a] * (1.0 - share) + vertices[b] * share
    return points


def depth_range(shape: Shape, frame: Frame) -> tuple[float, float]:
    """Return the least and greatest depth of a solid behind the plane [in]."""
    points, grown = _hull_points(shape, frame)
    depths = frame.depths(points)
    return float(depths.min()) - grown, float(depths.max()) + grown


def _hull_points(shape: Shape, frame: Frame) -> tuple[FloatArray, float]:
    """Return points, and by how much they grow, that bound the depth exactly."""
    match shape:
        case Box():
            spread = np.abs(np.array(shape.axes) @ np.array(frame.away))
            return np.array((shape.center,)), float(spread @ np.array(shape.half))
        case Sphere():
            return np.array((shape.center,)), shape.radius
        case Capsule():
            return np.array((shape.a, shape.b)), shape.radius
        case Cylinder():
            return np.array((shape.a, shape.b)), _disc_depth(shape, frame)
        case Hull():
            return np.array(shape.points), 0.0
        case Mesh():
            return _outermost(shape), 0.0


def _disc_depth(shape: Cylinder, frame: Frame) -> float:
    """Return how far the end faces reach beyond their middles along the depth."""
    axis = np.array(shape.b) - np.array(shape.a)
    slope = float(axis @ np.array(frame.away)) / float(np.linalg.norm(axis))
    return shape.radius * math.sqrt(max(0.0, 1.0 - slope**2))
