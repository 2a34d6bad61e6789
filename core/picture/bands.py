"""A picture in bands of rows: first the light, then the colours, antialiased.

Bands are the same whatever does the work, so that the bytes are too.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.picture.camera import Camera
from core.picture.forms import Floats, Ints
from core.picture.light import Glow
from core.picture.rays import Caster
from core.picture.sampling import ranks_at
from core.picture.seen import Seen, colours, gathered, look_through, mirrored
from core.picture.smoothing import HALO, smoothed
from core.picture.stage import Stage
from core.picture.tone import filled, toned

__all__ = ["Scene", "band_rows", "colour_band", "light_band", "named_pixels"]

_BAND = 72  # rows
# four places of a pixel, no two on one row or column of its 4 x 4 cells
_FEW = ((0.375, 0.125), (0.875, 0.375), (0.125, 0.625), (0.625, 0.875))
_FINE = tuple(
    (
        (i + (0.5 + (j * 4 + i) * 0.61803) % 1) / 4,
        (j + (0.5 + (i * 4 + j) * 0.32472) % 1) / 4,
    )
    for odd in (0, 1)  # the first half is a draughtboard of its own
    for j in range(4)
    for i in range(4)
    if (i + j) % 2 == odd
)
_MIRRORS = 3
# where light is borrowed from: down, right [px] and weight [-]
_NEXT = tuple(
    (down, right, 1.0 if right == 0 and down == 0 else 0.5)
    for down in (-1, 0, 1)
    for right in (-1, 0, 1)
)
_FURTHER = tuple(
    (down, right, 1.0) for down in (-2, -1, 0, 1, 2) for right in (-9, -5, -2, 2, 5, 9)
)
_FOUND = 0.02  # sum of weights above which borrowed light serves [-]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Scene:
    """All that the bands of one picture share.

    `thin` marks pixels that something thinner than a pixel may cross; `exposure`
    multiplies radiance before it is toned [-]; of the 16 places in which busy pixels
    are looked through, one in `every` serves.
    """

    camera: Camera
    stage: Stage
    caster: Caster
    glow: Glow
    samples: int
    exposure: float
    thin: NDArray[np.bool_]
    every: int = 1


def band_rows(height: int) -> tuple[tuple[int, int], ...]:
    """Return first row and end of each band."""
    starts = range(0, height, _BAND)
    return tuple((start, min(start + _BAND, height)) for start in starts)


def _grid(camera: Camera, rows: tuple[int, int]) -> tuple[Ints, Ints]:
    """Return row and column of each pixel of a band."""
    y, x = np.mgrid[rows[0] : rows[1], 0 : camera.width].astype(np.int32)
    return y.ravel(), x.ravel()


def _seen_at(scene: Scene, rows: tuple[int, int], place: tuple[float, float]) -> Seen:
    """Return what is seen through one place of each pixel of a band."""
    y, x = _grid(scene.camera, rows)
    across, down = (x + place[0]).astype(np.float32), (y + place[1]).astype(np.float32)
    return look_through(scene.camera, scene.stage, scene.caster, across, down)


def light_band(scene: Scene, rows: tuple[int, int]) -> Floats:
    """Return the light on each pixel of a band, and what it mirrors `(h, w, 6)`."""
    y, x = _grid(scene.camera, rows)
    seen = _seen_at(scene, rows, _FEW[0])
    seeds = ranks_at(y, x)
    parts = scene.stage, scene.caster, scene.glow, seeds
    light = gathered(seen, *parts, count=scene.samples)
    mirror = mirrored(seen, *parts, count=_MIRRORS)
    both = np.concatenate([light, mirror], axis=1)
    both[seen.face < 0] = 0.0
    return both.reshape(rows[1] - rows[0], scene.camera.width, 6).astype(np.float32)


def colour_band(
    scene: Scene, rows: tuple[int, int], light: Floats
) -> NDArray[np.uint8]:
    """Return the pixels of a band `(h, w, 3)`.

    Parameters
    ----------
    scene : Scene
        The picture.
    rows : tuple of int
        First row of the band and its end.
    light : ndarray
        What `light_band` gave, for these rows and up to `HALO` rows on both sides.
    """
    top = max(0, rows[0] - HALO)
    wide = (top, min(scene.camera.height, rows[1] + HALO))
    first = _seen_at(scene, wide, _FEW[0])
    even = _smooth_light(scene, first, light)
    inner = slice(rows[0] - top, rows[1] - top)
    few = [_seen_at(scene, rows, place) for place in _FEW[1:]]
    width = scene.camera.width
    index = np.arange(first.face.size, dtype=np.int32).reshape(-1, width)[inner].ravel()
    here = first.take(index)
    beside = [
        first.take(np.clip(index + step, 0, first.face.size - 1))
        for step in (-width, width)
    ]
    busy = _busy(scene, rows, here, few, beside)
    flat = even.reshape(-1, 6)
    pixels = _plain(scene, here, flat[index])
    if busy.size:
        pixels[busy] = _fine(scene, rows, busy, Lit(first, even, index))
    shape = (rows[1] - rows[0], width, 3)
    return np.rint(255 * pixels).clip(0, 255).astype(np.uint8).reshape(shape)


@dataclass(frozen=True, slots=True, eq=False)
class Lit:
    """What is seen in the middle of pixels, the light there, and the band's pixels."""

    seen: Seen
    light: Floats
    index: Ints


def _smooth_light(scene: Scene, seen: Seen, light: Floats) -> Floats:
    shape = light.shape[:2]
    thing = np.where(seen.face >= 0, scene.stage.kin[seen.face], -1)
    return smoothed(
        light,
        thing=thing.reshape(shape),
        place=seen.place.reshape(*shape, 3),
        normal=seen.normal.reshape(*shape, 3),
        pixel=(seen.far * np.float32(scene.camera.spread())).reshape(shape),
    )


def _plain(scene: Scene, seen: Seen, light: Floats) -> Floats:
    """Return the toned colours of pixels that show one surface."""
    spread = scene.camera.spread()
    evened = filled(light[:, :3], scene.glow.level)
    radiance = colours(seen, scene.stage, evened, light[:, 3:], spread)
    return toned(radiance * np.float32(scene.exposure))


def _busy(
    scene: Scene,
    rows: tuple[int, int],
    here: Seen,
    few: list[Seen],
    beside: list[Seen],
) -> Ints:
    """Return the pixels in which more than one surface is or may be seen.

    Where the pixel above or below shows something else, a top edge thinner than a
    pixel may lie between.
    """
    stage = scene.stage
    mixed = scene.thin[rows[0] : rows[1]].ravel().copy()
    for other in few:
        mixed |= stage.kin[here.face] != stage.kin[other.face]
        mixed |= _stepped(here, other)
        mixed |= (here.face < 0) != (other.face < 0)
        mixed |= np.einsum("ij,ij->i", here.normal, other.normal) < 0.97
    for other in beside:
        mixed |= _stepped(here, other) | _stepped(other, here)
    return np.flatnonzero(mixed).astype(np.int32)


def _stepped(here: Seen, other: Seen) -> NDArray[np.bool_]:
    """Return where one of two places lies off the plane of the other."""
    off = np.einsum("ij,ij->i", other.place - here.place, here.normal)
    stepped: NDArray[np.bool_] = np.abs(off) > 0.004 * here.far
    return stepped


def _fine(scene: Scene, rows: tuple[int, int], busy: Ints, lit: Lit) -> Floats:
    """Return the toned colours of busy pixels from 16 places of each."""
    width = scene.camera.width
    y, x = busy // width + rows[0], busy % width
    total = np.zeros((len(busy), 3), np.float32)
    places = _FINE[: len(_FINE) // scene.every]
    for place in places:
        across, down = (
            (x + place[0]).astype(np.float32),
            (y + place[1]).astype(np.float32),
        )
        seen = look_through(scene.camera, scene.stage, scene.caster, across, down)
        light = _borrowed(scene, seen, lit.index[busy], lit)
        total += _plain(scene, seen, light)
    return total / len(places)


def _borrowed(scene: Scene, seen: Seen, pixel: Ints, lit: Lit) -> Floats:
    """Return light for what is seen from the pixels round it that show the same.

    Where none does, pixels further along serve, as for an edge thinner than a
    pixel; where none of those does either, as for a rope, the light of its patch.
    """
    found, weights = _from_round(scene, seen, pixel, lit, _NEXT)
    lonely = np.flatnonzero((weights < _FOUND) & (seen.face >= 0))
    if not lonely.size:
        return found
    alone = seen.take(lonely.astype(np.int32))
    far, weights = _from_round(scene, alone, pixel[lonely], lit, _FURTHER)
    patch = scene.glow.received[scene.stage.cell[alone.face]]
    unlike = weights < _FOUND
    far[unlike] = 0.0
    far[unlike, :3] = patch[unlike]
    found[lonely] = far
    return found


def _from_round(
    scene: Scene,
    seen: Seen,
    pixel: Ints,
    lit: Lit,
    steps: tuple[tuple[int, int, float], ...],
) -> tuple[Floats, Floats]:
    """Return the light of pixels at some steps that show the same, and how alike.

    Each step is down and to the right [px], with its weight.
    """
    stage, width = scene.stage, scene.camera.width
    height = len(lit.seen.face) // width
    thing = stage.kin[seen.face]
    flat = lit.light.reshape(-1, 6)
    total, weights = (
        np.zeros((len(pixel), 6), np.float32),
        np.zeros(len(pixel), np.float32),
    )
    size = np.maximum(seen.far * np.float32(scene.camera.spread()), 0.1)
    for down, right, share in steps:
        y = np.clip(pixel // width + down, 0, height - 1)
        near = y * width + np.clip(pixel % width + right, 0, width - 1)
        face = lit.seen.face[near]
        off = np.einsum("ij,ij->i", lit.seen.place[near] - seen.place, seen.normal)
        alike = np.einsum("ij,ij->i", lit.seen.normal[near], seen.normal)
        weight = np.maximum(alike, 0.0) ** 8
        weight *= np.exp(-np.minimum((off / size) ** 2, 30))
        weight *= (stage.kin[face] == thing) & (face >= 0)
        weight *= np.float32(share)
        total += weight[:, None] * flat[near]
        weights += weight
    return total / np.maximum(weights, 1e-6)[:, None], weights


def named_pixels(
    camera: Camera, stage: Stage, caster: Caster, rows: tuple[int, int]
) -> Ints:
    """Return the thing in the middle of each pixel of a band, -1 for none `(h, w)`."""
    y, x = _grid(camera, rows)
    half = np.float32(0.5)
    seen = look_through(camera, stage, caster, x + half, y + half)
    thing = np.where(seen.face >= 0, stage.thing[seen.face], -1)
    found: Ints = thing.reshape(rows[1] - rows[0], -1).astype(np.int32)
    return found
