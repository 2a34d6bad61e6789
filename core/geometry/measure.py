"""Pairs of lane and obstacle, measured with the formulas of their kind."""

from dataclasses import dataclass, fields

import numpy as np

from core.geometry.kernels.place import place
from core.geometry.kernels.placed import BoolArray, Frames, Gap, Placed, Reach, Room
from core.geometry.lanes import Lanes
from core.geometry.obstacles import ObstacleSet, SolidKind
from core.geometry.runs import SagProfile
from core.geometry.shapes import FloatArray, IntArray

__all__ = ["Measured", "measure"]

_TILTED = {
    SolidKind.UPRIGHT_BOX: SolidKind.TILTED_BOX,
    SolidKind.UPRIGHT_CYLINDER: SolidKind.TILTED_CYLINDER,
}
Band = tuple[FloatArray, FloatArray]


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """What is known of each pair; heights are support heights in the room [in].

    `lo`, `hi` and the stations are NaN where nothing comes within the limit.
    `on_run` and `on_obstacle` are `(3, n)`.
    """

    lo: FloatArray
    hi: FloatArray
    clearance: FloatArray
    at_height: FloatArray
    on_run: FloatArray
    on_obstacle: FloatArray
    station_lo: FloatArray
    station_hi: FloatArray

    @classmethod
    def blank(cls, count: int) -> "Measured":
        """Return rows to be filled in."""
        flat = [np.full(count, np.nan) for _ in range(6)]
        return cls(
            lo=flat[0],
            hi=flat[1],
            clearance=flat[2],
            at_height=flat[3],
            on_run=np.full((3, count), np.nan),
            on_obstacle=np.full((3, count), np.nan),
            station_lo=flat[4],
            station_hi=flat[5],
        )

    def put(self, rows: IntArray, part: "Measured") -> None:
        """Fill in the given rows."""
        for field in fields(self):
            getattr(self, field.name)[..., rows] = getattr(part, field.name)

    def take(self, rows: IntArray | BoolArray) -> "Measured":
        """Return the given rows."""
        return Measured(
            **{f.name: getattr(self, f.name)[..., rows] for f in fields(self)}
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Pairs:
    """Pairs of one kind of solid: the solids in their frames and the lanes' sizes."""

    solids: Placed
    frames: Frames
    lane: IntArray
    middle: FloatArray
    length: FloatArray
    low: FloatArray
    travel: FloatArray
    radius: FloatArray
    down: FloatArray
    up: FloatArray
    side: FloatArray
    limit: FloatArray

    def reach(self, rows: IntArray | slice, beyond: FloatArray) -> Reach:
        """Return the rectangle of the body and a reach beyond the bare metal."""
        length = self.length[rows]
        return Reach(
            first=np.zeros(length.size), last=length, side=self.side[rows], reach=beyond
        )


def measure(
    lanes: Lanes, obstacles: ObstacleSet, lane: IntArray, obstacle: IntArray
) -> Measured:
    """Return what is known of the given pairs; each row depends on its pair alone."""
    result = Measured.blank(lane.size)
    kind = obstacles.kind[obstacle]
    upright = lanes.upright[lane]
    for upright_kind, tilted_kind in _TILTED.items():
        kind = np.where((kind == upright_kind) & ~upright, tilted_kind, kind)
    for each in SolidKind:
        rows = np.flatnonzero(kind == each)
        if rows.size:
            pairs = _pairs(each, lanes, obstacles, lane[rows], obstacle[rows])
            result.put(rows, _measured(pairs, lanes.sag))
    return result


def _pairs(
    kind: SolidKind,
    lanes: Lanes,
    obstacles: ObstacleSet,
    lane: IntArray,
    obstacle: IntArray,
) -> _Pairs:
    """Gather the pairs of one kind."""
    frames = lanes.frames.take(lane)
    return _Pairs(
        solids=place(kind, obstacles, obstacle, frames),
        frames=frames,
        lane=lane,
        middle=obstacles.center[:, obstacle],
        length=lanes.length[lane],
        low=lanes.low[lane],
        travel=lanes.travel[lane],
        radius=lanes.radius[lane],
        down=lanes.down[lane],
        up=lanes.up[lane],
        side=lanes.side[lane],
        limit=lanes.limit[lane],
    )


def _measured(pairs: _Pairs, sags: tuple[SagProfile | None, ...]) -> Measured:
    """Return what is known of the pairs of one kind."""
    whole = pairs.reach(slice(None), pairs.limit + pairs.radius)
    lo, hi = pairs.solids.band(whole)
    near_sag = _sag_range(pairs, sags, whole)
    lo, hi = lo - pairs.up + near_sag[0], hi + pairs.down + near_sag[1]
    gap, room = _gap(pairs, sags)
    result = _open_pairs(pairs, sags, gap, room)
    blocked = hi >= lo
    result.lo[blocked] = (pairs.low + lo)[blocked]
    result.hi[blocked] = (pairs.low + hi)[blocked]
    rows = np.flatnonzero(blocked & (lo <= pairs.travel) & (hi >= 0.0))
    if rows.size:
        sag = near_sag[0][rows], near_sag[1][rows]
        _add_stations(result, pairs, rows, sag)
        touching = (gap.apart[rows] == 0.0) | (not pairs.solids.gap_shows_overlap)
        if touching.any():
            sag = sag[0][touching], sag[1][touching]
            _add_overlaps(result, pairs, rows[touching], sag)
    return result


def _room(pairs: _Pairs, sag: Band) -> Room:
    """Return the box that the bare body sweeps, with the sag within a range."""
    return Room(
        first=np.zeros(pairs.length.size),
        last=pairs.length,
        side=pairs.side,
        low=-pairs.down - sag[1],
        high=pairs.travel + pairs.up - sag[0],
    )


def _gap(pairs: _Pairs, sags: tuple[SagProfile | None, ...]) -> tuple[Gap, Room]:
    """Return the distance of the bare body and the room that it was measured to.

    With sag, the distance to the level body first tells how far the nearest
    stations can be; then the sag over these stations alone is allowed for.
    """
    zero = np.zeros(pairs.length.size)
    room = _room(pairs, (zero, zero))
    gap = pairs.solids.gap(room)
    if not any(sags):
        return gap, room
    most = np.array([_most_sag(sag) for sag in sags])[pairs.lane]
    near = pairs.reach(slice(None), gap.apart * (1.0 + 1e-9) + most + 1e-9)
    room = _room(pairs, _sag_range(pairs, sags, near))
    return pairs.solids.gap(room), room


def _most_sag(sag: SagProfile | None) -> float:
    """Return how far the axis leaves the line of the supports at most."""
    return max(abs(depth) for depth in sag.depths) if sag else 0.0


def _sag_range(pairs: _Pairs, sags: tuple[SagProfile | None, ...], at: Reach) -> Band:
    """Return the least and greatest sag over the stations that can meet a solid."""
    least, most = np.zeros(pairs.length.size), np.zeros(pairs.length.size)
    if not any(sags):
        return least, most
    endless = np.full(pairs.length.size, np.inf)
    first, last = pairs.solids.stations(at, -endless, endless)
    met = last >= first
    first = np.minimum(np.maximum(np.where(met, first, 0.0), 0.0), pairs.length)
    last = np.minimum(np.maximum(np.where(met, last, 0.0), first), pairs.length)
    for lane in np.unique(pairs.lane):
        sag = sags[lane]
        if sag:
            rows = np.flatnonzero(pairs.lane == lane)
            least[rows], most[rows] = _extremes(sag, first[rows], last[rows])
    return least, most


def _extremes(sag: SagProfile, first: FloatArray, last: FloatArray) -> Band:
    """Return the least and greatest depth between two stations."""
    stations, depths = np.array(sag.stations), np.array(sag.depths)
    ends = np.stack(
        (np.interp(first, stations, depths), np.interp(last, stations, depths))
    )
    between = (stations[:, None] > first) & (stations[:, None] < last)
    low = np.where(between, depths[:, None], np.inf).min(axis=0)
    high = np.where(between, depths[:, None], -np.inf).max(axis=0)
    return np.minimum(low, ends.min(axis=0)), np.maximum(high, ends.max(axis=0))


def _open_pairs(
    pairs: _Pairs, sags: tuple[SagProfile | None, ...], gap: Gap, room: Room
) -> Measured:
    """Return gap, height and nearest points, as if no pair overlapped."""
    result = Measured.blank(gap.apart.size)
    u, v, w = room.nearest(gap.u, gap.v, gap.w)
    share = np.where(
        gap.apart > 0.0, pairs.radius / np.where(gap.apart > 0.0, gap.apart, 1.0), 0.0
    )
    result.on_obstacle[:] = pairs.frames.in_room(gap.u, gap.v, gap.w)
    result.on_run[:] = pairs.frames.in_room(
        u + share * (gap.u - u), v + share * (gap.v - v), w + share * (gap.w - w)
    )
    result.clearance[:] = gap.apart - pairs.radius
    height = w - pairs.up + _sag_at(pairs, sags, u)
    result.at_height[:] = pairs.low + _clipped(height, pairs.travel)
    return result


def _sag_at(
    pairs: _Pairs, sags: tuple[SagProfile | None, ...], station: FloatArray
) -> FloatArray:
    """Return the sag at a station of each pair."""
    depth = np.zeros(station.size)
    for lane in np.unique(pairs.lane) if any(sags) else ():
        sag = sags[lane]
        if sag:
            rows = pairs.lane == lane
            depth[rows] = np.interp(station[rows], sag.stations, sag.depths)
    return depth


def _clipped(height: FloatArray, travel: FloatArray) -> FloatArray:
    """Return heights moved into the travel."""
    return np.minimum(np.maximum(height, 0.0), travel)


def _add_stations(result: Measured, pairs: _Pairs, rows: IntArray, sag: Band) -> None:
    """Fill in the stations in contact over the travel."""
    at = pairs.reach(rows, (pairs.limit + pairs.radius)[rows])
    first, last = pairs.solids.take(rows).stations(
        at,
        -pairs.down[rows] - sag[1],
        pairs.travel[rows] + pairs.up[rows] - sag[0],
    )
    first, last = np.maximum(first, 0.0), np.minimum(last, pairs.length[rows])
    met = last >= first
    result.station_lo[rows[met]] = first[met]
    result.station_hi[rows[met]] = last[met]


def _add_overlaps(result: Measured, pairs: _Pairs, rows: IntArray, sag: Band) -> None:
    """Mark the pairs whose bare body touches the solid itself within the travel."""
    some = pairs.solids.take(rows)
    lo, hi = some.band(pairs.reach(rows, np.zeros(rows.size)))
    lo, hi = lo - pairs.up[rows] + sag[0], hi + pairs.down[rows] + sag[1]
    inside = (hi >= lo) & (lo <= pairs.travel[rows]) & (hi >= 0.0)
    rows, lo = rows[inside], lo[inside]
    if not rows.size:
        return
    height = _clipped(lo, pairs.travel[rows])
    result.clearance[rows] = -pairs.radius[rows]
    result.at_height[rows] = pairs.low[rows] + height
    frames = pairs.frames.take(rows)
    u, v, w = frames.placed(pairs.middle[:, rows])
    point = frames.in_room(
        np.minimum(np.maximum(u, 0.0), pairs.length[rows]),
        np.minimum(np.maximum(v, -pairs.side[rows]), pairs.side[rows]),
        np.minimum(np.maximum(w, height - pairs.down[rows]), height + pairs.up[rows]),
    )
    result.on_run[:, rows] = point
    result.on_obstacle[:, rows] = point
