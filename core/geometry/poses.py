"""Runs at the outermost angles of their ropes, side by side in arrays.

Rows belong to poses: every function that takes rows takes the pose of each as well,
in ascending order, and works on each row from its own pose alone, so that a result
never depends on the other runs of a call.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from core.geometry.shapes import FloatArray, IntArray
from core.geometry.tracks import Track, pose_angles, turned_about_pulley

__all__ = ["Poses", "slices"]

_COLUMNS = (
    *("x", "y", "cos", "sin", "length", "steep", "side", "reach"),
    *("bottom", "top", "lowest", "highest"),
)


def slices(pose: IntArray) -> Iterator[tuple[int, slice]]:
    """Yield each pose that has rows, and the rows that it has."""
    if not pose.size:
        return
    cuts = [0, *((pose[1:] != pose[:-1]).nonzero()[0] + 1).tolist(), pose.size]
    owners = pose[cuts[:-1]].tolist()
    for owner, first, last in zip(owners, cuts, cuts[1:], strict=False):
        yield owner, slice(first, last)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Poses:
    """One pose for each run, two for each that swings; arrays are `(p,)`.

    Attributes
    ----------
    tracks : tuple of Track
        The run of each pose.
    run : IntArray
        The number of its run.
    angles : FloatArray
        The angle of its ropes [rad].
    x, y, cos, sin, length, steep, side, reach : FloatArray
        As in the track.
    bottom, top : FloatArray
        Ends of what the metal sweeps, measured against the axis [in].
    sagging : bool
        Whether an axis slopes anywhere.
    swinging : bool
        Whether a run swings.
    lowest, highest : FloatArray
        Ends of the axis against its supports [in].
    pieces : IntArray
        The first piece of each axis in `knots` and `offsets`.
    knots, offsets : FloatArray
        Those of the tracks, end to end.
    """

    tracks: tuple[Track, ...]
    run: IntArray
    angles: FloatArray
    x: FloatArray
    y: FloatArray
    cos: FloatArray
    sin: FloatArray
    length: FloatArray
    steep: FloatArray
    side: FloatArray
    reach: FloatArray
    bottom: FloatArray
    top: FloatArray
    sagging: bool
    swinging: bool
    lowest: FloatArray
    highest: FloatArray
    pieces: IntArray
    knots: FloatArray
    offsets: FloatArray

    @classmethod
    def of(cls, runs: Sequence[Track]) -> "Poses":
        """Put the poses of runs side by side."""
        pairs = [
            (number, track, angle)
            for number, track in enumerate(runs)
            for angle in pose_angles(track)
        ]
        tracks = tuple(track for _, track, _ in pairs)
        columns = np.array([_numbers(track) for track in tracks]).T
        sizes = [track.knots.size for track in tracks]
        return cls(
            tracks=tracks,
            run=np.array([number for number, _, _ in pairs]),
            angles=np.array([angle for _, _, angle in pairs]),
            **dict(zip(_COLUMNS, columns, strict=True)),
            sagging=any(track.steep for track in tracks),
            swinging=any(track.angle for track in tracks),
            pieces=np.cumsum([0, *sizes[:-1]]),
            knots=np.concatenate([track.knots for track in tracks]),
            offsets=np.concatenate([track.offsets for track in tracks]),
        )

    def to_frame(self, points: FloatArray, pose: IntArray) -> FloatArray:
        """Take points `(..., 3 axes, n)` of the surface into the frames of poses."""
        x, y = points[..., 0, :] - self.x[pose], points[..., 1, :] - self.y[pose]
        cos, sin = self.cos[pose], self.sin[pose]
        moved = points.copy()
        moved[..., 0, :] = x * cos + y * sin
        moved[..., 1, :] = y * cos - x * sin
        if self.swinging:
            for owner, rows in slices(pose):
                moved[..., rows] = turned_about_pulley(
                    moved[..., rows], self.tracks[owner], float(self.angles[owner])
                )
        return moved

    def axis(self, stations: FloatArray, pose: IntArray) -> FloatArray:
        """Return the heights of the axes against the supports at stations [in].

        Stations beyond the ends are taken to the ends; shape `(n,)` where no axis
        slopes.
        """
        level = self.offsets[self.pieces[pose]]
        if not self.sagging:
            return level
        heights = np.broadcast_to(level, stations.shape).copy()
        for owner, rows in slices(pose):
            if self.steep[owner]:
                track = self.tracks[owner]
                here = stations[..., rows]
                heights[..., rows] = np.interp(here, track.knots, track.offsets)
        return heights

    def axis_span(
        self,
        first: FloatArray,
        last: FloatArray,
        pose: IntArray,
        margin: FloatArray | float,
    ) -> tuple[FloatArray, FloatArray]:
        """Bound the axes from `first - margin` to `last + margin` [in].

        Stretches beyond the ends are cut to the ends.
        """
        if not self.sagging:
            level = self.offsets[self.pieces[pose]]
            return level, level
        length = self.length[pose]
        first = np.minimum(np.maximum(first, 0.0), length)
        last = np.minimum(np.maximum(last, 0.0), length)
        middle = self.axis((first + last) / 2.0, pose)
        spread = self.steep[pose] * ((last - first) / 2.0 + margin)
        return middle - spread, middle + spread

    def pieces_near(
        self, triangles: FloatArray, pose: IntArray, margin: FloatArray
    ) -> tuple[IntArray, IntArray]:
        """Pair triangles `(3, 3, n)` with pieces of their axes near them along the run.

        Returns the row of each pair, ascending, and the piece.
        """
        u = triangles[:, 0]
        low, high = u.min(axis=0) - margin, u.max(axis=0) + margin
        first = self.pieces[pose]
        if self.knots.size == 2 * len(self.tracks):
            return np.arange(pose.size), first
        last = first + 1
        for owner, rows in slices(pose):
            knots = self.tracks[owner].knots
            first[rows] += np.searchsorted(knots[1:-1], low[rows], side="left")
            last[rows] += np.searchsorted(knots[1:-1], high[rows], side="right")
        count = last - first
        row = np.repeat(np.arange(pose.size), count)
        within = np.arange(row.size) - np.repeat(np.cumsum(count) - count, count)
        return row, first[row] + within


def _numbers(track: Track) -> tuple[float, ...]:
    """Return the numbers of a track in the order of the columns."""
    return (
        *(track.x, track.y, track.cos, track.sin, track.length, track.steep),
        *(track.side, track.reach, track.low - track.down, track.top + track.up),
        *(track.lowest, track.highest),
    )
