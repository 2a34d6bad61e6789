"""What the eye sees through places of the picture: surfaces, and how they are lit."""

from dataclasses import dataclass

import numpy as np

from core.picture.camera import Camera
from core.picture.finishes import GLOSS, Finish, albedo
from core.picture.forms import Floats, Ints
from core.picture.light import (
    LAMP_SEEN,
    OFFSET,
    Glow,
    direct_light,
    thrown_back,
)
from core.picture.rays import Caster
from core.picture.sampling import cosine_ways, spread_pairs
from core.picture.stage import Stage

__all__ = ["Seen", "colours", "gathered", "look_through", "mirrored"]

DAY_SEEN = np.array([3.4, 3.6, 3.9], np.float32)  # openings as the eye sees them
_DARK = np.array([0.02, 0.02, 0.02], np.float32)
_SLACK = np.float32(1e-4)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Seen:
    """Surfaces seen through some places of the picture.

    Attributes
    ----------
    face : ndarray
        Triangle, -1 where there is nothing `(n,)`.
    place, normal, way : ndarray
        Where it is [in], its unit normal towards the eye, and the ray `(n, 3)`.
    far : ndarray
        Distance from the eye [in].
    """

    face: Ints
    place: Floats
    normal: Floats
    way: Floats
    far: Floats

    def take(self, rows: Ints) -> "Seen":
        """Return some of them."""
        return Seen(
            face=self.face[rows],
            place=self.place[rows],
            normal=self.normal[rows],
            way=self.way[rows],
            far=self.far[rows],
        )


def look_through(
    camera: Camera, stage: Stage, caster: Caster, columns: Floats, rows: Floats
) -> Seen:
    """Return what is seen through places of the picture `(n,)` [px]."""
    ways = camera.ways(columns, rows)
    start = camera.starts(ways, stage.low, stage.high)
    eye = np.array(camera.eye, np.float32)
    hits = caster.hits(eye + start[:, None] * ways, ways)
    face = hits.triangle
    far = np.where(face >= 0, start + hits.far, np.float32(1e5)).astype(np.float32)
    corner = stage.normals[face]
    u, v = hits.u[:, None], hits.v[:, None]
    normal = corner[:, 0] * (1 - u - v) + corner[:, 1] * u + corner[:, 2] * v
    away = np.einsum("ij,ij->i", normal, ways) > 0
    normal = np.where(away[:, None], -normal, normal)
    length = np.maximum(np.linalg.norm(normal, axis=1, keepdims=True), 1e-6)
    return Seen(
        face=face,
        place=(eye + far[:, None] * ways).astype(np.float32),
        normal=(normal / length).astype(np.float32),
        way=ways,
        far=far,
    )


def gathered(
    seen: Seen, stage: Stage, caster: Caster, glow: Glow, seeds: Ints, *, count: int
) -> Floats:
    """Return the light that falls on what is seen, as a white surface's radiance.

    Parameters
    ----------
    seen, stage, caster, glow
        What is seen, and the stage with its light.
    seeds : ndarray
        A whole number for each that picks its rays `(n,)`.
    count : int
        Rays into the room for each; half as many go to the lamps.
    """
    places = seen.place + OFFSET * seen.normal
    total = np.zeros_like(places)
    for turn in range(count):
        s, t = spread_pairs(seeds * count + turn)
        came, _ = thrown_back(
            caster, stage, glow, places, cosine_ways(seen.normal, s, t)
        )
        total += came
    lamps = max(1, count // 2)
    direct = direct_light(caster, stage, places, seen.normal, seeds, count=lamps)
    warm = np.array([1.0, 0.985, 0.955], np.float32)
    light: Floats = total / count + glow.lamp * direct[:, None] * warm
    return light


def mirrored(
    seen: Seen, stage: Stage, caster: Caster, glow: Glow, seeds: Ints, *, count: int
) -> Floats:
    """Return what glossy surfaces mirror, 0 for matt ones `(n, 3)`."""
    found = np.zeros_like(seen.place)
    mirror, rough = GLOSS[stage.finish[seen.face]].T
    steep = np.clip(-np.einsum("ij,ij->i", seen.way, seen.normal), 0.0, 1.0)
    share = mirror + (1 - mirror) * 0.6 * (1 - steep) ** 5 * (mirror > 0)
    rows = np.flatnonzero((seen.face >= 0) & (share > 0.02))
    if not rows.size:
        return found
    normal, way = seen.normal[rows], seen.way[rows]
    back = way + 2 * steep[rows][:, None] * normal
    places = seen.place[rows] + OFFSET * normal
    for turn in range(count):
        s, t = spread_pairs(seeds[rows] * count + turn)
        spread = cosine_ways(back, s * rough[rows] ** 2, t)
        under = np.einsum("ij,ij->i", spread, normal)
        spread = spread + np.maximum(-2 * under, 0)[:, None] * normal
        found[rows] += _radiance(caster, stage, glow, places, spread)
    found[rows] *= (share[rows] / count)[:, None]
    return found


def _radiance(
    caster: Caster, stage: Stage, glow: Glow, places: Floats, ways: Floats
) -> Floats:
    """Return what is seen in a mirror, lamps included but not blinding."""
    face = caster.hits(places, ways).triangle
    came = glow.thrown[stage.cell[face]]
    lamp = (stage.finish[face] == Finish.LAMP) & (face >= 0)
    came = np.where(lamp[:, None], np.float32(LAMP_SEEN / 2), came)
    seen: Floats = np.where((face >= 0)[:, None], came, np.float32(0.2))
    return seen


def colours(
    seen: Seen, stage: Stage, light: Floats, mirror: Floats, spread: float
) -> Floats:
    """Return the radiance of what is seen under the light on it `(n, 3)`.

    Parameters
    ----------
    seen, stage
        What is seen.
    light, mirror : ndarray
        What falls on it, and what it mirrors `(n, 3)`.
    spread : float
        Width of a pixel at the distance 1 [-].
    """
    finish = _floor_finish(seen, stage)
    steep = np.clip(-np.einsum("ij,ij->i", seen.way, seen.normal), 0.08, 1.0)
    width = seen.far * spread / steep**0.85
    tint = albedo(finish, seen.place, seen.normal, width.astype(np.float32))
    radiance = tint * light + mirror
    radiance = np.where((finish == Finish.LAMP)[:, None], LAMP_SEEN, radiance)
    radiance = np.where((finish == Finish.DAYLIGHT)[:, None], DAY_SEEN, radiance)
    nothing = (seen.face < 0)[:, None]
    found: Floats = np.where(nothing, _DARK, radiance).astype(np.float32)
    return found


def _floor_finish(seen: Seen, stage: Stage) -> Ints:
    """Return the finish of what is seen, slats where pens stand."""
    finish = stage.finish[seen.face]
    low = np.flatnonzero(
        (finish == Finish.CONCRETE) & (np.abs(seen.place[:, 2]) < 0.05)
    )
    x = np.clip(seen.place[low, 0].astype(np.int32), 0, stage.slats.shape[0] - 1)
    y = np.clip(seen.place[low, 1].astype(np.int32), 0, stage.slats.shape[1] - 1)
    finish = finish.copy()
    finish[low[stage.slats[x, y]]] = Finish.SLAT
    return finish
