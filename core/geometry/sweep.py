"""Exact clearance of level runs over their whole travel against convex solids."""

from collections.abc import Sequence
from dataclasses import dataclass, fields
from operator import is_

import numpy as np
from numpy.typing import NDArray

from core.geometry.broad_phase import Kin, near_pairs
from core.geometry.lanes import enclosed, plain_lanes
from core.geometry.measure import Measured, measure
from core.geometry.obstacles import ObstacleSet
from core.geometry.runs import SweptRun
from core.geometry.shapes import FloatArray, IntArray
from core.geometry.swung import swung

__all__ = ["PairTable", "sweep", "sweep_pairs"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PairTable:
    """One row for each pair of run and obstacle, ordered by run, then obstacle.

    Attributes
    ----------
    run, obstacle : IntArray, shape (n,)
        Positions in the sequences that were given.
    lo, hi : FloatArray, shape (n,)
        Blocked heights of the axis at the supports (room z, not clipped to the
        travel) [in]; NaN where no height comes within the limit.
    clearance : FloatArray, shape (n,)
        Least gap between the surfaces over the travel [in]; negative is overlap;
        never below `-radius`, which means that the axis body itself is inside.
    at_height : FloatArray, shape (n,)
        The lowest height of the axis at the supports where it is least [in].
    on_run, on_obstacle : FloatArray, shape (n, 3)
        The nearest points of the two surfaces there [in].
    station_lo, station_hi : FloatArray, shape (n,)
        Stations along the run within the limit over the travel [in]; NaN where
        there are none.
    """

    run: IntArray
    obstacle: IntArray
    lo: FloatArray
    hi: FloatArray
    clearance: FloatArray
    at_height: FloatArray
    on_run: FloatArray
    on_obstacle: FloatArray
    station_lo: FloatArray
    station_hi: FloatArray


def sweep(
    runs: Sequence[SweptRun],
    obstacles: ObstacleSet,
    *,
    horizon: float = 24.0,
    kin: Kin | None = None,
) -> PairTable:
    """Return every pair whose surfaces come within `horizon` [in] of each other.

    Parameters
    ----------
    runs : sequence of SweptRun
        The runs, each lifted through its whole travel.
    obstacles : ObstacleSet
        The solids that stay where they are.
    horizon : float
        Pairs with more air than this are left out [in]; pairs within the limit of
        their run are always kept.
    kin : tuple of IntArray, optional
        A number for each run and one for each obstacle: pairs of the same number
        belong together and are left out.

    Returns
    -------
    PairTable
        Ordered by run, then obstacle. A row depends on its own pair alone, to the
        last bit, so that rows measured apart may be put together.

    Notes
    -----
    The distance of a level body to a convex solid is a convex function of its height,
    so the heights that come too close form one band; its ends are the extremes of
    `w -/+ sqrt(D^2 - rho^2)` over the points of the solid, rho the distance of a point
    from the body in plan. Ends and least distances are closed forms or bracketed
    roots; no height is sampled.

    Sag shifts the band by the least and greatest sag over the stations in contact, so
    that nothing is missed and no more is added than the sag varies there. A swinging
    run is swept over its whole sector with at most 0.011 in too much; its band is
    cut to the travel.
    """
    holding = [enclosed(run) for run in runs]
    around = plain_lanes(holding)
    run, obstacle = near_pairs(around, obstacles, margin=horizon, kin=kin)
    if all(map(is_, holding, runs)):
        table = _table(run, obstacle, measure(around, obstacles, run, obstacle))
    else:
        table = sweep_pairs(runs, obstacles, run, obstacle)
    kept = (table.clearance <= horizon) | ~np.isnan(table.station_lo)
    return _rows(table, kept)


def sweep_pairs(
    runs: Sequence[SweptRun],
    obstacles: ObstacleSet,
    pairs_run: IntArray,
    pairs_obstacle: IntArray,
) -> PairTable:
    """Return the given pairs, however far apart they are.

    Parameters
    ----------
    runs : sequence of SweptRun
        The runs.
    obstacles : ObstacleSet
        The solids.
    pairs_run, pairs_obstacle : IntArray, shape (n,)
        Positions of run and obstacle of each pair; the rows keep their order.

    See Also
    --------
    sweep : the same for all pairs that are near, and what is measured.
    """
    swinging = np.array([_swings(run) for run in runs], dtype=np.bool_)
    if not swinging.any():
        lanes = plain_lanes(runs)
        return _table(
            pairs_run,
            pairs_obstacle,
            measure(lanes, obstacles, pairs_run, pairs_obstacle),
        )
    result = Measured.blank(pairs_run.size)
    for chosen, ask in ((~swinging, _plumb), (swinging, swung)):
        rows = chosen[pairs_run].nonzero()[0]
        result.put(rows, ask(runs, obstacles, pairs_run[rows], pairs_obstacle[rows]))
    return _table(pairs_run, pairs_obstacle, result)


def _plumb(
    runs: Sequence[SweptRun], obstacles: ObstacleSet, run: IntArray, obstacle: IntArray
) -> Measured:
    """Return the pairs of runs that hang plumb."""
    return measure(plain_lanes(runs), obstacles, run, obstacle)


def _swings(run: SweptRun) -> bool:
    """Return whether a run can leave the plumb line."""
    return run.swing is not None and run.swing.angle > 0.0


def _table(run: IntArray, obstacle: IntArray, rows: Measured) -> PairTable:
    """Return measured pairs as a table."""
    return PairTable(
        run=run,
        obstacle=obstacle,
        lo=rows.lo,
        hi=rows.hi,
        clearance=rows.clearance,
        at_height=rows.at_height,
        on_run=np.ascontiguousarray(rows.on_run.T),
        on_obstacle=np.ascontiguousarray(rows.on_obstacle.T),
        station_lo=rows.station_lo,
        station_hi=rows.station_hi,
    )


def _rows(table: PairTable, kept: NDArray[np.bool_]) -> PairTable:
    """Return the kept rows of a table."""
    return PairTable(**{f.name: getattr(table, f.name)[kept] for f in fields(table)})
