"""Exact clearance of level runs over their whole travel against convex solids."""

from collections.abc import Sequence
from dataclasses import dataclass

from core.geometry.obstacles import ObstacleSet
from core.geometry.runs import SweptRun
from core.geometry.shapes import FloatArray, IntArray

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
    runs: Sequence[SweptRun], obstacles: ObstacleSet, *, horizon: float = 24.0
) -> PairTable:
    """Return every pair whose surfaces come within `horizon` [in] of each other."""
    raise NotImplementedError


def sweep_pairs(
    runs: Sequence[SweptRun],
    obstacles: ObstacleSet,
    pairs_run: IntArray,
    pairs_obstacle: IntArray,
) -> PairTable:
    """Return the given pairs, however far apart they are."""
    raise NotImplementedError
