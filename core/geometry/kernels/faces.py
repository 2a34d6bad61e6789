"""Flat faces of boxes and hulls, built for the few solids that pass an end of a run."""

from dataclasses import dataclass

import numpy as np

from core.geometry.kernels.layout import Ragged, ragged
from core.geometry.kernels.placed import Band, BoolArray, Frames
from core.geometry.obstacles import HullTables
from core.geometry.shapes import FloatArray, IntArray

__all__ = ["FaceSource", "Faces"]

_EDGE_SLACK = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Faces:
    """Flat faces: a corner, two sides from it, outward normal and its offset.

    `vectors` is `(4, 3, f)`; `whole` tells a parallelogram from a triangle.
    """

    vectors: FloatArray
    offset: FloatArray
    whole: BoolArray
    layout: Ragged

    def holds(self, point: FloatArray) -> BoolArray:
        """Return whether points `(3, ..., f)` of the planes lie within the faces."""
        corner, side, other, _ = self.vectors
        aa, bb, ab = _dot(side, side), _dot(other, other), _dot(side, other)
        away = point - (corner if point.ndim == 2 else corner[:, None])
        pa, pb = _dot(side, away), _dot(other, away)
        area = aa * bb - ab * ab
        flat = area <= 0.0
        area = np.where(flat, 1.0, area)
        s, t = (pa * bb - pb * ab) / area, (pb * aa - pa * ab) / area
        most = np.where(self.whole, np.maximum(s, t), s + t)
        inside = (most <= 1.0 + _EDGE_SLACK) & (np.minimum(s, t) >= -_EDGE_SLACK)
        return np.asarray(inside & ~flat)

    def corner_band(
        self, corner_u: FloatArray, corner_v: FloatArray, reach: FloatArray
    ) -> Band:
        """Return the band where the ball round corners `(k, n)` touches a flat."""
        nu, nv, nw = self.vectors[3]
        at_u, at_v = self.layout.spread(corner_u), self.layout.spread(corner_v)
        radius = self.layout.spread(reach)
        upright = nw == 0.0
        height = (self.offset + radius - nu * at_u - nv * at_v) / np.where(
            upright, 1.0, nw
        )
        contact = (at_u - radius * nu, at_v - radius * nv, height - radius * nw)
        held = self.holds(np.array(contact))
        hi = np.where(held & (nw > 0.0), height, -np.inf).max(axis=0)
        lo = np.where(held & (nw < 0.0), height, np.inf).min(axis=0)
        return self.layout.least(lo), self.layout.most(hi)

    def nearest(self, corners: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return the least distance to points `(3, k, n)` in front, and its foot.

        Infinite where all points are behind the faces or beside them.
        """
        normal = self.vectors[3][:, None]
        point = self.layout.spread(corners)
        apart = _dot(normal, point) - self.offset
        foot = point - apart * normal
        met = (apart >= 0.0) & self.holds(foot)
        square = np.where(met, apart * apart, np.inf)
        tie = square <= square.min(axis=0)
        row = np.where(tie, foot[2], np.inf).argmin(axis=0)
        every = np.arange(row.size)
        square, foot = square[row, every], foot[:, row, every]
        best = self.layout.lowest_best(square, foot[2])
        return np.sqrt(square[best]), foot[:, best]


@dataclass(frozen=True, slots=True, kw_only=True)
class FaceSource:
    """What the faces of boxes and hulls are built from.

    `vectors` `(3, 4, n)` are centre and axes of boxes in their frames, `half` their
    half sizes; `slot` is the place of a hull in the tables, -1 for a box and -2 for
    a solid without faces.
    """

    vectors: FloatArray
    half: FloatArray
    slot: IntArray
    frames: Frames
    tables: HullTables

    def faces(self, rows: IntArray, turned: BoolArray) -> tuple[IntArray, Faces] | None:
        """Return which of some solids have faces, and these, box after hull.

        `turned` solids have u and w exchanged.
        """
        slot = self.slot[rows]
        boxes, hulls = (slot == -1).nonzero()[0], (slot >= 0).nonzero()[0]
        parts = []
        if boxes.size:
            parts.append(self._boxes(rows[boxes], turned[boxes]))
        if hulls.size:
            parts.append(self._hulls(rows[hulls], turned[hulls]))
        if not parts:
            return None
        if len(parts) == 1:
            return (boxes if boxes.size else hulls), parts[0]
        return np.concatenate((boxes, hulls)), _joined(*parts)

    def _boxes(self, rows: IntArray, turned: BoolArray) -> Faces:
        """Return the six faces of boxes."""
        vectors = self.vectors[:, :, rows]
        vectors = np.where(turned, vectors[::-1], vectors)
        half = self.half[:, rows]
        center, axes = vectors[:, 0], vectors[:, 1:]
        a = axes * half
        b, c = a[:, [1, 2, 0]], a[:, [2, 0, 1]]
        along = _dot(center[:, None], axes)
        block = np.zeros((4, 3, rows.size, 2, 3))
        offset = np.zeros((rows.size, 2, 3))
        for k, sign in enumerate((-1.0, 1.0)):
            parts = center[:, None] + sign * a - (b + c), 2.0 * b, 2.0 * c, sign * axes
            for into, part in zip(block, parts, strict=True):
                into[:, :, k] = part.transpose(0, 2, 1)
            offset[:, k] = (sign * along + half).T
        count = np.full(rows.size, 6)
        return Faces(
            vectors=block.reshape(4, 3, -1),
            offset=offset.ravel(),
            whole=np.ones(offset.size, dtype=np.bool_),
            layout=Ragged.of(count),
        )

    def _hulls(self, rows: IntArray, turned: BoolArray) -> Faces:
        """Return the triangles of hulls."""
        layout, face = ragged(self.tables.face_starts, self.slot[rows])
        table = self.tables.faces[:, face]
        frames = self.frames.take(rows[layout.owner])
        axes = np.where(turned[layout.owner], frames.axes[::-1], frames.axes)
        block = table[:12].reshape(4, 3, -1).copy()
        block[0] -= frames.origin
        vectors = Frames(frames.origin, axes).turned(block.transpose(1, 0, 2))
        return Faces(
            vectors=vectors.transpose(1, 0, 2),
            offset=_dot(vectors[:, 0], vectors[:, 3]),
            whole=np.zeros(face.size, dtype=np.bool_),
            layout=layout,
        )


def _joined(one: Faces, other: Faces) -> Faces:
    """Return the faces of two sets of solids, end to end."""
    return Faces(
        vectors=np.concatenate((one.vectors, other.vectors), axis=2),
        offset=np.concatenate((one.offset, other.offset)),
        whole=np.concatenate((one.whole, other.whole)),
        layout=one.layout.joined(other.layout),
    )


def _dot(a: FloatArray, b: FloatArray) -> FloatArray:
    """Return scalar products along the first axis."""
    return np.asarray(a[0] * b[0] + a[1] * b[1] + a[2] * b[2])
