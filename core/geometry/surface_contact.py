"""Which heights and stations of runs lie within their limit of given leaves.

Every leaf gets an inner interval, from one corner, and an outer one, from its box. Only
those whose outer interval the united inner ones do not cover are looked into: each of
their triangles gets an inner interval from its three corners and an outer one from its
box, then from planes that touch the reach over corners. Only triangles that still reach
out of the union are solved exactly.
"""

import sys
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from core.geometry.boxes import Boxes, gap_between
from core.geometry.leaves import Leaves
from core.geometry.poses import Poses
from core.geometry.shapes import FloatArray, IntArray
from core.geometry.spans import Spans
from core.geometry.triangle_bands import Pieces, touching_band

__all__ = ["blocked_heights", "contact_stations"]

Intervals = tuple[FloatArray, FloatArray]
Owned = tuple[IntArray, FloatArray, FloatArray]
_Mask = NDArray[np.bool_]
_Part = tuple[FloatArray, IntArray, Intervals]
_ALL = sys.maxsize
_AT_ONCE = 2048  # leaves looked into at once
_BOUNDED = 4096  # triangles bounded by planes at once
_FIRST_LEAVES = 400  # leaves of a pose looked into first, then all that still reach out
_FIRST_SOLVED = 256  # triangles of a pose solved first, then four times as many


class _Kind(Protocol):
    """How points, boxes and triangles block intervals; `inf, -inf` for nothing."""

    def of_points(self, points: Boxes) -> Intervals:
        """Return what points within reach of the travel block."""

    def inner(self, triangles: FloatArray, boxes: Boxes) -> Intervals:
        """Return what the corners of triangles `(3, 3, n)` block at least."""

    def outer(self, boxes: Boxes) -> Intervals:
        """Bound what boxes block."""

    def sharper(self, triangles: FloatArray, pose: IntArray) -> Intervals:
        """Bound what triangles block more narrowly, or just as much."""

    def exact(self, triangles: FloatArray, pose: IntArray) -> Owned:
        """Return what triangles block, and the poses of these intervals."""


def blocked_heights(leaves: Leaves) -> Spans:
    """Return the heights of the axis at the supports that come too near, by pose.

    Parameters
    ----------
    leaves : Leaves
        Leaves near runs; those out of reach of the travel block nothing.

    Returns
    -------
    Spans
        Owned by the poses [in].
    """
    poses = leaves.poses
    spans = _filled(leaves, _Heights(poses))
    tracks = [poses.tracks[owner] for owner in spans.owner.tolist()]
    lo = spans.lo - np.array([track.up for track in tracks])
    hi = spans.hi + np.array([track.down for track in tracks])
    return Spans.united(spans.owner, lo, hi)


def contact_stations(leaves: Leaves) -> Spans:
    """Return the stations within the limit at some height of the travel, by pose.

    Parameters
    ----------
    leaves : Leaves
        Leaves near runs; those out of reach of the travel are not met.

    Returns
    -------
    Spans
        Owned by the poses, from 0 to the length of the run [in].
    """
    spans = _filled(leaves, _Stations(leaves.poses))
    lo = np.maximum(spans.lo, 0.0)
    hi = np.minimum(spans.hi, leaves.poses.length[spans.owner])
    some = lo <= hi
    return Spans(owner=spans.owner[some], lo=lo[some], hi=hi[some])


def _filled(leaves: Leaves, kind: _Kind) -> Spans:
    """Look into leaves, those that reach out most first, until all are covered."""
    pose, outer = leaves.pose, kind.outer(leaves.boxes)
    inner = Spans.united(pose, *kind.of_points(leaves.points))
    every = np.arange(pose.size)
    left, first = _reaching_out(every, pose, outer, inner, _FIRST_LEAVES)
    if not left.size:
        return inner
    parts, found = [], []
    for triangles, boxes in _looked_into(leaves, left[first]):
        parts.append((triangles, boxes.pose, kind.outer(boxes)))
        found.append((boxes.pose, *kind.inner(triangles, boxes)))
    inner = inner.joined(*(np.concatenate(each) for each in zip(*found, strict=True)))
    parts = [_uncovered(part, inner) for part in parts]
    # the rest hardly widens the union any more
    rest, _ = _reaching_out(left[~first], pose, outer, inner)
    for triangles, boxes in _looked_into(leaves, rest):
        part = triangles, boxes.pose, kind.outer(boxes)
        parts.append(_uncovered(part, inner))
    return _solved(inner, *_in_order(parts), kind)


def _looked_into(leaves: Leaves, some: IntArray) -> Iterator[tuple[FloatArray, Boxes]]:
    """Yield the triangles of leaves and their boxes, so many that the cache holds."""
    for first in range(0, some.size, _AT_ONCE):
        triangles, pose = leaves.triangles(some[first : first + _AT_ONCE])
        yield triangles, Boxes.around(triangles, leaves.poses, pose)


def _uncovered(part: _Part, inner: Spans) -> _Part:
    """Return the triangles whose bounds reach out, their poses and their bounds."""
    triangles, pose, outer = part
    left, _ = _reaching_out(np.arange(pose.size), pose, outer, inner)
    return triangles[:, :, left], pose[left], (outer[0][left], outer[1][left])


def _in_order(parts: list[_Part]) -> tuple[FloatArray, IntArray]:
    """Return the triangles of all parts and their poses, these ascending."""
    if len(parts) == 1:
        return parts[0][:2]
    pose = np.concatenate([part[1] for part in parts])
    order = np.argsort(pose, kind="stable")
    triangles = np.concatenate([part[0] for part in parts], axis=2)
    return triangles[:, :, order], pose[order]


def _solved(inner: Spans, triangles: FloatArray, pose: IntArray, kind: _Kind) -> Spans:
    """Solve triangles, those that reach out most first, until all are covered."""
    if not pose.size:
        return inner
    outer = _sharper(triangles, pose, kind)
    left, most = np.arange(pose.size), _FIRST_SOLVED
    while True:
        left, first = _reaching_out(left, pose, outer, inner, most)
        if not left.size:
            return inner
        some = left[first]
        inner = inner.joined(*kind.exact(triangles[:, :, some], pose[some]))
        left = left[~first]
        most *= 4


def _sharper(triangles: FloatArray, pose: IntArray, kind: _Kind) -> Intervals:
    """Bound what triangles block more narrowly, so many at once as the cache holds."""
    starts = range(0, pose.size, _BOUNDED)
    parts = [slice(first, first + _BOUNDED) for first in starts]
    bounds = [kind.sharper(triangles[:, :, some], pose[some]) for some in parts]
    if len(bounds) == 1:
        return bounds[0]
    lo, hi = zip(*bounds, strict=True)
    return np.concatenate(lo), np.concatenate(hi)


def _reaching_out(
    some: IntArray, pose: IntArray, outer: Intervals, inner: Spans, most: int = _ALL
) -> tuple[IntArray, _Mask]:
    """Return those of some outer intervals that the inner ones leave uncovered.

    Tells also which of these are among so many of each pose that reach out most.
    """
    if not some.size:
        return some, np.ones(0, dtype=np.bool_)
    excess = inner.excess(pose[some], outer[0][some], outer[1][some])
    left = (excess > 0.0).nonzero()[0]
    first = np.ones(left.size, dtype=np.bool_)
    if left.size > most:
        owner = pose[some[left]]
        order = np.lexsort((-excess[left], owner))
        rank = np.arange(left.size) - np.searchsorted(owner, owner, side="left")
        first[order] = rank < most
    return some[left], first


def _about(middle: FloatArray, square: FloatArray, met: _Mask) -> Intervals:
    """Return intervals about middles from squared half lengths, where met."""
    root = np.sqrt(np.maximum(square, 0.0))
    return np.where(met, middle - root, np.inf), np.where(met, middle + root, -np.inf)


def _hull(intervals: Intervals) -> Intervals:
    """Return the least interval that holds the three of each column, `(3, n)`."""
    lo, hi = intervals
    return (
        np.minimum(np.minimum(lo[0], lo[1]), lo[2]),
        np.maximum(np.maximum(hi[0], hi[1]), hi[2]),
    )


@dataclass(frozen=True, slots=True)
class _Heights:
    """Heights of the axis at the supports at which runs come too near."""

    poses: Poses

    def of_points(self, points: Boxes) -> Intervals:
        """Return what points within reach of the travel block."""
        reach = self.poses.reach[points.pose]
        square = reach * reach - points.square
        return _about(points.level, square, (points.gap < reach) & (square > 0.0))

    def inner(self, triangles: FloatArray, boxes: Boxes) -> Intervals:
        """Return what the corners of triangles within reach of the travel block."""
        _, _, square = self._beside(triangles, boxes.pose)
        level = triangles[:, 2] - self._axis(triangles, boxes.pose)
        near = boxes.gap < self.poses.reach[boxes.pose]
        return _hull(_about(level, square, near & (square > 0.0)))

    def _axis(self, triangles: FloatArray, pose: IntArray) -> FloatArray:
        """Return the heights of the axis beside corners, `(3, n)` or `(n,)`."""
        return self.poses.axis(triangles[:, 0], pose)

    def outer(self, boxes: Boxes) -> Intervals:
        """Bound the heights at which each box is too near."""
        low, high = self._axis_span(boxes)
        reach = self.poses.reach[boxes.pose]
        root = np.sqrt(np.maximum(reach * reach - boxes.square, 0.0))
        near = boxes.gap < reach
        lo = np.where(near, boxes.low[2] - high - root, np.inf)
        return lo, np.where(near, boxes.high[2] - low + root, -np.inf)

    def _axis_span(self, boxes: Boxes) -> Intervals:
        """Bound the axis where it may touch boxes.

        The axis touches square to itself, or at its ends: at most by the sine of
        its slope times the reach away from the box.
        """
        poses, pose = self.poses, boxes.pose
        margin = poses.reach * poses.steep / np.sqrt(1.0 + poses.steep**2)
        return poses.axis_span(boxes.low[0], boxes.high[0], pose, margin[pose])

    def sharper(self, triangles: FloatArray, pose: IntArray) -> Intervals:
        """Bound heights by planes that touch the reach.

        The height at which a point is left, w + sqrt(reach^2 - plan distance^2), is
        a concave function of the point, so it lies below each of its tangent
        planes, and these are greatest over a triangle at a corner. The plane over
        the corner that is left highest is close where that is the highest point of
        the triangle, the planes as steep as the edges where it lies on an edge.
        """
        boxes = Boxes.around(triangles, self.poses, pose)
        low, high = self._axis_span(boxes)
        along, aside, square = self._beside(triangles, pose)
        slope = along, aside, np.sqrt(np.maximum(square, 0.0))
        axis, w = self._axis(triangles, pose), triangles[:, 2]
        bottom, top = self._edge_planes(triangles, pose)
        top = np.minimum(top, _corner_plane(triangles, w, w - axis, slope))
        bottom = np.maximum(bottom, -_corner_plane(triangles, -w, axis - w, slope))
        lo, hi = self.outer(boxes)
        return np.maximum(lo, bottom - high), np.minimum(hi, top - low)

    def _edge_planes(self, triangles: FloatArray, pose: IntArray) -> Intervals:
        """Bound heights by the planes across the run as steep as the edges.

        Of slope s, the one above the reach lies reach sqrt(1 + s^2) + |s| side
        over the axis.
        """
        v, w = triangles[:, 1], triangles[:, 2]
        dv, dw = v[[1, 2, 0]] - v, w[[1, 2, 0]] - w
        slope = np.where(dv == 0.0, 0.0, dw / np.where(dv == 0.0, 1.0, dv))
        side, reach = self.poses.side[pose], self.poses.reach[pose]
        over = reach * np.sqrt(1.0 + slope * slope) + np.abs(slope) * side
        rise = w[:, None] - v[:, None] * slope
        low, high = rise.min(axis=0) - over, rise.max(axis=0) + over
        return low.max(axis=0), high.min(axis=0)

    def _beside(
        self, triangles: FloatArray, pose: IntArray
    ) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Return how far corners lie past the ends and the sides, `(3, n)`.

        And what the square of that leaves of the squared reach.
        """
        u, v = triangles[:, 0], triangles[:, 1]
        side, reach = self.poses.side[pose], self.poses.reach[pose]
        along = u - np.minimum(np.maximum(u, 0.0), self.poses.length[pose])
        aside = v - np.minimum(np.maximum(v, -side), side)
        return along, aside, reach * reach - along * along - aside * aside

    def exact(self, triangles: FloatArray, pose: IntArray) -> Owned:
        """Solve each triangle with every piece of the axis that it can meet."""
        poses = self.poses
        triangle, piece = poses.pieces_near(triangles, pose, poses.reach[pose])
        owner = pose[triangle]
        pieces = Pieces(
            u0=poses.knots[piece],
            u1=poses.knots[piece + 1],
            w0=poses.offsets[piece],
            w1=poses.offsets[piece + 1],
            side=poses.side[owner],
            reach=poses.reach[owner],
        )
        return owner, *touching_band(triangles[:, :, triangle], pieces)


def _corner_plane(
    triangles: FloatArray,
    w: FloatArray,
    level: FloatArray,
    slope: tuple[FloatArray, FloatArray, FloatArray],
) -> FloatArray:
    """Return how high the tangent plane over one corner rises over each triangle.

    The corner is the one with the greatest height; inf where none is within reach.
    """
    along, aside, root = slope
    a, b, c = np.where(root > 0.0, level + root, -np.inf)
    first, second = a >= np.maximum(b, c), b >= c

    def picked(values: FloatArray) -> FloatArray:
        other = np.where(second, values[1], values[2])
        return np.asarray(np.where(first, values[0], other))

    size = picked(root)
    flat = np.where(size > 0.0, size, 1.0)
    u, v = triangles[:, 0], triangles[:, 1]
    rise = w - picked(along) / flat * (u - picked(u))
    rise -= picked(aside) / flat * (v - picked(v))
    top: FloatArray = np.maximum(np.maximum(rise[0], rise[1]), rise[2]) + size
    return np.where(size > 0.0, top, np.inf)


@dataclass(frozen=True, slots=True)
class _Stations:
    """Stations at which some height of the travel comes too near."""

    poses: Poses

    def of_points(self, points: Boxes) -> Intervals:
        """Return what points within reach of the travel block."""
        return self._of(points.low, points)

    def _of(self, points: FloatArray, boxes: Boxes) -> Intervals:
        """Return what points `(..., 3, n)` of boxes within reach block."""
        u, v, w = points[..., 0, :], points[..., 1, :], points[..., 2, :]
        square = self._square(v, v, w, w, boxes)
        near = boxes.gap < self.poses.reach[boxes.pose]
        return _about(u, square, near & (square > 0.0))

    def _square(
        self,
        v_low: FloatArray,
        v_high: FloatArray,
        w_low: FloatArray,
        w_high: FloatArray,
        boxes: Boxes,
    ) -> FloatArray:
        """Return what distances seen along the run leave of the squared reach."""
        poses, pose = self.poses, boxes.pose
        side, reach = poses.side[pose], poses.reach[pose]
        strip = self._strip(boxes.low[0], boxes.high[0], pose)
        aside = gap_between(v_low, v_high, -side, side)
        upright = gap_between(w_low, w_high, *strip)
        return reach * reach - aside * aside - upright * upright

    def _strip(self, first: FloatArray, last: FloatArray, pose: IntArray) -> Intervals:
        """Bound the heights that the metal sweeps near stretches of the run."""
        poses = self.poses
        low, high = poses.axis_span(first, last, pose, poses.reach[pose])
        return (
            np.maximum(low, poses.lowest[pose]) + poses.bottom[pose],
            np.minimum(high, poses.highest[pose]) + poses.top[pose],
        )

    def inner(self, triangles: FloatArray, boxes: Boxes) -> Intervals:
        """Return what the corners of triangles within reach of the travel block."""
        return _hull(self._of(triangles, boxes))

    def outer(self, boxes: Boxes) -> Intervals:
        """Bound the stations of the run at which each box is too near."""
        poses, (low, high) = self.poses, (boxes.low, boxes.high)
        square = self._square(low[1], high[1], low[2], high[2], boxes)
        root = np.sqrt(np.maximum(square, 0.0))
        lo = np.maximum(low[0] - root, 0.0)
        hi = np.minimum(high[0] + root, poses.length[boxes.pose])
        met = (square > 0.0) & (lo <= hi) & (boxes.gap < poses.reach[boxes.pose])
        return np.where(met, lo, np.inf), np.where(met, hi, -np.inf)

    def sharper(self, triangles: FloatArray, pose: IntArray) -> Intervals:
        """Return the bounds as they are: few triangles reach out along the run."""
        return self.outer(Boxes.around(triangles, self.poses, pose))

    def exact(self, triangles: FloatArray, pose: IntArray) -> Owned:
        """Solve where strips of heights, pushed along the run, meet triangles.

        That is the question for heights with u and w swapped.
        """
        u = triangles[:, 0]
        low, high = self._strip(u.min(axis=0), u.max(axis=0), pose)
        zero = np.zeros_like(low)
        pieces = Pieces(
            u0=low,
            u1=high,
            w0=zero,
            w1=zero,
            side=self.poses.side[pose],
            reach=self.poses.reach[pose],
        )
        return pose, *touching_band(triangles[:, ::-1], pieces)
