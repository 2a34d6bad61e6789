"""Which obstacles can be near which runs: boxes round them, slab by slab."""

from collections.abc import Iterator
from typing import Any

import numpy as np
from numpy.typing import NDArray

from core.geometry.lanes import Lanes
from core.geometry.obstacles import ObstacleSet
from core.geometry.shapes import FloatArray, IntArray

__all__ = ["Kin", "near_pairs"]

Kin = tuple[IntArray, IntArray]
_Slab = tuple[FloatArray, FloatArray, FloatArray]
_LaneSlab = tuple[list[float], float, float]
Array = NDArray[np.floating[Any]]

_SLACK = 1e-6
_COARSE = 2e-6  # of the coordinates: some ten roundings in single precision
_FEW = 4096  # up to here all lanes are looked at together
_CELLS = 1 << 16  # pairs looked at in one go, so that the arrays stay in the cache


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
    """Return the pairs that may be near, those that belong together among them."""
    if len(obstacles) > _FEW:
        return _one_by_one(lanes, obstacles, margin)
    step = max(1, _CELLS // max(len(obstacles), 1))
    none = np.zeros(0, dtype=np.int64)
    lane, rows = [none], [none]
    for first in range(0, lanes.length.size, step):
        some = _near_some(lanes, slice(first, first + step), obstacles, margin)
        lane.append(first + some[0])
        rows.append(some[1])
    return np.concatenate(lane), np.concatenate(rows)


def _one_by_one(
    lanes: Lanes, obstacles: ObstacleSet, margin: float
) -> tuple[IntArray, IntArray]:
    """Return the obstacles that may be near each lane, thinned out slab by slab.

    The first slab, across the lane, is looked at in single precision, widened by more
    than that can be wrong by.
    """
    origin, found = lanes.frames.origin, [np.zeros(0, dtype=np.int64)]
    slabs = [
        (
            axis.T.tolist(),
            (low + high) / 2 + (origin * axis).sum(axis=0),
            (high - low) / 2,
        )
        for axis, low, high in _slabs(lanes, slice(None), margin)
    ]
    center, half, size = obstacles.coarse
    for lane in range(lanes.length.size):
        across, *others = [
            (axis[lane], float(middle[lane]), float(wide[lane]))
            for axis, middle, wide in slabs
        ]
        loose = _COARSE * (size + abs(across[1]))
        rows = (_beyond(center, half, across) <= loose).nonzero()[0]
        for slab in others:
            near = (
                obstacles.center.take(rows, axis=1),
                obstacles.half.take(rows, axis=1),
            )
            rows = rows[_beyond(*near, slab) <= 0.0]
        found.append(rows)
    counts = [rows.size for rows in found[1:]]
    return np.repeat(np.arange(len(counts)), counts), np.concatenate(found)


def _beyond(center: Array, half: Array, slab: _LaneSlab) -> Array:
    """Return how far boxes are outside a slab, in the precision that is given."""
    axis, middle, wide = slab
    away: Array = center[0] * axis[0]
    reach = half[0] * abs(axis[0])
    for k in (1, 2):
        if axis[k]:
            away += center[k] * axis[k]
            reach += half[k] * abs(axis[k])
    away -= middle
    np.abs(away, out=away)
    away -= reach
    away -= wide
    return away


def _near_some(
    lanes: Lanes, some: slice, obstacles: ObstacleSet, margin: float
) -> tuple[IntArray, IntArray]:
    """Return the obstacles that may be near some of the lanes, as places of both."""
    origin = lanes.frames.origin[:, some]
    slabs = _slabs(lanes, some, margin)
    axis, low, high = next(slabs)  # across: few pairs are left for the others
    start = (origin * axis).sum(axis=0)
    along = axis.T @ obstacles.center
    reach = np.abs(axis).T @ obstacles.half
    met = along - reach <= (high + start)[:, None]
    met &= along + reach >= (low + start)[:, None]
    lane, obstacle = np.divmod(np.flatnonzero(met), max(len(obstacles), 1))
    for axis, low, high in slabs:
        start = (origin * axis).sum(axis=0)
        way = axis[:, lane]
        middle = (way * obstacles.center[:, obstacle]).sum(axis=0)
        half = (np.abs(way) * obstacles.half[:, obstacle]).sum(axis=0)
        kept = middle - half <= (high + start)[lane]
        kept &= middle + half >= (low + start)[lane]
        lane, obstacle = lane[kept], obstacle[kept]
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
