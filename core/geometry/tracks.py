"""A run as a surface sees it: its frame, its axis pieces and its reach.

The frame of a track has u along the run from its start, v across, w up from the
surface's own origin.
"""

import math
from dataclasses import dataclass

import numpy as np

from core.geometry.runs import SweptRun, Swing
from core.geometry.shapes import FloatArray
from core.geometry.surface import Surface

__all__ = ["Track", "pose_angles", "turned_about_pulley"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Track:
    """One run in the frame of one surface; all lengths [in].

    Attributes
    ----------
    x, y, cos, sin : float
        Start and direction of the run in the surface's own plan.
    length : float
        Length of the axis.
    low, top : float
        Heights of the axis at the supports, lowered and lifted.
    knots, offsets : (k,) float
        Stations from 0 to `length` and the heights of the axis there against
        the supports; straight in between.
    steep : float
        Steepest slope of the axis [-].
    down, up, side : float
        Reach of the metal about the axis, without the radius. With a swing,
        `down` holds a margin for the turning of broad metal.
    radius, reach : float
        Metal round the axis, and metal with the air to keep.
    pulley, angle : float
        Height of the line that the ropes turn about, and the largest angle
        [rad]; 0 without a swing.
    """

    x: float
    y: float
    cos: float
    sin: float
    length: float
    low: float
    top: float
    knots: FloatArray
    offsets: FloatArray
    steep: float
    down: float
    up: float
    side: float
    radius: float
    reach: float
    pulley: float
    angle: float

    @classmethod
    def of(cls, run: SweptRun, surface: Surface) -> "Track":
        """Take a run into the frame of a surface."""
        ends = np.array([[*run.start, run.low], [*run.end, run.low]])
        start, end = surface.to_own(ends)
        dx, dy = float(end[0] - start[0]), float(end[1] - start[1])
        length = math.hypot(dx, dy)
        low = float(start[2])
        knots, offsets = _axis(run, length)
        rises, steps = np.diff(offsets), np.diff(knots)
        slopes = np.abs(rises[steps > 0.0] / steps[steps > 0.0])
        swing = run.swing or Swing(pulley_height=run.low + run.travel, angle=0.0)
        return cls(
            x=float(start[0]),
            y=float(start[1]),
            cos=dx / length if length > 0.0 else 1.0,
            sin=dy / length if length > 0.0 else 0.0,
            length=length,
            low=low,
            top=low + run.travel,
            knots=knots,
            offsets=offsets,
            steep=float(slopes.max(initial=0.0)),
            down=run.down + _turning_margin(run, offsets),
            up=run.up,
            side=run.side,
            radius=run.radius,
            reach=run.radius + run.limit,
            pulley=low + swing.pulley_height - run.low,
            angle=swing.angle,
        )

    @property
    def lowest(self) -> float:
        """Return the least height of the axis against its supports [in]."""
        return float(self.offsets.min())

    @property
    def highest(self) -> float:
        """Return the greatest height of the axis against its supports [in]."""
        return float(self.offsets.max())

    @property
    def sags(self) -> bool:
        """Whether the axis leaves the height of its supports anywhere."""
        return bool(self.offsets.any())

    def to_frame(self, points: FloatArray) -> FloatArray:
        """Take points `(..., 3 axes, n)` from the surface's own frame into this one."""
        x, y = points[..., 0, :] - self.x, points[..., 1, :] - self.y
        moved = points.copy()
        moved[..., 0, :] = x * self.cos + y * self.sin
        moved[..., 1, :] = y * self.cos - x * self.sin
        return moved

    def to_own(self, point: FloatArray) -> FloatArray:
        """Take points `(3, ...)` of this frame into the surface's own frame."""
        u, v, w = point
        x = self.x + u * self.cos - v * self.sin
        y = self.y + u * self.sin + v * self.cos
        return np.array([x, y, w])

    def axis(self, stations: FloatArray) -> FloatArray:
        """Return the height of the axis against the supports at stations [in]."""
        if self.steep == 0.0:
            return np.full_like(stations, self.offsets[0])
        return np.interp(stations, self.knots, self.offsets)

    def stations(
        self, first: FloatArray, last: FloatArray
    ) -> tuple[FloatArray, FloatArray]:
        """Return the parts of intervals [in] that lie on the run, or its ends."""
        return (
            np.minimum(np.maximum(first, 0.0), self.length),
            np.minimum(np.maximum(last, 0.0), self.length),
        )

    def axis_span(
        self, first: FloatArray, last: FloatArray, margin: float
    ) -> tuple[FloatArray, FloatArray]:
        """Bound the axis from `first - margin` to `last + margin` [in]."""
        if self.steep == 0.0:
            level = np.full_like(first, self.offsets[0])
            return level, level
        middle = self.axis((first + last) / 2.0)
        spread = self.steep * ((last - first) / 2.0 + margin)
        return middle - spread, middle + spread


def _axis(run: SweptRun, length: float) -> tuple[FloatArray, FloatArray]:
    """Return the knots of the axis and its height against the supports there."""
    if run.sag is None:
        return np.array([0.0, length]), np.zeros(2)
    inner = [station for station in run.sag.stations if 0.0 < station < length]
    knots = np.array([0.0, *inner, length])
    return knots, -np.interp(knots, run.sag.stations, run.sag.depths)


def _turning_margin(run: SweptRun, offsets: FloatArray) -> float:
    """Return what metal of half breadth s gains downwards when it turns.

    A point at s beside the axis and x below the pulley line lies at most
    sqrt(x^2 + s^2) from that line; the shortest x gives the largest gain.
    """
    if run.swing is None or run.side == 0.0:
        return 0.0
    top = run.low + run.travel + run.up + float(offsets.max())
    rope = max(run.swing.pulley_height - top, 0.0)
    return math.hypot(rope, run.side) - rope


def pose_angles(track: Track) -> tuple[float, ...]:
    """Return the outermost angles of the ropes [rad]."""
    return (track.angle, -track.angle) if track.angle else (0.0,)


def turned_about_pulley(points: FloatArray, track: Track, angle: float) -> FloatArray:
    """Turn points `(..., 3 axes, n)` back by the angle of the ropes [rad]."""
    if angle == 0.0:
        return points
    cos, sin = math.cos(angle), math.sin(angle)
    v, w = points[..., 1, :], points[..., 2, :] - track.pulley
    turned = points.copy()
    turned[..., 1, :] = v * cos + w * sin
    turned[..., 2, :] = track.pulley + w * cos - v * sin
    return turned
