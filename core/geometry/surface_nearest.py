"""The least distance of runs over their whole travel to given leaves."""

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from core.geometry.boxes import Boxes
from core.geometry.leaves import Leaves
from core.geometry.poses import Poses, slices
from core.geometry.shapes import FloatArray, IntArray
from core.geometry.triangle_distance import TIE, Nearest, Prisms, nearest_to_each

__all__ = ["lower_nearest", "nearest_in_travel"]

Found = list[Nearest | None]

_FIRST_LEAVES = 16  # leaves of a pose whose corners bound the least distance
_FIRST_SOLVED = 64  # triangles of a pose solved at once, then twice as many


def lower_nearest(a: Nearest | None, b: Nearest | None) -> Nearest | None:
    """Return the nearer one, of two equally near ones the lower."""
    if a is None or b is None:
        return a or b
    if abs(a.distance - b.distance) > TIE:
        return a if a.distance < b.distance else b
    return a if a.height <= b.height else b


def nearest_in_travel(leaves: Leaves, known: Sequence[float]) -> Found:
    """Return the least distance of swept axes to the triangles of leaves, by pose.

    Triangles are solved in the order of the least distance that their boxes
    allow, until no other can be nearer, or as near and lower.

    Parameters
    ----------
    leaves : Leaves
        Leaves near the runs.
    known : sequence of float
        A distance known already for each pose, or inf [in].

    Returns
    -------
    list of (Nearest or None)
        For each pose what is nearest, None if nothing is as near as what is known;
        the height is that of the nearest point of the metal against the axis at
        the supports.
    """
    bound = _leaf_bound(leaves, np.array(known))
    triangles, pose = leaves.triangles(_within(leaves.boxes, bound))
    boxes = Boxes.around(triangles, leaves.poses, pose)
    left = _within(boxes, bound)
    return _solved(triangles[:, :, left], boxes.take(left), leaves.poses, bound)


def _within(boxes: Boxes, bound: FloatArray) -> IntArray:
    """Return the boxes that may be as near as the bound of their pose [in]."""
    return (boxes.gap <= bound[boxes.pose] + TIE).nonzero()[0]


def _leaf_bound(leaves: Leaves, known: FloatArray) -> FloatArray:
    """Bound the least distance from a point of each leaf and the nearest leaves."""
    bound = _lowered(known, leaves.points)
    gap = leaves.boxes.gap
    near = _within(leaves.boxes, bound)
    first = near[_of_each(leaves.pose[near], _FIRST_LEAVES, gap[near])]
    first.sort()
    triangles, pose = leaves.triangles(first)
    points, pose = triangles.transpose(1, 2, 0).reshape(3, -1), np.repeat(pose, 3)
    return _lowered(bound, Boxes.of(points, points, leaves.poses, pose))


def _lowered(bound: FloatArray, points: Boxes) -> FloatArray:
    """Lower bounds to the distances of points to the metal beside them."""
    distance = np.sqrt(points.square + points.upright * points.upright)
    lowered = bound.copy()
    for owner, rows in slices(points.pose):
        lowered[owner] = min(lowered[owner], distance[rows].min())
    return lowered


def _of_each(pose: IntArray, most: int, *keys: FloatArray) -> IntArray:
    """Return so many rows of each pose, those with the least keys, in their order.

    The last key counts most.
    """
    order = np.lexsort((*keys, pose))
    rank = np.arange(pose.size) - np.searchsorted(pose, pose, side="left")
    return order[rank < most]


def _solved(
    triangles: FloatArray, boxes: Boxes, poses: Poses, bound: FloatArray
) -> Found:
    """Solve triangles until no other can be nearer, or as near and lower."""
    best: Found = [None] * len(poses.tracks)
    level = _lowest_level(triangles, boxes, poses.side[boxes.pose])
    key = np.floor(boxes.gap / TIE)
    left, most = np.arange(boxes.pose.size), _FIRST_SOLVED
    while left.size:
        pose = boxes.pose[left]
        chosen = _of_each(pose, most, level[left], key[left])
        some = left[chosen]
        found = _nearest(triangles[:, :, some], boxes.pose[some], poses, bound)
        for owner, nearest in found:
            best[owner] = lower_nearest(best[owner], nearest)
        rest = np.ones(left.size, dtype=np.bool_)
        rest[chosen] = False
        left = left[rest]
        left = left[_may_improve(boxes.take(left), level[left], best)]
        most *= 2
    return best


def _lowest_level(triangles: FloatArray, boxes: Boxes, side: FloatArray) -> FloatArray:
    """Bound the height of what each triangle meets from below."""
    under = (side == 0.0) & (boxes.square == 0.0)
    return boxes.level + np.where(under, _rise_to_middle(triangles), 0.0)


def _may_improve(boxes: Boxes, level: FloatArray, best: Found) -> NDArray[np.bool_]:
    """Tell which triangles can be nearer, or as near and lower."""
    pairs = [
        (math.inf, math.inf) if one is None else (one.distance, one.height)
        for one in best
    ]
    distance, height = np.array(pairs)[boxes.pose].T
    nearer = boxes.gap < distance - TIE
    below = np.sqrt(np.maximum((distance + TIE) ** 2 - boxes.square, 0.0))
    lower = (boxes.gap <= distance + TIE) & (level - below < height - TIE)
    return np.asarray(nearer | lower)


def _rise_to_middle(triangles: FloatArray) -> FloatArray:
    """Return how far above its lowest corner each triangle meets v = 0."""
    v, w = triangles[:, 1], triangles[:, 2]
    dv, dw = v[[1, 2, 0]] - v, w[[1, 2, 0]] - w
    across = (v > 0.0) != (v[[1, 2, 0]] > 0.0)
    height = w - v * dw / np.where(across, dv, 1.0)
    lowest = w.min(axis=0)
    rise = np.where(across, height, np.inf).min(axis=0) - lowest
    return np.asarray(np.where(across.any(axis=0), np.maximum(rise, 0.0), 0.0))


def _nearest(
    triangles: FloatArray, pose: IntArray, poses: Poses, bound: FloatArray
) -> list[tuple[int, Nearest]]:
    """Solve each triangle with every piece of its axis that may be near enough."""
    found: list[tuple[int, Nearest]] = []
    broad = poses.side[pose] > 0.0
    for some in (broad.nonzero()[0], (~broad).nonzero()[0]):
        if some.size:
            found += _nearest_alike(triangles[:, :, some], pose[some], poses, bound)
    return found


def _nearest_alike(
    triangles: FloatArray, pose: IntArray, poses: Poses, bound: FloatArray
) -> list[tuple[int, Nearest]]:
    """Solve triangles with pieces that all have a breadth, or none of them."""
    triangle, piece = poses.pieces_near(triangles, pose, bound[pose] + TIE)
    owner = pose[triangle]
    prisms = Prisms(
        u0=poses.knots[piece],
        u1=poses.knots[piece + 1],
        w0=poses.offsets[piece],
        w1=poses.offsets[piece + 1],
        low=poses.bottom[owner],
        high=poses.top[owner],
        side=poses.side[owner],
    )
    parts = list(slices(owner))
    counts = [rows.stop - rows.start for _, rows in parts]
    found = nearest_to_each(triangles[:, :, triangle], prisms, counts)
    return [(part[0], nearest) for part, nearest in zip(parts, found, strict=True)]
