"""United intervals of several owners: what is blocked, and what reaches out of it."""

from dataclasses import dataclass

import numpy as np

from core.geometry.poses import slices
from core.geometry.shapes import FloatArray, IntArray

__all__ = ["Spans"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Spans:
    """Disjoint intervals, by owner and upwards.

    Attributes
    ----------
    owner : (m,) int
        Whose they are, ascending.
    lo, hi : (m,) float
        Their ends [in].
    """

    owner: IntArray
    lo: FloatArray
    hi: FloatArray

    @classmethod
    def united(cls, owner: IntArray, lo: FloatArray, hi: FloatArray) -> "Spans":
        """Unite the intervals of each owner.

        Those without length are left out, touching ones join. Starts and ends are
        sorted each for itself: a gap follows an end exactly where the next start
        lies above it.
        """
        some = (lo < hi).nonzero()[0]
        owner, lo, hi = owner[some], lo[some], hi[some]
        if (owner[1:] < owner[:-1]).any():
            order = np.argsort(owner, kind="stable")
            owner, lo, hi = owner[order], lo[order], hi[order]
        for _, rows in slices(owner):
            lo[rows].sort()
            hi[rows].sort()
        gap = np.ones(lo.size + 1, dtype=np.bool_)
        gap[1:-1] = (lo[1:] > hi[:-1]) | (owner[1:] != owner[:-1])
        first, last = gap[:-1], gap[1:]
        return cls(owner=owner[first], lo=lo[first], hi=hi[last])

    def joined(self, owner: IntArray, lo: FloatArray, hi: FloatArray) -> "Spans":
        """Unite with more intervals."""
        return Spans.united(
            np.concatenate([self.owner, owner]),
            np.concatenate([self.lo, lo]),
            np.concatenate([self.hi, hi]),
        )

    def excess(self, owner: IntArray, low: FloatArray, high: FloatArray) -> FloatArray:
        """Return how far intervals reach out of those of their owner; <= 0 covered.

        Owners are ascending; `inf, -inf` is no interval and reaches nowhere.
        """
        if not self.owner.size:
            return high - low
        parts = list(slices(owner))
        owners = np.array([one for one, _ in parts])
        firsts = np.searchsorted(self.owner, owners, side="left").tolist()
        lasts = np.searchsorted(self.owner, owners, side="right").tolist()
        excess = high - low
        for (_, rows), first, last in zip(parts, firsts, lasts, strict=True):
            if first < last:
                lo, hi = self.lo[first:last], self.hi[first:last]
                excess[rows] = _excess(lo, hi, low[rows], high[rows])
        return excess


def _excess(
    lo: FloatArray, hi: FloatArray, low: FloatArray, high: FloatArray
) -> FloatArray:
    """Return how far intervals reach out of the disjoint ones from lo to hi."""
    below = np.searchsorted(lo, low, side="right") - 1
    return np.asarray(np.where(below < 0, lo[0] - low, high - hi[below]))
