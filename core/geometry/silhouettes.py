"""What a pipe sees of convex solids when it looks along itself, and how near it gets.

In the plane square to a pipe, v runs across and w up. A solid that lies between the
pipe's ends keeps it at a distance by its outline in that plane alone. For a pipe at
lateral position v that must stay at least `reach` away, the heights that come too
close run from `low` to `high`; each function here returns one or both for many
pairs of outline and position at once, element by element, so that a pair's answer
does not depend on the pairs computed beside it.
"""

from dataclasses import dataclass

import numpy as np

from core.geometry.shapes import FloatArray, IntArray

__all__ = [
    "Barrels",
    "Chains",
    "barrel_tops",
    "chain_tops",
    "hull_edges",
    "rounded_bands",
    "sum_edges",
]

_ARC_NODES = 24
_EDGE_SLACK = 1e-9
_BRACKET_STEPS = 60
_SETTLED_MISS = 1e-8


def rounded_bands(
    v: FloatArray,
    *,
    center: FloatArray,
    half: FloatArray,
    low: FloatArray,
    high: FloatArray,
    reach: FloatArray,
) -> tuple[FloatArray, FloatArray]:
    """Return the bands kept free round upright rectangles with rounded corners.

    Parameters
    ----------
    v : FloatArray
        Lateral positions, shape (n,) [in].
    center, half : FloatArray
        Middle and half width of the rectangles, shape (n,) [in].
    low, high : FloatArray
        Bottom and top of the rectangles, shape (n,) [in].
    reach : FloatArray
        Distance to keep from them, shape (n,), above 0 [in].

    Returns
    -------
    tuple[FloatArray, FloatArray]
        Lower and upper ends of the bands, shape (n,) each [in].

    Notes
    -----
    ``s = sqrt(reach^2 - max(|v - center| - half, 0)^2)``; the band runs from low - s
    to high + s. Positions beyond the reach are the caller's to leave out: s is 0 there.
    """
    off = np.maximum(np.abs(v - center) - half, 0.0)
    rise = np.sqrt(np.maximum((reach - off) * (reach + off), 0.0))
    return low - rise, high + rise


@dataclass(frozen=True, slots=True, kw_only=True)
class Chains:
    """Upper outlines of m convex polygons, each a chain of k straight edges.

    Edges run in rows, shape (k, m): start, change and 1 / change of v (0 where the
    edge is upright, which then starts at its upper end), and the shift of the
    nearest contact that its slope makes [in]. `crest` (m,) is the v of a highest point.
    """

    v: FloatArray
    w: FloatArray
    dv: FloatArray
    dw: FloatArray
    per_dv: FloatArray
    shift: FloatArray
    crest: FloatArray
    reach: FloatArray

    @classmethod
    def of_ends(cls, a: FloatArray, b: FloatArray, *, reach: FloatArray) -> "Chains":
        """Return chains of edges from a to b, shape (2, k, m): v and w of each [in]."""
        swap = (a[0] > b[0]) | ((a[0] == b[0]) & (a[1] < b[1]))
        start, end = np.where(swap, b, a), np.where(swap, a, b)
        dv, dw = end - start
        length = np.sqrt(dv * dv + dw * dw)
        per_dv = np.divide(1.0, dv, out=np.zeros_like(dv), where=dv > 0)
        slope = np.divide(dw, length, out=np.zeros_like(dw), where=length > 0)
        ends = np.concatenate([a, b], axis=1)
        highest = np.argmax(ends[1], axis=0)
        return cls(
            v=start[0],
            w=start[1],
            dv=dv,
            dw=dw,
            per_dv=per_dv,
            shift=reach * slope,
            crest=np.take_along_axis(ends[0], highest[None], axis=0)[0],
            reach=reach,
        )


def sum_edges(
    center: FloatArray, generators: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return the upper outlines of sums of segments: the shadows of tilted boxes.

    Parameters
    ----------
    center : FloatArray
        Middles, shape (2, m): v and w [in].
    generators : FloatArray
        Half segments that are added up, shape (k, 2, m) [in].

    Returns
    -------
    tuple[FloatArray, FloatArray]
        Start and end of each edge, shape (2, k, m) each [in].

    Notes
    -----
    From the left corner the upper outline takes the segments steepest first.
    """
    v, w = generators[:, 0], generators[:, 1]
    sign = np.where((v < 0.0) | ((v == 0.0) & (w < 0.0)), -1.0, 1.0)
    halves = np.stack([v * sign, w * sign])
    order = np.argsort(-np.arctan2(halves[1], halves[0]), axis=0, kind="stable")
    halves = np.take_along_axis(halves, order[None], axis=1)
    ends = np.zeros((2, len(generators) + 1, center.shape[1]))
    ends[:, 0] = center
    for k in range(len(generators)):
        ends[:, 0] -= halves[:, k]
    for k in range(len(generators)):
        ends[:, k + 1] = ends[:, k] + 2.0 * halves[:, k]
    return ends[:, :-1], ends[:, 1:]


def hull_edges(start: FloatArray, end: FloatArray) -> tuple[IntArray, IntArray]:
    """Return the edges of a hull that have nothing above them, and nothing below.

    Edges run from start to end, shape (2, e): v and w [in]. An edge too many costs
    time only, as it is a part of the hull like all others; so edges that miss the
    outline by rounding are among the result.
    """
    swap = start[0] > end[0]
    left, right = np.where(swap, end, start), np.where(swap, start, end)
    dv, dw = right - left
    v, w = np.concatenate([left, right], axis=1)
    above = dv * (w[:, None] - left[1]) - dw * (v[:, None] - left[0])
    extent = v.max() - v.min() + w.max() - w.min()
    slack = np.where(dv > 0.0, _EDGE_SLACK * extent * np.sqrt(dv * dv + dw * dw), -1.0)
    upper = np.nonzero(above.max(axis=0) <= slack)[0]
    return upper, np.nonzero(above.min(axis=0) >= -slack)[0]


def chain_tops(v: FloatArray, item: IntArray, chains: Chains) -> FloatArray:
    """Return the lowest heights that clear the upper outlines of convex polygons.

    Parameters
    ----------
    v : FloatArray
        Lateral positions, shape (n,) [in].
    item : IntArray
        Which of the m polygons each position meets, shape (n,) [-].
    chains : Chains
        The upper outlines, and the distance to keep from each.

    Returns
    -------
    FloatArray
        Heights, shape (n,) [in]; minus infinity out of reach of a polygon.

    Notes
    -----
    The largest of ``w + sqrt(reach^2 - (v - v')^2)`` over the points (v', w) of the
    edges. On an edge it lies at ``v' = v + reach dw / length``, or at the edge's end.
    """
    reach = chains.reach[item]
    top = np.full(v.shape, -np.inf)
    for k in range(len(chains.v)):
        start = chains.v[k][item]
        share = (v + chains.shift[k][item] - start) * chains.per_dv[k][item]
        share = np.minimum(np.maximum(share, 0.0), 1.0)
        off = v - (start + share * chains.dv[k][item])
        square = (reach - off) * (reach + off)
        height = chains.w[k][item] + share * chains.dw[k][item]
        height += np.sqrt(np.maximum(square, 0.0))
        np.maximum(top, height, out=top, where=square >= 0.0)
    return top


@dataclass(frozen=True, slots=True, kw_only=True)
class Barrels:
    """Outlines of m flat cylinders that lie askew: two equal ellipses and two lines.

    Seen with the centre at the origin and the axis in the first quadrant. `lean` is
    the unit axis in the plane (2, m), `half` the half length in the plane, `squash`
    the short semi-axis of the ellipses over the long one, `radius` the long one.
    `angle` and `offset` (m, j) hold eccentric angles and where the pipe then is.
    """

    lean: FloatArray
    half: FloatArray
    squash: FloatArray
    radius: FloatArray
    reach: FloatArray
    crest: FloatArray
    angle: FloatArray
    offset: FloatArray

    @classmethod
    def of_axes(
        cls,
        axis: FloatArray,
        *,
        half: FloatArray,
        radius: FloatArray,
        reach: FloatArray,
    ) -> "Barrels":
        """Return barrels of unit axes (3, m): along the pipe, across it and up [-]."""
        along, plane = np.abs(axis[0]), np.sqrt(axis[1] ** 2 + axis[2] ** 2)
        lean = np.abs(axis[1:]) / plane
        angle = _nodes(lean, along)
        ellipse, normal, _ = _arc(angle.T, along, radius)
        offset = _across(ellipse + reach * normal, lean).T
        q = np.sqrt(lean[0] ** 2 + (along * lean[1]) ** 2)
        rim = np.stack([along**2 * lean[1], lean[0]]) * (radius / q)
        return cls(
            lean=lean,
            half=half * plane,
            squash=along,
            radius=radius,
            reach=reach,
            crest=half * plane * lean[0] + _across(rim, lean),
            angle=angle,
            offset=offset,
        )

    def rows(self, item: IntArray) -> tuple[FloatArray, ...]:
        """Return lean, squash, radius and reach of the barrel of each pair."""
        return (
            self.lean[:, item],
            self.squash[item],
            self.radius[item],
            self.reach[item],
        )


def _nodes(lean: FloatArray, squash: FloatArray) -> FloatArray:
    """Return angles (m, j) on the upper half, even on the ellipse and on its normal."""
    steps = np.linspace(0.0, 1.0, _ARC_NODES)[:, None]
    first = -np.arctan2(lean[1], lean[0])
    turn = np.concatenate(
        [first + steps * (np.pi / 2 - first), np.pi / 2 + steps * (first + np.pi / 2)]
    )
    by_normal = np.arctan2(np.sin(turn), squash * np.cos(turn))
    first = -np.arctan2(lean[1], squash * lean[0])
    even = np.concatenate(
        [first + steps * (np.pi / 2 - first), np.pi / 2 + steps * (first + np.pi / 2)]
    )
    return np.sort(np.concatenate([by_normal, even]).T, axis=1)


def _arc(
    angle: FloatArray, squash: FloatArray, radius: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return point and unit normal of an ellipse, along and off its axis, and |n|."""
    c, s = np.cos(angle), np.sin(angle)
    q = np.sqrt(c * c + (squash * s) ** 2)
    return np.stack([radius * squash * c, radius * s]), np.stack([c, squash * s]) / q, q


def _across(vector: FloatArray, lean: FloatArray) -> FloatArray:
    """Return the part across of vectors given along and off the axis."""
    return np.asarray(vector[0] * lean[0] - vector[1] * lean[1])


def _upward(vector: FloatArray, lean: FloatArray) -> FloatArray:
    """Return the part up of vectors given along and off the axis."""
    return np.asarray(vector[0] * lean[1] + vector[1] * lean[0])


def barrel_tops(v: FloatArray, item: IntArray, barrels: Barrels) -> FloatArray:
    """Return the lowest heights that clear cylinders askew, from their centres.

    Parameters
    ----------
    v : FloatArray
        Lateral positions from the centre, with the axis rising to the right,
        shape (n,), within reach of the outline [in].
    item : IntArray
        Which of the m cylinders each position meets, shape (n,) [-].
    barrels : Barrels
        The cylinders' outlines, and the distance to keep from each.

    Returns
    -------
    FloatArray
        Heights above the centres, shape (n,) [in].

    Notes
    -----
    Where a side line is nearest the height has a closed form. Else it is the largest
    of ``w + sqrt(reach^2 - (v - v')^2)`` over an end's ellipse, whose place is found
    by Newton's rule between two tabled places; it misses by the square of the
    remaining error.
    """
    lean, _, radius, reach = barrels.rows(item)
    half = barrels.half[item]
    seam = -(radius + reach) * lean[1]
    right, left = v - half * lean[0] > seam, v + half * lean[0] < seam
    top = np.zeros_like(v)
    flat = np.nonzero(~(right | left))[0]
    rise = (radius + reach)[flat] + lean[1, flat] * v[flat]
    top[flat] = rise / lean[0, flat]
    at_end = np.nonzero(right | left)[0]
    shift = np.where(right[at_end], half[at_end], -half[at_end])
    local = v[at_end] - shift * lean[0, at_end]
    tops = _end_tops(local, item[at_end], barrels)
    top[at_end] = tops + shift * lean[1, at_end]
    return top


def _end_tops(v: FloatArray, item: IntArray, barrels: Barrels) -> FloatArray:
    """Return the heights that clear the ellipse of one end, from its centre."""
    lean, squash, radius, reach = barrels.rows(item)
    ellipse, _, _ = _arc(_contact_angles(v, item, barrels), squash, radius)
    off = v - _across(ellipse, lean)
    square = np.maximum((reach - off) * (reach + off), 0.0)
    return _upward(ellipse, lean) + np.sqrt(square)


def _bracket(
    v: FloatArray, item: IntArray, barrels: Barrels
) -> tuple[IntArray, IntArray]:
    """Return the last tabled place right of each position, and the next, by halving."""
    low = np.zeros(len(v), dtype=np.int64)
    high = np.full(len(v), barrels.offset.shape[1] - 1)
    for _ in range(int(barrels.offset.shape[1]).bit_length()):
        middle = (low + high) // 2
        right = barrels.offset[item, middle] >= v
        low, high = np.where(right, middle, low), np.where(right, high, middle)
    return low, high


def _contact_angles(v: FloatArray, item: IntArray, barrels: Barrels) -> FloatArray:
    """Return the eccentric angles at which the nearest points of the ends lie."""
    i, j = _bracket(v, item, barrels)
    low, high = barrels.angle[item, i], barrels.angle[item, j]
    angle = (low + high) / 2
    active = np.arange(len(v))
    for _ in range(_BRACKET_STEPS):
        at, goal, which = angle[active], v[active], item[active]
        miss, slope = _miss(at, goal, which, barrels)
        loose = np.abs(miss) > _SETTLED_MISS
        active, at, miss, slope = active[loose], at[loose], miss[loose], slope[loose]
        if not len(active):
            break
        low[active] = np.where(miss >= 0.0, at, low[active])
        high[active] = np.where(miss >= 0.0, high[active], at)
        step = at + miss / np.where(slope > 0.0, slope, np.inf)
        inside = (step > low[active]) & (step < high[active]) & (slope > 0.0)
        angle[active] = np.where(inside, step, (low[active] + high[active]) / 2)
    return angle


def _miss(
    angle: FloatArray, v: FloatArray, item: IntArray, barrels: Barrels
) -> tuple[FloatArray, FloatArray]:
    """Return how far right of v the pipe is that touches at an angle, and its fall."""
    lean, squash, radius, reach = barrels.rows(item)
    ellipse, normal, q = _arc(angle, squash, radius)
    speed = radius * q + reach * squash / (q * q)
    return _across(ellipse + reach * normal, lean) - v, speed * _upward(normal, lean)
