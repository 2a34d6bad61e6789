"""How much of a floor lies inside the lanes of the runs, and where the holes are.

The plane is cut into strips at every corner and every crossing of two edges. No
edges cross inside a strip, so the pieces between them are trapezoids and their
areas exact.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.errors import ValueRangeError

__all__ = ["Coverage", "Hole", "fewest_lanes", "floor_coverage", "lane_outline"]

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
Vec2 = tuple[float, float]

_SAME = 1e-9  # places closer than this share of the floor's size are one

_PARALLEL = 1e-12  # slopes nearer than this do not cross on any floor


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Hole:
    """A part of the floor outside all lanes.

    `area` [in2]; `low` and `high` corners of its box [in]; `pieces` `(k, 4, 2)`
    the trapezoids that it is made of, each running round [in].
    """

    area: float
    low: Vec2
    high: Vec2
    pieces: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Coverage:
    """Floor and covered area [in2], and the holes, largest first."""

    floor: float
    covered: float
    holes: tuple[Hole, ...]

    @property
    def share(self) -> float:
        """Covered share of the floor [-]; 0 for no floor."""
        return self.covered / self.floor if self.floor else 0.0


def fewest_lanes(width: float, *, lane_width: float) -> tuple[int, float]:
    """Return how many lanes side by side cover a width, and their even spacing.

    Parameters
    ----------
    width : float
        Width to cover [in], above 0.
    lane_width : float
        Width of one lane [in], above 0.

    Returns
    -------
    count : int
        Fewest lanes.
    spacing : float
        Width that each one serves [in], at most `lane_width`.

    Raises
    ------
    ValueRangeError
        If a width is not greater than 0.

    Examples
    --------
    >>> fewest_lanes(41 * 12.0, lane_width=120.0)
    (5, 98.4)
    """
    if not (width > 0 and lane_width > 0):
        msg = (
            f"width = {width:g} in and lane width = {lane_width:g} in must be "
            "greater than 0 in"
        )
        raise ValueRangeError(msg)
    count = max(1, math.ceil(width / lane_width - 1e-9))
    return count, width / count


def lane_outline(start: Vec2, end: Vec2, *, width: float) -> FloatArray:
    """Return the corners of the lane that a run serves.

    Parameters
    ----------
    start, end : (2,) float
        Ends of the run in plan [in], not the same place.
    width : float
        Width of the lane [in], above 0.

    Returns
    -------
    (4, 2) float
        Corners in order [in].

    Raises
    ------
    ValueRangeError
        If the run has no length or the lane no width.

    Examples
    --------
    >>> lane_outline((0.0, 60.0), (100.0, 60.0), width=120.0).tolist()
    [[0.0, 0.0], [100.0, 0.0], [100.0, 120.0], [0.0, 120.0]]
    """
    first, last = np.asarray(start, dtype=np.float64), np.asarray(end)
    length = math.dist(start, end)
    if not (length > 0 and width > 0):
        msg = (
            f"lane of length {length:g} in and width {width:g} in must be greater "
            "than 0 in both ways"
        )
        raise ValueRangeError(msg)
    along = (last - first) / length
    aside = np.asarray([-along[1], along[0]]) * (width / 2)
    return np.stack([first - aside, last - aside, last + aside, first + aside])


def floor_coverage(
    lanes: Sequence[ArrayLike],
    floor: Sequence[ArrayLike],
    *,
    smallest_hole: float = 1.0,
) -> Coverage:
    """Return the share of the floor inside the lanes; overlap counts once.

    Parameters
    ----------
    lanes : sequence of (n, 2) float
        Outlines of the lanes [in].
    floor : sequence of (n, 2) float
        Outlines of the floor or of its pens [in]; where two overlap the floor
        counts once. An outline must not cross itself.
    smallest_hole : float
        Area from which on a hole is listed [in2].

    Returns
    -------
    Coverage
        Areas and holes.

    Raises
    ------
    ValueRangeError
        If an outline has fewer than three corners or one that is not finite.

    Examples
    --------
    >>> room = [(0, 0), (100, 0), (100, 40), (0, 40)]
    >>> lane = lane_outline((0.0, 10.0), (100.0, 10.0), width=20.0)
    >>> floor_coverage([lane, lane], [room]).share
    0.5
    """
    outlines = [_outline(points) for points in [*lanes, *floor]]
    edges = _edges(outlines)
    if not len(edges.left):
        return Coverage(floor=0.0, covered=0.0, holes=())
    pieces = _pieces(edges, lane_count=len(lanes))
    areas = pieces.areas
    on_floor = pieces.floors > 0
    inside = on_floor & (pieces.lanes > 0)
    return Coverage(
        floor=float(areas[on_floor].sum()),
        covered=float(areas[inside].sum()),
        holes=_holes(pieces, on_floor & ~inside, smallest_hole),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Edges:
    """Edges that are not upright: left and right end `(n, 2)`, outline `(n,)`."""

    left: FloatArray
    right: FloatArray
    owner: IntArray

    def heights(self, which: IntArray, x: FloatArray) -> FloatArray:
        """Return y of edges at x [in]."""
        left, right = self.left[which], self.right[which]
        share = (x - left[:, 0]) / (right[:, 0] - left[:, 0])
        y: FloatArray = left[:, 1] + (right[:, 1] - left[:, 1]) * share
        return y


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Pieces:
    """Trapezoids by strip and height: corners, and how many outlines cover each."""

    strips: IntArray
    quads: FloatArray
    areas: FloatArray
    floors: IntArray
    lanes: IntArray


def _outline(points: ArrayLike) -> FloatArray:
    """Check one outline."""
    outline = np.asarray(points, dtype=np.float64)
    if outline.ndim != 2 or len(outline) < 3 or not np.isfinite(outline).all():
        msg = "an outline of floor or lane needs three or more finite corners"
        raise ValueRangeError(msg)
    return outline


def _edges(outlines: Sequence[FloatArray]) -> _Edges:
    """List the edges of all outlines from left to right, without upright ones."""
    starts = np.concatenate([*outlines, np.zeros((0, 2))])
    ends = np.concatenate(
        [*(np.roll(outline, -1, axis=0) for outline in outlines), np.zeros((0, 2))]
    )
    owner = np.repeat(np.arange(len(outlines)), [len(outline) for outline in outlines])
    forward = (starts[:, 0] < ends[:, 0])[:, None]
    slanted = np.abs(starts[:, 0] - ends[:, 0]) > _SAME * max(1.0, _size(starts))
    return _Edges(
        left=np.where(forward, starts, ends)[slanted],
        right=np.where(forward, ends, starts)[slanted],
        owner=owner[slanted],
    )


def _size(points: FloatArray) -> float:
    """Return the largest coordinate [in]."""
    return float(np.abs(points).max(initial=0.0))


def _cuts(edges: _Edges) -> FloatArray:
    """Return the x of every corner and crossing, in order, none twice."""
    corners = np.concatenate([edges.left[:, 0], edges.right[:, 0]])
    cuts = np.unique(np.concatenate([corners, _crossings(edges)]))
    apart = np.diff(cuts, prepend=-np.inf) > _SAME * max(1.0, _size(cuts))
    kept: FloatArray = cuts[apart]
    return kept


def _crossings(edges: _Edges) -> FloatArray:
    """Return the x where two edges cross."""
    run = edges.right - edges.left
    slope = run[:, 1] / run[:, 0]
    at_zero = edges.left[:, 1] - slope * edges.left[:, 0]
    one, two = np.nonzero(slope[:, None] - slope > _PARALLEL)
    x = (at_zero[two] - at_zero[one]) / (slope[one] - slope[two])
    low = np.maximum(edges.left[one, 0], edges.left[two, 0])
    high = np.minimum(edges.right[one, 0], edges.right[two, 0])
    crossing: FloatArray = x[(x > low) & (x < high)]
    return crossing


def _stack(edges: _Edges, cuts: FloatArray) -> tuple[IntArray, IntArray, IntArray]:
    """List strip, edge and side (1 into its outline, -1 out of it), bottom up."""
    middles = (cuts[:-1] + cuts[1:]) / 2
    strip, edge = np.nonzero(
        (edges.left[:, 0] < middles[:, None]) & (edges.right[:, 0] > middles[:, None])
    )
    heights = edges.heights(edge, middles[strip])
    by_outline = np.lexsort((heights, edges.owner[edge], strip))
    side = np.zeros(len(strip), dtype=np.int64)
    side[by_outline] = np.resize([1, -1], len(strip))
    bottom_up = np.lexsort((heights, strip))
    return strip[bottom_up], edge[bottom_up], side[bottom_up]


def _pieces(edges: _Edges, *, lane_count: int) -> _Pieces:
    """Cut lanes and floor into trapezoids between neighbouring edges of a strip."""
    cuts = _cuts(edges)
    strip, edge, side = _stack(edges, cuts)
    is_lane = edges.owner[edge] < lane_count
    low, high = cuts[strip[:-1]], cuts[strip[:-1] + 1]
    quads = _quads(edges, edge[:-1], edge[1:], low, high)
    depths = quads[:, 3, 1] - quads[:, 0, 1] + quads[:, 2, 1] - quads[:, 1, 1]
    same = strip[:-1] == strip[1:]
    return _Pieces(
        strips=strip[:-1],
        quads=quads,
        areas=np.where(same, depths * (high - low) / 2, 0.0),
        floors=np.cumsum(np.where(is_lane, 0, side))[:-1],
        lanes=np.cumsum(np.where(is_lane, side, 0))[:-1],
    )


def _quads(
    edges: _Edges, below: IntArray, above: IntArray, low: FloatArray, high: FloatArray
) -> FloatArray:
    """Return the corners `(n, 4, 2)` of trapezoids between pairs of edges."""
    corners = ((below, low), (below, high), (above, high), (above, low))
    points = [np.stack([x, edges.heights(edge, x)], axis=1) for edge, x in corners]
    return np.stack(points, axis=1)


def _holes(
    pieces: _Pieces, chosen: NDArray[np.bool_], least: float
) -> tuple[Hole, ...]:
    """Join the trapezoids outside all lanes that touch along an edge."""
    which = np.flatnonzero(chosen & (pieces.areas > 0))
    groups = _joined(pieces, which)
    holes = [_hole(pieces, which[groups == group]) for group in np.unique(groups)]
    listed = [hole for hole in holes if hole.area >= least]
    return tuple(sorted(listed, key=lambda hole: (-hole.area, hole.low)))


def _hole(pieces: _Pieces, which: IntArray) -> Hole:
    """Describe one hole."""
    quads = pieces.quads[which]
    low, high = quads.min(axis=(0, 1)), quads.max(axis=(0, 1))
    return Hole(
        area=float(pieces.areas[which].sum()),
        low=(float(low[0]), float(low[1])),
        high=(float(high[0]), float(high[1])),
        pieces=quads,
    )


def _joined(pieces: _Pieces, which: IntArray) -> IntArray:
    """Give trapezoids that touch the same number."""
    group = np.arange(len(which))
    for one, two in zip(*_touching(pieces, which), strict=True):
        group[group == group[two]] = group[one]
    return group


def _touching(pieces: _Pieces, which: IntArray) -> tuple[IntArray, IntArray]:
    """List pairs of trapezoids with a common edge: side by side, or stacked."""
    strips, quads = pieces.strips[which], pieces.quads[which]
    left_low, right_low, right_high, left_high = quads[:, :, 1].T
    overlap = np.minimum(right_high[:, None], left_high) - np.maximum(
        right_low[:, None], left_low
    )
    beside = (strips[:, None] + 1 == strips) & (overlap > _SAME)
    step = np.abs(left_high[:, None] - left_low) + np.abs(
        right_high[:, None] - right_low
    )
    stacked = (strips[:, None] == strips) & (step < _SAME)
    one, two = np.nonzero(beside | stacked)
    return one, two
