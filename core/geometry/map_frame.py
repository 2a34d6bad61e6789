"""A free-space map's columns, the body kept clear in them, and bands of heights."""

from dataclasses import dataclass
from math import cos, sin

import numpy as np

from core.errors import ValueRangeError
from core.geometry.runs import SweptRun
from core.geometry.shapes import FloatArray, IntArray, Vec2

__all__ = ["ColumnBands", "MapFrame", "RunBody"]


@dataclass(frozen=True, slots=True, kw_only=True)
class MapFrame:
    """The direction and span of a run, and the columns that it is shifted to.

    Attributes
    ----------
    origin : Vec2
        The start of the run that has lateral position 0 [in].
    direction : Vec2
        Unit vector along the run; lateral positions grow to its left [-].
    length : float
        Span of the run's axis, above 0 [in].
    v_lo, v_hi : float
        First lateral position and the largest one [in].
    step : float
        Distance between columns, above 0 [in].
    """

    origin: Vec2
    direction: Vec2
    length: float
    v_lo: float
    v_hi: float
    step: float = 0.25

    def __post_init__(self) -> None:
        """Refuse a frame without a direction, a span or a column."""
        if abs(self.direction[0] ** 2 + self.direction[1] ** 2 - 1.0) > 1e-9:
            message = f"map direction = {self.direction} must have length 1"
            raise ValueRangeError(message)
        if not (self.length > 0.0 and self.step > 0.0 and self.v_hi >= self.v_lo):
            message = (
                f"map length = {self.length:g} in and step = {self.step:g} in must be "
                f"above 0, and {self.v_hi:g} in not below {self.v_lo:g} in"
            )
            raise ValueRangeError(message)

    @property
    def count(self) -> int:
        """Number of columns [-]."""
        return int((self.v_hi - self.v_lo) / self.step + 1e-9) + 1

    def columns(self) -> FloatArray:
        """Return the lateral position of each column, shape (n,) [in]."""
        return self.v_lo + self.step * np.arange(self.count, dtype=np.float64)


@dataclass(frozen=True, slots=True, kw_only=True)
class RunBody:
    """The live metal of a level run and the air round it: a grown rectangle [in]."""

    reach: float
    down: float
    up: float
    side: float

    @classmethod
    def of(cls, run: SweptRun) -> "RunBody":
        """Return the body of a run, its sag and its swing covered at their largest."""
        depths = (0.0, *run.sag.depths) if run.sag else (0.0,)
        angle = run.swing.angle if run.swing else 0.0
        pulley = run.swing.pulley_height if run.swing else run.low
        rope = pulley - run.low + run.down + max(depths)
        tilt = run.side * sin(angle)
        return cls(
            reach=run.radius + run.limit,
            down=run.down + max(depths) + tilt,
            up=run.up - min(depths) + rope * (1.0 - cos(angle)) + tilt,
            side=run.side + rope * sin(angle),
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ColumnBands:
    """Bands of blocked heights: owner and column of each, lower and upper end [in]."""

    owner: IntArray
    column: IntArray
    lo: FloatArray
    hi: FloatArray

    def take(self, rows: IntArray) -> "ColumnBands":
        """Return the bands at the given rows."""
        return ColumnBands(
            owner=self.owner[rows],
            column=self.column[rows],
            lo=self.lo[rows],
            hi=self.hi[rows],
        )

    @classmethod
    def joined(cls, *parts: "ColumnBands") -> "ColumnBands":
        """Return the bands of all parts, one after the other."""
        return cls(
            owner=np.concatenate([part.owner for part in parts]),
            column=np.concatenate([part.column for part in parts]),
            lo=np.concatenate([part.lo for part in parts]),
            hi=np.concatenate([part.hi for part in parts]),
        )

    def exchanged(
        self, gone: IntArray, fresh: "ColumnBands"
    ) -> tuple["ColumnBands", IntArray]:
        """Return bands without some owners and with fresh ones, and columns lost.

        Both parts are ordered by owner, and so is the result.
        """
        begin = np.searchsorted(self.owner, gone)
        end = np.searchsorted(self.owner, gone, side="right")
        start = np.searchsorted(fresh.owner, gone)
        stop = np.searchsorted(fresh.owner, gone, side="right")
        parts, lost, done = [], [np.zeros(0, dtype=np.int64)], 0
        for i in range(len(gone)):
            parts += [self.span(done, begin[i]), fresh.span(start[i], stop[i])]
            lost.append(self.column[begin[i] : end[i]])
            done = end[i]
        parts.append(self.span(done, len(self.owner)))
        return ColumnBands.joined(*parts), np.concatenate(lost)

    def span(self, start: int, stop: int) -> "ColumnBands":
        """Return the bands from one row up to another."""
        part = slice(start, stop)
        return ColumnBands(
            owner=self.owner[part],
            column=self.column[part],
            lo=self.lo[part],
            hi=self.hi[part],
        )
