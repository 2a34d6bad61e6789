"""What things look like: colours, gloss and patterns that read as their material.

Colours are linear reflectances from 0 to 1; patterns are computed from the place in
the room and averaged over the patch of surface that a pixel sees, so that they
fade into their mean instead of flickering. All values are common practice or
judged by eye, with no published source.
"""

from dataclasses import dataclass
from enum import IntEnum
from typing import Final

import numpy as np

from core.picture.forms import Floats, Ints

__all__ = ["GLOSS", "LOOKS", "TINTS", "Finish", "albedo"]


class Finish(IntEnum):
    """What a surface is made of."""

    CONCRETE = 0
    SLAT = 1
    CEILING = 2
    WALL = 3
    PLANK = 4
    GALVANISED = 5
    STAINLESS = 6
    PLASTIC_TUBE = 7
    WATER_TUBE = 8
    WOOD = 9
    RUBBER = 10
    CABINET = 11
    DARK = 12
    LAMP_BODY = 13
    LAMP = 14
    DAYLIGHT = 15
    ROPE = 16
    CABLE = 17
    PORCELAIN = 18
    LEAD = 19
    PAINTED = 20
    SCAN = 21
    SKIN = 22
    DOOR = 23
    CONDUIT = 24
    RUN = 25
    BRASS = 26
    MARK = 27


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """A colour, its mirror share straight on [-], and its roughness [-]."""

    tint: tuple[float, float, float]
    mirror: float = 0.0
    rough: float = 0.5


LOOKS: Final = {
    Finish.CONCRETE: Look(tint=(0.29, 0.28, 0.26), mirror=0.025, rough=0.35),
    Finish.SLAT: Look(tint=(0.30, 0.285, 0.26), mirror=0.02, rough=0.35),
    Finish.CEILING: Look(tint=(0.86, 0.86, 0.845), mirror=0.03, rough=0.3),
    Finish.WALL: Look(tint=(0.64, 0.64, 0.61), mirror=0.03, rough=0.3),
    Finish.PLANK: Look(tint=(0.22, 0.28, 0.30), mirror=0.04, rough=0.25),
    Finish.GALVANISED: Look(tint=(0.33, 0.34, 0.35), mirror=0.30, rough=0.30),
    Finish.STAINLESS: Look(tint=(0.24, 0.245, 0.25), mirror=0.42, rough=0.20),
    Finish.PLASTIC_TUBE: Look(tint=(0.60, 0.54, 0.41), mirror=0.05, rough=0.15),
    Finish.WATER_TUBE: Look(tint=(0.22, 0.36, 0.46), mirror=0.05, rough=0.15),
    Finish.WOOD: Look(tint=(0.42, 0.29, 0.17), mirror=0.02, rough=0.4),
    Finish.RUBBER: Look(tint=(0.035, 0.035, 0.037), mirror=0.03, rough=0.3),
    Finish.CABINET: Look(tint=(0.50, 0.51, 0.50), mirror=0.04, rough=0.25),
    Finish.DARK: Look(tint=(0.05, 0.05, 0.055), mirror=0.04, rough=0.3),
    Finish.LAMP_BODY: Look(tint=(0.72, 0.73, 0.74), mirror=0.03, rough=0.3),
    Finish.LAMP: Look(tint=(0.8, 0.8, 0.8)),
    Finish.DAYLIGHT: Look(tint=(0.5, 0.5, 0.5)),
    Finish.ROPE: Look(tint=(0.02, 0.13, 0.38)),
    Finish.CABLE: Look(tint=(0.13, 0.135, 0.14), mirror=0.12, rough=0.4),
    Finish.PORCELAIN: Look(tint=(0.22, 0.085, 0.05), mirror=0.06, rough=0.1),
    Finish.LEAD: Look(tint=(0.03, 0.03, 0.033), mirror=0.035, rough=0.25),
    Finish.PAINTED: Look(tint=(0.07, 0.19, 0.15), mirror=0.045, rough=0.25),
    Finish.SCAN: Look(tint=(0.52, 0.50, 0.47), mirror=0.02, rough=0.4),
    Finish.SKIN: Look(tint=(0.62, 0.40, 0.34), mirror=0.02, rough=0.4),
    Finish.DOOR: Look(tint=(0.36, 0.42, 0.45), mirror=0.04, rough=0.25),
    Finish.CONDUIT: Look(tint=(0.30, 0.32, 0.34), mirror=0.04, rough=0.2),
    Finish.RUN: Look(tint=(0.085, 0.09, 0.095), mirror=0.17, rough=0.22),
    Finish.BRASS: Look(tint=(0.36, 0.27, 0.10), mirror=0.3, rough=0.25),
    Finish.MARK: Look(tint=(0.75, 0.55, 0.02), mirror=0.03, rough=0.3),
}
TINTS: Final = np.array([LOOKS[f].tint for f in Finish], np.float32)
GLOSS: Final = np.array([(LOOKS[f].mirror, LOOKS[f].rough) for f in Finish], np.float32)

_SLOT = (6.0, 1.0)  # pitch and width of the slots of slats [in]
_PANEL = (48.0, 4.0)  # pitch and width of the ribs between slots [in]
_RIB = 9.0  # pitch of the ribs of ceiling and wall sheets [in]
_KERB = 18.0  # height of the concrete foot of the walls [in]
_BOARD = 9.0  # height of the boards of a partition [in]


def albedo(finish: Ints, places: Floats, normals: Floats, spread: Floats) -> Floats:
    """Return the reflectance of surface patches.

    Parameters
    ----------
    finish : ndarray
        Finish of each patch `(n,)`.
    places, normals : ndarray
        Where it is [in] and which way it faces, `(n, 3)`.
    spread : ndarray
        Width of what a pixel sees there `(n,)` [in].

    Returns
    -------
    ndarray
        Linear red, green and blue `(n, 3)`.
    """
    colours = TINTS[finish]
    for kind, pattern in _PATTERNS.items():
        chosen = np.flatnonzero(finish == kind)
        if chosen.size:
            colours[chosen] *= pattern(places[chosen], normals[chosen], spread[chosen])
    return colours


def _stripes(at: Floats, pitch: float, width: float, spread: Floats) -> Floats:
    """Return the share of stripes at ``[0, width)`` of each pitch, box-filtered."""
    half = np.maximum(spread, 1e-3) / 2
    shares: Floats = (
        (_covered(at + half, pitch, width) - _covered(at - half, pitch, width))
        / (2 * half)
    ).astype(np.float32)
    return shares


def _covered(at: Floats, pitch: float, width: float) -> Floats:
    """Return how much of the line up to a place lies in stripes [in]."""
    whole = np.floor(at / pitch)
    covered: Floats = whole * width + np.minimum(at - whole * pitch, width)
    return covered


def _hashed(cells: Ints) -> Floats:
    """Return an even number from 0 to 1 for each cell `(n, 3)`."""
    mixed = (
        cells[:, 0].astype(np.uint32) * np.uint32(0x8DA6B343)
        ^ cells[:, 1].astype(np.uint32) * np.uint32(0xD8163841)
        ^ cells[:, 2].astype(np.uint32) * np.uint32(0xCB1AB31F)
    )
    mixed ^= mixed >> np.uint32(13)
    mixed *= np.uint32(0x9E3779B1)
    mixed ^= mixed >> np.uint32(16)
    even: Floats = (mixed >> np.uint32(8)).astype(np.float32) / np.float32(2**24)
    return even


def _noise(places: Floats, size: float | tuple[float, ...], spread: Floats) -> Floats:
    """Return smooth noise from -1 to 1 whose bumps are `size` wide [in].

    It fades out where a pixel sees more than half of a bump.
    """
    scaled = places / np.asarray(size, np.float32)
    base = np.floor(scaled)
    part = scaled - base
    part = part * part * (3 - 2 * part)
    cells = base.astype(np.int32)
    total = np.zeros(len(places), np.float32)
    for corner in range(8):
        step = np.array([corner & 1, corner >> 1 & 1, corner >> 2 & 1], np.int32)
        weight = np.where(step, part, 1 - part).prod(axis=1)
        total += weight * _hashed(cells + step)
    fade = np.clip(2.0 - 2.0 * spread / np.min(size), 0.0, 1.0)
    faded: Floats = (fade * (2 * total - 1)).astype(np.float32)
    return faded


def _column(values: Floats) -> Floats:
    return values[:, None]


def _concrete(places: Floats, _normals: Floats, spread: Floats) -> Floats:
    """Cloudy, with finer stains."""
    cloud = _noise(places, 41.0, spread) * 0.10 + _noise(places, 9.0, spread) * 0.06
    grain = _noise(places, 1.3, spread) * 0.05
    return _column(1 + cloud + grain)


def _slat(places: Floats, normals: Floats, spread: Floats) -> Floats:
    """Slots along the room between ribs, on cloudy concrete."""
    slots = _stripes(places[:, 1], *_SLOT, spread)
    ribs = _stripes(places[:, 0], *_PANEL, spread)
    gap = slots * (1 - ribs)
    edge = _stripes(places[:, 1] + 0.4, _SLOT[0], 1.8, spread) * (1 - ribs) - gap
    return _concrete(places, normals, spread) * _column(1 - 0.93 * gap - 0.15 * edge)


def _ceiling(places: Floats, _normals: Floats, spread: Floats) -> Floats:
    """Sheets with fine ribs across the room."""
    rib = _stripes(places[:, 0], _RIB, 0.5, spread)
    light = _stripes(places[:, 0] + 0.7, _RIB, 0.5, spread)
    return _column(1 - 0.17 * rib + 0.04 * light + 0.015 * _noise(places, 60.0, spread))


def _wall(places: Floats, normals: Floats, spread: Floats) -> Floats:
    """Upright ribs above a concrete foot."""
    along = np.where(np.abs(normals[:, 0]) > 0.7, places[:, 1], places[:, 0])
    rib = _stripes(along, _RIB, 0.6, spread)
    foot = np.clip((_KERB - places[:, 2]) / np.maximum(spread, 0.05) + 0.5, 0, 1)
    sheet = _column(1 - 0.13 * rib)
    base = _concrete(places, normals, spread) * np.array([0.55, 0.54, 0.53], np.float32)
    mixed: Floats = sheet * _column(1 - foot) + base * _column(foot)
    return mixed


def _plank(places: Floats, normals: Floats, spread: Floats) -> Floats:
    """Boards with a dark joint between them."""
    joint = _stripes(places[:, 2], _BOARD, 0.35, spread)
    upright = 1 - np.abs(normals[:, 2])
    dirt = np.clip(1 - places[:, 2] / 14.0, 0, 1) * 0.12
    stain = _noise(places, (25.0, 25.0, 6.0), spread) * 0.04
    return _column(1 + stain - upright * (0.45 * joint + dirt))


def _galvanised(places: Floats, _normals: Floats, spread: Floats) -> Floats:
    """Spangle."""
    return _column(
        1 + _noise(places, 0.6, spread) * 0.14 + _noise(places, 3.0, spread) * 0.05
    )


def _wood(places: Floats, _normals: Floats, spread: Floats) -> Floats:
    """Grain along the longest way, here the vertical and the horizontal alike."""
    grain = _noise(places, (0.7, 0.7, 14.0), spread) * 0.16
    return _column(1 + grain + _noise(places, 12.0, spread) * 0.07)


def _rough_scan(places: Floats, _normals: Floats, spread: Floats) -> Floats:
    """Slightly cloudy."""
    return _column(1 + _noise(places, 16.0, spread) * 0.05)


_PATTERNS = {
    Finish.CONCRETE: _concrete,
    Finish.SLAT: _slat,
    Finish.CEILING: _ceiling,
    Finish.WALL: _wall,
    Finish.PLANK: _plank,
    Finish.GALVANISED: _galvanised,
    Finish.STAINLESS: _rough_scan,
    Finish.WOOD: _wood,
    Finish.SCAN: _rough_scan,
}
