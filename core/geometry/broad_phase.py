"""Which obstacles can be near which runs: boxes round them, slab by slab."""

from collections.abc import Iterator

import numpy as np

from core.geometry.lanes import Lanes
from core.geometry.obstacles import ObstacleSet
from core.geometry.shapes import FloatArray, IntArray

__all__ = ["Kin", "near_pairs"]

Kin = tuple[IntArray, IntArray]
_Slab = tuple[FloatArray, FloatArray, FloatArray]

_SLACK = 1e-6
_COARSE = 2e-6  # of the coordinates: some ten roundings in single precision
_FEW = 4096  # up to here all lanes are looked at together
_CELLS = 1 << 17  # pairs looked at in one go, so that the arrays stay in the cache


def near_pairs(
    lanes: Lanes, obstacles: ObstacleSet, *, margin: float, kin: Kin | None = None
) -> tuple[IntArray, IntArray]:
    """Return the pairs whose surfaces may come within `margin` [in], or the limit.

    Ordered by lane, then obstacle. Pairs that are farther apart may be among them,
    nearer ones are never left out. With `kin`, a number for each lane and for each
    obstacle, pairs of the same number are left out: they belong together.
    """
    lane, obstacle = _all_near(lanes, obstacles, margin)
    if kin is None:
        return lane, obstacle
    strange = kin[0][lane] != kin[1][obstacle]
    return lane[strange], obstacle[strange]


def _all_near(
    lanes: Lanes, obstacles: ObstacleSet, margin: float
) -> tuple[IntArray, IntArray]:
    many = len(obstacles) > _FEW
    count = lanes.length.size
    step = 1 if many else max(1, _CELLS // max(len(obstacles), 1))
    near = _near_one if many else _near_some
    parts = [
        near(lanes, slice(first, first + step), obstacles, margin)
        for first in range(0, count, step)
    ]
    none = np.zeros(0, dtype=np.int64)
    run = [
        first + lane
        for first, (lane, _) in zip(range(0, count, step), parts, strict=True)
    ]
    return (
        np.concatenate(run) if run else none,
        np.concatenate([rows for _, rows in parts]) if parts else none,
    )


def _near_one(
    lanes: Lanes, one: slice, obstacles: ObstacleSet, margin: float
) -> tuple[IntArray, IntArray]:
    """Return the obstacles that may be near one lane, thinned out slab by slab.

    The first slab, across the lane, is looked at in single precision, widened by more
    than that can be wrong by.
    """
    origin = lanes.frames.origin[:, one][:, 0]
    across, *others = _slabs(lanes, one, margin)
    rows = _across(obstacles, origin, across)
    center, half = obstacles.center[:, rows], obstacles.half[:, rows]
    met = np.ones(rows.size, dtype=np.bool_)
    for axes, low, high in others:
        axis = axes[:, 0]
        start = float((origin * axis).sum())
        along, reach = np.zeros(()), np.zeros(())
        for k in np.flatnonzero(axis):
            along = along + center[k] * axis[k]
            reach = reach + half[k] * abs(axis[k])
        met &= along - reach <= high[0] + start
        met &= along + reach >= low[0] + start
    rows = rows[met]
    return np.zeros(rows.size, dtype=np.int64), rows


def _across(obstacles: ObstacleSet, origin: FloatArray, slab: _Slab) -> IntArray:
    """Return the obstacles within a slab across a lane, a few more among them."""
    axis, side = slab[0][:, 0], float(slab[2][0])
    center, half, size = obstacles.coarse
    start = (origin * axis).sum()
    away, reach = np.zeros_like(center[0]), np.zeros_like(center[0])
    for k in np.flatnonzero(axis):
        part = np.float32(axis[k])
        away += center[k] * part
        reach += half[k] * abs(part)
    away -= np.float32(start)
    np.abs(away, out=away)
    away -= reach
    return np.flatnonzero(away <= side + _COARSE * (size + abs(start)))


def _near_some(
    lanes: Lanes, some: slice, obstacles: ObstacleSet, margin: float
) -> tuple[IntArray, IntArray]:
    """Return the obstacles that may be near some of the lanes, as places of both."""
    met = np.ones((lanes.length[some].size, len(obstacles)), dtype=np.bool_)
    origin = lanes.frames.origin[:, some]
    for axis, low, high in _slabs(lanes, some, margin):
        start = (origin * axis).sum(axis=0)
        along = axis.T @ obstacles.center
        reach = np.abs(axis).T @ obstacles.half
        met &= along - reach <= (high + start)[:, None]
        met &= along + reach >= (low + start)[:, None]
    lane, obstacle = np.divmod(np.flatnonzero(met), max(len(obstacles), 1))
    return lane, obstacle


def _slabs(lanes: Lanes, some: slice, margin: float) -> Iterator[_Slab]:
    """Yield the axes of some lanes `(3, n)` and how far they reach along them [in]."""
    frames = lanes.frames
    reach = np.maximum(margin, lanes.limit[some]) + lanes.radius[some] + _SLACK
    side = lanes.side[some] + reach
    yield frames.v[:, some], -side, side
    yield frames.u[:, some], -reach, lanes.length[some] + reach
    top = lanes.travel[some] + lanes.up[some] + reach
    yield frames.w[:, some], -lanes.down[some] - reach, top
