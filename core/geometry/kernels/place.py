"""Place solids of all kinds in the frames of their runs, and ask them all at once."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from core.geometry.kernels.placed import (
    Asked,
    Band,
    Contact,
    Frames,
    Gap,
    Placed,
    Reach,
    Room,
)
from core.geometry.kernels.polytope import place_polytopes
from core.geometry.kernels.tilted_cylinder import place_tilted_cylinders
from core.geometry.kernels.upright import place_uprights
from core.geometry.obstacles import ObstacleSet, SolidKind
from core.geometry.shapes import FloatArray, IntArray

__all__ = ["Mixed", "place"]

_STRAIGHT = (SolidKind.CAPSULE, SolidKind.TILTED_BOX, SolidKind.HULL)


@dataclass(frozen=True, slots=True)
class Mixed:
    """Solids of all kinds: rows of the whole, and the solids at them, by formula."""

    count: int
    parts: tuple[tuple[IntArray, Placed], ...]

    def band(self, at: Reach) -> Band:
        """Return the heights of the rectangle that meet; `hi < lo` where none do."""
        return self._bands(lambda rows, solids: solids.band(at.take(rows)))

    def stations(self, at: Reach, low: FloatArray, high: FloatArray) -> Band:
        """Return the u that meet at heights in `[low, high]`, past the ends too."""
        return self._bands(
            lambda rows, solids: solids.stations(at.take(rows), low[rows], high[rows])
        )

    def contact(self, asked: Asked) -> Contact:
        """Return bands, stations and touching bands in one go."""
        band = np.zeros((2, self.count))
        stations, touch = np.zeros((2, self.count)), np.zeros((2, self.count))
        within, touched = np.zeros((2, self.count), dtype=np.bool_)
        within[asked.within], touched[asked.touched] = True, True
        for rows, solids in self.parts:
            some = Asked(
                at=asked.at.take(rows),
                plan=asked.plan[rows],
                low=asked.low[rows],
                high=asked.high[rows],
                within=within[rows].nonzero()[0],
                touched=touched[rows].nonzero()[0],
            )
            found = solids.contact(some)
            band[:, rows] = found.band
            stations[:, rows[some.within]] = found.stations
            touch[:, rows[some.touched]] = found.touch
        stations, touch = stations[:, asked.within], touch[:, asked.touched]
        return Contact(
            band=(band[0], band[1]),
            stations=(stations[0], stations[1]),
            touch=(touch[0], touch[1]),
        )

    def gap(self, room: Room) -> Gap:
        """Return the distance to the swept body."""
        found = np.zeros((5, self.count))
        for rows, solids in self.parts:
            gap = solids.gap(room.take(rows))
            found[0, rows], found[1:4, rows] = gap.apart, gap.point
            found[4, rows] = gap.plan
        return Gap(found[0], found[1:4], found[4])

    def _bands(self, ask: Callable[[IntArray, Placed], Band]) -> Band:
        """Return what is found for each part, put together."""
        bands = np.zeros((2, self.count))
        for rows, solids in self.parts:
            bands[:, rows] = ask(rows, solids)
        return bands[0], bands[1]


def place(
    kind: IntArray, obstacles: ObstacleSet, chosen: IntArray, frames: Frames
) -> Mixed:
    """Return the chosen solids, each in its frame, with the formulas of a kind."""
    fields = obstacles.fields.take(chosen, axis=1)
    vectors = fields.reshape(5, 3, -1).copy()
    vectors[0] -= frames.origin
    local = frames.turned(vectors.transpose(1, 0, 2))
    parts: list[tuple[IntArray, Placed]] = []
    rows = (kind <= SolidKind.UPRIGHT_CYLINDER).nonzero()[0]
    if rows.size:
        boxes = kind[rows] == SolidKind.UPRIGHT_BOX
        parts.append((rows, place_uprights(fields[:, rows], local[:, :, rows], boxes)))
    rows = (kind == SolidKind.TILTED_CYLINDER).nonzero()[0]
    if rows.size:
        parts.append((rows, place_tilted_cylinders(fields[:, rows], local[:, :, rows])))
    found = [(kind == each).nonzero()[0] for each in _STRAIGHT]
    rows = np.concatenate(found)
    if rows.size:
        solids = place_polytopes(
            fields[:, rows],
            local[:, :, rows],
            (found[0].size, found[1].size),
            obstacles.hull_tables,
            frames.take(rows),
        )
        parts.append((rows, solids))
    return Mixed(chosen.size, tuple(parts))
