"""What is under a pixel: a ray on the CPU against boxes, then against triangles."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from core.geometry.shapes import FloatArray, Vec2, Vec3
from viewer.room3d.camera import Camera, Ray, pixels_of, ray_through
from viewer.room3d.shell import Piece

__all__ = ["Hit", "Targets", "line_under", "ray_hit"]

_THIN = 5.0  # a line is met within this many pixels [px]
_BESIDE = 4.0  # a line wins over a surface that is nearer by less than this [in]


@dataclass(frozen=True, slots=True, kw_only=True)
class Hit:
    """What a ray meets: whose it is, how far from the eye, and where [in]."""

    owner: str
    distance: float
    at: Vec3


class Targets:
    """Pieces that a ray may meet, with the box round each; made once for many rays."""

    def __init__(self, pieces: Iterable[Piece]) -> None:
        self.pieces = tuple(p for p in pieces if len(p.facets.corners))
        ends = [
            (p.facets.corners.min((0, 1)), p.facets.corners.max((0, 1)))
            for p in self.pieces
        ]
        self.low = np.array([low for low, _ in ends]).reshape(-1, 3)
        self.high = np.array([high for _, high in ends]).reshape(-1, 3)


def ray_hit(ray: Ray, targets: Targets, *, moved: Vec3 = (0.0, 0.0, 0.0)) -> Hit | None:
    """Return the nearest piece that a ray meets.

    Parameters
    ----------
    ray : Ray
        The line of sight.
    targets : Targets
        What it may meet.
    moved : Vec3
        How far all of it has moved from where it was made [in].
    """
    if not targets.pieces:
        return None
    origin = np.array(ray.origin) - moved
    way = np.array(ray.way)
    entry = _entries(origin, way, targets)
    best: tuple[float, str] | None = None
    for index in np.argsort(entry).tolist():
        if not np.isfinite(entry[index]) or (best and entry[index] > best[0]):
            break
        piece = targets.pieces[index]
        distance = _nearest(origin, way, piece.facets.corners)
        if distance is not None and (best is None or distance < best[0]):
            best = (distance, piece.owner)
    if best is None:
        return None
    return Hit(owner=best[1], distance=best[0], at=_along(ray, best[0]))


def _along(ray: Ray, distance: float) -> Vec3:
    x, y, z = (o + distance * w for o, w in zip(ray.origin, ray.way, strict=True))
    return (x, y, z)


def _entries(origin: FloatArray, way: FloatArray, targets: Targets) -> FloatArray:
    """Return where the ray enters each box, infinite where it misses [in]."""
    with np.errstate(divide="ignore", invalid="ignore"):
        first = (targets.low - origin) / way
        second = (targets.high - origin) / way
    near = np.nanmax(np.fmin(first, second), axis=1)
    far = np.nanmin(np.fmax(first, second), axis=1)
    entry: FloatArray = np.where((near <= far + 1e-6) & (far >= 0.0), near, np.inf)
    return entry


def _nearest(origin: FloatArray, way: FloatArray, corners: FloatArray) -> float | None:
    """Return how far the nearest triangle is along a ray [in].

    Notes
    -----
    Solves ``origin + t way = a + u (b - a) + v (c - a)`` by Cramer's rule.

    References
    ----------
    T. Moeller and B. Trumbore, "Fast, minimum storage ray/triangle intersection",
    Journal of Graphics Tools 2 (1997), no. 1, pp. 21-28, section 2.
    """
    a = corners[:, 0]
    side, other = corners[:, 1] - a, corners[:, 2] - a
    square = np.cross(way, other)
    whole = (side * square).sum(axis=1)
    whole[whole == 0.0] = np.inf  # seen edge on: u is 0, and so is t
    from_a = origin - a
    turned = np.cross(from_a, side)
    u = (from_a * square).sum(axis=1) / whole
    v = (turned @ way) / whole
    t = (other * turned).sum(axis=1) / whole
    met = (u >= -1e-9) & (v >= -1e-9) & (u + v <= 1.0 + 1e-9) & (t > 0.0)
    return float(t[met].min()) if met.any() else None


def line_under(
    camera: Camera,
    pixel: Vec2,
    size: Vec2,
    lines: Sequence[tuple[str, FloatArray]],
    behind: Hit | None,
) -> Hit | None:
    """Return the thin thing near a pixel, or what is behind it.

    Parameters
    ----------
    camera, pixel, size
        The eye, the pixel, and the size of the picture [px].
    lines : sequence
        Owner and points `(n, 3)` of each [in].
    behind : Hit or None
        The surface there; it hides lines that are farther away.
    """
    reach = np.inf if behind is None else behind.distance + _BESIDE
    best: tuple[float, float, str] | None = None
    for owner, points in lines:
        gap, distance = _line_gap(camera, pixel, size, points)
        if (
            gap <= _THIN
            and distance <= reach
            and (best is None or (gap, distance) < best[:2])
        ):
            best = (gap, distance, owner)
    if best is None:
        return behind
    at = _along(ray_through(camera, pixel, size), best[1])
    return Hit(owner=best[2], distance=best[1], at=at)


def _line_gap(
    camera: Camera, pixel: Vec2, size: Vec2, points: FloatArray
) -> tuple[float, float]:
    """Return how near a line comes to a pixel [px], and how far off that is [in]."""
    seen, depths = pixels_of(camera, points, size)
    start, way = seen[:-1], seen[1:] - seen[:-1]
    square = (way * way).sum(axis=1)
    with np.errstate(divide="ignore", invalid="ignore"):
        share = ((pixel - start) * way).sum(axis=1) / square
    share = np.clip(np.nan_to_num(share), 0.0, 1.0)
    off = start + share[:, None] * way - pixel
    gaps = np.sqrt((off * off).sum(axis=1))
    if np.isnan(gaps).all():
        return np.inf, np.inf
    nearest = int(np.nanargmin(gaps))
    near, far = depths[nearest], depths[nearest + 1]
    # along the line itself, not along its picture
    part = (
        share[nearest] * near / ((1.0 - share[nearest]) * far + share[nearest] * near)
    )
    at = points[nearest] + part * (points[nearest + 1] - points[nearest])
    return float(gaps[nearest]), float(np.sqrt(((at - camera.eye) ** 2).sum()))
