"""How the features of many solids lie in arrays, and how they are gathered back."""

from dataclasses import dataclass
from typing import Protocol

import numpy as np

from core.geometry.shapes import FloatArray, IntArray

__all__ = ["Index", "Layout", "Ragged", "Stacked", "ragged"]

Index = IntArray | tuple[slice, IntArray]

_TIE = 1e-12


class Layout(Protocol):
    """Features of solids: solid values go out to them, feature values come back."""

    def spread(self, values: FloatArray) -> FloatArray:
        """Return one value per solid so that it broadcasts over its features."""
        ...

    def least(self, values: FloatArray) -> FloatArray:
        """Return the least of the values of each solid."""
        ...

    def most(self, values: FloatArray) -> FloatArray:
        """Return the greatest of the values of each solid."""
        ...

    def lowest_best(self, score: FloatArray, height: FloatArray) -> IntArray:
        """Return the flat place of the least score, the lowest of equal ones."""
        ...

    def take(self, rows: IntArray) -> tuple["Layout", Index]:
        """Return the layout of some solids and the index of their features."""
        ...


@dataclass(frozen=True, slots=True)
class Stacked:
    """As many features for each solid: arrays `(features, solids)`."""

    def spread(self, values: FloatArray) -> FloatArray:
        """Return the values as they are: they broadcast."""
        return values

    def least(self, values: FloatArray) -> FloatArray:
        """Return the least of each column."""
        return np.asarray(values.min(axis=0))

    def most(self, values: FloatArray) -> FloatArray:
        """Return the greatest of each column."""
        return np.asarray(values.max(axis=0))

    def lowest_best(self, score: FloatArray, height: FloatArray) -> IntArray:
        """Return the flat place of the least score, the lowest of equal ones."""
        tie = score <= score.min(axis=0) * (1.0 + _TIE)
        row = np.where(tie, height, np.inf).argmin(axis=0)
        count = score.shape[1]
        return np.asarray(row * count + np.arange(count))

    def take(self, rows: IntArray) -> tuple[Layout, Index]:
        """Return the layout of some columns and their index."""
        return self, (slice(None), rows)


@dataclass(frozen=True, slots=True)
class Ragged:
    """Features end to end: the solid that each belongs to, and where each begins."""

    owner: IntArray
    starts: IntArray

    def spread(self, values: FloatArray) -> FloatArray:
        """Return the value of the owner of each feature."""
        return np.asarray(values[self.owner])

    def least(self, values: FloatArray) -> FloatArray:
        """Return the least of each part."""
        return np.asarray(np.minimum.reduceat(values, self.starts[:-1]))

    def most(self, values: FloatArray) -> FloatArray:
        """Return the greatest of each part."""
        return np.asarray(np.maximum.reduceat(values, self.starts[:-1]))

    def lowest_best(self, score: FloatArray, height: FloatArray) -> IntArray:
        """Return the flat place of the least score, the lowest of equal ones."""
        tie = score <= self.spread(self.least(score)) * (1.0 + _TIE)
        key = np.where(tie, height, np.inf)
        place = np.flatnonzero(key == self.spread(self.least(key)))
        owner = self.owner[place]
        first = np.ones(owner.size, dtype=np.bool_)
        first[1:] = owner[1:] != owner[:-1]
        return np.asarray(place[first])

    def take(self, rows: IntArray) -> tuple[Layout, Index]:
        """Return the layout of some solids and the index of their features."""
        return ragged(self.starts, rows)


def ragged(starts: IntArray, rows: IntArray) -> tuple[Ragged, IntArray]:
    """Lay the features of the given solids end to end.

    Parameters
    ----------
    starts : IntArray, shape (n + 1,)
        Where the features of each solid begin, and the end.
    rows : IntArray, shape (m,)
        Solids, in the order wanted, repeats allowed.

    Returns
    -------
    layout : Ragged
        The layout of the result.
    index : IntArray
        Place of each of its features in the source.

    Examples
    --------
    >>> import numpy as np
    >>> ragged(np.array([0, 2, 5]), np.array([1, 0]))[1]
    array([2, 3, 4, 0, 1])
    """
    counts = starts[rows + 1] - starts[rows]
    begins = np.concatenate(([0], np.cumsum(counts)))
    owner = np.repeat(np.arange(rows.size), counts)
    index = np.arange(begins[-1]) + (starts[rows] - begins[:-1])[owner]
    return Ragged(owner, begins), index
