"""What the second method says of pairs of a swept run and a convex solid."""

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from core.geometry.runs import SweptRun
from core.geometry.shapes import Shape
from tests.oracle.gap_oracle import Segments, Solids, band_ends, gap_at, least_gap, pack

Array = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class Verdicts:
    """One row per pair: as the columns of the same names in a `PairTable`."""

    lo: Array
    hi: Array
    clearance: Array
    station_lo: Array
    station_hi: Array


def verdicts(runs: Sequence[SweptRun], shapes: Sequence[Shape]) -> Verdicts:
    """Return the verdicts on run `i` against shape `i`; no side, sag or swing."""
    kinds = np.array([type(shape).__name__ for shape in shapes])
    columns = {f.name: np.full(len(shapes), np.nan) for f in fields(Verdicts)}
    for kind in np.unique(kinds):
        rows = np.nonzero(kinds == kind)[0]
        part = _of_one_kind([runs[i] for i in rows], pack([shapes[i] for i in rows]))
        for name, column in columns.items():
            column[rows] = getattr(part, name)
    return Verdicts(**columns)


def _of_one_kind(runs: Sequence[SweptRun], solids: Solids) -> Verdicts:
    low, travel = _column(runs, "low"), _column(runs, "travel")
    down, up, radius = (
        _column(runs, "down"),
        _column(runs, "up"),
        _column(runs, "radius"),
    )
    reach = radius + _column(runs, "limit")
    lying = lying_segments(runs)
    _, gap = least_gap(lying, solids, low - down, low + travel + up)
    lo, hi = band_ends(lying, solids, reach)
    first, last = band_ends(standing_segments(runs), solids, reach)
    none = (last < 0.0) | (first > lying.length) | (gap >= reach)
    return Verdicts(
        lo=lo - up,
        hi=hi + down,
        clearance=gap - radius,
        station_lo=np.where(none, np.nan, np.maximum(first, 0.0)),
        station_hi=np.where(none, np.nan, np.minimum(last, lying.length)),
    )


def lying_segments(runs: Sequence[SweptRun]) -> Segments:
    """Return the axes of runs at z = 0, to be moved up."""
    start, direction, length = _axes(runs)
    up = np.zeros_like(start)
    up[:, 2] = 1.0
    return Segments(
        start=start,
        direction=direction,
        length=length,
        move=up,
    )


def standing_segments(runs: Sequence[SweptRun]) -> Segments:
    """Return the heights that the starts of runs sweep, to be moved along the runs."""
    start, direction, _ = _axes(runs)
    start[:, 2] = _column(runs, "low") - _column(runs, "down")
    up = np.zeros_like(start)
    up[:, 2] = 1.0
    return Segments(
        start=start,
        direction=up,
        length=_column(runs, "travel") + _column(runs, "down") + _column(runs, "up"),
        move=direction,
    )


def gap_at_height(
    runs: Sequence[SweptRun], shapes: Sequence[Shape], height: Array
) -> Array:
    """Return the gap of the live metal of each run at a height to its shape."""
    kinds = np.array([type(shape).__name__ for shape in shapes])
    gaps = np.zeros(len(shapes))
    for kind in np.unique(kinds):
        rows = np.nonzero(kinds == kind)[0]
        part, solids = [runs[i] for i in rows], pack([shapes[i] for i in rows])
        lying = lying_segments(part)
        down, up = _column(part, "down"), _column(part, "up")
        if np.any(down + up):
            gaps[rows] = least_gap(
                lying, solids, height[rows] - down, height[rows] + up
            )[1]
        else:
            gaps[rows] = gap_at(lying, solids, height[rows])
        gaps[rows] -= _column(part, "radius")
    return gaps


def _column(runs: Sequence[SweptRun], name: str) -> Array:
    return np.array([float(getattr(run, name)) for run in runs])


def _axes(runs: Sequence[SweptRun]) -> tuple[Array, Array, Array]:
    start = np.array([[*run.start, 0.0] for run in runs])
    along = np.array([[*run.end, 0.0] for run in runs]) - start
    length = np.sqrt(np.sum(along * along, axis=1))
    return start, along / length[:, None], length
