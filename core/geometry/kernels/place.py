"""Place solids of all kinds in the frames of their runs, and ask them all at once."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from core.geometry.kernels.placed import Band, Frames, Gap, Placed, Reach, Room
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

    def take(self, rows: IntArray) -> "Mixed":
        """Return the solids at the given rows, each at most once."""
        place = np.full(self.count, -1)
        place[rows] = np.arange(rows.size)
        parts = []
        for own, solids in self.parts:
            new = place[own]
            kept = np.flatnonzero(new >= 0)
            if kept.size:
                parts.append((new[kept], solids.take(kept)))
        return Mixed(rows.size, tuple(parts))

    def band(self, at: Reach) -> Band:
        """Return the heights of the rectangle that meet; `hi < lo` where none do."""
        return self._bands(lambda rows, solids: solids.band(at.take(rows)))

    def stations(self, at: Reach, low: FloatArray, high: FloatArray) -> Band:
        """Return the u that meet at heights in `[low, high]`, past the ends too."""
        return self._bands(
            lambda rows, solids: solids.stations(at.take(rows), low[rows], high[rows])
        )

    def stations_and_touch(
        self, at: Reach, low: FloatArray, high: FloatArray, touched: IntArray
    ) -> tuple[Band, Band]:
        """Return the stations, and the touching bands of some rows."""
        wanted = np.full(self.count, -1)
        wanted[touched] = np.arange(touched.size)
        stations, touch = np.zeros((2, self.count)), np.zeros((2, touched.size))
        for rows, solids in self.parts:
            place = wanted[rows]
            some = np.flatnonzero(place >= 0)
            stations[:, rows], touch[:, place[some]] = solids.stations_and_touch(
                at.take(rows), low[rows], high[rows], some
            )
        return (stations[0], stations[1]), (touch[0], touch[1])

    def gap(self, room: Room) -> Gap:
        """Return the distance to the swept body."""
        apart, point = np.zeros(self.count), np.zeros((3, self.count))
        for rows, solids in self.parts:
            gap = solids.gap(room.take(rows))
            apart[rows], point[:, rows] = gap.apart, gap.point
        return Gap(apart, point)

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
    rows = np.flatnonzero(kind <= SolidKind.UPRIGHT_CYLINDER)
    if rows.size:
        boxes = kind[rows] == SolidKind.UPRIGHT_BOX
        parts.append((rows, place_uprights(fields[:, rows], local[:, :, rows], boxes)))
    rows = np.flatnonzero(kind == SolidKind.TILTED_CYLINDER)
    if rows.size:
        parts.append((rows, place_tilted_cylinders(fields[:, rows], local[:, :, rows])))
    found = [np.flatnonzero(kind == each) for each in _STRAIGHT]
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
