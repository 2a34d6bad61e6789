"""Pairs of lane and obstacle, measured with the formulas of their kind."""

from dataclasses import dataclass, fields

import numpy as np

from core.geometry.kernels.place import Mixed, place
from core.geometry.kernels.placed import (
    Asked,
    Band,
    BoolArray,
    Frames,
    Gap,
    Reach,
    Room,
    columns,
)
from core.geometry.lanes import Lanes
from core.geometry.obstacles import ObstacleSet, SolidKind
from core.geometry.runs import SagProfile
from core.geometry.shapes import FloatArray, IntArray

__all__ = ["Measured", "measure"]

_SLACK = 1e-6  # [in] far more than a distance can be wrong by
Sags = tuple[SagProfile | None, ...]


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
        flat = np.full((12, count), np.nan)
        return cls(
            lo=flat[0],
            hi=flat[1],
            clearance=flat[2],
            at_height=flat[3],
            on_run=flat[4:7],
            on_obstacle=flat[7:10],
            station_lo=flat[10],
            station_hi=flat[11],
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
    """Pairs of lane and solid: the solids in their frames and the lanes' sizes.

    `size` is more than any two points of a solid are apart, 0 where a body cannot
    pierce it beside all edges that its distance is measured to.
    """

    solids: Mixed
    frames: Frames
    lane: IntArray
    middle: FloatArray
    size: FloatArray
    length: FloatArray
    low: FloatArray
    travel: FloatArray
    radius: FloatArray
    down: FloatArray
    up: FloatArray
    side: FloatArray
    limit: FloatArray

    def reach(self, beyond: FloatArray) -> Reach:
        """Return the rectangle of the body and a reach beyond the bare metal."""
        return Reach(
            columns(np.zeros(self.length.size), self.length, self.side, beyond)
        )


def measure(
    lanes: Lanes, obstacles: ObstacleSet, lane: IntArray, obstacle: IntArray
) -> Measured:
    """Return what is known of the given pairs; each row depends on its pair alone."""
    if not lane.size:
        return Measured.blank(0)
    pairs = _pairs(lanes, obstacles, lane, obstacle)
    sags = lanes.sag
    whole = pairs.reach(pairs.limit + pairs.radius)
    sag = _sag_range(pairs, sags, whole)
    gap, room = _gap(pairs, sags)
    within = whole.reach + _SLACK
    near = (gap.apart <= np.maximum(within, pairs.size)) | any(sags)
    asked = Asked(
        at=whole,
        plan=gap.plan,
        low=-pairs.down - sag[1],
        high=pairs.travel + pairs.up - sag[0],
        within=near.nonzero()[0],
        touched=(near & (gap.apart <= pairs.size)).nonzero()[0],
    )
    found = pairs.solids.contact(asked)
    result = _open_pairs(pairs, sags, gap, room)
    met = _add_band(result, pairs, found.band, sag)
    _add_stations(result, pairs, asked.within, met, found.stations)
    _add_touch(result, pairs, asked.touched, found.touch, sag)
    return result


def _pairs(
    lanes: Lanes, obstacles: ObstacleSet, lane: IntArray, obstacle: IntArray
) -> _Pairs:
    """Gather the pairs; solids in a frame that leans are nowhere upright."""
    frames = lanes.frames.take(lane)
    kind = obstacles.kind[obstacle]
    if not lanes.upright.all():
        leans = ~lanes.upright[lane]
        kind = np.where(leans & (kind <= SolidKind.UPRIGHT_CYLINDER), kind + 3, kind)
    half = obstacles.half.take(obstacle, axis=1)
    return _Pairs(
        solids=place(kind, obstacles, obstacle, frames),
        frames=frames,
        lane=lane,
        middle=obstacles.center.take(obstacle, axis=1),
        size=np.where(
            (kind >= SolidKind.TILTED_BOX), 2.0 * (half[0] + half[1] + half[2]), 0.0
        ),
        length=lanes.length[lane],
        low=lanes.low[lane],
        travel=lanes.travel[lane],
        radius=lanes.radius[lane],
        down=lanes.down[lane],
        up=lanes.up[lane],
        side=lanes.side[lane],
        limit=lanes.limit[lane],
    )


def _room(pairs: _Pairs, sag: Band) -> Room:
    """Return the box that the bare body sweeps, with the sag within a range."""
    return Room(
        columns(
            np.zeros(pairs.length.size),
            pairs.length,
            -pairs.side,
            pairs.side,
            -pairs.down - sag[1],
            pairs.travel + pairs.up - sag[0],
        )
    )


def _gap(pairs: _Pairs, sags: Sags) -> tuple[Gap, Room]:
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
    near = pairs.reach(gap.apart * (1.0 + 1e-9) + most + 1e-9)
    room = _room(pairs, _sag_range(pairs, sags, near))
    return pairs.solids.gap(room), room


def _most_sag(sag: SagProfile | None) -> float:
    """Return how far the axis leaves the line of the supports at most."""
    return max(abs(depth) for depth in sag.depths) if sag else 0.0


def _sag_range(pairs: _Pairs, sags: Sags, at: Reach) -> Band:
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
            rows = (pairs.lane == lane).nonzero()[0]
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


def _open_pairs(pairs: _Pairs, sags: Sags, gap: Gap, room: Room) -> Measured:
    """Return gap, height and nearest points, as if no pair overlapped."""
    result = Measured.blank(gap.apart.size)
    near = room.nearest(gap.point)
    open_ = gap.apart > 0.0
    share = np.where(open_, pairs.radius / np.where(open_, gap.apart, 1.0), 0.0)
    result.on_obstacle[:] = pairs.frames.in_room(gap.point)
    result.on_run[:] = pairs.frames.in_room(near + share * (gap.point - near))
    result.clearance[:] = gap.apart - pairs.radius
    height = near[2] - pairs.up + _sag_at(pairs, sags, near[0])
    result.at_height[:] = pairs.low + _clipped(height, pairs.travel)
    return result


def _sag_at(pairs: _Pairs, sags: Sags, station: FloatArray) -> FloatArray:
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


def _add_band(result: Measured, pairs: _Pairs, band: Band, sag: Band) -> BoolArray:
    """Fill in the blocked heights; say which pairs are blocked within the travel."""
    lo, hi = band[0] - pairs.up + sag[0], band[1] + pairs.down + sag[1]
    blocked = hi >= lo
    result.lo[:] = np.where(blocked, pairs.low + lo, np.nan)
    result.hi[:] = np.where(blocked, pairs.low + hi, np.nan)
    return blocked & (lo <= pairs.travel) & (hi >= 0.0)


def _add_stations(
    result: Measured, pairs: _Pairs, rows: IntArray, met: BoolArray, stations: Band
) -> None:
    """Fill in the stations in contact over the travel, where a pair is blocked."""
    first = np.maximum(stations[0], 0.0)
    last = np.minimum(stations[1], pairs.length[rows])
    met = met[rows] & (last >= first)
    result.station_lo[rows] = np.where(met, first, np.nan)
    result.station_hi[rows] = np.where(met, last, np.nan)


def _add_touch(
    result: Measured, pairs: _Pairs, rows: IntArray, touch: Band, sag: Band
) -> None:
    """Mark the pairs whose bare body touches the solid itself within the travel."""
    lo = touch[0] - pairs.up[rows] + sag[0][rows]
    hi = touch[1] + pairs.down[rows] + sag[1][rows]
    inside = ((hi >= lo) & (lo <= pairs.travel[rows]) & (hi >= 0.0)).nonzero()[0]
    if inside.size:
        _add_overlaps(result, pairs, rows[inside], lo[inside])


def _add_overlaps(
    result: Measured, pairs: _Pairs, rows: IntArray, lo: FloatArray
) -> None:
    """Mark the pairs that overlap from a height on."""
    height = _clipped(lo, pairs.travel[rows])
    result.clearance[rows] = -pairs.radius[rows]
    result.at_height[rows] = pairs.low[rows] + height
    frames = pairs.frames.take(rows)
    side = pairs.side[rows]
    body = columns(
        np.zeros(rows.size),
        pairs.length[rows],
        *(-side, side),
        height - pairs.down[rows],
        height + pairs.up[rows],
    )
    point = frames.in_room(Room(body).nearest(frames.placed(pairs.middle[:, rows])))
    result.on_run[:, rows] = point
    result.on_obstacle[:, rows] = point
