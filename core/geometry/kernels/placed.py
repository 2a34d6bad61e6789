"""What each kind of solid answers once it is placed in the frames of its runs."""

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from core.geometry.shapes import FloatArray, IntArray

__all__ = ["BoolArray", "Frames", "Gap", "Placed", "Reach", "Room"]

BoolArray = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class Frames:
    """One run frame per pair: origin [in] and the axes u, v, w [-], each `(3, n)`."""

    origin: FloatArray
    u: FloatArray
    v: FloatArray
    w: FloatArray

    def take(self, rows: IntArray) -> "Frames":
        """Return the frames at the given rows."""
        return Frames(
            origin=self.origin[:, rows],
            u=self.u[:, rows],
            v=self.v[:, rows],
            w=self.w[:, rows],
        )

    def turned(self, along: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Return directions `(3, ...)` of the room in the frames."""
        return (
            _dot(self.u, along),
            _dot(self.v, along),
            _dot(self.w, along),
        )

    def placed(self, point: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Return points `(3, ...)` of the room in the frames."""
        return self.turned(
            np.stack([point[axis] - self.origin[axis] for axis in range(3)])
        )

    def in_room(self, u: FloatArray, v: FloatArray, w: FloatArray) -> FloatArray:
        """Return points of the frames as points of the room, `(3, n)`."""
        return np.stack(
            [
                self.origin[axis]
                + (u * self.u[axis] + v * self.v[axis] + w * self.w[axis])
                for axis in range(3)
            ]
        )


def _dot(a: FloatArray, b: FloatArray) -> FloatArray:
    """Return the scalar products of two columns of vectors."""
    return np.asarray(a[0] * b[0] + a[1] * b[1] + a[2] * b[2])


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """A level rectangle that moves upward, and how near counts as met, per pair.

    `[first, last]` in u by `[-side, side]` in v, all [in]; `reach` is from the
    rectangle to the surface of the solid [in].
    """

    first: FloatArray
    last: FloatArray
    side: FloatArray
    reach: FloatArray

    def take(self, rows: IntArray) -> "Reach":
        """Return the values at the given rows."""
        return Reach(
            first=self.first[rows],
            last=self.last[rows],
            side=self.side[rows],
            reach=self.reach[rows],
        )

    def twice(self) -> "Reach":
        """Return the values twice over."""
        return Reach(
            first=np.concatenate((self.first, self.first)),
            last=np.concatenate((self.last, self.last)),
            side=np.concatenate((self.side, self.side)),
            reach=np.concatenate((self.reach, self.reach)),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """The box that the bare body of the run sweeps, in its frame, per pair [in]."""

    first: FloatArray
    last: FloatArray
    side: FloatArray
    low: FloatArray
    high: FloatArray

    def take(self, rows: IntArray) -> "Room":
        """Return the values at the given rows."""
        return Room(
            first=self.first[rows],
            last=self.last[rows],
            side=self.side[rows],
            low=self.low[rows],
            high=self.high[rows],
        )

    def nearest(
        self, u: FloatArray, v: FloatArray, w: FloatArray
    ) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Return the points of the box nearest to the given points."""
        return (
            np.minimum(np.maximum(u, self.first), self.last),
            np.minimum(np.maximum(v, -self.side), self.side),
            np.minimum(np.maximum(w, self.low), self.high),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """Distance of a solid to the swept body and its nearest point, per pair [in].

    `apart` is 0 where they overlap; u, v, w is the nearest point of the surface.
    """

    apart: FloatArray
    u: FloatArray
    v: FloatArray
    w: FloatArray


class Placed(Protocol):
    """Solids of one kind, each in the frame of its run."""

    @property
    def gap_shows_overlap(self) -> bool:
        """Whether a gap of 0 is found wherever solid and bare body overlap."""
        ...

    def take(self, rows: IntArray) -> "Placed":
        """Return the solids at the given rows."""
        ...

    def band(self, at: Reach) -> tuple[FloatArray, FloatArray]:
        """Return the heights of the rectangle that meet; `hi < lo` where none do."""
        ...

    def stations(
        self, at: Reach, low: FloatArray, high: FloatArray
    ) -> tuple[FloatArray, FloatArray]:
        """Return the u that meet at heights in `[low, high]`, past the ends too."""
        ...

    def gap(self, room: Room) -> Gap:
        """Return the distance to the swept body."""
        ...
