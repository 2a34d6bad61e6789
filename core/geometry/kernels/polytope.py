"""Boxes in any pose, convex hulls and rounded segments: solids made of straight edges.

A capsule is one edge and a ball one point, both with a rounding radius that is added
to the reach. Inside the span only the edges matter, seen along the run; where the
solid passes an end of the run, its edges and faces are also measured against the
corners of the rectangle. Every candidate is a point of the solid, so the best of
them is exact and none can overstate the band.
"""

from dataclasses import dataclass

import numpy as np

from core.geometry.kernels.edges import (
    corner_band,
    cut_edges,
    nearest_on_edges,
    span_band,
)
from core.geometry.kernels.faces import FaceSource
from core.geometry.kernels.layout import Ragged, ragged
from core.geometry.kernels.placed import (
    Asked,
    Band,
    BoolArray,
    Contact,
    Frames,
    Gap,
    Reach,
    Room,
    columns,
)
from core.geometry.obstacles import HullTables
from core.geometry.shapes import FloatArray, IntArray

__all__ = ["Polytopes", "place_polytopes"]

_SWAPPED = [2, 1, 0, 5, 4, 3]


@dataclass(frozen=True, slots=True, kw_only=True)
class Polytopes:
    """Solids of straight edges in their run frames, grown by `rounding` [in].

    `edges` is `(6, e)`: start and direction. Faces are built from the `origin` of
    each solid in the source, with u and w exchanged where it is `turned`.
    """

    edges: FloatArray
    layout: Ragged
    rounding: FloatArray
    source: FaceSource
    origin: IntArray
    turned: BoolArray

    def take(self, rows: IntArray) -> "Polytopes":
        """Return the solids at the given rows."""
        layout, index = self.layout.take(rows)
        return Polytopes(
            edges=self.edges.take(index, axis=1),
            layout=layout,
            rounding=self.rounding[rows],
            source=self.source,
            origin=self.origin[rows],
            turned=self.turned[rows],
        )

    def swapped(self) -> "Polytopes":
        """Return the solids with u and w exchanged."""
        return Polytopes(
            edges=self.edges[_SWAPPED],
            layout=self.layout,
            rounding=self.rounding,
            source=self.source,
            origin=self.origin,
            turned=~self.turned,
        )

    def joined(self, *others: "Polytopes") -> "Polytopes":
        """Return the solids and those of other batches after them."""
        every = (self, *others)
        return Polytopes(
            edges=np.concatenate([each.edges for each in every], axis=1),
            layout=self.layout.joined(*(other.layout for other in others)),
            rounding=np.concatenate([each.rounding for each in every]),
            source=self.source,
            origin=np.concatenate([each.origin for each in every]),
            turned=np.concatenate([each.turned for each in every]),
        )

    def passing(self, first: FloatArray, last: FloatArray) -> IntArray:
        """Return the solids that pass an end of their runs."""
        u, du = self.edges[0], self.edges[3]
        end = u + du
        low = self.layout.least(np.minimum(u, end))
        high = self.layout.most(np.maximum(u, end))
        return ((low < first) | (high > last)).nonzero()[0]

    def band(self, at: Reach) -> Band:
        """Return the heights of the rectangle that meet; `hi < lo` where none do."""
        grown = at.grown(self.rounding)
        _, v, w, _, dv, dw = self.edges
        side, reach = self.layout.spread(grown.block[2:])
        lo, hi = span_band(v, w, dv, dw, side, reach)
        lo, hi = self.layout.least(lo), self.layout.most(hi)
        past = self.passing(at.first, at.last)
        if past.size:
            lo[past], hi[past] = self.take(past).end_band(grown.take(past))
        return lo, hi

    def stations(self, at: Reach, low: FloatArray, high: FloatArray) -> Band:
        """Return the u that meet at heights in `[low, high]`, past the ends too."""
        return self.swapped().band(Reach(columns(low, high, at.side, at.reach)))

    def contact(self, asked: Asked) -> Contact:
        """Return bands, stations and touching bands in one go."""
        all_ = asked.within.size == self.rounding.size
        within = self if all_ else self.take(asked.within)
        every = self.joined(within.swapped(), self.take(asked.touched))
        return asked.split(*every.band(asked.at.joined(asked.level, asked.bare)))

    def end_band(self, at: Reach) -> Band:
        """Return the band of solids that pass an end of the run."""
        spread = self.layout.spread
        first, last, side, reach = spread(at.block)
        inner, none = cut_edges(self.edges, 0, first, last)
        lo, hi = span_band(inner[1], inner[2], inner[4], inner[5], side, reach)
        wide = bool(at.side.any())
        ends = np.array((first, last, first, last) if wide else (first, last))
        across = np.array((side, side, -side, -side) if wide else (side, side))
        corner_lo, corner_hi = corner_band(self.edges, ends, across, reach)
        lo = np.minimum(np.where(none, np.inf, lo), corner_lo.min(axis=0))
        hi = np.maximum(np.where(none, -np.inf, hi), corner_hi.max(axis=0))
        if wide:
            rail_lo, rail_hi = self._rail_band(ends[:2], side, reach)
            lo, hi = np.minimum(lo, rail_lo), np.maximum(hi, rail_hi)
        lo, hi = self.layout.least(lo), self.layout.most(hi)
        self._add_faces(lo, hi, at)
        return lo, hi

    def _rail_band(self, ends: FloatArray, side: FloatArray, reach: FloatArray) -> Band:
        """Return the band of the edges against the end lines of the rectangle."""
        inner, none = cut_edges(self.edges, 1, -side, side)
        none = none | (side == 0.0)
        lo, hi = span_band(
            inner[0] - ends, inner[2], inner[3], inner[5], np.zeros(()), reach
        )
        return (
            np.where(none, np.inf, lo).min(axis=0),
            np.where(none, -np.inf, hi).max(axis=0),
        )

    def _add_faces(self, lo: FloatArray, hi: FloatArray, at: Reach) -> None:
        """Widen bands by what the corners of the rectangle meet of the faces."""
        found = self.source.faces(self.origin, self.turned)
        if found is None:
            return
        rows, faces = found
        first, last, side, reach = at.block[:, rows]
        wide = bool(side.any())
        ends = np.array((first, last, first, last) if wide else (first, last))
        across = np.array((side, side, -side, -side) if wide else (side, side))
        face_lo, face_hi = faces.corner_band(ends, across, reach)
        lo[rows] = np.minimum(lo[rows], face_lo)
        hi[rows] = np.maximum(hi[rows], face_hi)

    def gap(self, room: Room) -> Gap:
        """Return the distance to the swept body."""
        past = self.passing(room.block[0], room.block[1])
        gap = self.edge_gap(room, first_axis=1)
        if past.size:
            end = self.take(past).end_gap(room.take(past))
            gap.apart[past] = end.apart
            gap.point[:, past] = end.point
        return gap

    def edge_gap(self, room: Room, *, first_axis: int) -> Gap:
        """Return the distance from the edges: over all axes, or without u."""
        edges = _upward(self.edges)
        sides = self.layout.spread(room.block)
        t, square = nearest_on_edges(
            edges[first_axis:3],
            edges[3 + first_axis :],
            sides[2 * first_axis :: 2],
            sides[2 * first_axis + 1 :: 2],
        )
        best = self.layout.lowest_best(square, edges[2] + t * edges[5])
        chosen = edges.take(best, axis=1)
        return self._on_surface(
            np.sqrt(square[best]), chosen[:3] + t[best] * chosen[3:], room
        )

    def end_gap(self, room: Room) -> Gap:
        """Return the distance of solids that pass an end of the run."""
        gap = self.edge_gap(room, first_axis=0)
        found = self.source.faces(self.origin, self.turned)
        if found is not None:
            rows, faces = found
            u0, u1, v0, v1, w0, w1 = room.block[:, rows]
            corners = np.array(
                [(u, v, w) for u in (u0, u1) for v in (v1, v0) for w in (w0, w1)]
            )
            apart, foot = faces.nearest(corners.transpose(1, 0, 2))
            nearer = apart < gap.apart[rows]
            gap.apart[rows] = np.where(nearer, apart, gap.apart[rows])
            gap.point[:, rows] = np.where(nearer, foot, gap.point[:, rows])
        return gap

    def _on_surface(self, apart: FloatArray, point: FloatArray, room: Room) -> Gap:
        """Move the nearest point of the bare solid out to its rounded surface."""
        away = apart > self.rounding
        share = np.where(away, self.rounding / np.where(away, apart, 1.0), 1.0)
        share = np.where(self.rounding > 0.0, share, 0.0)
        return Gap(
            np.maximum(apart - self.rounding, 0.0),
            point + share * (room.nearest(point) - point),
            apart,
        )


def place_polytopes(
    fields: FloatArray,
    local: FloatArray,
    counts: tuple[int, int],
    tables: HullTables,
    frames: Frames,
) -> Polytopes:
    """Return capsules, boxes in any pose and hulls, in this order, in their frames.

    Parameters
    ----------
    fields : FloatArray, shape (15, n)
        The numbers of the solids.
    local : FloatArray, shape (3, 5, n)
        The same as points and directions in the frames.
    counts : pair of int
        How many capsules and boxes there are.
    tables : HullTables
        The features of hulls.
    frames : Frames
        The frames, n of them.
    """
    count = fields.shape[1]
    capsules, boxes = counts[0], counts[0] + counts[1]
    slot = np.full(count, -2)
    slot[capsules:boxes] = -1
    slot[boxes:] = fields[0, boxes:]
    half, vectors = fields[3:6], local[:, [0, 2, 3, 4]]
    edges = [local[:, :2, :capsules].transpose(1, 0, 2).reshape(6, -1)]
    edges.append(_box_edges(vectors[:, :, capsules:boxes], half[:, capsules:boxes]))
    sizes = np.full(count, 1)
    sizes[capsules:boxes] = 12
    if boxes < count:
        layout, edge = ragged(tables.edge_starts, slot[boxes:])
        edges.append(
            _hull_edges(tables.edges[:, edge], frames.take(boxes + layout.owner))
        )
        sizes[boxes:] = layout.starts[1:] - layout.starts[:-1]
    rounding = np.zeros(count)
    rounding[:capsules] = fields[7, :capsules]
    return Polytopes(
        edges=np.concatenate(edges, axis=1),
        layout=Ragged.of(sizes),
        rounding=rounding,
        source=FaceSource(
            vectors=vectors, half=half, slot=slot, frames=frames, tables=tables
        ),
        origin=np.arange(count),
        turned=np.zeros(count, dtype=np.bool_),
    )


def _box_edges(vectors: FloatArray, half: FloatArray) -> FloatArray:
    """Return the twelve edges of boxes from their centres and axes."""
    count = half.shape[1]
    center, a = vectors[:, :1], vectors[:, 1:] * half
    b, c = a[:, [1, 2, 0]], a[:, [2, 0, 1]]
    base, plus, minus = center - a, b + c, b - c
    block = np.zeros((6, count, 4, 3))
    starts = (base - plus, base - minus, base + minus, base + plus)
    for k, start in enumerate(starts):
        block[:3, :, k] = start.transpose(0, 2, 1)
    block[3:] = (2.0 * a).transpose(0, 2, 1)[:, :, None]
    return block.reshape(6, -1)


def _hull_edges(table: FloatArray, frames: Frames) -> FloatArray:
    """Return the edges of hulls in their frames."""
    block = table.reshape(2, 3, -1)
    block[0] -= frames.origin
    return frames.turned(block.transpose(1, 0, 2)).transpose(1, 0, 2).reshape(6, -1)


def _upward(edges: FloatArray) -> FloatArray:
    """Turn the edges so that none falls: equal distances are then met lowest first."""
    falls = edges[5] < 0.0
    start, along = edges[:3], edges[3:]
    turned = np.zeros(edges.shape)
    np.add(start, np.where(falls, along, 0.0), out=turned[:3])
    np.multiply(along, np.where(falls, -1.0, 1.0), out=turned[3:])
    return turned
