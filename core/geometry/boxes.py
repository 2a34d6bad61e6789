"""Boxes in the frames of poses and what these tell about the distance to a run."""

from dataclasses import dataclass
from typing import Self

import numpy as np

from core.geometry.poses import Poses
from core.geometry.shapes import FloatArray, IntArray

__all__ = ["Boxes", "gap_between"]


def gap_between(
    low: FloatArray,
    high: FloatArray,
    first: FloatArray | float,
    last: FloatArray | float,
) -> FloatArray:
    """Return the gap [in] of intervals [in] to those from first to last [in]."""
    return np.asarray(np.maximum(np.maximum(low - last, first - high), 0.0))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Boxes:
    """Boxes, each in the frame of its pose.

    Attributes
    ----------
    pose : (n,) int
        The pose of each, ascending.
    low, high : (3, n) float
        Their ends along u, v and w [in].
    level : (n,) float
        Least height against the axis at its supports [in].
    square : (n,) float
        Square of the least distance to the metal in plan [in2].
    upright : (n,) float
        Distance in height to what the metal sweeps [in].
    gap : (n,) float
        A lower bound of the distance to the metal over the travel [in].
    """

    pose: IntArray
    low: FloatArray
    high: FloatArray
    level: FloatArray
    square: FloatArray
    upright: FloatArray
    gap: FloatArray

    @classmethod
    def of(
        cls, low: FloatArray, high: FloatArray, poses: Poses, pose: IntArray
    ) -> Self:
        """Measure boxes `(3, ..., n)` [in]."""
        length, side = poses.length[pose], poses.side[pose]
        u = gap_between(low[0], high[0], 0.0, length)
        v = gap_between(low[1], high[1], -side, side)
        axis_low, axis_high = poses.axis_span(low[0], high[0], pose, 0.0)
        level = low[2] - axis_high
        upright = gap_between(
            level, high[2] - axis_low, poses.bottom[pose], poses.top[pose]
        )
        square = u * u + v * v
        w = upright
        if poses.sagging:
            # a sloping axis is met square to itself: shrink what is upright
            w = w / np.sqrt(1.0 + poses.steep[pose] ** 2)
        return cls(
            pose=pose,
            low=low,
            high=high,
            level=level,
            square=square,
            upright=upright,
            gap=np.sqrt(square + w * w),
        )

    @classmethod
    def around(cls, triangles: FloatArray, poses: Poses, pose: IntArray) -> Self:
        """Measure the boxes of triangles `(3 corners, 3 axes, n)` [in]."""
        a, b, c = triangles
        low, high = np.minimum(np.minimum(a, b), c), np.maximum(np.maximum(a, b), c)
        return cls.of(low, high, poses, pose)

    @classmethod
    def of_two(
        cls,
        ends: tuple[FloatArray, FloatArray],
        points: FloatArray,
        poses: Poses,
        pose: IntArray,
    ) -> tuple[Self, Self]:
        """Measure boxes `(3, n)` from their ends, and points `(3, n)` of them [in]."""
        low, high = (np.stack([end, points], axis=1) for end in ends)
        both = cls.of(low, high, poses, pose)
        boxes, these = (
            cls(
                pose=pose,
                low=both.low[:, k],
                high=both.high[:, k],
                level=both.level[k],
                square=both.square[k],
                upright=both.upright[k],
                gap=both.gap[k],
            )
            for k in range(2)
        )
        return boxes, these

    def take(self, index: IntArray) -> Self:
        """Return some of the boxes."""
        return type(self)(
            pose=self.pose[index],
            low=self.low.take(index, axis=1),
            high=self.high.take(index, axis=1),
            level=self.level[index],
            square=self.square[index],
            upright=self.upright[index],
            gap=self.gap[index],
        )
