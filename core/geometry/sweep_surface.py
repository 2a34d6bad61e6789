"""Exact sweep of pipe runs past a triangle surface.

Every triangle gets a cheap interval that its band surely fills and one that it
surely stays within. Only triangles whose outer interval is not yet covered by
the inner ones of others are solved exactly; the least distance is found in the
same way, nearest blocks first.

The exact questions of all runs are answered together, each from its own triangles
alone, so a result never depends on the other runs of a call. With a swing, metal
with a half breadth gets a small margin downwards and the middle of the swing is
enclosed at the run's ends and over sloping axes: blocked bands may come out larger
there, never smaller. Stations over a sloping axis are enclosed in the same way.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from core.geometry.boxed_triangles import BoxedTriangles
from core.geometry.inside import points_inside
from core.geometry.questions import Intervals, Steps, answer_together
from core.geometry.runs import SweptRun
from core.geometry.shapes import FloatArray, IntArray, Vec3
from core.geometry.surface import BLOCK, GROUP, Surface
from core.geometry.surface_contact import blocked_heights, contact_stations, united
from core.geometry.surface_nearest import lower_nearest, nearest_in_travel
from core.geometry.swings import (
    swing_heights,
    swing_nearest,
    swing_stations,
    wedge_of,
)
from core.geometry.tracks import Track, pose_angles, turned_about_pulley
from core.geometry.triangle_distance import Nearest

__all__ = [
    "SurfaceBands",
    "run_starts_inside",
    "sweep_surface",
]

Interval = tuple[float, float]
_BoxGaps = Callable[[FloatArray, FloatArray], FloatArray]

_ROUNDING = 1e-9  # keeps blocks that only rounding puts out of reach [in]
_MORE_BLOCKS = 32  # further blocks looked into at once for the least distance
_TOGETHER = 32  # runs worked through together; bounds the memory


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
    works = [_sweep_one(run, surface, horizon) for run in runs]
    parts = range(0, len(works), _TOGETHER)
    return tuple(
        result
        for first in parts
        for result in answer_together(works[first : first + _TOGETHER])
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


def _sweep_one(run: SweptRun, surface: Surface, horizon: float) -> Steps[SurfaceBands]:
    """Sweep one run."""
    track = Track.of(run, surface)
    farthest = track.radius + max(run.limit, horizon)
    blocks, gaps = _blocks_within(farthest, surface, partial(_run_gaps, track=track))
    triangles = _triangles(surface, blocks[gaps <= track.reach], track)
    poses = _poses(triangles, track)
    nearest = yield from _nearest(triangles, poses, track, None)
    if nearest is None or nearest.distance > track.reach:
        far = gaps > track.reach
        nearest = yield from _farther(
            surface, _nearest_first(blocks[far], gaps[far]), track, nearest
        )
    heights, stations = yield from _contact(triangles, poses, track)
    lift = run.low - track.low
    bands = _pairs((heights[0] + lift, heights[1] + lift))
    if nearest is None or nearest.distance > track.radius + horizon:
        return _far(bands, _pairs(stations))
    on_run, on_surface = _surface_points(nearest, track.radius)
    return SurfaceBands(
        bands=bands,
        clearance=nearest.distance - track.radius,
        at_height=min(max(nearest.height - track.up, track.low), track.top) + lift,
        on_run=_room_point(on_run, track, surface),
        on_surface=_room_point(on_surface, track, surface),
        stations=_pairs(stations),
    )


def _farther(
    surface: Surface,
    blocks_and_gaps: tuple[IntArray, FloatArray],
    track: Track,
    nearest: Nearest | None,
) -> Steps[Nearest | None]:
    """Look for something nearer in blocks, given in the order of their gaps."""
    blocks, gaps = blocks_and_gaps
    for first in range(0, len(blocks), _MORE_BLOCKS):
        if nearest is not None and gaps[first] > nearest.distance:
            break
        more = _triangles(surface, blocks[first : first + _MORE_BLOCKS], track)
        nearest = yield from _nearest(more, _poses(more, track), track, nearest)
    return nearest


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


def _poses(triangles: FloatArray, track: Track) -> list[BoxedTriangles]:
    """Return the triangles as the run at each outermost angle meets them."""
    return [
        BoxedTriangles.of(turned_about_pulley(triangles, track, angle), track)
        for angle in pose_angles(track)
    ]


def _contact(
    triangles: FloatArray, poses: list[BoxedTriangles], track: Track
) -> Steps[tuple[Intervals, Intervals]]:
    """Return the blocked heights and the stations in contact."""
    heights, stations = [], []
    for pose in poses:
        near = pose.within(track.reach)
        heights.append((yield from blocked_heights(near, track)))
        stations.append((yield from contact_stations(near, track)))
    if track.angle:
        wedge = wedge_of(triangles, track)
        heights.append(swing_heights(wedge, track))
        stations.append(swing_stations(wedge, track))
    return _all_united(heights), _all_united(stations)


def _all_united(parts: list[Intervals]) -> Intervals:
    """Unite lists of intervals."""
    if len(parts) == 1:
        return parts[0]
    los, his = zip(*parts, strict=True)
    return united((np.concatenate(los), np.concatenate(his)))


def _nearest(
    triangles: FloatArray,
    poses: list[BoxedTriangles],
    track: Track,
    best: Nearest | None,
) -> Steps[Nearest | None]:
    """Return the nearer of what is known and what the triangles give."""
    for pose, angle in zip(poses, pose_angles(track), strict=True):
        found = yield from nearest_in_travel(pose, track, best)
        if found is not best and found is not None:
            best = _turned_out(found, track, angle)
    if track.angle:
        best = lower_nearest(best, swing_nearest(wedge_of(triangles, track), track))
    return best


def _turned_out(nearest: Nearest, track: Track, angle: float) -> Nearest:
    """Turn the points of a pose out to where they are."""
    points = np.stack([nearest.on_body, nearest.on_triangle], axis=1)
    body, triangle = turned_about_pulley(points, track, -angle).T
    return replace(nearest, on_body=body, on_triangle=triangle)


def _surface_points(nearest: Nearest, radius: float) -> tuple[FloatArray, FloatArray]:
    """Return the nearest points of the round metal and the surface."""
    towards = nearest.on_triangle - nearest.on_body
    size = float(np.sqrt((towards * towards).sum()))
    step = radius / size if size > 0.0 else 0.0
    return nearest.on_body + step * towards, nearest.on_triangle


def _room_point(point: FloatArray, track: Track, surface: Surface) -> Vec3:
    """Take a point of the frame of the track into the room."""
    return _as_vec3(surface.to_room(track.to_own(point)[None])[0])


def _pairs(intervals: Intervals) -> tuple[Interval, ...]:
    """Return intervals as plain numbers."""
    return tuple(zip(intervals[0].tolist(), intervals[1].tolist(), strict=True))


def _triangles(surface: Surface, blocks: IntArray, track: Track) -> FloatArray:
    """Return the triangles of blocks in the frame of the track."""
    return track.to_frame(_own_triangles(surface, blocks))


def _own_triangles(surface: Surface, blocks: IntArray) -> FloatArray:
    """Return the triangles of blocks, `(3 corners, 3 axes, n)`."""
    return surface.corners[:, blocks].reshape(3, 3, len(blocks) * BLOCK)


def _blocks_within(
    farthest: float, surface: Surface, box_gaps: _BoxGaps
) -> tuple[IntArray, FloatArray]:
    """Return the blocks whose boxes come within a distance, and lower bounds."""
    near = box_gaps(surface.group_low, surface.group_high) <= farthest
    blocks = np.flatnonzero(np.repeat(near, GROUP)[: surface.low.shape[1]])
    gaps = box_gaps(surface.low[:, blocks], surface.high[:, blocks])
    some = gaps <= farthest
    return blocks[some], gaps[some]


def _nearest_first(blocks: IntArray, gaps: FloatArray) -> tuple[IntArray, FloatArray]:
    """Sort blocks by their gaps."""
    order = np.argsort(gaps, kind="stable")
    return blocks[order], gaps[order]


def _run_gaps(low: FloatArray, high: FloatArray, *, track: Track) -> FloatArray:
    """Bound the distance of boxes `(3, n)` to the metal in all its places."""
    side, lowest, highest = _envelope(track)
    middle, half = (low + high) / 2.0, (high - low) / 2.0
    x, y = middle[0] - track.x, middle[1] - track.y
    across, along = abs(track.sin), abs(track.cos)
    u = np.abs(x * track.cos + y * track.sin - track.length / 2.0)
    v = np.abs(y * track.cos - x * track.sin)
    u_gap = u - (along * half[0] + across * half[1] + track.length / 2.0)
    v_gap = v - (across * half[0] + along * half[1] + side)
    w_gap = np.maximum(lowest - high[2], low[2] - highest)
    return _gap_size(u_gap, v_gap, w_gap)


def _gap_size(*gaps: FloatArray) -> FloatArray:
    """Return the distance that gaps along three axes leave, a trifle less."""
    squared = sum(np.square(np.maximum(gap, 0.0)) for gap in gaps)
    return np.asarray(np.maximum(np.sqrt(squared) - _ROUNDING, 0.0))


def _envelope(track: Track) -> tuple[float, float, float]:
    """Bound the swept metal without its radius: half breadth, low and high end."""
    low = track.low - track.down + float(track.offsets.min())
    high = track.top + track.up + float(track.offsets.max())
    if not track.angle:
        return track.side, low, high
    sin, cos = math.sin(track.angle), math.cos(track.angle)
    raised = track.pulley - (track.pulley - high) * cos + track.side * sin
    return (
        track.side + (track.pulley - low) * sin,
        low - track.side * sin,
        max(high + track.side * sin, raised),
    )


def _as_vec3(point: FloatArray) -> Vec3:
    """Return a point as plain numbers."""
    x, y, z = point.tolist()
    return (x, y, z)
