"""How near still segments, such as those of ropes and leads, are to a surface.

Segments and blocks of triangles are paired by the gap between their boxes, the
nearest pairs first; a pair whose boxes are farther apart than what its bundle of
segments has already met is not looked into.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from core.geometry.shapes import FloatArray, IntArray, Vec3
from core.geometry.surface import BLOCK, GROUP, Surface
from core.geometry.triangle_distance import Nearest, nearest_to_segments

__all__ = ["SegmentGap", "nearest_in_bundles"]

_ROUNDING = 1e-9  # keeps blocks that only rounding puts out of reach [in]
_FIRST = 8  # pairs looked into at once at the beginning
_MOST = 128  # pairs looked into at once later; bounds the memory


@dataclass(frozen=True, slots=True, kw_only=True)
class SegmentGap:
    """Least gap of still segments to a surface [in], and the nearest points.

    `segment` is the place of the nearest of them; `clearance` is `-radius` where it
    meets the surface with its axis.
    """

    segment: int
    clearance: float
    on_segment: Vec3
    on_surface: Vec3


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Pairs:
    """Segments and blocks, with lower bounds of their gaps [in], the least first."""

    segment: IntArray
    block: IntArray
    bound: FloatArray


def nearest_in_bundles(
    starts: FloatArray,
    ends: FloatArray,
    radii: FloatArray,
    bundles: IntArray,
    surface: Surface,
    *,
    horizon: float,
) -> Mapping[int, SegmentGap]:
    """Return the segment of each bundle that comes nearest to a surface.

    Parameters
    ----------
    starts, ends : (n, 3) float
        Ends of the segments in the room [in].
    radii : (n,) float
        Their radii [in].
    bundles : (n,) int
        The number of the bundle that each segment belongs to, from 0.
    surface : Surface
        The surface, where it stands.
    horizon : float
        Gaps are given up to this one [in].

    Returns
    -------
    mapping of int to SegmentGap
        By bundle; those that are nowhere within the horizon are left out.
    """
    if not len(radii):
        return {}
    own = surface.to_own(starts), surface.to_own(ends)
    pairs = _near_pairs(own, radii, surface, horizon)
    best: dict[int, tuple[int, Nearest]] = {}
    reach = np.full(int(bundles.max()) + 1, horizon, dtype=np.float64)
    first, together = 0, _FIRST
    while first < len(pairs.segment):
        some = slice(first, first + together)
        mine = pairs.segment[some]
        kept = pairs.bound[some] <= reach[bundles[mine]]
        mine, blocks = mine[kept], pairs.block[some][kept]
        for place, near in zip(
            mine.tolist(), _nearest(own, mine, blocks, surface), strict=True
        ):
            bundle, gap = int(bundles[place]), near.distance - float(radii[place])
            if gap < reach[bundle] or (bundle not in best and gap <= horizon):
                best[bundle] = place, near
                reach[bundle] = gap
        first, together = first + len(kept), min(2 * together, _MOST)
    return {
        bundle: _gap(place, near, float(radii[place]), surface)
        for bundle, (place, near) in best.items()
    }


def _nearest(
    own: tuple[FloatArray, FloatArray],
    segments: IntArray,
    blocks: IntArray,
    surface: Surface,
) -> list[Nearest]:
    """Return the nearest points of each pair of a segment and a block, own frame."""
    if not len(segments):
        return []
    n = len(blocks)
    starts, ends = (np.repeat(points[segments].T, BLOCK, axis=1) for points in own)
    triangles = surface.corners[:, blocks].reshape(3, 3, n * BLOCK)
    return nearest_to_segments(triangles, starts, ends, [BLOCK] * n)


def _near_pairs(
    own: tuple[FloatArray, FloatArray],
    radii: FloatArray,
    surface: Surface,
    horizon: float,
) -> _Pairs:
    """Return all pairs whose boxes come within the horizon, the nearest first."""
    low, high = np.minimum(*own).T, np.maximum(*own).T
    count = surface.low.shape[1]
    bound = _box_gaps(
        (low[:, :, None], high[:, :, None]),
        (surface.group_low[:, None], surface.group_high[:, None]),
    )
    segment, group = np.nonzero(bound - radii[:, None] <= horizon)
    block = (group[:, None] * GROUP + np.arange(GROUP)).ravel()
    segment = np.repeat(segment, GROUP)[block < count]
    block = block[block < count]
    bound = _box_gaps(
        (low[:, segment], high[:, segment]),
        (surface.low[:, block], surface.high[:, block]),
    )
    bound -= radii[segment]
    near = np.flatnonzero(bound <= horizon)
    order = near[np.argsort(bound[near], kind="stable")]
    return _Pairs(segment=segment[order], block=block[order], bound=bound[order])


def _box_gaps(
    one: tuple[FloatArray, FloatArray], other: tuple[FloatArray, FloatArray]
) -> FloatArray:
    """Bound the distance of boxes, each low and high `(3, ...)`, a trifle less."""
    apart = np.maximum(one[0] - other[1], other[0] - one[1])
    squared = np.square(np.maximum(apart, 0.0)).sum(axis=0)
    return np.asarray(np.sqrt(squared) - _ROUNDING)


def _gap(place: int, nearest: Nearest, radius: float, surface: Surface) -> SegmentGap:
    """Return a gap with its points on the round metal and the surface, in the room."""
    towards = nearest.on_triangle - nearest.on_body
    size = float(np.sqrt((towards * towards).sum()))
    step = radius / size if size > 0.0 else 0.0
    both = np.stack([nearest.on_body + step * towards, nearest.on_triangle])
    on_segment, on_surface = surface.to_room(both).tolist()
    return SegmentGap(
        segment=place,
        clearance=nearest.distance - radius,
        on_segment=(on_segment[0], on_segment[1], on_segment[2]),
        on_surface=(on_surface[0], on_surface[1], on_surface[2]),
    )
