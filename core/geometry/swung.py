"""Runs that swing: the worst over the wedges that a pair can depend on.

How far a wedge is at least from the box round a solid tells which wedges matter: the
nearest is measured first, then those alone that can come within the limit or as
near as it.
"""

from collections.abc import Sequence

import numpy as np

from core.geometry.kernels.layout import Ragged, ragged
from core.geometry.lanes import Lanes, swinging_lanes
from core.geometry.measure import Measured, measure
from core.geometry.obstacles import ObstacleSet
from core.geometry.runs import SweptRun
from core.geometry.shapes import FloatArray, IntArray

__all__ = ["swung"]

_SLACK = 1e-6  # [in]
_CHUNK = 2000  # pairs looked at in one go, so that the arrays stay small
_ROWS = 2500  # wedges measured in one go, so that the arrays stay in the cache
_MERGED = (
    ("lo", np.fmin),
    ("hi", np.fmax),
    ("station_lo", np.fmin),
    ("station_hi", np.fmax),
)


def swung(
    runs: Sequence[SweptRun], obstacles: ObstacleSet, run: IntArray, obstacle: IntArray
) -> Measured:
    """Return pairs of swinging runs and obstacles; each row depends on its pair alone.

    Parameters
    ----------
    runs : sequence of SweptRun
        The runs, those that do not swing left out of account.
    obstacles : ObstacleSet
        The solids.
    run, obstacle : IntArray, shape (n,)
        Positions of run and obstacle of each pair.
    """
    result = Measured.blank(run.size)
    used, place = np.unique(run, return_inverse=True)
    lanes, starts = swinging_lanes([runs[k] for k in used.tolist()])
    for first in range(0, run.size, _CHUNK):
        rows = np.arange(first, min(first + _CHUNK, run.size))
        layout, lane = ragged(starts, place[rows])
        result.put(rows, _worst(lanes, obstacles, layout, lane, obstacle[rows]))
    return result


def _worst(
    lanes: Lanes,
    obstacles: ObstacleSet,
    layout: Ragged,
    lane: IntArray,
    obstacle: IntArray,
) -> Measured:
    """Return the worst over the lanes of each pair, given end to end."""
    apart = _at_least(lanes, obstacles, lane, obstacle[layout.owner])
    nearest = layout.lowest_best(apart, np.arange(apart.size, dtype=np.float64))
    lead = measure(lanes, obstacles, lane[nearest], obstacle)
    enough = np.maximum(lead.clearance, lanes.limit[lane[nearest]])
    enough += lanes.radius[lane[nearest]] + _SLACK
    wanted = apart <= enough[layout.owner]
    wanted[nearest] = False
    others = wanted.nonzero()[0]
    wanted[nearest] = True
    every = wanted.nonzero()[0]
    found = Measured.blank(every.size)
    found.put(np.searchsorted(every, nearest), lead)
    into = np.searchsorted(every, others)
    for first in range(0, others.size, _ROWS):
        some = others[first : first + _ROWS]
        rest = measure(lanes, obstacles, lane[some], obstacle[layout.owner[some]])
        found.put(into[first : first + _ROWS], rest)
    counts = np.bincount(layout.owner[every], minlength=obstacle.size)
    return _merged(lanes, lane[every], Ragged.of(counts), found)


def _at_least(
    lanes: Lanes, obstacles: ObstacleSet, lane: IntArray, obstacle: IntArray
) -> FloatArray:
    """Return how far bare bodies are at least from the boxes round solids."""
    sides = _swept_boxes(lanes)
    way = obstacles.center.take(obstacle, axis=1) - lanes.frames.origin[:, lane]
    half = obstacles.half.take(obstacle, axis=1)
    square = np.zeros(lane.size)
    for axes, (low, high) in zip(lanes.frames.axes, sides, strict=True):
        axis = axes[:, lane]
        along, reach = axis * way, np.abs(axis) * half
        middle = along[0] + along[1] + along[2]
        spread = reach[0] + reach[1] + reach[2]
        gap = np.maximum(low[lane] - middle, middle - high[lane]) - spread
        gap = np.maximum(gap, 0.0)
        square += gap * gap
    return np.asarray(np.sqrt(square))


def _swept_boxes(lanes: Lanes) -> list[tuple[FloatArray, FloatArray]]:
    """Return the sides along u, v and w of what the lanes sweep."""
    depths = [sag.depths if sag else (0.0,) for sag in lanes.sag]
    deepest = np.array([max(0.0, *each) for each in depths])
    highest = np.array([min(0.0, *each) for each in depths])
    return [
        (np.zeros(lanes.length.size), lanes.length),
        (-lanes.side, lanes.side),
        (-lanes.down - deepest, lanes.travel + lanes.up - highest),
    ]


def _merged(lanes: Lanes, lane: IntArray, layout: Ragged, parts: Measured) -> Measured:
    """Return the worst of the lanes of each pair; bands are cut to the slices."""
    lo = np.maximum(parts.lo, lanes.low[lane])
    hi = np.minimum(parts.hi, lanes.low[lane] + lanes.travel[lane])
    met = hi >= lo
    parts.lo[:], parts.hi[:] = np.where(met, lo, np.nan), np.where(met, hi, np.nan)
    least = layout.spread(layout.least(parts.clearance))
    tie = parts.clearance == least
    height = np.where(tie, parts.at_height, np.inf)
    place = (tie & (height == layout.spread(layout.least(height)))).nonzero()[0]
    result = parts.take(layout.first_of_each(place))
    for name, extreme in _MERGED:
        values = getattr(parts, name)
        getattr(result, name)[:] = extreme.reduceat(values, layout.starts[:-1])
    return result
