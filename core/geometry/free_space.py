"""Where a run could hang: lateral position by height, free or blocked, and by what.

For a direction and a span, the run is shifted across in equal steps. At each such
column every convex obstacle blocks one band of heights, with exact ends.
"""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from core.errors import ValueRangeError
from core.geometry.bands import clip_bands, free_gaps, union_bands
from core.geometry.column_bands import column_bands
from core.geometry.kernels.placed import BoolArray
from core.geometry.map_frame import ColumnBands, MapFrame, RunBody
from core.geometry.obstacles import ObstacleSet
from core.geometry.runs import SweptRun
from core.geometry.shapes import FloatArray, IntArray

__all__ = ["FreeSpaceMap", "free_space_map", "updated_map"]

_PADDING = 4


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FreeSpaceMap:
    """Blocked heights of the run's axis at the supports, for every column.

    Attributes
    ----------
    frame : MapFrame
        Direction, span and columns.
    body : RunBody
        What is kept clear: the run's live metal and the air round it.
    columns : FloatArray, shape (n,)
        Lateral position of each column [in].
    bands : ColumnBands
        Every band with the obstacle that owns it, ordered by owner, then column.
    first : IntArray, shape (n + 1,)
        Where the united bands of each column begin, and the end.
    lo, hi : FloatArray, shape (m,)
        The united bands, by column, then height (room z) [in].
    """

    frame: MapFrame
    body: RunBody
    columns: FloatArray
    bands: ColumnBands
    first: IntArray
    lo: FloatArray
    hi: FloatArray

    def blocked(
        self, column: int, *, z_lo: float = -np.inf, z_hi: float = np.inf
    ) -> tuple[tuple[float, float], ...]:
        """Return the blocked heights of a column within [z_lo, z_hi] [in]."""
        return _pairs(*clip_bands(*self._united(column), low=z_lo, high=z_hi))

    def free_heights(
        self, column: int, z_lo: float, z_hi: float
    ) -> tuple[tuple[float, float], ...]:
        """Return the free heights of a column within [z_lo, z_hi] [in].

        A height at which the limit is just kept is free.
        """
        return _pairs(*free_gaps(*self._united(column), low=z_lo, high=z_hi))

    def owners(self, column: int, z: float) -> tuple[int, ...]:
        """Return the obstacles that block a height z [in] of a column."""
        bands = self.bands
        at = np.nonzero(bands.column == column)[0]
        hit = at[(bands.lo[at] < z) & (z < bands.hi[at])]
        return tuple(np.unique(bands.owner[hit]).tolist())

    def nearest_column(self, v: float) -> int:
        """Return the column nearest to a lateral position v [in]."""
        return int(np.argmin(np.abs(self.columns - v)))

    def _united(self, column: int) -> tuple[FloatArray, FloatArray]:
        part = slice(self.first[column], self.first[column + 1])
        return self.lo[part], self.hi[part]


def _pairs(lo: FloatArray, hi: FloatArray) -> tuple[tuple[float, float], ...]:
    """Return intervals as pairs of plain numbers."""
    return tuple(zip(lo.tolist(), hi.tolist(), strict=True))


def free_space_map(
    frame: MapFrame,
    obstacles: ObstacleSet,
    prototype: SweptRun,
    *,
    surfaces: ColumnBands | None = None,
) -> FreeSpaceMap:
    """Return the free-space map of a run's direction and span.

    Parameters
    ----------
    frame : MapFrame
        Direction, span and columns.
    obstacles : ObstacleSet
        Convex obstacles; a band's owner is the position in it.
    prototype : SweptRun
        Gives the run's body and its limit. Its place and its travel do not matter,
        except that a swing is allowed for as it is at the lowest height.
    surfaces : ColumnBands, optional
        Bands of what is not convex, with owners from ``len(obstacles)`` up.

    Returns
    -------
    FreeSpaceMap
        Bands with exact ends for a level run. Sag is covered by its greatest depth
        over the whole span and a swing by its greatest side way and rise, so both
        block more than they need, never less.

    Raises
    ------
    ValueRangeError
        If the owner of a band of `surfaces` is a position in `obstacles`.
    """
    body = RunBody.of(prototype)
    index = np.arange(len(obstacles))
    bands = _with_surfaces(
        column_bands(frame, body, obstacles, index), surfaces, len(obstacles)
    )
    columns = frame.columns()
    first, lo, hi = _united_columns(bands, np.arange(len(columns)), len(columns))
    return FreeSpaceMap(
        frame=frame, body=body, columns=columns, bands=bands, first=first, lo=lo, hi=hi
    )


def updated_map(
    old: FreeSpaceMap,
    obstacles: ObstacleSet,
    changed: Iterable[int],
    *,
    surfaces: ColumnBands | None = None,
) -> FreeSpaceMap:
    """Return the map after some obstacles changed, equal to a new one to the last bit.

    Parameters
    ----------
    old : FreeSpaceMap
        The map before the change.
    obstacles : ObstacleSet
        All obstacles after the change, each at its old position.
    changed : iterable of int
        Positions of those that changed, and owners of surfaces that did. Owners
        that are neither in `obstacles` nor in `surfaces` vanish.
    surfaces : ColumnBands, optional
        New bands of what is not convex; they take the place of their owners' old ones.

    Raises
    ------
    ValueRangeError
        If the owner of a band of `surfaces` is a position in `obstacles`.
    """
    index = np.unique(np.fromiter(changed, dtype=np.int64))
    gone = index if surfaces is None else np.union1d(index, surfaces.owner)
    fresh = _with_surfaces(
        column_bands(old.frame, old.body, obstacles, index[index < len(obstacles)]),
        surfaces,
        len(obstacles),
    )
    bands, dropped = old.bands.exchanged(gone, fresh)
    touched = np.zeros(len(old.columns), dtype=np.bool_)
    touched[dropped] = True
    touched[fresh.column] = True
    first, lo, hi = _exchanged_columns(old, bands, np.nonzero(touched)[0])
    return FreeSpaceMap(
        frame=old.frame,
        body=old.body,
        columns=old.columns,
        bands=bands,
        first=first,
        lo=lo,
        hi=hi,
    )


def _with_surfaces(
    bands: ColumnBands, surfaces: ColumnBands | None, count: int
) -> ColumnBands:
    """Return the bands of convex obstacles followed by those of surfaces."""
    if surfaces is None or not surfaces.owner.size:
        return bands
    if surfaces.owner.min() < count:
        message = (
            f"surface owner = {surfaces.owner.min()} is the position of one of "
            f"{count} obstacles; number surfaces from {count} up"
        )
        raise ValueRangeError(message)
    order = np.lexsort((surfaces.lo, surfaces.column, surfaces.owner))
    return ColumnBands.joined(bands, surfaces.take(order))


def _united_columns(
    bands: ColumnBands, wanted: IntArray, count: int
) -> tuple[IntArray, FloatArray, FloatArray]:
    """Return the united bands of the wanted columns, and where each column begins."""
    place = np.full(count, -1)
    place[wanted] = np.arange(len(wanted))
    row = place[bands.column]
    lo, hi = bands.lo, bands.hi
    if len(wanted) < count:
        kept = np.nonzero(row >= 0)[0]
        row, lo, hi = row[kept], lo[kept], hi[kept]
    sizes = np.bincount(row, minlength=len(wanted))
    if sizes.max(initial=0) * len(wanted) > _PADDING * len(row):
        group, lo, hi = union_bands(row, lo, hi)
        return _starts(np.bincount(group, minlength=len(wanted))), lo, hi
    return _united_rows(row, lo, hi, sizes)


def _united_rows(
    row: IntArray, lo: FloatArray, hi: FloatArray, sizes: IntArray
) -> tuple[IntArray, FloatArray, FloatArray]:
    """Unite bands row by row: sort starts and ends each for itself in padded rows.

    A gap follows the k-th end exactly where the next start lies above it.
    """
    order = np.argsort(row.astype(np.int16), kind="stable")
    row = row[order]
    place = np.arange(len(row)) - _starts(sizes)[row]
    starts = np.full((len(sizes), int(sizes.max(initial=0)) + 1), np.inf)
    ends = np.full(starts.shape, np.inf)
    starts[row, place], ends[row, place] = lo[order], hi[order]
    starts.sort(axis=1)
    ends.sort(axis=1)
    used = np.arange(starts.shape[1]) < sizes[:, None]
    fresh = used.copy()
    fresh[:, 1:] &= starts[:, 1:] > ends[:, :-1]
    last = np.zeros_like(used)
    last[:, :-1] = used[:, :-1] & (fresh[:, 1:] | ~used[:, 1:])
    return _starts(np.count_nonzero(fresh, axis=1)), starts[fresh], ends[last]


def _starts(sizes: IntArray) -> IntArray:
    """Return where each part begins, and the end, from the lengths of the parts."""
    return np.concatenate(([0], np.cumsum(sizes)))


def _exchanged_columns(
    old: FreeSpaceMap, bands: ColumnBands, touched: IntArray
) -> tuple[IntArray, FloatArray, FloatArray]:
    """Return the united bands with those of the touched columns made anew."""
    first, lo, hi = _united_columns(bands, touched, len(old.columns))
    sizes = np.diff(old.first)
    stale = np.zeros(len(sizes), dtype=np.bool_)
    stale[touched] = True
    kept = ~np.repeat(stale, sizes)
    sizes[touched] = np.diff(first)
    fresh = np.repeat(stale, sizes)
    return (
        _starts(sizes),
        _mixed(fresh, lo, old.lo[kept]),
        _mixed(fresh, hi, old.hi[kept]),
    )


def _mixed(fresh: BoolArray, new: FloatArray, kept: FloatArray) -> FloatArray:
    """Return new values where fresh and kept ones elsewhere, each in its order."""
    mixed = np.zeros(len(fresh))
    mixed[fresh], mixed[~fresh] = new, kept
    return mixed
