"""The band of heights that each obstacle blocks in each column of a free-space map."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from core.geometry.kernels.place import place
from core.geometry.kernels.placed import BoolArray, Frames, Reach, columns
from core.geometry.map_frame import ColumnBands, MapFrame, RunBody
from core.geometry.obstacles import ObstacleSet, SolidKind
from core.geometry.shapes import FloatArray, IntArray
from core.geometry.silhouettes import (
    Barrels,
    Chains,
    barrel_tops,
    chain_tops,
    hull_edges,
    rounded_bands,
    sum_edges,
)

__all__ = ["column_bands"]

_SQUARE = 1e-12
Triple = tuple[FloatArray, FloatArray, FloatArray]
_Ends = tuple[FloatArray, FloatArray]


def column_bands(
    frame: MapFrame, body: RunBody, obstacles: ObstacleSet, index: IntArray
) -> ColumnBands:
    """Return the bands of some obstacles in all columns, by owner, then column.

    Parameters
    ----------
    frame : MapFrame
        Direction, span and columns.
    body : RunBody
        What is kept clear.
    obstacles : ObstacleSet
        All obstacles.
    index : IntArray
        Positions of those that are wanted, increasing, shape (n,).

    Notes
    -----
    What lies between the ends of the span, or is a prism along it, counts by its
    outline as seen along the span. What crosses an end askew is measured in each
    column by the formulas of the sweep. An obstacle's bands do not depend, to the
    last bit, on which others are computed with it.
    """
    near = _near(frame, body, obstacles, index)
    parts, crossing = [], []
    for kind, outline in _OUTLINES.items():
        rows = near[obstacles.kind[near] == kind]
        if rows.size:
            fields = obstacles.fields[:, rows]
            seen = _Seen(frame=frame, body=body, index=rows, fields=fields)
            part, rest = outline(seen, obstacles)
            parts += part
            crossing.append(rest)
    rest = np.concatenate([*crossing, np.zeros(0, dtype=np.int64)])
    parts.append(_crossing_bands(frame, body, obstacles, np.sort(rest)))
    bands = ColumnBands.joined(*parts)
    return bands.take(np.argsort(bands.owner, kind="stable"))


def _near(
    frame: MapFrame, body: RunBody, obstacles: ObstacleSet, index: IntArray
) -> IntArray:
    """Return the obstacles whose boxes come near the strip of the map."""
    c, s = frame.direction
    x, y = (obstacles.center[k][index] - frame.origin[k] for k in range(2))
    hx, hy = obstacles.half[0][index], obstacles.half[1][index]
    u, du = x * c + y * s, abs(c) * hx + abs(s) * hy + body.reach
    v, dv = y * c - x * s, abs(s) * hx + abs(c) * hy + body.reach + body.side
    along = (u + du >= 0.0) & (u - du <= frame.length)
    across = (v + dv >= frame.v_lo) & (v - dv <= frame.v_hi)
    return np.asarray(index[along & across])


def _spread(
    frame: MapFrame, left: FloatArray, right: FloatArray
) -> tuple[IntArray, IntArray, FloatArray]:
    """Return item, column and v of each column strictly between two positions."""
    first = np.floor((left - frame.v_lo) / frame.step).astype(np.int64) + 1
    last = np.ceil((right - frame.v_lo) / frame.step).astype(np.int64) - 1
    first, last = np.maximum(first, 0), np.minimum(last, frame.count - 1)
    sizes = np.maximum(last - first + 1, 0)
    begin = np.cumsum(sizes) - sizes
    item = np.repeat(np.arange(len(sizes)), sizes)
    column = np.arange(len(item)) + (first - begin)[item]
    return item, column, frame.v_lo + frame.step * column


@dataclass(frozen=True, slots=True, kw_only=True)
class _Seen:
    """Some obstacles of one kind, to be turned into the frame of the map.

    `index` (n,) are their positions and `fields` (f, n) their numbers in the set.
    """

    frame: MapFrame
    body: RunBody
    index: IntArray
    fields: FloatArray

    def point(self, row: int) -> Triple:
        """Return the points that begin at a row of the fields as u, v, w [in]."""
        return _placed(self.frame, self.fields[row : row + 3])

    def vector(self, row: int) -> Triple:
        """Return the directions that begin at a row of the fields as u, v, w."""
        return _turned(self.frame, self.fields[row : row + 3])

    def take(self, rows: IntArray) -> "_Seen":
        """Return the obstacles at the given rows."""
        return _Seen(
            frame=self.frame,
            body=self.body,
            index=self.index[rows],
            fields=self.fields[:, rows],
        )


def _turned(frame: MapFrame, vector: FloatArray) -> Triple:
    """Return directions of the room as u, v, w."""
    c, s = frame.direction
    return vector[0] * c + vector[1] * s, vector[1] * c - vector[0] * s, vector[2]


def _placed(frame: MapFrame, point: FloatArray) -> Triple:
    """Return points of the room as u, v, w [in]."""
    x, y = point[0] - frame.origin[0], point[1] - frame.origin[1]
    c, s = frame.direction
    return x * c + y * s, y * c - x * s, point[2]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rectangles:
    """Outlines that are upright rectangles, grown by a drum or a ball radius [in].

    The core reaches from u = `near` to `far`. Where `prism`, it has the same
    cross-section all along; beyond its ends a drum stops and a ball rounds off.
    """

    v: FloatArray
    half: FloatArray
    low: FloatArray
    high: FloatArray
    near: FloatArray
    far: FloatArray
    prism: BoolArray
    drum: FloatArray | float = 0.0
    ball: FloatArray | float = 0.0


def _rectangle_bands(seen: _Seen, shape: _Rectangles) -> "_Part":
    """Return bands round rectangles; those askew across an end are left over."""
    body, length = seen.body, seen.frame.length
    past = np.maximum(np.maximum(shape.near - length, -shape.far), 0.0)
    square = (body.reach + shape.ball - past) * (body.reach + shape.ball + past)
    rounding = np.sqrt(np.maximum(square, 0.0)) + shape.drum
    whole = shape.prism | ((shape.near >= 0.0) & (shape.far <= length))
    rows = np.nonzero(whole & (square > 0.0))[0]
    middle, half, rounding = shape.v[rows], shape.half[rows] + body.side, rounding[rows]
    wide = half + rounding
    item, column, v = _spread(seen.frame, middle - wide, middle + wide)
    lo, hi = rounded_bands(
        v,
        center=middle[item],
        half=half[item],
        low=(shape.low[rows] - body.up)[item],
        high=(shape.high[rows] + body.down)[item],
        reach=rounding[item],
    )
    owner = seen.index[rows][item]
    return [ColumnBands(owner=owner, column=column, lo=lo, hi=hi)], seen.index[~whole]


def _toward(v: FloatArray, crest: FloatArray, side: float) -> FloatArray:
    """Return the place nearest to a crest that is at most `side` [in] away."""
    return v - np.minimum(np.maximum(v - crest, -side), side)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Polygons:
    """Convex outlines by start and end of their upper and lower edges, (2, k, m) [in].

    The lower ones are upside down. `left` and `right` (m,) bound them [in]; `ball`
    is the radius that they are grown by [in].
    """

    upper: _Ends
    lower: _Ends
    left: FloatArray
    right: FloatArray
    ball: FloatArray


def _polygon_bands(seen: _Seen, shape: _Polygons) -> ColumnBands:
    """Return bands round polygons that lie between the ends of the span."""
    body = seen.body
    reach = body.reach + shape.ball
    wide = reach + body.side
    item, column, v = _spread(seen.frame, shape.left - wide, shape.right + wide)
    upper = Chains.of_ends(*shape.upper, reach=reach)
    lower = Chains.of_ends(*shape.lower, reach=reach)
    hi = chain_tops(_toward(v, upper.crest[item], body.side), item, upper)
    lo = -chain_tops(_toward(v, lower.crest[item], body.side), item, lower)
    met = np.nonzero(lo <= hi)[0]
    return ColumnBands(
        owner=seen.index[item[met]],
        column=column[met],
        lo=lo[met] - body.up,
        hi=hi[met] + body.down,
    )


def _sums(
    v: FloatArray, w: FloatArray, arms: list[Triple], ball: FloatArray
) -> _Polygons:
    """Return the outlines of sums of segments, each from -arm to +arm."""
    across = np.stack([np.stack([arm[1], arm[2]]) for arm in arms])
    wide = np.zeros_like(v)
    for arm in arms:
        wide = wide + np.abs(arm[1])
    return _Polygons(
        upper=sum_edges(np.stack([v, w]), across),
        lower=sum_edges(np.stack([v, -w]), across * np.array([[1.0], [-1.0]])),
        left=v - wide,
        right=v + wide,
        ball=ball,
    )


def _within(
    seen: _Seen, near: FloatArray, far: FloatArray
) -> tuple[IntArray, IntArray]:
    """Return the rows that lie between the ends of the span, and the others."""
    whole = (near >= 0.0) & (far <= seen.frame.length)
    return np.nonzero(whole)[0], np.nonzero(~whole)[0]


def _scaled(vector: Triple, factor: FloatArray) -> Triple:
    """Return vectors times numbers."""
    return vector[0] * factor, vector[1] * factor, vector[2] * factor


def _upright_boxes(seen: _Seen, _set: ObstacleSet) -> "_Part":
    """Return the bands of boxes with a vertical axis."""
    u, v, w = seen.point(0)
    half, a, b = seen.fields[3:6], seen.vector(6), seen.vector(9)
    deep = half[0] * np.abs(a[0]) + half[1] * np.abs(b[0])
    shape = _Rectangles(
        v=v,
        half=half[0] * np.abs(a[1]) + half[1] * np.abs(b[1]),
        low=w - half[2],
        high=w + half[2],
        near=u - deep,
        far=u + deep,
        prism=np.minimum(np.abs(a[0]), np.abs(a[1])) <= _SQUARE,
    )
    return _rectangle_bands(seen, shape)


def _upright_cylinders(seen: _Seen, _set: ObstacleSet) -> "_Part":
    """Return the bands of upright cylinders."""
    u, v, w = seen.point(0)
    half, radius = seen.fields[6], seen.fields[7]
    shape = _Rectangles(
        v=v,
        half=radius,
        low=w - half,
        high=w + half,
        near=u - radius,
        far=u + radius,
        prism=np.zeros(len(u), dtype=np.bool_),
    )
    return _rectangle_bands(seen, shape)


def _capsules(seen: _Seen, _set: ObstacleSet) -> "_Part":
    """Return the bands of capsules and balls: level ones first, then tilted ones."""
    rise = seen.fields[5]
    level, rest = _level_capsules(seen.take(np.nonzero(rise == 0.0)[0]))
    tilted = seen.take(np.nonzero(rise != 0.0)[0])
    u, v, w = tilted.point(0)
    along = tilted.vector(3)
    end = u + along[0]
    inner, outer = _within(tilted, np.minimum(u, end), np.maximum(u, end))
    arm = _scaled(along, np.full(len(u), 0.5))
    shape = _sums(
        (v + arm[1])[inner],
        (w + arm[2])[inner],
        [(arm[0][inner], arm[1][inner], arm[2][inner])],
        tilted.fields[7][inner],
    )
    bands = _polygon_bands(tilted.take(inner), shape)
    return [*level, bands], np.concatenate([rest, tilted.index[outer]])


def _level_capsules(seen: _Seen) -> "_Part":
    """Return the bands of level capsules and balls."""
    u, v, w = seen.point(0)
    along = seen.vector(3)
    shape = _Rectangles(
        v=v + along[1] / 2,
        half=np.abs(along[1]) / 2,
        low=w,
        high=w,
        near=np.minimum(u, u + along[0]),
        far=np.maximum(u, u + along[0]),
        prism=np.abs(along[1]) <= _SQUARE,
        ball=seen.fields[7],
    )
    return _rectangle_bands(seen, shape)


def _tilted_boxes(seen: _Seen, _set: ObstacleSet) -> "_Part":
    """Return the bands of boxes in any pose."""
    u = seen.point(0)[0]
    deep = np.zeros_like(u)
    for k in range(3):
        deep = deep + seen.fields[3 + k] * np.abs(seen.vector(6 + 3 * k)[0])
    inner, outer = _within(seen, u - deep, u + deep)
    part = seen.take(inner)
    _, v, w = part.point(0)
    arms = [_scaled(part.vector(6 + 3 * k), part.fields[3 + k]) for k in range(3)]
    bands = _polygon_bands(part, _sums(v, w, arms, np.zeros_like(v)))
    return [bands], seen.index[outer]


def _tilted_cylinders(seen: _Seen, _set: ObstacleSet) -> "_Part":
    """Return the bands of flat cylinders: along the span, square to it, askew."""
    axis = np.abs(np.stack(seen.vector(3)))
    along = np.maximum(axis[1], axis[2]) <= _SQUARE
    square = (axis[0] <= _SQUARE) & ~along
    level = square & (axis[2] <= _SQUARE)
    parts, rest = [], []
    for rows, outline in (
        (along, _drums_along),
        (level, _drums_across),
        (square & ~level, _drums_upright),
        (~along & ~square, _drums_askew),
    ):
        if np.any(rows):
            part, left = outline(seen.take(np.nonzero(rows)[0]))
            parts += part
            rest.append(left)
    return parts, np.concatenate(rest)


def _drums_along(seen: _Seen) -> "_Part":
    """Return the bands of cylinders along the span: round outlines."""
    u, v, w = seen.point(0)
    half = seen.fields[6]
    shape = _Rectangles(
        v=v,
        half=np.zeros_like(v),
        low=w,
        high=w,
        near=u - half,
        far=u + half,
        prism=np.ones(len(u), dtype=np.bool_),
        drum=seen.fields[7],
    )
    return _rectangle_bands(seen, shape)


def _drums_across(seen: _Seen) -> "_Part":
    """Return the bands of level cylinders square to the span."""
    u, v, w = seen.point(0)
    radius = seen.fields[7]
    shape = _Rectangles(
        v=v,
        half=seen.fields[6],
        low=w - radius,
        high=w + radius,
        near=u - radius,
        far=u + radius,
        prism=np.zeros(len(u), dtype=np.bool_),
    )
    return _rectangle_bands(seen, shape)


def _drums_upright(seen: _Seen) -> "_Part":
    """Return the bands of tilted cylinders square to the span: turned rectangles."""
    u, radius = seen.point(0)[0], seen.fields[7]
    inner, outer = _within(seen, u - radius, u + radius)
    part = seen.take(inner)
    _, v, w = part.point(0)
    axis = part.vector(3)
    arms = [
        _scaled(axis, part.fields[6]),
        _scaled((axis[0], -axis[2], axis[1]), part.fields[7]),
    ]
    bands = _polygon_bands(part, _sums(v, w, arms, np.zeros_like(v)))
    return [bands], seen.index[outer]


def _drums_askew(seen: _Seen) -> "_Part":
    """Return the bands of cylinders askew: two ellipses and the lines between."""
    deep = _drum_reach(seen, 0)
    u = seen.point(0)[0]
    inner, outer = _within(seen, u - deep, u + deep)
    part, body = seen.take(inner), seen.body
    _, v, w = part.point(0)
    axis = np.stack(part.vector(3))
    barrels = Barrels.of_axes(
        axis,
        half=part.fields[6],
        radius=part.fields[7],
        reach=np.full(len(inner), body.reach),
    )
    wide = _drum_reach(part, 1) + body.reach + body.side
    item, column, at = _spread(seen.frame, v - wide, v + wide)
    rising = np.where(axis[1] * axis[2] < 0.0, -1.0, 1.0)
    away = (at - v[item]) * rising[item]
    crest = barrels.crest[item]
    sides = [_toward(sign * away, crest, body.side) for sign in (1.0, -1.0)]
    tops = barrel_tops(np.concatenate(sides), np.concatenate([item, item]), barrels)
    hi, lo = tops[: len(item)], tops[len(item) :]
    bands = ColumnBands(
        owner=part.index[item],
        column=column,
        lo=w[item] - lo - body.up,
        hi=w[item] + hi + body.down,
    )
    return [bands], seen.index[outer]


def _drum_reach(seen: _Seen, k: int) -> FloatArray:
    """Return how far cylinders reach from their middles along u (0), v (1) or w (2)."""
    part = seen.vector(3)[k]
    flat = np.sqrt(np.maximum(1.0 - part * part, 0.0))
    return np.asarray(seen.fields[6] * np.abs(part) + seen.fields[7] * flat)


def _hulls(seen: _Seen, obstacles: ObstacleSet) -> "_Part":
    """Return the bands of hulls by the edges of their outlines."""
    edges = [obstacles.hulls[slot].edges for slot in seen.fields[0].astype(np.int64)]
    ends = [_edge_ends(seen.frame, edge) for edge in edges]
    near = np.array([min(a[0].min(), b[0].min()) for a, b in ends])
    far = np.array([max(a[0].max(), b[0].max()) for a, b in ends])
    inner, outer = _within(seen, near, far)
    if not inner.size:
        return [], seen.index[outer]
    outlines = [(ends[i][0][1:], ends[i][1][1:]) for i in inner]
    chosen = [hull_edges(*outline) for outline in outlines]
    flip = np.array([1.0, -1.0])[:, None, None]
    a, b = _chains(outlines, [lower for _, lower in chosen])
    shape = _Polygons(
        upper=_chains(outlines, [upper for upper, _ in chosen]),
        lower=(a * flip, b * flip),
        left=np.array([min(a[0].min(), b[0].min()) for a, b in outlines]),
        right=np.array([max(a[0].max(), b[0].max()) for a, b in outlines]),
        ball=np.zeros(inner.size),
    )
    return [_polygon_bands(seen.take(inner), shape)], seen.index[outer]


def _edge_ends(frame: MapFrame, edges: FloatArray) -> _Ends:
    """Return the starts and ends of a hull's edges as u, v, w, shape (3, e) each."""
    return (
        np.stack(_placed(frame, edges[:3])),
        np.stack(_placed(frame, edges[:3] + edges[3:])),
    )


def _chains(outlines: list[_Ends], chosen: list[IntArray]) -> _Ends:
    """Return the chosen edges of outlines as equally long chains, (2, k, m) each."""
    most = max(len(row) for row in chosen)
    rows = [np.concatenate([row, row[:1].repeat(most - len(row))]) for row in chosen]
    pairs = list(zip(outlines, rows, strict=True))
    return (
        np.stack([a[:, row] for (a, _), row in pairs], axis=2),
        np.stack([b[:, row] for (_, b), row in pairs], axis=2),
    )


_Part = tuple[list[ColumnBands], IntArray]
_OUTLINES: dict[SolidKind, Callable[[_Seen, ObstacleSet], _Part]] = {
    SolidKind.UPRIGHT_BOX: _upright_boxes,
    SolidKind.UPRIGHT_CYLINDER: _upright_cylinders,
    SolidKind.CAPSULE: _capsules,
    SolidKind.TILTED_BOX: _tilted_boxes,
    SolidKind.TILTED_CYLINDER: _tilted_cylinders,
    SolidKind.HULL: _hulls,
}


def _crossing_bands(
    frame: MapFrame, body: RunBody, obstacles: ObstacleSet, index: IntArray
) -> ColumnBands:
    """Return the bands of obstacles across an end, measured in each column."""
    v = _placed(frame, obstacles.center[:, index])[1]
    c, s = frame.direction
    half = obstacles.half[:, index]
    wide = abs(s) * half[0] + abs(c) * half[1] + body.reach + body.side
    item, column, at = _spread(frame, v - wide, v + wide)
    lo, hi = np.full(len(item), np.inf), np.full(len(item), -np.inf)
    owner = index[item]
    if owner.size:
        solids = place(obstacles.kind[owner], obstacles, owner, _frames(frame, at))
        lo, hi = solids.band(_reach(frame, body, len(owner)))
    met = np.nonzero(lo <= hi)[0]
    return ColumnBands(
        owner=owner[met],
        column=column[met],
        lo=lo[met] - body.up,
        hi=hi[met] + body.down,
    )


def _frames(frame: MapFrame, v: FloatArray) -> Frames:
    """Return the frame of a run at each lateral position."""
    c, s = frame.direction
    zero, one = np.zeros_like(v), np.ones_like(v)
    return Frames(
        columns(frame.origin[0] - v * s, frame.origin[1] + v * c, zero),
        columns(
            *(c * one, s * one, zero),
            *(-s * one, c * one, zero),
            *(zero, zero, one),
        ).reshape(3, 3, -1),
    )


def _reach(frame: MapFrame, body: RunBody, count: int) -> Reach:
    """Return the level rectangle of the run's body, once for each pair."""
    values = np.array([0.0, frame.length, body.side, body.reach])
    return Reach(np.repeat(values[:, None], count, axis=1))
