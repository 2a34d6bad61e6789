"""Flat-ended cylinders in the frames of their runs: support points and distances."""

from dataclasses import dataclass

import numpy as np

from core.geometry.kernels.placed import Frames
from core.geometry.shapes import FloatArray, IntArray

__all__ = ["Cylinders", "Triple", "place_cylinders"]

Band = tuple[FloatArray, FloatArray]
Triple = tuple[FloatArray, FloatArray, FloatArray]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cylinders:
    """Cylinders in their run frames: middle, axis, half length and radius."""

    center: Triple
    axis: Triple
    half: FloatArray
    radius: FloatArray

    def take(self, rows: IntArray) -> "Cylinders":
        """Return the solids at the given rows."""
        cu, cv, cw = self.center
        au, av, aw = self.axis
        return Cylinders(
            center=(cu[rows], cv[rows], cw[rows]),
            axis=(au[rows], av[rows], aw[rows]),
            half=self.half[rows],
            radius=self.radius[rows],
        )

    def and_mirrored(self) -> "Cylinders":
        """Return the solids, and once more with up and down exchanged."""
        cu, cv, cw = self.center
        au, av, aw = self.axis
        return Cylinders(
            center=(_twice(cu), _twice(cv), np.concatenate((cw, -cw))),
            axis=(_twice(au), _twice(av), np.concatenate((aw, -aw))),
            half=_twice(self.half),
            radius=_twice(self.radius),
        )

    def swapped(self) -> "Cylinders":
        """Return the solids with u and w exchanged."""
        return Cylinders(
            center=self.center[::-1],
            axis=self.axis[::-1],
            half=self.half,
            radius=self.radius,
        )

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

    def farthest(self, nu: float, nv: float, nw: float) -> Triple:
        """Return the point farthest along a direction, the middle one of equals."""
        zero = np.zeros(self.half.size)
        rim, dot = self.support(zero + nu, zero + nv, zero + nw)
        shift = self.half * np.sign(dot)
        au, av, aw = self.axis
        return rim[0] + shift * au, rim[1] + shift * av, rim[2] + shift * aw

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
        self, point: Triple, edge: Triple
    ) -> tuple[FloatArray, FloatArray, Triple, FloatArray]:
        """Return how the distance to points changes along an edge.

        Returns
        -------
        slope, bend : FloatArray
            First and second derivative of half the squared distance.
        way : Triple
            The way to the points from the nearest point.
        apart : FloatArray
            The distance.
        """
        au, av, aw = self.axis
        qu, qv, qw = (
            point[0] - self.center[0],
            point[1] - self.center[1],
            point[2] - self.center[2],
        )
        along = qu * au + qv * av + qw * aw
        ru, rv, rw = qu - along * au, qv - along * av, qw - along * aw
        beside = np.sqrt(ru * ru + rv * rv + rw * rw)
        past = along - np.minimum(np.maximum(along, -self.half), self.half)
        out = np.maximum(beside - self.radius, 0.0)
        safe = np.where(beside > 0.0, beside, 1.0)
        scale = out / safe
        way = (past * au + scale * ru, past * av + scale * rv, past * aw + scale * rw)
        lean = edge[0] * au + edge[1] * av + edge[2] * aw
        spread = (edge[0] * ru + edge[1] * rv + edge[2] * rw) / safe
        bend = np.where(past != 0.0, lean * lean, 0.0) + np.where(
            out > 0.0,
            spread * spread + scale * (1.0 - lean * lean - spread * spread),
            0.0,
        )
        slope = edge[0] * way[0] + edge[1] * way[1] + edge[2] * way[2]
        return slope, bend, way, np.sqrt(past * past + out * out)


def place_cylinders(fields: FloatArray, frames: Frames) -> Cylinders:
    """Return cylinders in any pose in the frames of their runs."""
    return Cylinders(
        center=frames.placed(fields[:3]),
        axis=frames.turned(fields[3:6]),
        half=fields[6],
        radius=fields[7],
    )


def _twice(values: FloatArray) -> FloatArray:
    """Return the values twice over."""
    return np.concatenate((values, values))
