"""The middle of a swing: what lies between the outermost poses of the ropes.

A point that a swinging run can pass through, because the ropes can point at it,
is met by the run turned to it: all that counts is how far the point lies from
the line that the ropes turn about. The triangles are cut to the wedge of these
points; over their length along the run the nearest and farthest distance from
that line enclose what they can meet.
"""

from dataclasses import dataclass

import numpy as np

from core.geometry.shapes import FloatArray
from core.geometry.tracks import Track, turned_about_pulley
from core.geometry.triangle_distance import Nearest

Intervals = tuple[FloatArray, FloatArray]

__all__ = ["Wedge", "swing_heights", "swing_nearest", "swing_stations", "wedge_of"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Wedge:
    """What of each triangle lies within the swing.

    Attributes
    ----------
    first, last : (n,) float
        Stations of the triangle [in].
    low, high : (n,) float
        Heights that its part takes when turned under the pulley line [in].
    points : (9, 3, n) float
        Points of the part, its lowest and highest among them [in].
    heights : (9, n) float
        Their heights when turned under the pulley line; NaN where unused [in].
    """

    first: FloatArray
    last: FloatArray
    low: FloatArray
    high: FloatArray
    points: FloatArray
    heights: FloatArray


def wedge_of(triangles: FloatArray, track: Track) -> Wedge:
    """Cut triangles `(3, 3, n)` in the frame of the track to its swing."""
    a = triangles
    step = triangles[[1, 2, 0]] - a
    first, last = _within_swing(triangles, track)
    v, w = a[:, 1], a[:, 2] - track.pulley
    dv, dw = step[:, 1], step[:, 2]
    square = dv * dv + dw * dw
    foot = -(v * dv + w * dw) / np.where(square > 0.0, square, 1.0)
    foot = np.minimum(np.maximum(foot, first), last)
    t = np.stack([first, last, foot])
    met = first <= last
    points = a + np.where(met, t, 0.0)[:, :, None] * step
    away = np.hypot(points[:, :, 1], points[:, :, 2] - track.pulley)
    heights = np.where(met, track.pulley - away, np.nan)
    points, heights = points.reshape(9, 3, -1), heights.reshape(9, -1)
    some = met.any(axis=0)
    low = np.where(np.isnan(heights), np.inf, heights).min(axis=0)[some]
    high = np.where(np.isnan(heights), -np.inf, heights).max(axis=0)[some]
    over_pulley = _holds_pulley(triangles, track)[some]
    u = triangles[:, 0][:, some]
    return Wedge(
        first=u.min(axis=0),
        last=u.max(axis=0),
        low=low,
        high=np.where(over_pulley, track.pulley, high),
        points=points[:, :, some],
        heights=heights[:, some],
    )


def _within_swing(triangles: FloatArray, track: Track) -> Intervals:
    """Return from where to where, 0..1, each edge lies within the swing."""
    right = turned_about_pulley(triangles, track, track.angle)[:, 1]
    left = -turned_about_pulley(triangles, track, -track.angle)[:, 1]
    first, last = np.zeros(right.shape), np.ones(right.shape)
    for beyond in (right, left):
        after = beyond[[1, 2, 0]]
        slope = np.where(beyond == after, 1.0, beyond - after)
        cross = beyond / slope
        first = np.where(
            (beyond > 0.0) & (after <= 0.0), np.maximum(first, cross), first
        )
        last = np.where((beyond <= 0.0) & (after > 0.0), np.minimum(last, cross), last)
        last = np.where((beyond > 0.0) & (after > 0.0), -1.0, last)
    return first, last


def _holds_pulley(
    triangles: FloatArray, track: Track
) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
    """Tell which triangles, seen along the run, hold the pulley line."""
    v, w = triangles[:, 1], triangles[:, 2] - track.pulley
    turns = v * w[[1, 2, 0]] - v[[1, 2, 0]] * w
    return np.asarray((turns >= 0.0).all(axis=0) | (turns <= 0.0).all(axis=0))


def _beyond_ends(wedge: Wedge, track: Track) -> FloatArray:
    """Return how far each triangle lies beyond the ends of the run."""
    return np.maximum(np.maximum(wedge.first - track.length, -wedge.last), 0.0)


def _axis_span(wedge: Wedge, track: Track, margin: float) -> Intervals:
    """Bound the axis against the supports within a margin of each triangle."""
    low, high = track.axis_span(*track.stations(wedge.first, wedge.last), margin)
    return (
        np.maximum(low, track.offsets.min()),
        np.minimum(high, track.offsets.max()),
    )


def _swept_gap(wedge: Wedge, track: Track, margin: float) -> FloatArray:
    """Bound the upright distance to what the metal sweeps from below."""
    axis_low, axis_high = _axis_span(wedge, track, margin)
    over = wedge.low - (track.top + track.up + axis_high)
    under = track.low - track.down + axis_low - wedge.high
    return np.maximum(np.maximum(over, under), 0.0)


def swing_heights(wedge: Wedge, track: Track) -> Intervals:
    """Enclose the heights of the axis at which the middle of a swing is too near."""
    beyond = _beyond_ends(wedge, track)
    root = np.sqrt(np.maximum(track.reach**2 - beyond * beyond, 0.0))
    axis_low, axis_high = _axis_span(wedge, track, track.reach)
    lo = wedge.low - axis_high - root - track.up
    hi = wedge.high - axis_low + root + track.down
    near = beyond < track.reach
    return lo[near], hi[near]


def swing_stations(wedge: Wedge, track: Track) -> Intervals:
    """Enclose the stations at which the middle of a swing is too near."""
    gap = _swept_gap(wedge, track, track.reach)
    root = np.sqrt(np.maximum(track.reach**2 - gap * gap, 0.0))
    lo = np.maximum(wedge.first - root, 0.0)
    hi = np.minimum(wedge.last + root, track.length)
    near = (gap < track.reach) & (lo <= hi)
    return lo[near], hi[near]


def swing_nearest(wedge: Wedge, track: Track) -> Nearest | None:
    """Return the least distance of triangles to the middle of a swing.

    Not above the true one, by as much as the enclosure; its points are a point
    of the triangle and the metal turned to it.
    """
    if not wedge.low.size:
        return None
    beyond = _beyond_ends(wedge, track)
    # a sloping axis is met square to itself: shrink what was measured upright
    gap = _swept_gap(wedge, track, 0.0) / np.sqrt(1.0 + track.steep**2)
    distance = np.sqrt(beyond * beyond + gap * gap)
    best = int(distance.argmin())
    low, high = track.low - track.down, track.top + track.up
    heights = wedge.heights[:, best]
    stations = np.minimum(np.maximum(wedge.points[:, 0, best], 0.0), track.length)
    levels = heights - track.axis(stations)
    misses = np.maximum(np.maximum(levels - high, low - levels), 0.0)
    pick = int(np.nanargmin(misses))
    point = wedge.points[pick, :, best]
    level = min(max(float(levels[pick]), low), high)
    body_height = level + float(heights[pick] - levels[pick])
    away = track.pulley - float(heights[pick])
    scale = (track.pulley - body_height) / away if away > 0.0 else 1.0
    return Nearest(
        distance=float(distance[best]),
        height=level,
        on_body=np.array(
            [
                stations[pick],
                point[1] * scale,
                track.pulley + (point[2] - track.pulley) * scale,
            ]
        ),
        on_triangle=point,
    )
