"""Solids with upright sides and level ends: boxes and cylinders that stand upright.

Plan and height part: the distance is `hypot(plan distance, gap in height)`, the
heights that meet are `[bottom - s, top + s]` with `s = sqrt(D^2 - d^2)`.
"""

from dataclasses import dataclass

import numpy as np

from core.geometry.kernels.edges import nearest_on_edges, span_band, square_reach
from core.geometry.kernels.placed import BoolArray, Frames, Gap, Reach, Room
from core.geometry.shapes import FloatArray, IntArray

__all__ = [
    "UprightBoxes",
    "UprightCylinders",
    "place_upright_boxes",
    "place_upright_cylinders",
]

Band = tuple[FloatArray, FloatArray]
Plan = tuple[FloatArray, FloatArray, FloatArray]


def _upright_band(
    bottom: FloatArray, top: FloatArray, plan: FloatArray, reach: FloatArray
) -> Band:
    """Return the heights that meet a solid at a plan distance."""
    square = square_reach(plan, reach)
    met = square >= 0.0
    half = np.sqrt(np.maximum(square, 0.0))
    return np.where(met, bottom - half, np.inf), np.where(met, top + half, -np.inf)


def _height_gap(
    bottom: FloatArray, top: FloatArray, low: FloatArray, high: FloatArray
) -> FloatArray:
    """Return the gap in height to `[low, high]`."""
    return np.maximum(np.maximum(low - top, bottom - high), 0.0)


def _upright_gap(plan: Plan, bottom: FloatArray, top: FloatArray, room: Room) -> Gap:
    """Return the distance from the plan distance and its point."""
    gap = _height_gap(bottom, top, room.low, room.high)
    near = np.minimum(np.maximum(bottom, room.low), top)
    apart, u, v = plan
    return Gap(apart=np.sqrt(apart * apart + gap * gap), u=u, v=v, w=near)


def _left_over(reach: FloatArray, gap: FloatArray) -> tuple[FloatArray, BoolArray]:
    """Return what is left of the reach in plan beside a gap in height."""
    square = square_reach(gap, reach)
    return np.sqrt(np.maximum(square, 0.0)), square >= 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class UprightCylinders:
    """Upright cylinders in their run frames: plan centre, radius, bottom and top."""

    u: FloatArray
    v: FloatArray
    radius: FloatArray
    bottom: FloatArray
    top: FloatArray

    @property
    def gap_shows_overlap(self) -> bool:
        """Return True: plan and height are told apart."""
        return True

    def take(self, rows: IntArray) -> "UprightCylinders":
        """Return the solids at the given rows."""
        return UprightCylinders(
            u=self.u[rows],
            v=self.v[rows],
            radius=self.radius[rows],
            bottom=self.bottom[rows],
            top=self.top[rows],
        )

    def plan_gap(self, first: FloatArray, last: FloatArray, side: FloatArray) -> Plan:
        """Return the plan distance to a rectangle and the nearest point."""
        near_u = np.minimum(np.maximum(self.u, first), last)
        near_v = np.minimum(np.maximum(self.v, -side), side)
        away_u, away_v = near_u - self.u, near_v - self.v
        apart = np.sqrt(away_u * away_u + away_v * away_v)
        outside = apart > self.radius
        share = np.where(outside, self.radius / np.where(outside, apart, 1.0), 1.0)
        return (
            np.where(outside, apart - self.radius, 0.0),
            self.u + share * away_u,
            self.v + share * away_v,
        )

    def band(self, at: Reach) -> Band:
        """Return the heights of the rectangle that meet; `hi < lo` where none do."""
        plan = self.plan_gap(at.first, at.last, at.side)[0]
        return _upright_band(self.bottom, self.top, plan, at.reach)

    def stations(self, at: Reach, low: FloatArray, high: FloatArray) -> Band:
        """Return the u that meet at heights in `[low, high]`, past the ends too."""
        gap = _height_gap(self.bottom, self.top, low, high)
        left, met = _left_over(at.reach, gap)
        beside = np.maximum(np.abs(self.v) - at.side, 0.0)
        square = (left + self.radius) * (left + self.radius) - beside * beside
        met &= square >= 0.0
        half = np.sqrt(np.maximum(square, 0.0))
        return (
            np.where(met, self.u - half, np.inf),
            np.where(met, self.u + half, -np.inf),
        )

    def gap(self, room: Room) -> Gap:
        """Return the distance to the swept body."""
        plan = self.plan_gap(room.first, room.last, room.side)
        return _upright_gap(plan, self.bottom, self.top, room)


@dataclass(frozen=True, slots=True, kw_only=True)
class UprightBoxes:
    """Upright boxes in their run frames: plan centre, two half sides, bottom and top.

    `a` and `b` are the half sides as vectors in plan.
    """

    u: FloatArray
    v: FloatArray
    a: Band
    b: Band
    bottom: FloatArray
    top: FloatArray

    @property
    def gap_shows_overlap(self) -> bool:
        """Return True: plan and height are told apart."""
        return True

    def take(self, rows: IntArray) -> "UprightBoxes":
        """Return the solids at the given rows."""
        return UprightBoxes(
            u=self.u[rows],
            v=self.v[rows],
            a=(self.a[0][rows], self.a[1][rows]),
            b=(self.b[0][rows], self.b[1][rows]),
            bottom=self.bottom[rows],
            top=self.top[rows],
        )

    def plan_edges(self) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
        """Return start and direction of the four sides in plan, `(4, n)` each."""
        (au, av), (bu, bv) = self.a, self.b
        sides = [(au, av, bu, bv), (bu, bv, au, av)]
        rows = [
            (self.u - pu + s * qu, self.v - pv + s * qv, 2.0 * pu, 2.0 * pv)
            for pu, pv, qu, qv in sides
            for s in (-1.0, 1.0)
        ]
        block = np.array(rows)
        return block[:, 0], block[:, 1], block[:, 2], block[:, 3]

    def plan_gap(self, first: FloatArray, last: FloatArray, side: FloatArray) -> Plan:
        """Return the plan distance to a rectangle and the nearest point."""
        u, v, du, dv = self.plan_edges()
        t, square = nearest_on_edges([(u, du, first, last), (v, dv, -side, side)])
        count = self.u.size
        best = square.argmin(axis=0) * count + np.arange(count)
        at = t.ravel()[best]
        within = self._covers(first, side)
        return (
            np.where(within, 0.0, np.sqrt(square.ravel()[best])),
            np.where(within, first, u.ravel()[best] + at * du.ravel()[best]),
            np.where(within, side, v.ravel()[best] + at * dv.ravel()[best]),
        )

    def _covers(self, u: FloatArray, v: FloatArray) -> BoolArray:
        """Return whether points lie on the boxes in plan."""
        (au, av), (bu, bv) = self.a, self.b
        pu, pv = u - self.u, v - self.v
        aa, bb = au * au + av * av, bu * bu + bv * bv
        within_a = (np.abs(pu * au + pv * av) <= aa) & (aa > 0.0)
        within_b = (np.abs(pu * bu + pv * bv) <= bb) & (bb > 0.0)
        return np.asarray(within_a & within_b)

    def band(self, at: Reach) -> Band:
        """Return the heights of the rectangle that meet; `hi < lo` where none do."""
        plan = self.plan_gap(at.first, at.last, at.side)[0]
        return _upright_band(self.bottom, self.top, plan, at.reach)

    def stations(self, at: Reach, low: FloatArray, high: FloatArray) -> Band:
        """Return the u that meet at heights in `[low, high]`, past the ends too."""
        gap = _height_gap(self.bottom, self.top, low, high)
        left, met = _left_over(at.reach, gap)
        u, v, du, dv = self.plan_edges()
        lo, hi = span_band(v, u, dv, du, at.side, left)
        return (
            np.where(met, lo.min(axis=0), np.inf),
            np.where(met, hi.max(axis=0), -np.inf),
        )

    def gap(self, room: Room) -> Gap:
        """Return the distance to the swept body."""
        plan = self.plan_gap(room.first, room.last, room.side)
        return _upright_gap(plan, self.bottom, self.top, room)


def place_upright_cylinders(fields: FloatArray, frames: Frames) -> UprightCylinders:
    """Return upright cylinders in upright frames."""
    u, v, w = frames.placed(fields[:3])
    return UprightCylinders(
        u=u, v=v, radius=fields[7], bottom=w - fields[6], top=w + fields[6]
    )


def place_upright_boxes(fields: FloatArray, frames: Frames) -> UprightBoxes:
    """Return upright boxes in upright frames."""
    u, v, w = frames.placed(fields[:3])
    arms = []
    for k in range(2):
        axis, half = fields[6 + 3 * k : 9 + 3 * k], fields[3 + k]
        arms.append(
            (
                (axis[0] * frames.u[0] + axis[1] * frames.u[1]) * half,
                (axis[0] * frames.v[0] + axis[1] * frames.v[1]) * half,
            )
        )
    return UprightBoxes(
        u=u, v=v, a=arms[0], b=arms[1], bottom=w - fields[5], top=w + fields[5]
    )
