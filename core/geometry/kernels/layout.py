"""How the features of many solids lie end to end, and how they are gathered back."""

from dataclasses import dataclass

import numpy as np

from core.geometry.shapes import FloatArray, IntArray

__all__ = ["Ragged", "ragged"]

_TIE = 1e-12


@dataclass(frozen=True, slots=True)
class Ragged:
    """Features end to end: the solid that each belongs to, and where each begins."""

    owner: IntArray
    starts: IntArray

    @classmethod
    def of(cls, counts: IntArray) -> "Ragged":
        """Return the layout of solids with so many features each."""
        starts = np.zeros(counts.size + 1, dtype=np.int64)
        counts.cumsum(out=starts[1:])
        return cls(np.arange(counts.size).repeat(counts), starts)

    def spread(self, values: FloatArray) -> FloatArray:
        """Return the value of the owner of each feature."""
        return np.asarray(values.take(self.owner, axis=-1))

    def least(self, values: FloatArray) -> FloatArray:
        """Return the least of each part."""
        return np.asarray(np.minimum.reduceat(values, self.starts[:-1]))

    def most(self, values: FloatArray) -> FloatArray:
        """Return the greatest of each part."""
        return np.asarray(np.maximum.reduceat(values, self.starts[:-1]))

    def lowest_best(self, score: FloatArray, height: FloatArray) -> IntArray:
        """Return the place of the least score, the lowest of equal ones."""
        tie = score <= self.spread(self.least(score)) * (1.0 + _TIE)
        key = np.where(tie, height, np.inf)
        place = (key == self.spread(self.least(key))).nonzero()[0]
        return self.first_of_each(place)

    def first_of_each(self, place: IntArray) -> IntArray:
        """Return the first place in each part, of places that each part has some of."""
        if place.size == self.starts.size - 1:
            return place
        owner = self.owner[place]
        first = np.ones(owner.size, dtype=np.bool_)
        first[1:] = owner[1:] != owner[:-1]
        return np.asarray(place[first])

    def joined(self, *others: "Ragged") -> "Ragged":
        """Return the layout with the solids of others after it."""
        owners, starts = [self.owner], [self.starts]
        for other in others:
            owners.append(other.owner + (sum(map(len, starts)) - len(starts)))
            starts.append(other.starts + starts[-1][-1])
        ends = [part[1:] for part in starts[1:]]
        return Ragged(np.concatenate(owners), np.concatenate((self.starts, *ends)))

    def take(self, rows: IntArray) -> tuple["Ragged", IntArray]:
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
    begins = starts[rows]
    layout = Ragged.of(starts[rows + 1] - begins)
    shift = begins - layout.starts[:-1]
    return layout, np.arange(layout.owner.size) + shift[layout.owner]
