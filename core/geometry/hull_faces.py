"""The faces of a convex hull as triangles with outward normals.

A right prism, as every hinged leaf sweeps: its base's corners, and a face on each side
of them. Level rings that are alike about one upright axis, as every swinging rod
sweeps: the rings on the outside of their profile, and faces between them. Few points:
every three of them with all others on one side. More: from a first face, a plane is
turned about each open edge until it meets the next points. All points of a plane belong
to one face, so a round of points in one plane is as good as any; points within 1e-9 of
the size of the hull count as lying in the plane.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import combinations, pairwise

import numpy as np

from core.geometry.shapes import FloatArray, IntArray

__all__ = ["hull_faces"]

_FEW_POINTS = 24
_FLAT = 1e-9
_MOST_TURNS = 20
_UPRIGHT = np.array([0.0, 0.0, 1.0])
Faces = tuple[IntArray, FloatArray]
Edge = tuple[int, int]


def hull_faces(points: FloatArray) -> Faces | None:
    """Return the triangles of a hull and their outward normals.

    Parameters
    ----------
    points : FloatArray, shape (n, 3)
        Points [in], those within the hull among them.

    Returns
    -------
    (triangles, normals) or None
        Places of three points `(f, 3)` and unit normals `(f, 3)` [-]; None when the
        points lie in one plane.
    """
    if len(points) < 4:
        return None
    size = float(np.ptp(points, axis=0).max())
    known = _prism_faces(points, size) or _turned_faces(points, size)
    if known is not None:
        return known
    if len(points) <= _FEW_POINTS:
        return _tried_faces(points, size)
    return _wrapped_faces(points, size) or _library_faces(points)


def _tried_faces(points: FloatArray, size: float) -> Faces | None:
    """Return every three points with all others on one side of their plane."""
    corners = np.array(list(combinations(range(len(points)), 3)), dtype=np.int64)
    a, b, c = points[corners[:, 0]], points[corners[:, 1]], points[corners[:, 2]]
    normal = np.cross(b - a, c - a)
    area = np.sqrt((normal * normal).sum(axis=1))
    sound = area > _FLAT * size * size
    corners, a = corners[sound], a[sound]
    normal = normal[sound] / area[sound, None]
    height = ((points[None, :, :] - a[:, None, :]) * normal[:, None, :]).sum(axis=2)
    above = (height > _FLAT * size).any(axis=1)
    below = (height < -_FLAT * size).any(axis=1)
    outer = above != below
    if not outer.any():
        return None
    turned = np.where(above[outer, None], -1.0, 1.0)
    return corners[outer], normal[outer] * turned


def _cross(a: FloatArray, b: FloatArray) -> FloatArray:
    """Return the vector product of two vectors, quicker than for arrays of them."""
    (ax, ay, az), (bx, by, bz) = a.tolist(), b.tolist()
    return np.array([ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx])


@dataclass(frozen=True, slots=True)
class _Face:
    """One face: its corners in order round it and its outward normal."""

    ring: tuple[int, ...]
    normal: FloatArray

    def edges(self) -> Iterator[Edge]:
        """Yield the edges from corner to corner."""
        return zip(self.ring, (*self.ring[1:], self.ring[0]), strict=True)

    def triangles(self) -> list[tuple[int, int, int]]:
        """Return the triangles of a fan from the first corner."""
        pairs = zip(self.ring[1:], self.ring[2:], strict=False)
        return [(self.ring[0], b, c) for b, c in pairs]


@dataclass(slots=True)
class _Wrapping:
    """Points being wrapped: faces found so far, and the edges to turn about.

    Changes while it grows.
    """

    points: FloatArray
    size: float
    faces: list[_Face] = field(default_factory=list)
    rings: set[frozenset[int]] = field(default_factory=set)
    seen: set[Edge] = field(default_factory=set)

    def add(self, face: _Face) -> list[tuple[Edge, FloatArray]]:
        """Add a face, unless it is known; return its edges that may still be open."""
        ring = frozenset(face.ring)
        if len(ring) < 3 or ring in self.rings:
            return []
        self.rings.add(ring)
        self.faces.append(face)
        self.seen.update(face.edges())
        return [(edge, face.normal) for edge in face.edges()]

    def closed(self) -> bool:
        """Tell whether each edge has a face on both sides and all points are within."""
        if len(self.faces) < 4 or any((b, a) not in self.seen for a, b in self.seen):
            return False
        normal = np.array([face.normal for face in self.faces])
        start = self.points[[face.ring[0] for face in self.faces]]
        height = normal @ self.points.T - (normal * start).sum(axis=1)[:, None]
        return bool(height.max() <= 2.0 * _FLAT * self.size)

    def triangles(self, places: IntArray) -> Faces:
        """Return all triangles and their normals, their corners as given places."""
        corners = [three for face in self.faces for three in face.triangles()]
        normals = [face.normal for face in self.faces for _ in face.triangles()]
        return places[np.array(corners, dtype=np.int64)], np.array(normals)

    def turned(self, start: FloatArray, along: FloatArray, normal: FloatArray) -> int:
        """Return the point that a plane meets first, turned about a line.

        The plane has the given normal and all points behind it.
        """
        along = along / np.sqrt(along @ along)
        away = self.points - start
        ahead, depth = away @ _cross(normal, along), np.maximum(-(away @ normal), 0.0)
        off = np.hypot(ahead, depth) > _FLAT * self.size
        return int(np.where(off, np.arctan2(depth, -ahead), -1.0).argmax())

    def face(self, edge: Edge, normal: FloatArray) -> _Face:
        """Return the face beyond an edge of a face with the given normal."""
        start = self.points[edge[0]]
        along = self.points[edge[1]] - start
        third = self.turned(start, along, normal)
        for _ in range(_MOST_TURNS):
            outward = _cross(along, self.points[third] - start)
            if not outward.any():
                return _Face((), normal)  # no point beside the line
            outward = outward / np.sqrt(outward @ outward)
            height = (self.points - start) @ outward
            if height.max() <= _FLAT * self.size:
                break
            third = int(height.argmax())
        level = np.flatnonzero(np.abs(height) <= _FLAT * self.size)
        return _Face(self.ring(level, along, outward), outward)

    def ring(
        self, level: IntArray, along: FloatArray, normal: FloatArray
    ) -> tuple[int, ...]:
        """Return the corners of points in one plane, turning left round its normal."""
        x = self.points[level] @ (along / np.sqrt(along @ along))
        y = self.points[level] @ (_cross(normal, along) / np.sqrt(along @ along))
        order = np.lexsort((y, x)).tolist()
        flat = list(zip(x.tolist(), y.tolist(), strict=True))
        under = _chain(flat, order, self.size)
        over = _chain(flat, order[::-1], self.size)
        return tuple(int(level[k]) for k in under[:-1] + over[:-1])


def _chain(flat: list[tuple[float, float]], order: list[int], size: float) -> list[int]:
    """Return the corners of one side of a flat hull, first and last among them."""
    chain: list[int] = []
    for k in order:
        while len(chain) > 1 and not _turns_left(flat, chain[-2:], k, size):
            chain.pop()
        chain.append(k)
    return chain


def _turns_left(
    flat: list[tuple[float, float]], last: list[int], k: int, size: float
) -> bool:
    """Tell whether the way over the last two points turns left to another one."""
    (ax, ay), (bx, by), (cx, cy) = flat[last[0]], flat[last[1]], flat[k]
    ux, uy, vx, vy = bx - ax, by - ay, cx - ax, cy - ay
    reach = _FLAT * size * max(abs(vx), abs(vy))
    return ux * vy - uy * vx > reach


def _prism_faces(points: FloatArray, size: float) -> Faces | None:
    """Return the faces of a right prism whose second half is its base moved square.

    None where the points are no such prism.
    """
    count, odd = divmod(len(points), 2)
    way = points[count] - points[0]
    height = float(np.sqrt(way @ way))
    if odd or count < 3 or height <= _FLAT * size:
        return None
    base, upward = points[:count], way / height
    slips = np.abs(points[count:] - base - way).max()
    tilts = np.abs((base - base[0]) @ upward).max()
    if max(slips, tilts) > _FLAT * size:
        return None
    wrapping = _Wrapping(points, size)
    along = base[((base - base[0]) ** 2).sum(axis=1).argmax()] - base[0]
    ring = wrapping.ring(np.arange(count), along, upward) if along.any() else ()
    if len(ring) < 3:
        return None
    wrapping.faces.append(_Face(ring[::-1], -upward))
    wrapping.faces.append(_Face(tuple(k + count for k in ring), upward))
    for a, b in _Face(ring, upward).edges():
        outward = _cross(points[b] - points[a], upward)
        outward = outward / np.sqrt(outward @ outward)
        wrapping.faces.append(_Face((a, b, b + count, a + count), outward))
    return wrapping.triangles(np.arange(len(points)))


def _turned_faces(points: FloatArray, size: float) -> Faces | None:
    """Return the faces of level rings that are alike about one upright axis.

    None where the points are no such rings, one behind the other.
    """
    flat = _FLAT * size
    count = int((np.abs(points[:, 2] - points[0, 2]) <= flat).argmin())
    if count < 3 or len(points) % count:
        return None
    rings = points.reshape(-1, count, 3)
    first, away = rings[0, :, :2], rings[:, :, :2] - rings[0, :, :2].mean(axis=0)
    plan = first - first.mean(axis=0)
    square = (plan * plan).sum()
    share = (away * plan).sum(axis=(1, 2)) / square if square > 0.0 else np.zeros(1)
    slips = np.abs(away - share[:, None, None] * plan).max()
    tilts = np.ptp(rings[:, :, 2], axis=1).max()
    wide = share * np.sqrt((plan * plan).sum(axis=1).max())
    if max(slips, tilts) > flat or wide.min() <= flat:
        return None
    wrapping = _Wrapping(rings[0], size)
    along = np.append(plan[(plan * plan).sum(axis=1).argmax()], 0.0)
    ring = wrapping.ring(np.arange(count), along, _UPRIGHT)
    profile = _profile(rings[:, 0, 2].tolist(), wide.tolist(), size)
    if len(ring) < 3 or len(profile) < 2:
        return None
    return _between_rings(points, np.array(profile)[:, None] * count + np.array(ring))


def _profile(heights: list[float], wide: list[float], size: float) -> list[int]:
    """Return the rings on the outside of the hull of all, upwards."""
    flat = [(height, -radius) for height, radius in zip(heights, wide, strict=True)]
    chain = _chain(flat, sorted(range(len(flat)), key=flat.__getitem__), size)
    while len(chain) > 1 and heights[chain[-1]] - heights[chain[-2]] <= _FLAT * size:
        chain.pop()
    return chain


def _between_rings(points: FloatArray, rings: IntArray) -> Faces:
    """Return the faces under, over and between rings `(r, c)` of points, upwards."""
    low, high = rings[:-1].ravel(), rings[1:].ravel()
    after = np.roll(rings, -1, axis=1)
    low_after, high_after = after[:-1].ravel(), after[1:].ravel()
    side = np.array([low, low_after, high_after, low, high_after, high])
    normal = np.cross(points[low_after] - points[low], points[high] - points[low])
    normal /= np.sqrt((normal * normal).sum(axis=1))[:, None]
    top = [(rings[-1, 0], b, c) for b, c in pairwise(rings[-1, 1:])]
    bottom = [(rings[0, 0], c, b) for b, c in pairwise(rings[0, 1:])]
    caps = np.repeat([_UPRIGHT, -_UPRIGHT], len(top), axis=0)
    return (
        np.concatenate([side.T.reshape(-1, 3), top, bottom]),
        np.concatenate([np.repeat(normal, 2, axis=0), caps]),
    )


def _wrapped_faces(points: FloatArray, size: float) -> Faces | None:
    """Return the faces found by turning planes about open edges.

    None where points lie in one plane, or so near each other that the faces do not
    close.
    """
    points, places = np.unique(points, axis=0, return_index=True)
    wrapping = _Wrapping(points, size)
    second = wrapping.turned(points[0], _UPRIGHT, np.array([-1.0, 0.0, 0.0]))
    normal = _cross(_UPRIGHT, points[second] - points[0])
    if not normal.any():
        return None
    open_ = wrapping.add(wrapping.face((0, second), normal / np.sqrt(normal @ normal)))
    while open_ and len(wrapping.faces) < 2 * len(points):
        (a, b), normal = open_.pop()
        if (b, a) not in wrapping.seen:
            open_ += wrapping.add(wrapping.face((b, a), normal))
    return wrapping.triangles(places) if wrapping.closed() else None


def _library_faces(points: FloatArray) -> Faces | None:
    """Return the faces as scipy finds them, None when the points lie in one plane."""
    from scipy.spatial import ConvexHull, QhullError  # slow to load, seldom needed

    try:
        hull = ConvexHull(points)
    except QhullError:
        return None
    return hull.simplices.astype(np.int64), hull.equations[:, :3]
