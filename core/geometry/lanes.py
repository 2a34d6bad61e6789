"""Runs as columns of numbers: a frame each, the body, the travel, and the sag.

A run that swings is measured as several bodies that do not: the sector over which it
may hang is cut into slices in height and into thin wedges, and each wedge is swept
by a body wide enough for it, drawn from the outer side of the wedge inwards.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil, cos, hypot, sin, sqrt

import numpy as np

from core.geometry.kernels.placed import BoolArray, Frames
from core.geometry.runs import SagProfile, SweptRun
from core.geometry.shapes import FloatArray, IntArray

__all__ = ["Lanes", "enclosed", "plain_lanes", "segment_lanes", "swinging_lanes"]

_SLOP = 0.004  # [in] each of two allowances of a wedge, so about 0.011 in together
_SLICE_RATIO = 1.5
_LEAST_ROPE = 1.0  # [in] the topmost slice begins here, where a wedge is tiny anyway


@dataclass(frozen=True, slots=True, kw_only=True)
class Lanes:
    """Bodies that are swept, one column each.

    `low` is the support height (room z) where the frame's w is 0; the body reaches from
    `-down` to `up` about it and `side` across, and is lifted by `travel`, all [in].
    `upright` says that w is straight up in the room.
    """

    frames: Frames
    length: FloatArray
    low: FloatArray
    travel: FloatArray
    radius: FloatArray
    down: FloatArray
    up: FloatArray
    side: FloatArray
    limit: FloatArray
    upright: BoolArray
    sag: tuple[SagProfile | None, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Wedge:
    """One body: it hangs `rope` below a pivot along a turned plumb line at first.

    `left`, `right`, `lift` and `drop` are what is added to it on each side [in].
    """

    angle: float = 0.0
    pivot: float
    rope: float = 0.0
    travel: float
    left: float = 0.0
    right: float = 0.0
    lift: float = 0.0
    drop: float = 0.0


def plain_lanes(runs: Sequence[SweptRun]) -> Lanes:
    """Return one lane for each run, as it hangs plumb."""
    return _lanes([(run, _plumb(run)) for run in runs])


def enclosed(run: SweptRun) -> SweptRun:
    """Return a plain run that holds the given one as it swings and sags.

    The reaches to the side, down and up grow by the most that the run can move there.
    """
    if run.sag is None and run.swing is None:
        return run
    deepest = max(0.0, *run.sag.depths) if run.sag else 0.0
    highest = min(0.0, *run.sag.depths) if run.sag else 0.0
    way, rise, tilt = 0.0, 0.0, 0.0
    if run.swing is not None:
        rope = run.swing.pulley_height - run.low + run.down + deepest
        way = rope * sin(run.swing.angle)
        tilt = run.side * sin(run.swing.angle)
        rise = rope * (1.0 - cos(run.swing.angle)) + tilt
    return replace(
        run,
        side=run.side + way,
        up=run.up + rise - highest,
        down=run.down + tilt + deepest,
        sag=None,
        swing=None,
    )


def segment_lanes(starts: FloatArray, ends: FloatArray, radii: FloatArray) -> Lanes:
    """Return still capsules as lanes that are not lifted, with no air to keep.

    The ends are `(n, 3)`; u runs along the capsule and v is level.
    """
    along = (ends - starts).T
    plan = np.sqrt(along[0] * along[0] + along[1] * along[1])
    length = np.sqrt(plan * plan + along[2] * along[2])
    zero, one = np.zeros(length.size), np.ones(length.size)
    steep = plan == 0.0
    u = along / np.where(length > 0.0, length, 1.0)
    u = np.where(length > 0.0, u, np.stack((one, zero, zero)))
    across = np.stack((-along[1], along[0], zero)) / np.where(steep, 1.0, plan)
    v = np.where(steep, np.stack((zero, one, zero)), across)
    w = np.stack((-u[2] * v[1], u[2] * v[0], u[0] * v[1] - u[1] * v[0]))
    level = along[2] == 0.0
    w = np.where(level, np.stack((zero, zero, one)), w)
    return Lanes(
        frames=Frames(starts.T, np.stack((u, v, w))),
        length=length,
        low=zero,
        travel=zero,
        radius=radii,
        down=zero,
        up=zero,
        side=zero,
        limit=zero,
        upright=level,
        sag=(None,) * length.size,
    )


def swinging_lanes(runs: Sequence[SweptRun]) -> tuple[Lanes, IntArray]:
    """Return the lanes that together sweep each run, and where those of each begin."""
    wedges = [_wedges(run) for run in runs]
    bodies = [
        (run, wedge) for run, its in zip(runs, wedges, strict=True) for wedge in its
    ]
    return _lanes(bodies), np.cumsum([0, *map(len, wedges)], dtype=np.int64)


def _plumb(run: SweptRun) -> _Wedge:
    """Return the body of a run that hangs plumb."""
    return _Wedge(pivot=run.low, travel=run.travel)


def _wedges(run: SweptRun) -> list[_Wedge]:
    """Cut the sector over which a run may hang into slices and wedges."""
    swing = run.swing
    if swing is None:
        return [_plumb(run)]
    rope = swing.pulley_height - run.low
    deepest = max(0.0, *run.sag.depths) if run.sag else 0.0
    wedges = []
    for short, long in _slices(rope - run.travel, rope):
        thin = _thin(long, run.side)
        count = max(ceil(swing.angle / thin), 1)
        step = swing.angle / count
        inner = (long + run.down + deepest) * sin(step)
        outer = max(run.up - short, 0.0) * sin(step)
        tilt = run.side * sin(step)
        for k in range(1, count + 1):
            for sign in (1.0, -1.0):
                reach = (inner, outer) if sign > 0.0 else (outer, inner)
                wedges.append(
                    _Wedge(
                        angle=sign * k * step,
                        pivot=swing.pulley_height,
                        rope=long,
                        travel=long - short,
                        left=reach[0],
                        right=reach[1],
                        lift=long * (1.0 - cos(step)) + tilt,
                        drop=tilt,
                    )
                )
    return wedges


def _thin(rope: float, side: float) -> float:
    """Return how wide a wedge may be [rad]: its two allowances stay under the slop."""
    by_rope = sqrt(2.0 * _SLOP / max(rope, _LEAST_ROPE))
    return min(by_rope, _SLOP / side) if side > 0.0 else by_rope


def _slices(short: float, long: float) -> list[tuple[float, float]]:
    """Cut the range of rope lengths so that no slice is much longer at its foot."""
    cuts = [long]
    while cuts[-1] / _SLICE_RATIO > max(short, _LEAST_ROPE):
        cuts.append(cuts[-1] / _SLICE_RATIO)
    cuts.append(short)
    return list(zip(cuts[1:], cuts, strict=False))


def _lanes(bodies: Sequence[tuple[SweptRun, _Wedge]]) -> Lanes:
    """Return the columns of the given bodies."""
    rows = [_row(run, wedge) for run, wedge in bodies]
    table = np.array(rows).reshape(-1, 20).T
    return Lanes(
        frames=Frames(table[0:3], table[3:12].reshape(3, 3, -1)),
        length=table[12],
        low=table[13],
        travel=table[14],
        radius=table[15],
        down=table[16],
        up=table[17],
        side=table[18],
        limit=table[19],
        upright=table[11] == 1.0,
        sag=tuple(run.sag for run, _ in bodies),
    )


def _row(run: SweptRun, wedge: _Wedge) -> list[float]:
    """Return frame and sizes of one body as a row of numbers."""
    along_x, along_y = run.end[0] - run.start[0], run.end[1] - run.start[1]
    length = hypot(along_x, along_y)
    ux, uy = (along_x / length, along_y / length) if length else (1.0, 0.0)
    turn, plumb = sin(wedge.angle), cos(wedge.angle)
    v = (-uy * plumb, ux * plumb, turn)
    w = (uy * turn, -ux * turn, plumb)
    middle = (wedge.right - wedge.left) / 2
    origin = [
        foot - wedge.rope * up + middle * across
        for foot, up, across in zip((*run.start, wedge.pivot), w, v, strict=True)
    ]
    return [
        *origin,
        *(ux, uy, 0.0),
        *v,
        *w,
        length,
        wedge.pivot - wedge.rope,
        wedge.travel,
        run.radius,
        run.down + wedge.drop,
        run.up + wedge.lift,
        run.side + (wedge.left + wedge.right) / 2,
        run.limit,
    ]
