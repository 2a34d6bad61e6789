"""The leaves of a surface near runs, in the frames of their poses."""

from dataclasses import dataclass
from typing import Self

import numpy as np

from core.geometry.boxes import Boxes
from core.geometry.poses import Poses
from core.geometry.shapes import FloatArray, IntArray
from core.geometry.surface import LEAF, Surface

__all__ = ["Leaves"]

_ROUNDING = 1e-9  # turned boxes hold their triangles in spite of rounding [in]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Leaves:
    """Leaves of a surface as poses of runs meet them.

    Attributes
    ----------
    surface : Surface
        The surface.
    poses : Poses
        The poses.
    index : (n,) int
        The places of the leaves in the surface.
    boxes : Boxes
        Boxes that hold them.
    points : Boxes
        A corner of each, a box of no size.
    """

    surface: Surface
    poses: Poses
    index: IntArray
    boxes: Boxes
    points: Boxes

    @classmethod
    def of(
        cls, surface: Surface, index: IntArray, poses: Poses, pose: IntArray
    ) -> Self:
        """Take leaves into the frames of poses `(n,)`, ascending."""
        corners = surface.corners[:3].reshape(3, -1, LEAF)[:, index, 0]
        ends = _box_ends(surface, index, poses, pose)
        moved = poses.to_frame(corners, pose)
        boxes, points = Boxes.of_two(ends, moved, poses, pose)
        return cls(
            surface=surface, poses=poses, index=index, boxes=boxes, points=points
        )

    @property
    def pose(self) -> IntArray:
        """Return the pose of each leaf."""
        return self.boxes.pose

    def take(self, some: IntArray) -> Self:
        """Return some of the leaves, in ascending order."""
        return type(self)(
            surface=self.surface,
            poses=self.poses,
            index=self.index[some],
            boxes=self.boxes.take(some),
            points=self.points.take(some),
        )

    def triangles(self, some: IntArray) -> tuple[FloatArray, IntArray]:
        """Return the triangles of leaves in ascending order, and their poses.

        The triangles are `(3 corners, 3 axes, n)` [in].
        """
        corners = self.surface.corners.reshape(9, -1, LEAF)
        own = corners.take(self.index[some], axis=1).reshape(3, 3, -1)
        pose = np.repeat(self.pose[some], LEAF)
        return self.poses.to_frame(own, pose), pose


def _box_ends(
    surface: Surface, index: IntArray, poses: Poses, pose: IntArray
) -> tuple[FloatArray, FloatArray]:
    """Return boxes of the frames that hold the boxes of leaves."""
    low, high = (
        surface.leaf_low.take(index, axis=1),
        surface.leaf_high.take(index, axis=1),
    )
    x, y, z = half = (high - low) / 2.0
    middle = poses.to_frame(low + half, pose)
    cos, sin = np.abs(poses.cos)[pose], np.abs(poses.sin)[pose]
    half[0], half[1] = cos * x + sin * y, sin * x + cos * y
    if poses.swinging:
        cos, sin = np.cos(poses.angles)[pose], np.abs(np.sin(poses.angles))[pose]
        half[1], half[2] = cos * half[1] + sin * z, sin * half[1] + cos * z
    half += _ROUNDING
    return middle - half, middle + half
