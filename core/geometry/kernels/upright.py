"""Solids with upright sides and level ends: boxes and cylinders that stand upright.

Plan and height part: the distance is `hypot(plan distance, gap in height)`, the
heights that meet are `[bottom - s, top + s]` with `s = sqrt(D^2 - d^2)`. In plan a box
is a rectangle and a cylinder a point with a rounding radius.
"""

from dataclasses import dataclass

import numpy as np

from core.geometry.kernels.edges import nearest_on_edges, span_band, square_reach
from core.geometry.kernels.placed import (
    Asked,
    Band,
    BoolArray,
    Contact,
    Gap,
    Reach,
    Room,
    columns,
)
from core.geometry.shapes import FloatArray, IntArray

__all__ = ["Uprights", "place_uprights"]


@dataclass(frozen=True, slots=True)
class Uprights:
    """Upright solids in their run frames.

    The rows of the block: plan centre u, v; two half sides as vectors in plan; rounding
    in plan; bottom and top [in].
    """

    block: FloatArray

    def take(self, rows: IntArray) -> "Uprights":
        """Return the solids at the given rows."""
        return Uprights(self.block[:, rows])

    def plan_edges(self) -> FloatArray:
        """Return start u, v and direction of the four sides in plan, `(4, 4, n)`."""
        center, a, b = self.block[0:2], self.block[2:4], self.block[4:6]
        sides = np.zeros((4, 4, center.shape[1]))
        for k, (along, beside) in enumerate(((a, b), (a, b), (b, a), (b, a))):
            start = center - along
            sides[:2, k] = start + beside if k % 2 else start - beside
            sides[2:, k] = along
        sides[2:] *= 2.0
        return sides

    def plan_gap(
        self, first: FloatArray, last: FloatArray, side: FloatArray
    ) -> FloatArray:
        """Return the plan distance to a rectangle and the nearest point, `(3, n)`."""
        edges = self.plan_edges()
        low, high = columns(first, -side), columns(last, side)
        t, square = nearest_on_edges(edges[:2], edges[2:], low[:, None], high[:, None])
        every = np.arange(side.size)
        best = square.argmin(axis=0)
        found = np.zeros((3, side.size))
        within = self._covers(first, side)
        apart = np.where(within, 0.0, np.sqrt(square[best, every]))
        chosen, at = edges[:, best, every], t[best, every]
        point = np.where(within, columns(first, side), chosen[:2] + at * chosen[2:])
        rounding = self.block[6]
        outside = apart > rounding
        share = np.where(outside, rounding / np.where(outside, apart, 1.0), 1.0)
        share = np.where(rounding > 0.0, share, 0.0)
        near = np.minimum(np.maximum(point, low), high)
        np.maximum(apart - rounding, 0.0, out=found[0])
        np.add(point, share * (near - point), out=found[1:])
        return found

    def _covers(self, u: FloatArray, v: FloatArray) -> BoolArray:
        """Return whether points lie on the boxes in plan."""
        cu, cv, au, av, bu, bv = self.block[:6]
        pu, pv = u - cu, v - cv
        aa, bb = au * au + av * av, bu * bu + bv * bv
        within_a = (np.abs(pu * au + pv * av) <= aa) & (aa > 0.0)
        within_b = (np.abs(pu * bu + pv * bv) <= bb) & (bb > 0.0)
        return np.asarray(within_a & within_b)

    def _height_gap(self, low: FloatArray, high: FloatArray) -> FloatArray:
        """Return the gap in height to `[low, high]`."""
        bottom, top = self.block[7:]
        return np.asarray(np.maximum(np.maximum(low - top, bottom - high), 0.0))

    def band(self, at: Reach) -> Band:
        """Return the heights of the rectangle that meet; `hi < lo` where none do."""
        return self.band_at(self.plan_gap(at.first, at.last, at.side)[0], at.reach)

    def band_at(self, plan: FloatArray, reach: FloatArray) -> Band:
        """Return the heights that meet from a plan distance."""
        bottom, top = self.block[7:]
        square = square_reach(plan, reach)
        met = square >= 0.0
        half = np.sqrt(np.maximum(square, 0.0))
        return np.where(met, bottom - half, np.inf), np.where(met, top + half, -np.inf)

    def stations(self, at: Reach, low: FloatArray, high: FloatArray) -> Band:
        """Return the u that meet at heights in `[low, high]`, past the ends too."""
        square = square_reach(self._height_gap(low, high), at.reach)
        left, met = np.sqrt(np.maximum(square, 0.0)), square >= 0.0
        u, v, du, dv = self.plan_edges()
        lo, hi = span_band(v, u, dv, du, at.side, left + self.block[6])
        return (
            np.where(met, lo.min(axis=0), np.inf),
            np.where(met, hi.max(axis=0), -np.inf),
        )

    def contact(self, asked: Asked) -> Contact:
        """Return bands, stations and touching bands in one go."""
        at, within, touched = asked.at, asked.within, asked.touched
        plan = asked.plan
        low, high = asked.low[within], asked.high[within]
        return Contact(
            band=self.band_at(plan, at.reach),
            stations=self.take(within).stations(at.take(within), low, high),
            touch=self.take(touched).band_at(plan[touched], np.zeros(touched.size)),
        )

    def gap(self, room: Room) -> Gap:
        """Return the distance to the swept body."""
        first, last, _, side, low, high = room.block
        found = self.plan_gap(first, last, side)
        plan, gap = found[0], self._height_gap(low, high)
        bottom, top = self.block[7:]
        point = columns(found[1], found[2], np.minimum(np.maximum(bottom, low), top))
        return Gap(np.sqrt(plan * plan + gap * gap), point, plan)


def place_uprights(fields: FloatArray, local: FloatArray, boxes: BoolArray) -> Uprights:
    """Return upright boxes, and cylinders where they are none, in upright frames.

    Parameters
    ----------
    fields : FloatArray, shape (15, n)
        The numbers of the solids.
    local : FloatArray, shape (3, 5, n)
        The same as points and directions in the frames.
    boxes : array of bool, shape (n,)
        Which are boxes.
    """
    block = np.zeros((9, boxes.size))
    block[:2] = local[:2, 0]
    block[2:4] = np.where(boxes, local[:2, 2] * fields[3], 0.0)
    block[4:6] = np.where(boxes, local[:2, 3] * fields[4], 0.0)
    block[6] = np.where(boxes, 0.0, fields[7])
    half = np.where(boxes, fields[5], fields[6])
    np.subtract(local[2, 0], half, out=block[7])
    np.add(local[2, 0], half, out=block[8])
    return Uprights(block)
