"""The lamps of a room as bright rectangles that shine downwards."""

import math
from dataclasses import dataclass

import numpy as np

from core.model.barn import Barn
from core.model.fixtures import Light
from core.model.room import Room
from core.picture.forms import Floats
from core.placement.ceiling import ceiling_height

__all__ = ["Lamps", "lamps_of"]

_BELOW = 0.4  # the shining face hangs so far below its body [in]
_GLOW = 0.28  # share of light that leaves sideways and upwards [-]
_GRID = 144.0  # pitch of the lamps that a room without any is lit by [in]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Lamps:
    """Rectangles: middle [in], two half sides [in], area [in2]; `(n, 3)`, `(n,)`."""

    middle: Floats
    along: Floats
    across: Floats
    area: Floats

    def shares(self, places: Floats, normals: Floats) -> Floats:
        """Return what each lamp gives to each place if nothing is between `(m, n)`.

        Notes
        -----
        ``area cos(a) f(b) / (pi d^2)``, with a and b the angles at the place and at
        the lamp: the light of a small flat lamp, ``f = 0.72 cos(b) + 0.28`` with its
        glow to the sides. Near a lamp d is kept above a third of its length.
        """
        way = self.middle[None] - places[:, None]
        square = np.einsum("mnk,mnk->mn", way, way)
        far = np.sqrt(square)
        here = np.einsum("mnk,mk->mn", way, normals) / far
        there = np.maximum(way[..., 2] / far, 0.0) * (1 - _GLOW) + _GLOW
        near = (np.einsum("nk,nk->n", self.along, self.along) * 0.44 + 4.0)[None]
        given: Floats = (
            self.area[None]
            * np.maximum(here, 0.0)
            * there
            / (np.pi * np.maximum(square, near))
        ).astype(np.float32)
        return given


def lamps_of(barn: Barn) -> Lamps:
    """Return the lamps of a barn; a room without any has a grid of unseen ones."""
    lights = [light for light in barn.fixtures if isinstance(light, Light)]
    rows = [_row(light, barn.room) for light in lights] or _unseen(barn.room)
    middle, along, across = (
        np.array(part, np.float32) for part in zip(*rows, strict=True)
    )
    sides = np.linalg.norm(along, axis=1) * np.linalg.norm(across, axis=1)
    return Lamps(middle=middle, along=along, across=across, area=4 * sides)


_Row = tuple[tuple[float, float, float], ...]


def _row(light: Light, room: Room) -> _Row:
    cos, sin = math.cos(light.heading), math.sin(light.heading)
    top = ceiling_height(room, light.x, light.y) - light.drop
    middle = (light.x, light.y, top - light.depth - _BELOW)
    along = (cos * light.length / 2, sin * light.length / 2, 0.0)
    across = (-sin * light.width / 2, cos * light.width / 2, 0.0)
    return (middle, along, across)


def _unseen(room: Room) -> list[_Row]:
    counts = [max(1, round(size / _GRID)) for size in (room.length, room.width)]
    steps = (room.length / counts[0], room.width / counts[1])
    places = [
        ((i + 0.5) * steps[0], (j + 0.5) * steps[1])
        for i in range(counts[0])
        for j in range(counts[1])
    ]
    sides = ((24.0, 0.0, 0.0), (0.0, 3.0, 0.0))
    return [((x, y, ceiling_height(room, x, y) - 3.0), *sides) for x, y in places]
