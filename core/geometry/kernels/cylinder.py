"""Flat-ended cylinders in the frames of their runs: support points and distances."""

from dataclasses import dataclass

import numpy as np

from core.geometry.kernels.placed import Band
from core.geometry.shapes import FloatArray, IntArray

__all__ = ["Cylinders", "Triple"]

_SWAPPED = [2, 1, 0, 5, 4, 3, 6, 7]
Triple = tuple[FloatArray, FloatArray, FloatArray]


@dataclass(frozen=True, slots=True)
class Cylinders:
    """Cylinders in their run frames.

    The rows of the block: middle u, v, w, axis u, v, w, half length and radius.
    """

    block: FloatArray

    @property
    def center(self) -> FloatArray:
        """Return the middles, `(3, n)`."""
        return np.asarray(self.block[:3])

    @property
    def axis(self) -> FloatArray:
        """Return the axes, `(3, n)`."""
        return np.asarray(self.block[3:6])

    @property
    def half(self) -> FloatArray:
        """Return the half lengths."""
        return np.asarray(self.block[6])

    @property
    def radius(self) -> FloatArray:
        """Return the radii."""
        return np.asarray(self.block[7])

    def take(self, rows: IntArray) -> "Cylinders":
        """Return the solids at the given rows."""
        return Cylinders(self.block[:, rows])

    def joined(self, *others: "Cylinders") -> "Cylinders":
        """Return the solids and those of other batches after them."""
        blocks = (self.block, *(other.block for other in others))
        return Cylinders(np.concatenate(blocks, axis=1))

    def mirrored(self) -> "Cylinders":
        """Return the solids with up and down exchanged."""
        block = self.block.copy()
        block[[2, 5]] *= -1.0
        return Cylinders(block)

    def swapped(self) -> "Cylinders":
        """Return the solids with u and w exchanged."""
        return Cylinders(self.block[_SWAPPED])

    def extent(self, along: int) -> Band:
        """Return the least and greatest coordinate along an axis of the frame."""
        part, middle = self.axis[along], self.center[along]
        reach = self.half * np.abs(part) + self.radius * np.sqrt(
            np.maximum(1.0 - part * part, 0.0)
        )
        return middle - reach, middle + reach

    def support(
        self, nu: FloatArray, nv: FloatArray, nw: FloatArray
    ) -> tuple[Triple, FloatArray]:
        """Return the rim point farthest along n without its cap shift, and n . axis.

        The part of n square to the axis is `axis x (n x axis)`: it stays square to
        the axis where n and the axis are nearly one.
        """
        au, av, aw = self.axis
        dot = au * nu + av * nv + aw * nw
        xu, xv, xw = nv * aw - nw * av, nw * au - nu * aw, nu * av - nv * au
        pu, pv, pw = av * xw - aw * xv, aw * xu - au * xw, au * xv - av * xu
        norm = np.sqrt(pu * pu + pv * pv + pw * pw)
        scale = np.where(norm > 0.0, self.radius / np.where(norm > 0.0, norm, 1.0), 0.0)
        cu, cv, cw = self.center
        return (cu + scale * pu, cv + scale * pv, cw + scale * pw), dot

    def from_point(
        self, u: FloatArray, v: FloatArray, w: FloatArray
    ) -> tuple[FloatArray, Triple]:
        """Return the distance to points and the way to them from the nearest point."""
        au, av, aw = self.axis
        qu, qv, qw = u - self.center[0], v - self.center[1], w - self.center[2]
        along = qu * au + qv * av + qw * aw
        ru, rv, rw = qu - along * au, qv - along * av, qw - along * aw
        beside = np.sqrt(ru * ru + rv * rv + rw * rw)
        past = along - np.minimum(np.maximum(along, -self.half), self.half)
        out = np.maximum(beside - self.radius, 0.0)
        scale = out / np.where(beside > 0.0, beside, 1.0)
        way = (past * au + scale * ru, past * av + scale * rv, past * aw + scale * rw)
        return np.sqrt(past * past + out * out), way

    def along(
        self, away: FloatArray, edge: FloatArray
    ) -> tuple[FloatArray, FloatArray]:
        """Return how half the squared distance to points changes along an edge.

        Parameters
        ----------
        away, edge : FloatArray, shape (3, n)
            The way from the middles to the points [in], directions of the edges [-].

        Returns
        -------
        slope, bend : FloatArray
            First and second derivative.
        """
        axis, half = self.axis, self.half
        along, lean = _dot(away, axis), _dot(edge, axis)
        off = away - along * axis
        beside = np.sqrt(_dot(off, off))
        past = along - np.minimum(np.maximum(along, -half), half)
        out = np.maximum(beside - self.radius, 0.0)
        safe = np.where(beside > 0.0, beside, 1.0)
        share = out / safe
        across = _dot(edge, off)
        spread = across / safe
        flat, spread = lean * lean, spread * spread
        bend = np.where(past != 0.0, flat, 0.0) + np.where(
            out > 0.0, spread + share * (1.0 - flat - spread), 0.0
        )
        return past * lean + share * across, bend


def _dot(a: FloatArray, b: FloatArray) -> FloatArray:
    """Return scalar products of columns of vectors."""
    parts = a * b
    return np.asarray(parts[0] + parts[1] + parts[2])
