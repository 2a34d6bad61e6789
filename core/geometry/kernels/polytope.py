"""Boxes in any pose, convex hulls and rounded segments: solids made of straight edges.

A capsule is one edge and a ball one point, both with a rounding radius that is added
to the reach. Inside the span only the edges matter, seen along the run; where the
solid passes an end of the run, its edges and faces are also measured against the
corners of the rectangle. Every candidate is a point of the solid, so the best of
them is exact and none can overstate the band.
"""

from dataclasses import dataclass
from enum import Enum
from itertools import product

import numpy as np

from core.geometry.kernels.edges import (
    Edges,
    corner_band,
    cut_edges,
    nearest_on_edges,
    span_band,
)
from core.geometry.kernels.layout import Layout, Stacked, ragged
from core.geometry.kernels.placed import BoolArray, Frames, Gap, Reach, Room
from core.geometry.obstacles import HullTables
from core.geometry.shapes import FloatArray, IntArray

__all__ = ["Faces", "Polytopes", "place_boxes", "place_capsules", "place_hulls"]

_EDGE_SLACK = 1e-9
Band = tuple[FloatArray, FloatArray]
Triple = tuple[FloatArray, FloatArray, FloatArray]


class View(Enum):
    """Whether the ends of the run count, or it is seen along its axis."""

    ALONG = "along"
    FULL = "full"


@dataclass(frozen=True, slots=True, kw_only=True)
class Faces:
    """Flat faces: a corner, two sides from it, outward normal and its offset.

    `whole` tells a parallelogram (1) from a triangle (0).
    """

    corner: Triple
    side: Triple
    other: Triple
    normal: Triple
    offset: FloatArray
    whole: bool
    layout: Layout

    def take(self, rows: IntArray) -> "Faces":
        """Return the faces of the given solids."""
        layout, index = self.layout.take(rows)
        return Faces(
            corner=_at(self.corner, index),
            side=_at(self.side, index),
            other=_at(self.other, index),
            normal=_at(self.normal, index),
            offset=self.offset[index],
            whole=self.whole,
            layout=layout,
        )

    def swapped(self) -> "Faces":
        """Return the faces with u and w exchanged."""
        return Faces(
            corner=self.corner[::-1],
            side=self.side[::-1],
            other=self.other[::-1],
            normal=self.normal[::-1],
            offset=self.offset,
            whole=self.whole,
            layout=self.layout,
        )

    def built(self) -> "Faces":
        """Return the faces themselves."""
        return self

    def holds(self, point: Triple) -> BoolArray:
        """Return whether points of the planes lie within the faces."""
        away = (
            point[0] - self.corner[0],
            point[1] - self.corner[1],
            point[2] - self.corner[2],
        )
        aa, bb = _dot(self.side, self.side), _dot(self.other, self.other)
        ab = _dot(self.side, self.other)
        pa, pb = _dot(away, self.side), _dot(away, self.other)
        area = aa * bb - ab * ab
        flat = area <= 0.0
        area = np.where(flat, 1.0, area)
        s, t = (pa * bb - pb * ab) / area, (pb * aa - pa * ab) / area
        if self.whole:
            inside = np.maximum(s, t) <= 1.0 + _EDGE_SLACK
        else:
            inside = s + t <= 1.0 + _EDGE_SLACK
        return np.asarray(~flat & inside & (np.minimum(s, t) >= -_EDGE_SLACK))

    def corner_band(
        self, corner_u: FloatArray, corner_v: FloatArray, reach: FloatArray
    ) -> Band:
        """Return the band of each solid where the ball touches the flat of a face."""
        nu, nv, nw = self.normal
        at_u, at_v = self.layout.spread(corner_u), self.layout.spread(corner_v)
        radius = self.layout.spread(reach)
        upright = nw == 0.0
        height = (self.offset + radius - nu * at_u - nv * at_v) / np.where(
            upright, 1.0, nw
        )
        contact = (at_u - radius * nu, at_v - radius * nv, height - radius * nw)
        held = self.holds(contact) & ~upright
        hi = np.where(held & (nw > 0.0), height, -np.inf)
        lo = np.where(held & (nw < 0.0), height, np.inf)
        return self.layout.least(lo), self.layout.most(hi)

    def nearest(self, corner: Triple) -> tuple[FloatArray, Triple]:
        """Return the squared distance to a point in front, and its foot, per face.

        Infinite where the point is behind the face or beside it.
        """
        point = (
            self.layout.spread(corner[0]),
            self.layout.spread(corner[1]),
            self.layout.spread(corner[2]),
        )
        apart = _dot(self.normal, point) - self.offset
        foot = (
            point[0] - apart * self.normal[0],
            point[1] - apart * self.normal[1],
            point[2] - apart * self.normal[2],
        )
        met = (apart >= 0.0) & self.holds(foot)
        return np.where(met, apart * apart, np.inf), foot


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxFaces:
    """What the faces of boxes are built from, for the few that pass an end."""

    center: Triple
    axes: tuple[Triple, Triple, Triple]
    half: FloatArray

    def take(self, rows: IntArray) -> "BoxFaces":
        """Return the faces of the given boxes."""
        a, b, c = self.axes
        return BoxFaces(
            center=_at(self.center, rows),
            axes=(_at(a, rows), _at(b, rows), _at(c, rows)),
            half=self.half[:, rows],
        )

    def swapped(self) -> "BoxFaces":
        """Return the faces with u and w exchanged."""
        a, b, c = self.axes
        return BoxFaces(
            center=self.center[::-1],
            axes=(a[::-1], b[::-1], c[::-1]),
            half=self.half,
        )

    def built(self) -> Faces:
        """Return the six faces of each box."""
        arms = [
            tuple(part * self.half[k] for part in axis)
            for k, axis in enumerate(self.axes)
        ]
        return _box_faces(self.center, arms, self.axes, self.half)


@dataclass(frozen=True, slots=True, kw_only=True)
class Polytopes:
    """Solids of straight edges in their run frames, grown by `rounding` [in]."""

    edges: Edges
    layout: Layout
    rounding: FloatArray
    faces: Faces | BoxFaces | None

    @property
    def gap_shows_overlap(self) -> bool:
        """Return whether there are edges alone: a body may pierce a face."""
        return self.faces is None

    def take(self, rows: IntArray) -> "Polytopes":
        """Return the solids at the given rows."""
        layout, index = self.layout.take(rows)
        u, v, w, du, dv, dw = self.edges
        return Polytopes(
            edges=(u[index], v[index], w[index], du[index], dv[index], dw[index]),
            layout=layout,
            rounding=self.rounding[rows],
            faces=None if self.faces is None else self.faces.take(rows),
        )

    def swapped(self) -> "Polytopes":
        """Return the solids with u and w exchanged."""
        u, v, w, du, dv, dw = self.edges
        return Polytopes(
            edges=(w, v, u, dw, dv, du),
            layout=self.layout,
            rounding=self.rounding,
            faces=None if self.faces is None else self.faces.swapped(),
        )

    def span(self) -> Band:
        """Return the least and greatest u of the bare solids."""
        u, du = self.edges[0], self.edges[3]
        end = u + du
        return self.layout.least(np.minimum(u, end)), self.layout.most(
            np.maximum(u, end)
        )

    def band(self, at: Reach) -> Band:
        """Return the heights of the rectangle that meet; `hi < lo` where none do."""
        grown = Reach(
            first=at.first, last=at.last, side=at.side, reach=at.reach + self.rounding
        )
        lo, hi = self._span_band(self.edges, grown)
        low, high = self.span()
        past = np.flatnonzero((low < at.first) | (high > at.last))
        if past.size:
            lo[past], hi[past] = self.take(past).end_band(grown.take(past))
        return lo, hi

    def stations(self, at: Reach, low: FloatArray, high: FloatArray) -> Band:
        """Return the u that meet at heights in `[low, high]`, past the ends too."""
        level = Reach(first=low, last=high, side=at.side, reach=at.reach)
        return self.swapped().band(level)

    def gap(self, room: Room) -> Gap:
        """Return the distance to the swept body."""
        low, high = self.span()
        inside = (low >= room.first) & (high <= room.last)
        seen, past = np.flatnonzero(inside), np.flatnonzero(~inside)
        if not past.size:
            return self.edge_gap(room, view=View.ALONG)
        parts = [
            (seen, self.take(seen).edge_gap(room.take(seen), view=View.ALONG)),
            (past, self.take(past).end_gap(room.take(past))),
        ]
        columns = [np.zeros(inside.size) for _ in range(4)]
        for rows, part in parts:
            for column, values in zip(
                columns, (part.apart, part.u, part.v, part.w), strict=True
            ):
                column[rows] = values
        return Gap(apart=columns[0], u=columns[1], v=columns[2], w=columns[3])

    def _span_band(self, edges: Edges, at: Reach) -> Band:
        """Return the band of the edges seen along the run, ends left out of account."""
        spread = self.layout.spread
        lo, hi = span_band(
            edges[1], edges[2], edges[4], edges[5], spread(at.side), spread(at.reach)
        )
        return self.layout.least(lo), self.layout.most(hi)

    def end_band(self, at: Reach) -> Band:
        """Return the band of solids that pass an end of the run."""
        spread = self.layout.spread
        inner, none = cut_edges(self.edges, 0, spread(at.first), spread(at.last))
        lo, hi = span_band(
            inner[1], inner[2], inner[4], inner[5], spread(at.side), spread(at.reach)
        )
        bands = [
            (
                self.layout.least(np.where(none, np.inf, lo)),
                self.layout.most(np.where(none, -np.inf, hi)),
            )
        ]
        wide = bool(at.side.any())
        sides = (at.side, -at.side) if wide else (at.side,)
        faces = None if self.faces is None else self.faces.built()
        for end, across in product((at.first, at.last), sides):
            bands.append(self._corner_band(end, across, at.reach))
            if faces is not None:
                bands.append(faces.corner_band(end, across, at.reach))
        if wide:
            bands += [self._rail_band(end, at) for end in (at.first, at.last)]
        return _hull_of_bands(bands)

    def _corner_band(
        self, end: FloatArray, across: FloatArray, reach: FloatArray
    ) -> Band:
        """Return the band of the edges against one corner of the rectangle."""
        spread = self.layout.spread
        lo, hi = corner_band(self.edges, spread(end), spread(across), spread(reach))
        return self.layout.least(lo), self.layout.most(hi)

    def _rail_band(self, end: FloatArray, at: Reach) -> Band:
        """Return the band of the edges against one end line of the rectangle."""
        spread = self.layout.spread
        side = spread(at.side)
        inner, none = cut_edges(self.edges, 1, -side, side)
        lo, hi = span_band(
            inner[0] - spread(end),
            inner[2],
            inner[3],
            inner[5],
            np.zeros(()),
            spread(at.reach),
        )
        none = none | (side == 0.0)
        return (
            self.layout.least(np.where(none, np.inf, lo)),
            self.layout.most(np.where(none, -np.inf, hi)),
        )

    def edge_gap(self, room: Room, *, view: View) -> Gap:
        """Return the distance from the edges, seen along the run or in full."""
        spread = self.layout.spread
        u, v, w, du, dv, dw = _upward(self.edges)
        side = spread(room.side)
        slabs = [(v, dv, -side, side), (w, dw, spread(room.low), spread(room.high))]
        if view is View.FULL:
            slabs.append((u, du, spread(room.first), spread(room.last)))
        t, square = nearest_on_edges(slabs)
        height = w + t * dw
        best = self.layout.lowest_best(square, height)
        at = t.ravel()[best]
        core = Gap(
            apart=np.sqrt(square.ravel()[best]),
            u=u.ravel()[best] + at * du.ravel()[best],
            v=v.ravel()[best] + at * dv.ravel()[best],
            w=w.ravel()[best] + at * dw.ravel()[best],
        )
        return self._on_surface(core, room)

    def end_gap(self, room: Room) -> Gap:
        """Return the distance of solids that pass an end of the run."""
        gap = self.edge_gap(room, view=View.FULL)
        if self.faces is None:
            return gap
        faces = self.faces.built()
        best = [gap.apart, gap.u, gap.v, gap.w]
        sides = (room.side, -room.side) if room.side.any() else (room.side,)
        for corner in product((room.first, room.last), sides, (room.low, room.high)):
            square, foot = faces.nearest(corner)
            place = faces.layout.lowest_best(square, foot[2])
            apart = np.sqrt(square.ravel()[place])
            nearer = apart < best[0]
            found = [apart, *(part.ravel()[place] for part in foot)]
            best = [
                np.where(nearer, new, old) for new, old in zip(found, best, strict=True)
            ]
        return Gap(apart=best[0], u=best[1], v=best[2], w=best[3])

    def _on_surface(self, core: Gap, room: Room) -> Gap:
        """Move the nearest point of the bare solid out to its rounded surface."""
        if not self.rounding.any():
            return core
        near_u, near_v, near_w = room.nearest(core.u, core.v, core.w)
        share = np.where(
            core.apart > self.rounding,
            self.rounding / np.where(core.apart > 0.0, core.apart, 1.0),
            1.0,
        )
        return Gap(
            apart=np.maximum(core.apart - self.rounding, 0.0),
            u=core.u + share * (near_u - core.u),
            v=core.v + share * (near_v - core.v),
            w=core.w + share * (near_w - core.w),
        )


def place_boxes(fields: FloatArray, frames: Frames) -> Polytopes:
    """Return boxes in any pose in the frames of their runs."""
    center = frames.placed(fields[:3])
    axes = [frames.turned(fields[6 + 3 * k : 9 + 3 * k]) for k in range(3)]
    arms = [tuple(part * fields[3 + k] for part in axes[k]) for k in range(3)]
    return Polytopes(
        edges=_box_edges(center, arms),
        layout=Stacked(),
        rounding=np.zeros(fields.shape[1]),
        faces=BoxFaces(
            center=center, axes=(axes[0], axes[1], axes[2]), half=fields[3:6]
        ),
    )


def _box_edges(center: Triple, arms: list[tuple[FloatArray, ...]]) -> Edges:
    """Return the twelve edges of boxes from their centres and half diagonals."""
    starts, along = [], []
    for k in range(3):
        a, b, c = arms[k], arms[(k + 1) % 3], arms[(k + 2) % 3]
        for s, t in product((-1.0, 1.0), repeat=2):
            starts.append([center[i] - a[i] + (s * b[i] + t * c[i]) for i in range(3)])
            along.append([2.0 * a[i] for i in range(3)])
    start, step = np.array(starts), np.array(along)
    return (start[:, 0], start[:, 1], start[:, 2], step[:, 0], step[:, 1], step[:, 2])


def _box_faces(
    center: Triple,
    arms: list[tuple[FloatArray, ...]],
    axes: tuple[Triple, Triple, Triple],
    half: FloatArray,
) -> Faces:
    """Return the six faces of boxes."""
    corner, side, other, normal, offset = [], [], [], [], []
    for k in range(3):
        a, b, c = arms[k], arms[(k + 1) % 3], arms[(k + 2) % 3]
        axis = axes[k]
        for sign in (-1.0, 1.0):
            corner.append([center[i] + sign * a[i] - (b[i] + c[i]) for i in range(3)])
            side.append([2.0 * b[i] for i in range(3)])
            other.append([2.0 * c[i] for i in range(3)])
            normal.append([sign * axis[i] for i in range(3)])
            offset.append(sign * _dot(center, axis) + half[k])
    return Faces(
        corner=_columns(corner),
        side=_columns(side),
        other=_columns(other),
        normal=_columns(normal),
        offset=np.array(offset),
        whole=True,
        layout=Stacked(),
    )


def place_capsules(fields: FloatArray, frames: Frames) -> Polytopes:
    """Return capsules in the frames of their runs."""
    u, v, w = (part[None, :] for part in frames.placed(fields[:3]))
    du, dv, dw = (part[None, :] for part in frames.turned(fields[3:6]))
    return Polytopes(
        edges=(u, v, w, du, dv, dw),
        layout=Stacked(),
        rounding=fields[7],
        faces=None,
    )


def place_hulls(tables: HullTables, slots: IntArray, frames: Frames) -> Polytopes:
    """Return convex hulls in the frames of their runs."""
    layout, edge = ragged(tables.edge_starts, slots)
    spread = frames.take(layout.owner)
    edges = (
        *spread.placed(tables.edges[:3, edge]),
        *spread.turned(tables.edges[3:, edge]),
    )
    face_layout, face = ragged(tables.face_starts, slots)
    spread = frames.take(face_layout.owner)
    corner = spread.placed(tables.faces[:3, face])
    normal = spread.turned(tables.faces[9:12, face])
    return Polytopes(
        edges=edges,
        layout=layout,
        rounding=np.zeros(slots.size),
        faces=Faces(
            corner=corner,
            side=spread.turned(tables.faces[3:6, face]),
            other=spread.turned(tables.faces[6:9, face]),
            normal=normal,
            offset=_dot(corner, normal),
            whole=False,
            layout=face_layout,
        ),
    )


def _upward(edges: Edges) -> Edges:
    """Turn the edges so that none falls: equal distances are then met lowest first."""
    u, v, w, du, dv, dw = edges
    falls = dw < 0.0
    return (
        np.where(falls, u + du, u),
        np.where(falls, v + dv, v),
        np.where(falls, w + dw, w),
        np.where(falls, -du, du),
        np.where(falls, -dv, dv),
        np.where(falls, -dw, dw),
    )


def _hull_of_bands(bands: list[Band]) -> Band:
    """Return the lowest start and the highest end."""
    lo, hi = bands[0]
    for other_lo, other_hi in bands[1:]:
        lo, hi = np.minimum(lo, other_lo), np.maximum(hi, other_hi)
    return lo, hi


def _at(triple: Triple, index: IntArray | tuple[slice, IntArray]) -> Triple:
    """Return the three columns at an index."""
    return triple[0][index], triple[1][index], triple[2][index]


def _columns(rows: list[list[FloatArray]]) -> Triple:
    """Return features x 3 x solids as three arrays."""
    block = np.array(rows)
    return block[:, 0], block[:, 1], block[:, 2]


def _dot(a: Triple, b: Triple) -> FloatArray:
    """Return scalar products."""
    return np.asarray(a[0] * b[0] + a[1] * b[1] + a[2] * b[2])
