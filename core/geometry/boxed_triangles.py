"""Triangles with their boxes and what these tell about the distance to a run."""

from dataclasses import dataclass
from typing import Self

import numpy as np

from core.geometry.shapes import FloatArray
from core.geometry.tracks import Track

__all__ = ["BoxedTriangles", "gap_between"]


def gap_between(
    low: FloatArray,
    high: FloatArray,
    first: FloatArray | float,
    last: FloatArray | float,
) -> FloatArray:
    """Return the gap [in] of intervals [in] to those from first to last [in]."""
    return np.asarray(np.maximum(np.maximum(low - last, first - high), 0.0))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BoxedTriangles:
    """Triangles in the frame of a track, turned into a pose of it.

    Attributes
    ----------
    corners : (3 corners, 3 axes, n) float
        The triangles [in].
    low, high : (3, n) float
        Their boxes [in].
    plan : (n,) float
        Least distance of the boxes to the metal in plan [in].
    level : (n,) float
        Least height of the boxes, measured from the axis against its supports [in].
    gap : (n,) float
        A lower bound of the distance to the metal over the travel [in].
    """

    corners: FloatArray
    low: FloatArray
    high: FloatArray
    plan: FloatArray
    level: FloatArray
    gap: FloatArray

    @classmethod
    def of(cls, corners: FloatArray, track: Track) -> Self:
        """Measure the boxes of triangles `(3, 3, n)`."""
        low, high = corners.min(axis=0), corners.max(axis=0)
        u = gap_between(low[0], high[0], 0.0, track.length)
        v = gap_between(low[1], high[1], -track.side, track.side)
        axis_low, axis_high = track.axis_span(*track.stations(low[0], high[0]), 0.0)
        level, top = low[2] - axis_high, high[2] - axis_low
        w = gap_between(level, top, track.low - track.down, track.top + track.up)
        plan = np.sqrt(u * u + v * v)
        if track.steep:
            # a sloping axis is met square to itself: shrink what is upright
            w = w / np.sqrt(1.0 + track.steep**2)
        gap = np.sqrt(plan * plan + w * w)
        return cls(corners=corners, low=low, high=high, plan=plan, level=level, gap=gap)

    def within(self, distance: float) -> Self:
        """Return the triangles that may be nearer than a distance [in]."""
        index = np.flatnonzero(self.gap < distance)
        return type(self)(
            corners=self.corners[:, :, index],
            low=self.low[:, index],
            high=self.high[:, index],
            plan=self.plan[index],
            level=self.level[index],
            gap=self.gap[index],
        )
