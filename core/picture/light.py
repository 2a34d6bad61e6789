"""Light in the room: what the lamps give, and what every patch throws on.

Radiant units are relative: light that falls on a surface is stated as the
radiance that a white, matt surface would have. What arrives directly from lamps is
found by rays to the lamps, everything else from a store of what each patch
throws back, found once for a stage by some rounds of exchange between the patches.
"""

from dataclasses import dataclass

import numpy as np

from core.picture.finishes import TINTS, Finish
from core.picture.forms import Floats, Ints
from core.picture.rays import Caster
from core.picture.sampling import cosine_ways, spread_pairs
from core.picture.stage import Stage

__all__ = ["Glow", "direct_light", "glow_of", "renewed_glow", "thrown_back"]

OFFSET = 0.03  # rays start so far off their surface [in]
DAYLIGHT = (1.9, 2.1, 2.4)  # radiance of openings where the floor receives 1 [-]
LAMP_SEEN = 6.0  # radiance of a diffuser as the eye sees it [-]
_RAYS = 48  # rays of each patch
_LAMP_RAYS = 8
_ROUNDS = 4  # times that light is thrown on
_WARM = np.array([1.0, 0.985, 0.955], np.float32)  # lamps of about 4000 K
_LOST = np.array([0.25, 0.25, 0.25], np.float32)  # seen through a gap in the building
_BATCH = 1 << 18


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Glow:
    """Light by patch: what falls on it, what it throws back, and the lamps' scale.

    `received` and `thrown` are `(cells, 3)`; `lamp` multiplies `Lamps.shares`;
    `level` is the mean of what the surfaces of the room receive [-].
    """

    received: Floats
    thrown: Floats
    lamp: float
    level: float


def direct_light(
    caster: Caster,
    stage: Stage,
    places: Floats,
    normals: Floats,
    seeds: Ints,
    *,
    count: int,
) -> Floats:
    """Return what the lamps give to places, shadows included `(n,)`.

    Parameters
    ----------
    caster, stage
        The stage and its triangles.
    places, normals : ndarray
        Places just off a surface [in] and its normals, `(n, 3)`.
    seeds : ndarray
        A whole number for each place that picks its rays `(n,)`.
    count : int
        Rays for each place.

    Notes
    -----
    All that the lamps would give is summed without shadows; of that, the share
    that arrives is the share of rays that reach their lamp, each lamp picked as
    often as it gives light.
    """
    given = np.zeros(len(places), np.float32)
    for start in range(0, len(places), 1 << 15):
        rows = slice(start, start + (1 << 15))
        given[rows] = _direct(
            caster, stage, places[rows], normals[rows], seeds[rows], count
        )
    return given


def _direct(
    caster: Caster,
    stage: Stage,
    places: Floats,
    normals: Floats,
    seeds: Ints,
    count: int,
) -> Floats:
    lamps = stage.lamps
    sums = np.cumsum(lamps.shares(places, normals), axis=1)
    total = sums[:, -1]
    lit = np.flatnonzero(total > 1e-9)
    reached = np.zeros(len(places), np.float32)
    for turn in range(count):
        s, t = spread_pairs(seeds[lit] * count + turn)
        pick = (turn + (s + t) % 1.0) / count
        chosen = (sums[lit] < (pick * total[lit])[:, None]).sum(axis=1)
        chosen = np.minimum(chosen, len(lamps.area) - 1)
        ends = (
            lamps.middle[chosen]
            + (2 * s - 1)[:, None] * lamps.along[chosen]
            + (2 * t - 1)[:, None] * lamps.across[chosen]
        )
        reached[lit] += ~caster.blocked(places[lit], ends)
    given: Floats = (total * reached / count).astype(np.float32)
    return given


def glow_of(stage: Stage, caster: Caster) -> Glow:
    """Return the light of a stage by patch."""
    count = int(stage.cell.max()) + 1
    lamps, met = _patch_light(stage, caster, np.arange(count, dtype=np.int32))
    lamp = _lamp_scale(stage, lamps)
    direct = lamp * lamps[:, None] * _WARM
    return _exchanged(stage, direct, met, lamp)


def renewed_glow(glow: Glow, stage: Stage, caster: Caster) -> Glow:
    """Return the light after only what moves has moved; what stands keeps its own."""
    first, last = stage.still_cells, int(stage.cell.max()) + 1
    rows = np.arange(first, last, dtype=np.int32)
    lamps, met = _patch_light(stage, caster, rows)
    known = np.where((met >= 0) & (met < first), met, -1)
    seen = np.where((known >= 0)[..., None], glow.thrown[known], _LOST)
    received = glow.lamp * lamps[:, None] * _WARM + seen.mean(axis=1)
    thrown = TINTS[_finishes(stage, last)[rows]] * received
    return Glow(
        received=_joined(glow.received[:first], received),
        thrown=_joined(glow.thrown[:first], thrown),
        lamp=glow.lamp,
        level=glow.level,
    )


def _joined(a: Floats, b: Floats) -> Floats:
    whole: Floats = np.concatenate([a, b]).astype(np.float32)
    return whole


def _patch_light(stage: Stage, caster: Caster, cells: Ints) -> tuple[Floats, Ints]:
    """Return what the lamps give to patches, and which patches they see `(n, rays)`."""
    places, normals = _patch_samples(stage, cells)
    seeds = np.arange(len(places), dtype=np.int32)
    s, t = spread_pairs(seeds)
    met = _met_cells(caster, stage, places, cosine_ways(normals, s, t))
    some = slice(None, None, _RAYS // _LAMP_RAYS)
    parts = places[some], normals[some], seeds[some]
    lamps = direct_light(caster, stage, *parts, count=1)
    mean: Floats = lamps.reshape(len(cells), _LAMP_RAYS).mean(axis=1)
    return mean, met.reshape(len(cells), _RAYS)


def _finishes(stage: Stage, count: int) -> Ints:
    """Return the finish of each patch."""
    finish = np.zeros(count, np.int32)
    finish[stage.cell] = stage.finish
    return finish


def _patch_samples(stage: Stage, cells: Ints) -> tuple[Floats, Floats]:
    """Return places spread over each patch, just off it, and their normals."""
    edges = stage.corners[:, 1:] - stage.corners[:, :1]
    area = np.linalg.norm(np.cross(edges[:, 0], edges[:, 1]), axis=1) + 1e-9
    order = np.argsort(stage.cell, kind="stable")
    ends = np.cumsum(area[order].astype(np.float64))
    last = np.searchsorted(stage.cell[order], cells, side="right") - 1
    first = np.searchsorted(stage.cell[order], cells, side="left")
    high = ends[last]
    low = np.where(first > 0, ends[first - 1], 0.0)
    share = (np.arange(_RAYS) + 0.5) / _RAYS
    wanted = (low[:, None] + share * (high - low)[:, None]).ravel()
    face = order[np.minimum(np.searchsorted(ends, wanted), len(order) - 1)]
    s, t = spread_pairs(np.arange(len(face), dtype=np.int32))
    over = s + t > 1
    s, t = np.where(over, 1 - s, s), np.where(over, 1 - t, t)
    weights = np.stack([1 - s - t, s, t], axis=-1)
    places = np.einsum("nk,nkd->nd", weights, stage.corners[face])
    normals = np.einsum("nk,nkd->nd", weights, stage.normals[face])
    normals /= np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-9)
    return (places + OFFSET * normals).astype(np.float32), normals.astype(np.float32)


def _met_cells(caster: Caster, stage: Stage, places: Floats, ways: Floats) -> Ints:
    """Return the patch that each ray meets, -1 for none."""
    met = np.full(len(places), -1, np.int32)
    for start in range(0, len(places), _BATCH):
        rows = slice(start, start + _BATCH)
        face = caster.hits(places[rows], ways[rows]).triangle
        met[rows] = np.where(face >= 0, stage.cell[face], -1)
    return met


def _lamp_scale(stage: Stage, lamps: Floats) -> float:
    """Return the factor that gives the floor inside the room 1 from the lamps."""
    middle = stage.corners.mean(axis=1)
    inside = ((middle > stage.low) & (middle < stage.high))[:, :2].all(axis=1)
    low = inside & (np.abs(middle[:, 2]) < 0.01) & (stage.normals[:, 0, 2] > 0.9)
    cells = np.unique(stage.cell[low])
    mean = float(lamps[cells].mean()) if cells.size else 0.0
    return 1.0 / mean if mean > 0 else 1.0


def _exchanged(stage: Stage, direct: Floats, met: Ints, lamp: float) -> Glow:
    """Return the light after some rounds of throwing it on."""
    finish = _finishes(stage, len(direct))
    tint = TINTS[finish]
    shining = np.where(
        (finish == Finish.DAYLIGHT)[:, None], np.array(DAYLIGHT, np.float32), 0.0
    )
    received = direct
    thrown = tint * received + shining
    for _ in range(_ROUNDS):
        seen = np.where((met >= 0)[..., None], thrown[met], _LOST)
        received = direct + seen.mean(axis=1)
        thrown = tint * received + shining
    return Glow(
        received=received.astype(np.float32),
        thrown=thrown.astype(np.float32),
        lamp=lamp,
        level=_level(stage, received),
    )


def _level(stage: Stage, received: Floats) -> float:
    """Return the level of light in the room: the mean of its logarithm by area."""
    middle = stage.corners.mean(axis=1)
    room = (stage.low + np.minimum(stage.high, 100.0 + stage.low)) / 2
    room[:2] = (stage.low + stage.high)[:2] / 2
    inside = ((middle > stage.low - 0.2) & (middle < stage.high + 0.2)).all(axis=1)
    facing = np.einsum("ij,ij->i", stage.normals[:, 0], room - middle) > 0
    edges = stage.corners[:, 1:] - stage.corners[:, :1]
    area = np.linalg.norm(np.cross(edges[:, 0], edges[:, 1]), axis=1)
    area = area * (inside & facing)
    bright = np.log(np.maximum(received[stage.cell, 1], 1e-3))
    return float(np.exp((area * bright).sum() / max(area.sum(), 1e-9)))


def thrown_back(
    caster: Caster, stage: Stage, glow: Glow, places: Floats, ways: Floats
) -> tuple[Floats, Floats]:
    """Return the radiance that comes along rays `(n, 3)` and how far from `(n,)`."""
    hits = caster.hits(places, ways)
    face = hits.triangle
    seen = np.where((face >= 0)[:, None], glow.thrown[stage.cell[face]], _LOST)
    return seen.astype(np.float32), hits.far
