"""What each kind of solid answers once it is placed in the frames of its runs."""

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from core.geometry.shapes import FloatArray, IntArray

__all__ = [
    "Asked",
    "Band",
    "BoolArray",
    "Contact",
    "Frames",
    "Gap",
    "Placed",
    "Reach",
    "Room",
    "columns",
]

BoolArray = NDArray[np.bool_]
Band = tuple[FloatArray, FloatArray]


@dataclass(frozen=True, slots=True)
class Frames:
    """One run frame per pair: origin `(3, n)` [in] and the axes u, v, w [-].

    The axes are `(3, 3, n)`: first the axis, then its part along x, y, z.
    """

    origin: FloatArray
    axes: FloatArray

    @property
    def u(self) -> FloatArray:
        """Return the axes along the runs."""
        return np.asarray(self.axes[0])

    @property
    def v(self) -> FloatArray:
        """Return the axes across."""
        return np.asarray(self.axes[1])

    @property
    def w(self) -> FloatArray:
        """Return the axes upward."""
        return np.asarray(self.axes[2])

    def take(self, rows: IntArray) -> "Frames":
        """Return the frames at the given rows."""
        return Frames(self.origin[:, rows], self.axes[:, :, rows])

    def turned(self, along: FloatArray) -> FloatArray:
        """Return directions `(3, ..., n)` of the room in the frames."""
        axes = self.axes if along.ndim == 2 else self.axes[:, :, None]
        return np.asarray(
            axes[:, 0] * along[0] + axes[:, 1] * along[1] + axes[:, 2] * along[2]
        )

    def placed(self, point: FloatArray) -> FloatArray:
        """Return points `(3, n)` of the room in the frames."""
        return self.turned(point - self.origin)

    def in_room(self, point: FloatArray) -> FloatArray:
        """Return points `(3, n)` of the frames as points of the room."""
        u, v, w = self.axes
        return np.asarray(self.origin + (u * point[0] + v * point[1] + w * point[2]))


def columns(*parts: FloatArray) -> FloatArray:
    """Return rows of equal length as one block."""
    block = np.zeros((len(parts), parts[0].size))
    for row, part in zip(block, parts, strict=True):
        row[:] = part
    return block


@dataclass(frozen=True, slots=True)
class Reach:
    """A level rectangle that moves upward, and how near counts as met, per pair.

    The rows of the block are `first`, `last` in u and `side` in v (both ways), all
    [in], and `reach` from the rectangle to the surface of the solid [in].
    """

    block: FloatArray

    @property
    def first(self) -> FloatArray:
        """Return where the rectangle begins."""
        return np.asarray(self.block[0])

    @property
    def last(self) -> FloatArray:
        """Return where the rectangle ends."""
        return np.asarray(self.block[1])

    @property
    def side(self) -> FloatArray:
        """Return how far the rectangle reaches to both sides."""
        return np.asarray(self.block[2])

    @property
    def reach(self) -> FloatArray:
        """Return how near counts as met."""
        return np.asarray(self.block[3])

    def take(self, rows: IntArray) -> "Reach":
        """Return the values at the given rows."""
        return Reach(self.block[:, rows])

    def grown(self, rounding: FloatArray) -> "Reach":
        """Return the rectangle with a wider reach."""
        block = self.block.copy()
        block[3] += rounding
        return Reach(block)

    def joined(self, *others: "Reach") -> "Reach":
        """Return the values and those of others after them."""
        blocks = (self.block, *(other.block for other in others))
        return Reach(np.concatenate(blocks, axis=1))


@dataclass(frozen=True, slots=True)
class Room:
    """The box that the bare body of the run sweeps, in its frame, per pair [in].

    The rows of the block are its two sides in u, in v and in w.
    """

    block: FloatArray

    @property
    def sides(self) -> list[Band]:
        """Return the two sides along each axis."""
        u0, u1, v0, v1, w0, w1 = self.block
        return [(u0, u1), (v0, v1), (w0, w1)]

    def take(self, rows: IntArray) -> "Room":
        """Return the values at the given rows."""
        return Room(self.block[:, rows])

    def nearest(self, point: FloatArray) -> FloatArray:
        """Return the points `(3, n)` of the box nearest to the given points."""
        return np.asarray(
            np.minimum(np.maximum(point, self.block[::2]), self.block[1::2])
        )


@dataclass(frozen=True, slots=True)
class Gap:
    """Distance of a solid to the swept body and its nearest point, per pair [in].

    `apart` is 0 where they overlap; `point` is `(3, n)`, on the surface; `plan` is
    the distance in plan of upright solids, that of others counts for nothing.
    """

    apart: FloatArray
    point: FloatArray
    plan: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What is asked of solids in one go.

    The band is asked of all, the stations at the heights between `low` and `high` of
    those `within`, the band of the bare metal of those `touched`. `plan` is what the
    gap to a body over the same rectangle told.
    """

    at: Reach
    plan: FloatArray
    low: FloatArray
    high: FloatArray
    within: IntArray
    touched: IntArray

    @property
    def level(self) -> Reach:
        """Return the rectangle in height of those within, for u and w exchanged."""
        some = self.at.take(self.within)
        some.block[0], some.block[1] = self.low[self.within], self.high[self.within]
        return some

    @property
    def bare(self) -> Reach:
        """Return the bare rectangles of those touched."""
        some = self.at.take(self.touched)
        some.block[3] = 0.0
        return some

    def split(self, lo: FloatArray, hi: FloatArray) -> "Contact":
        """Return the parts of what was found for all three end to end."""
        first = self.low.size
        last = first + self.within.size
        return Contact(
            band=(lo[:first], hi[:first]),
            stations=(lo[first:last], hi[first:last]),
            touch=(lo[last:], hi[last:]),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Contact:
    """What was asked: bands of all, stations of those within, touching bands."""

    band: Band
    stations: Band
    touch: Band


class Placed(Protocol):
    """Solids, each in the frame of its run."""

    def take(self, rows: IntArray) -> "Placed":
        """Return the solids at the given rows."""
        ...

    def band(self, at: Reach) -> Band:
        """Return the heights of the rectangle that meet; `hi < lo` where none do."""
        ...

    def stations(self, at: Reach, low: FloatArray, high: FloatArray) -> Band:
        """Return the u that meet at heights in `[low, high]`, past the ends too."""
        ...

    def contact(self, asked: Asked) -> Contact:
        """Return bands, stations and touching bands in one go."""
        ...

    def gap(self, room: Room) -> Gap:
        """Return the distance to the swept body."""
        ...
