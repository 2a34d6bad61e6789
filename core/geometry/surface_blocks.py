"""Which blocks of a surface come near runs, in all the places that they can take."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Self

import numpy as np

from core.geometry.shapes import FloatArray, IntArray
from core.geometry.surface import GROUP, Surface
from core.geometry.tracks import Track

__all__ = ["Blocks", "blocks_within"]

_ROUNDING = 1e-9  # keeps blocks that only rounding puts out of reach [in]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Blocks:
    """Pairs of a run and a block near it, by run.

    Attributes
    ----------
    run : (n,) int
        The number of the run, ascending.
    block : (n,) int
        The place of the block in the surface.
    gap : (n,) float
        A lower bound of their distance [in].
    """

    run: IntArray
    block: IntArray
    gap: FloatArray

    def take(self, some: IntArray) -> Self:
        """Return some of the pairs."""
        return type(self)(
            run=self.run[some], block=self.block[some], gap=self.gap[some]
        )


def blocks_within(
    surface: Surface, tracks: Sequence[Track], farthest: FloatArray
) -> Blocks:
    """Return the blocks that come within a distance of each run.

    Parameters
    ----------
    surface : Surface
        The surface.
    tracks : sequence of Track
        The runs.
    farthest : (r,) float
        How far blocks may be from the axis of each run [in].

    Returns
    -------
    Blocks
        By run, then place.
    """
    bodies = np.array([_body(track) for track in tracks]).T
    low, high = surface.group_low[:, None], surface.group_high[:, None]
    near = _gaps(low, high, bodies[:, :, None]) <= farthest[:, None]
    run, group = np.nonzero(near)
    block = (group[:, None] * GROUP + np.arange(GROUP)).ravel()
    run = np.repeat(run, GROUP)
    last = surface.low.shape[1] - 1
    inside = np.minimum(block, last)
    low, high = surface.low.take(inside, axis=1), surface.high.take(inside, axis=1)
    gap = _gaps(low, high, bodies.take(run, axis=1))
    some = ((gap <= farthest[run]) & (block <= last)).nonzero()[0]
    return Blocks(run=run[some], block=block[some], gap=gap[some])


def _body(track: Track) -> tuple[float, ...]:
    """Return place, direction and sizes of a run: what bounds its swept metal."""
    side, lowest, highest = _envelope(track)
    return track.x, track.y, track.cos, track.sin, track.length, side, lowest, highest


def _gaps(low: FloatArray, high: FloatArray, bodies: FloatArray) -> FloatArray:
    """Bound the distance of boxes `(3, ...)` to the metal of runs `(8, ...)`."""
    x, y, cos, sin, length, side, lowest, highest = bodies
    half_x, half_y = (high[0] - low[0]) / 2.0, (high[1] - low[1]) / 2.0
    x, y = low[0] + half_x - x, low[1] + half_y - y
    along, across, reach = np.abs(cos), np.abs(sin), length / 2.0
    u = np.abs(x * cos + y * sin - reach) - reach
    v = np.abs(y * cos - x * sin) - side
    u = np.maximum(u - along * half_x - across * half_y, 0.0)
    v = np.maximum(v - across * half_x - along * half_y, 0.0)
    w = np.maximum(np.maximum(lowest - high[2], low[2] - highest), 0.0)
    return np.asarray(np.maximum(np.sqrt(u * u + v * v + w * w) - _ROUNDING, 0.0))


def _envelope(track: Track) -> tuple[float, float, float]:
    """Bound the swept metal without its radius: half breadth, low and high end."""
    low = track.low - track.down + track.lowest
    high = track.top + track.up + track.highest
    if not track.angle:
        return track.side, low, high
    sin, cos = math.sin(track.angle), math.cos(track.angle)
    raised = track.pulley - (track.pulley - high) * cos + track.side * sin
    return (
        track.side + (track.pulley - low) * sin,
        low - track.side * sin,
        max(high + track.side * sin, raised),
    )
