"""Which obstacles can be near which runs: boxes round them, slab by slab."""

import numpy as np

from core.geometry.kernels.placed import Frames
from core.geometry.lanes import Lanes
from core.geometry.obstacles import ObstacleSet
from core.geometry.shapes import FloatArray, IntArray

__all__ = ["near_pairs"]

_SLACK = 1e-6


def near_pairs(
    lanes: Lanes, obstacles: ObstacleSet, *, margin: float
) -> tuple[IntArray, IntArray]:
    """Return the pairs whose surfaces may come within `margin` [in], or the limit.

    Ordered by lane, then obstacle. Pairs that are farther apart may be among them,
    nearer ones are never left out.
    """
    found = [_near(lanes, lane, obstacles, margin) for lane in range(lanes.length.size)]
    run = np.repeat(np.arange(len(found)), [part.size for part in found])
    none = np.zeros(0, dtype=np.int64)
    return run, np.concatenate(found) if found else none


def _near(lanes: Lanes, lane: int, obstacles: ObstacleSet, margin: float) -> IntArray:
    """Return the obstacles that may be near one lane."""
    frames = lanes.frames
    reach = max(margin, lanes.limit[lane]) + lanes.radius[lane] + _SLACK
    side = lanes.side[lane] + reach
    slabs = (
        (frames.v, -side, side),
        (frames.u, -reach, lanes.length[lane] + reach),
        (
            frames.w,
            -lanes.down[lane] - reach,
            lanes.travel[lane] + lanes.up[lane] + reach,
        ),
    )
    rows, center, half = None, obstacles.center, obstacles.half
    for axis, low, high in slabs:
        start = _start(frames, axis, lane)
        kept = _in_slab(axis[:, lane], center, half, low + start, high + start)
        center, half = center[:, kept], half[:, kept]
        rows = kept if rows is None else rows[kept]
    return np.zeros(0, dtype=np.int64) if rows is None else rows


def _start(frames: Frames, axis: FloatArray, lane: int) -> float:
    """Return the coordinate of the lane's origin along an axis of its frame."""
    return float(sum(frames.origin[k, lane] * axis[k, lane] for k in range(3)))


def _in_slab(
    axis: FloatArray, center: FloatArray, half: FloatArray, low: float, high: float
) -> IntArray:
    """Return the boxes that meet a slab between two planes."""
    along, reach = 0.0, 0.0
    for k in range(3):
        if axis[k]:
            along = along + center[k] * axis[k]
            reach = reach + half[k] * abs(axis[k])
    met = (along - reach <= high) & (along + reach >= low)
    return np.flatnonzero(met)
