"""Tables of clearances of single subjects, patched where obstacles changed.

A subject is a run's body or the strands that hang with it. Its table is kept
while the subject is the same object and no obstacle near it changes; the rows of
a pair do not depend on what else is measured with it, so that patching gives, to
the last bit, what measuring everything again gives.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields
from typing import Any, Generic, TypeVar

import numpy as np

from core.geometry.broad_phase import Kin
from core.geometry.distance import SegmentTable, segment_clearances
from core.geometry.obstacles import ObstacleSet
from core.geometry.runs import SweptRun
from core.geometry.shapes import FloatArray, IntArray, Shape
from core.geometry.sweep import PairTable, sweep

__all__ = [
    "HORIZON",
    "LEAD_HORIZON",
    "RUB_HORIZON",
    "Kinship",
    "StrandRow",
    "Tables",
    "body_tables",
    "lead_tables",
    "strand_tables",
]

HORIZON = 24.0  # [in] beyond it a clearance is reported as "over 24 in"
RUB_HORIZON = 8.0  # [in] the same for ropes and cables
LEAD_HORIZON = 16.0  # [in] the same for leads, which keep the envelope

S = TypeVar("S")
T = TypeVar("T", PairTable, SegmentTable)
Measure = Callable[[Sequence[S], ObstacleSet, Kin], tuple[T, ...]]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Kinship:
    """Which subjects and obstacles belong together and are not measured.

    `subjects` are numbers by subject id, `obstacles` one for each obstacle.
    """

    subjects: Mapping[str, int]
    obstacles: IntArray

    def of(self, keys: Sequence[str], places: IntArray | None = None) -> Kin:
        """Return the numbers of some subjects and of all or some obstacles."""
        mine = np.array([self.subjects.get(key, -2) for key in keys], dtype=np.int64)
        return mine, self.obstacles if places is None else self.obstacles[places]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StrandRow:
    """Still capsules in a row: ends `(n, 3)` and radii `(n,)` [in]."""

    starts: FloatArray
    ends: FloatArray
    radii: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Tables(Generic[S, T]):
    """The table of each subject by its id."""

    subjects: Mapping[str, S]
    by_id: Mapping[str, T]

    def renewed(
        self,
        subjects: Mapping[str, S],
        obstacles: ObstacleSet,
        changes: Mapping[int, Shape] | None,
        measure: Measure[S, T],
        kinship: Kinship,
    ) -> "Tables[S, T]":
        """Return the tables after an edit.

        Parameters
        ----------
        subjects : mapping of str
            The subjects as they are now.
        obstacles : ObstacleSet
            All obstacles as they are now.
        changes : mapping of int to Shape, or None
            The obstacles that changed, by place; None when the places changed.
        measure : callable
            Measures subjects against obstacles, one table each.
        kinship : Kinship
            What belongs together; unchanged while the obstacles' places match.

        Returns
        -------
        Tables
            Tables that nothing has touched are the same objects as before.
        """
        kept = [] if changes is None else self._unmoved(subjects)
        fresh = [key for key in subjects if key not in set(kept)]
        made: tuple[T, ...] = ()
        if fresh:
            own = kinship.of(fresh)
            made = measure([subjects[key] for key in fresh], obstacles, own)
        found = dict(zip(fresh, made, strict=True))
        if kept and changes:
            found |= self._patched(kept, changes, measure, kinship)
        else:
            found |= {key: self.by_id[key] for key in kept}
        return Tables(
            subjects=dict(subjects), by_id={key: found[key] for key in subjects}
        )

    def _unmoved(self, subjects: Mapping[str, S]) -> list[str]:
        return [key for key, now in subjects.items() if self.subjects.get(key) is now]

    def _patched(
        self,
        kept: Sequence[str],
        changes: Mapping[int, Shape],
        measure: Measure[S, T],
        kinship: Kinship,
    ) -> dict[str, T]:
        places = np.array(sorted(changes), dtype=np.int64)
        few = ObstacleSet.of([changes[place] for place in sorted(changes)])
        own = kinship.of(kept, places)
        fresh = measure([self.subjects[key] for key in kept], few, own)
        return {
            key: _patched_one(self.by_id[key], _at_places(new, places), places)
            for key, new in zip(kept, fresh, strict=True)
        }


def _columns(table: PairTable | SegmentTable) -> dict[str, Any]:
    return {field.name: getattr(table, field.name) for field in fields(table)}


def _rows(table: T, chosen: slice | IntArray) -> T:
    return type(table)(**{name: x[chosen] for name, x in _columns(table).items()})


def _at_places(table: T, places: IntArray) -> T:
    return type(table)(**{**_columns(table), "obstacle": places[table.obstacle]})


def _patched_one(old: T, new: T, places: IntArray) -> T:
    stale = np.isin(old.obstacle, places)
    if not stale.any() and not new.obstacle.size:
        return old
    kept = _columns(_rows(old, np.flatnonzero(~stale)))
    both = {name: np.concatenate((x, getattr(new, name))) for name, x in kept.items()}
    first = both["segment"] if "segment" in both else both["run"]
    order = np.lexsort((both["obstacle"], first))
    return type(old)(**{name: x[order] for name, x in both.items()})


def body_tables(
    bodies: Sequence[SweptRun], obstacles: ObstacleSet, kin: Kin
) -> tuple[PairTable, ...]:
    """Sweep all bodies at once and return one table for each; its run is 0."""
    table = sweep(bodies, obstacles, horizon=HORIZON, kin=kin)
    cuts = np.searchsorted(table.run, np.arange(len(bodies) + 1))
    parts = [_rows(table, slice(*cuts[i : i + 2])) for i in range(len(bodies))]
    return tuple(
        PairTable(**{**_columns(part), "run": np.zeros_like(part.run)})
        for part in parts
    )


def strand_tables(
    rows: Sequence[StrandRow], obstacles: ObstacleSet, kin: Kin
) -> tuple[SegmentTable, ...]:
    """Measure all strands at once and return one table for each row of them."""
    return _segment_tables(rows, obstacles, kin, RUB_HORIZON)


def lead_tables(
    rows: Sequence[StrandRow], obstacles: ObstacleSet, kin: Kin
) -> tuple[SegmentTable, ...]:
    """Measure all leads at once and return one table for each of them."""
    return _segment_tables(rows, obstacles, kin, LEAD_HORIZON)


def _segment_tables(
    rows: Sequence[StrandRow], obstacles: ObstacleSet, kin: Kin, horizon: float
) -> tuple[SegmentTable, ...]:
    counts = np.array([len(row.radii) for row in rows], dtype=np.int64)
    table = segment_clearances(
        np.concatenate([row.starts for row in rows]),
        np.concatenate([row.ends for row in rows]),
        np.concatenate([row.radii for row in rows]),
        obstacles,
        horizon=horizon,
        kin=(np.repeat(kin[0], counts), kin[1]),
    )
    bounds = np.concatenate(([0], np.cumsum(counts)))
    cuts = np.searchsorted(table.segment, bounds)
    return tuple(
        SegmentTable(**{**_columns(part), "segment": part.segment - bounds[i]})
        for i in range(len(rows))
        for part in [_rows(table, slice(cuts[i], cuts[i + 1]))]
    )
