"""Exact sweep of pipe runs past a triangle surface.

Every leaf, and then every triangle that may matter, gets a cheap interval that its
band surely fills and one that it surely stays within. Only triangles whose outer
interval is not yet covered by the inner ones of others are solved exactly; the least
distance is found in the same way, nearest blocks first.

All runs are worked through together, each from its own triangles alone, so a result
never depends on the other runs of a call. With a swing, metal with a half breadth
gets a small margin downwards and the middle of the swing is enclosed at the run's
ends and over sloping axes: blocked bands may come out larger there, never smaller.
Stations over a sloping axis are enclosed in the same way.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from core.geometry.inside import points_inside
from core.geometry.leaves import Leaves
from core.geometry.poses import Poses, slices
from core.geometry.runs import SweptRun
from core.geometry.shapes import FloatArray, IntArray, Vec3
from core.geometry.spans import Spans
from core.geometry.surface import BLOCK, LEAF, Surface
from core.geometry.surface_blocks import Blocks, blocks_within
from core.geometry.surface_contact import blocked_heights, contact_stations
from core.geometry.surface_nearest import lower_nearest, nearest_in_travel
from core.geometry.swings import (
    Wedge,
    swing_heights,
    swing_nearest,
    swing_stations,
    wedge_of,
)
from core.geometry.tracks import Track, turned_about_pulley
from core.geometry.triangle_distance import TIE, Nearest

__all__ = [
    "SurfaceBands",
    "run_starts_inside",
    "sweep_surface",
]

Interval = tuple[float, float]
_Best = list[Nearest | None]

_MORE_BLOCKS = 32  # further blocks of a run looked into for the least distance
_TOGETHER = 32  # runs worked through together; bounds the memory
_IN_BLOCK = np.arange(BLOCK // LEAF)


@dataclass(frozen=True, slots=True, kw_only=True)
class SurfaceBands:
    """What one run meets of a surface.

    Attributes
    ----------
    bands : tuple of (lo, hi)
        Heights of the axis at the supports at which the run comes within its
        limit of the surface, disjoint, upwards (room z) [in]. Whole for heights
        of the travel; a band that goes on beyond the travel is not clipped, but
        holds only what triangles within the limit of the travel block there.
    clearance : float
        Least gap to the surface over the travel [in]; inf beyond the horizon;
        `-radius` where the axis itself meets the surface.
    at_height : float or None
        The lowest height of the axis at the supports with that gap (room z) [in].
    on_run, on_surface : Vec3 or None
        The nearest points there [in].
    stations : tuple of (lo, hi)
        Stations along the run within the limit at some height of the travel,
        disjoint, upwards [in].
    """

    bands: tuple[Interval, ...]
    clearance: float
    at_height: float | None
    on_run: Vec3 | None
    on_surface: Vec3 | None
    stations: tuple[Interval, ...]


def sweep_surface(
    runs: Sequence[SweptRun], surface: Surface, *, horizon: float = 24.0
) -> tuple[SurfaceBands, ...]:
    """Sweep each run through its travel past a surface.

    Parameters
    ----------
    runs : sequence of SweptRun
        The runs, in room coordinates.
    surface : Surface
        The surface, where it stands.
    horizon : float
        Least distances are given up to this gap [in].

    Returns
    -------
    tuple of SurfaceBands
        One for each run, in their order.
    """
    parts = range(0, len(runs), _TOGETHER)
    return tuple(
        result
        for first in parts
        for result in _swept(runs[first : first + _TOGETHER], surface, horizon)
    )


def run_starts_inside(run: SweptRun, surface: Surface) -> bool:
    """Tell whether an end or the middle of the axis lies inside a closed surface.

    Looks at both ends of the travel. Together with the bands this finds every
    run that is inside at some height: one that is nowhere near the skin is
    inside from end to end.

    Raises
    ------
    ValueRangeError
        If the surface is not closed.
    """
    (x0, y0), (x1, y1) = run.start, run.end
    track = Track.of(run, surface)
    points = [
        (x0 + t * (x1 - x0), y0 + t * (y1 - y0), height + offset)
        for t in (0.0, 0.5, 1.0)
        for height in (run.low, run.low + run.travel)
        for offset in track.axis(np.array([t * track.length]))
    ]
    return bool(points_inside(surface, np.array(points)).any())


def _swept(
    runs: Sequence[SweptRun], surface: Surface, horizon: float
) -> Iterator[SurfaceBands]:
    """Sweep some runs together."""
    tracks = [Track.of(run, surface) for run in runs]
    poses = Poses.of(tracks)
    air = np.array([max(run.limit, horizon) for run in runs])
    radius = np.array([track.radius for track in tracks])
    blocks = blocks_within(surface, tracks, radius + air)
    reach = np.array([track.reach for track in tracks])[blocks.run]
    near = _Field.of(surface, poses, blocks.take((blocks.gap <= reach).nonzero()[0]))
    best = near.nearest([None] * len(tracks))
    far = blocks.take((blocks.gap > reach).nonzero()[0])
    best = _farther(surface, poses, far, best)
    parts = zip(*near.contact(), strict=True)
    for run, track, nearest, found in zip(runs, tracks, best, parts, strict=True):
        yield _bands(run, track, nearest, found, surface, horizon)


def _farther(surface: Surface, poses: Poses, blocks: Blocks, best: _Best) -> _Best:
    """Look for something nearer in blocks farther off, nearest first."""
    reaches = dict(zip(poses.run.tolist(), poses.reach.tolist(), strict=True))
    open_ended = [
        one is None or one.distance > reaches[run] for run, one in enumerate(best)
    ]
    blocks = blocks.take((np.array(open_ended)[blocks.run]).nonzero()[0])
    blocks = blocks.take(np.lexsort((blocks.gap, blocks.run)))
    while blocks.run.size:
        rank = np.arange(blocks.run.size)
        rank -= np.searchsorted(blocks.run, blocks.run, side="left")
        first = (rank < _MORE_BLOCKS).nonzero()[0]
        best = _Field.of(surface, poses, blocks.take(first)).nearest(best)
        blocks = blocks.take((rank >= _MORE_BLOCKS).nonzero()[0])
        known = np.array(_distances(best))[blocks.run]
        blocks = blocks.take((blocks.gap <= known + TIE).nonzero()[0])
    return best


def _distances(best: _Best) -> list[float]:
    """Return the distances of what is known, inf for nothing."""
    return [math.inf if one is None else one.distance for one in best]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Field:
    """Leaves as poses meet them, and what the swings of runs meet of them."""

    leaves: Leaves
    wedges: Mapping[int, Wedge]

    @classmethod
    def of(cls, surface: Surface, poses: Poses, blocks: Blocks) -> "_Field":
        """Take the leaves of blocks into the frames of all poses of their runs."""
        rows = {run: blocks.block[some] for run, some in slices(blocks.run)}
        none = np.zeros(0, dtype=np.int64)
        mine = [rows.get(run, none) for run in poses.run.tolist()]
        pose = np.repeat(np.arange(len(mine)), [part.size for part in mine])
        block = np.concatenate(mine)
        index = (block[:, None] * _IN_BLOCK.size + _IN_BLOCK).ravel()
        pose = np.repeat(pose, _IN_BLOCK.size)
        tracks = dict(zip(poses.run.tolist(), poses.tracks, strict=True))
        return cls(
            leaves=Leaves.of(surface, index, poses, pose),
            wedges={
                run: wedge_of(_triangles(surface, some, tracks[run]), tracks[run])
                for run, some in rows.items()
                if tracks[run].angle
            },
        )

    def nearest(self, best: _Best) -> _Best:
        """Return the nearer of what is known and what there is, for each run."""
        poses, best = self.leaves.poses, list(best)
        runs = poses.run.tolist()
        known = _distances(best)
        found = nearest_in_travel(self.leaves, [known[run] for run in runs])
        for run, track, angle, one in zip(
            runs, poses.tracks, poses.angles.tolist(), found, strict=True
        ):
            if one is not None:
                best[run] = lower_nearest(best[run], _turned_out(one, track, angle))
        tracks = dict(zip(runs, poses.tracks, strict=True))
        for run, wedge in self.wedges.items():
            best[run] = lower_nearest(best[run], swing_nearest(wedge, tracks[run]))
        return best

    def contact(self) -> tuple[list[tuple[Interval, ...]], list[tuple[Interval, ...]]]:
        """Return the blocked heights and the stations in contact, for each run."""
        leaves = self.leaves
        some = leaves.boxes.gap < leaves.poses.reach[leaves.pose]
        near = leaves.take(some.nonzero()[0])
        tracks = dict(zip(leaves.poses.run.tolist(), leaves.poses.tracks, strict=True))
        heights, stations = [], []
        for run, wedge in self.wedges.items():
            heights.append(_owned(run, swing_heights(wedge, tracks[run])))
            stations.append(_owned(run, swing_stations(wedge, tracks[run])))
        runs, count = leaves.poses.run, len(tracks)
        return (
            _by_run(runs, blocked_heights(near), heights, count),
            _by_run(runs, contact_stations(near), stations, count),
        )


def _triangles(surface: Surface, blocks: IntArray, track: Track) -> FloatArray:
    """Return the triangles of blocks in the frame of the track."""
    own = surface.corners.take(blocks, axis=1)
    return track.to_frame(own.reshape(3, 3, len(blocks) * BLOCK))


def _owned(run: int, intervals: tuple[FloatArray, FloatArray]) -> Spans:
    """Return intervals of one run."""
    lo, hi = intervals
    return Spans.united(np.full(lo.size, run), lo, hi)


def _by_run(
    runs: IntArray, found: Spans, others: Sequence[Spans], count: int
) -> list[tuple[Interval, ...]]:
    """Unite what the poses of each run and its swing block."""
    parts = [Spans(owner=runs[found.owner], lo=found.lo, hi=found.hi), *others]
    spans = Spans.united(
        np.concatenate([part.owner for part in parts]),
        np.concatenate([part.lo for part in parts]),
        np.concatenate([part.hi for part in parts]),
    )
    pairs = list(zip(spans.lo.tolist(), spans.hi.tolist(), strict=True))
    cuts = np.searchsorted(spans.owner, np.arange(count + 1)).tolist()
    return [tuple(pairs[a:b]) for a, b in pairwise(cuts)]


def _bands(
    run: SweptRun,
    track: Track,
    nearest: Nearest | None,
    found: tuple[tuple[Interval, ...], tuple[Interval, ...]],
    surface: Surface,
    horizon: float,
) -> SurfaceBands:
    """Return the result of one run, in the room."""
    lift = run.low - track.low
    heights, stations = found
    bands = tuple((lo + lift, hi + lift) for lo, hi in heights)
    if nearest is None or nearest.distance > track.radius + horizon:
        return _far(bands, stations)
    on_run, on_surface = _room_points(nearest, track, surface)
    return SurfaceBands(
        bands=bands,
        clearance=nearest.distance - track.radius,
        at_height=min(max(nearest.height - track.up, track.low), track.top) + lift,
        on_run=on_run,
        on_surface=on_surface,
        stations=stations,
    )


def _far(bands: tuple[Interval, ...], stations: tuple[Interval, ...]) -> SurfaceBands:
    """Return the result of a run that is nowhere within the horizon."""
    return SurfaceBands(
        bands=bands,
        clearance=math.inf,
        at_height=None,
        on_run=None,
        on_surface=None,
        stations=stations,
    )


def _turned_out(nearest: Nearest, track: Track, angle: float) -> Nearest:
    """Turn the points of a pose out to where they are."""
    if angle == 0.0:
        return nearest
    points = np.stack([nearest.on_body, nearest.on_triangle], axis=1)
    body, triangle = turned_about_pulley(points, track, -angle).T
    return replace(nearest, on_body=body, on_triangle=triangle)


def _room_points(nearest: Nearest, track: Track, surface: Surface) -> tuple[Vec3, Vec3]:
    """Return the nearest points of the round metal and the surface in the room."""
    towards = nearest.on_triangle - nearest.on_body
    size = float(np.sqrt((towards * towards).sum()))
    step = track.radius / size if size > 0.0 else 0.0
    both = np.array([nearest.on_body + step * towards, nearest.on_triangle])
    on_run, on_surface = surface.to_room(track.to_own(both.T).T).tolist()
    return tuple(on_run), tuple(on_surface)
