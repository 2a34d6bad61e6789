"""Clearance of still capsules (ropes, cables) and of runs against each other."""

from dataclasses import dataclass, replace
from enum import Enum
from math import hypot

import numpy as np

from core.geometry.broad_phase import Kin, near_pairs
from core.geometry.lanes import enclosed, plain_lanes, segment_lanes
from core.geometry.measure import measure
from core.geometry.obstacles import ObstacleSet
from core.geometry.runs import SweptRun
from core.geometry.shapes import Box, FloatArray, IntArray, Vec3, as_vec3

__all__ = [
    "Motion",
    "RunClearance",
    "SegmentTable",
    "run_clearance",
    "segment_clearances",
]


class Motion(Enum):
    """How two runs move against each other."""

    LINKED = "linked"  # one hoist: the same lift fraction always
    INDEPENDENT = "independent"  # any two heights


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SegmentTable:
    """One row for each near pair of segment and obstacle, ordered by both.

    `clearance` is the gap between the surfaces [in], `on_segment` and
    `on_obstacle` are the nearest points of the two surfaces, `(n, 3)` [in].
    """

    segment: IntArray
    obstacle: IntArray
    clearance: FloatArray
    on_segment: FloatArray
    on_obstacle: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class RunClearance:
    """Least gap between two runs [in] and the lift fractions and points of it."""

    clearance: float
    lift_a: float
    lift_b: float
    on_a: Vec3
    on_b: Vec3


def segment_clearances(
    starts: FloatArray,
    ends: FloatArray,
    radii: FloatArray,
    obstacles: ObstacleSet,
    *,
    horizon: float = 24.0,
    kin: Kin | None = None,
) -> SegmentTable:
    """Return the gaps between still capsules and obstacles, up to `horizon` [in].

    Parameters
    ----------
    starts, ends : FloatArray, shape (n, 3)
        Ends of the axes, in any direction [in]; a start may be its end.
    radii : FloatArray, shape (n,)
        Radii of the capsules [in].
    obstacles : ObstacleSet
        The solids.
    horizon : float
        Pairs with more air than this are left out [in].
    kin : tuple of IntArray, optional
        A number for each capsule and one for each obstacle: pairs of the same number
        belong together and are left out.

    Returns
    -------
    SegmentTable
        Ordered by segment, then obstacle. Where the axis itself meets the solid the
        clearance is `-radius`.
    """
    lanes = segment_lanes(starts, ends, radii)
    segment, obstacle = near_pairs(lanes, obstacles, margin=horizon, kin=kin)
    rows = measure(lanes, obstacles, segment, obstacle)
    kept = rows.clearance <= horizon
    return SegmentTable(
        segment=segment[kept],
        obstacle=obstacle[kept],
        clearance=rows.clearance[kept],
        on_segment=np.ascontiguousarray(rows.on_run[:, kept].T),
        on_obstacle=np.ascontiguousarray(rows.on_obstacle[:, kept].T),
    )


def run_clearance(a: SweptRun, b: SweptRun, *, motion: Motion) -> RunClearance:
    """Return the least gap between two runs over all heights that they can have.

    Parameters
    ----------
    a, b : SweptRun
        The runs. Their swing and sag are taken as if each could be anywhere within
        its own at any time, which is on the cautious side.
    motion : Motion
        Whether they are lifted together or each for itself.

    Returns
    -------
    RunClearance
        The gap is negative where they meet, at least minus the sum of the radii.

    Notes
    -----
    Linked runs move against each other in a straight line as the lift changes: `a` is
    swept by the difference of the travels past `b` at working height. Independent
    runs can have any two heights: `a` is swept past all the room that `b` sweeps.
    """
    free_a, free_b = enclosed(a), enclosed(b)
    if motion is Motion.LINKED:
        return _linked(free_a, free_b)
    return _independent(free_a, free_b)


def _linked(a: SweptRun, b: SweptRun) -> RunClearance:
    """Return the least gap of two runs whose lifts are one."""
    gain = a.travel - b.travel
    moving = replace(a, low=a.low + min(gain, 0.0), travel=abs(gain))
    gap = _past(moving, replace(b, travel=0.0))
    lift = (gap.at_height - a.low) / gain if gain else 0.0
    rise = lift * b.travel
    return RunClearance(
        clearance=gap.clearance,
        lift_a=lift,
        lift_b=lift,
        on_a=(gap.on_a[0], gap.on_a[1], gap.on_a[2] + rise),
        on_b=(gap.on_b[0], gap.on_b[1], gap.on_b[2] + rise),
    )


def _independent(a: SweptRun, b: SweptRun) -> RunClearance:
    """Return the least gap of two runs at any two heights."""
    gap = _past(a, b)
    lift_a = (gap.at_height - a.low) / a.travel if a.travel else 0.0
    axis = gap.core_height - b.up - b.low
    lift_b = min(max(axis / b.travel, 0.0), 1.0) if b.travel else 0.0
    return RunClearance(
        clearance=gap.clearance,
        lift_a=lift_a,
        lift_b=lift_b,
        on_a=gap.on_a,
        on_b=gap.on_b,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Past:
    """How a run passes the swept room of another: heights and points [in]."""

    clearance: float
    at_height: float
    core_height: float
    on_a: Vec3
    on_b: Vec3


def _past(a: SweptRun, b: SweptRun) -> _Past:
    """Measure a run against all the room that another sweeps."""
    only = np.zeros(1, dtype=np.int64)
    room = ObstacleSet.of([_swept_box(b)])
    rows = measure(plain_lanes([a]), room, only, only)
    on_a, core = rows.on_run[:, 0], rows.on_obstacle[:, 0]
    way = on_a - core
    apart = float(np.sqrt(way[0] * way[0] + way[1] * way[1] + way[2] * way[2]))
    outward = b.radius if rows.clearance[0] > 0.0 else -b.radius
    on_b = core + way * (outward / apart) if apart else core
    return _Past(
        clearance=float(rows.clearance[0]) - b.radius,
        at_height=float(rows.at_height[0]),
        core_height=float(core[2]),
        on_a=as_vec3(on_a),
        on_b=as_vec3(on_b),
    )


def _swept_box(run: SweptRun) -> Box:
    """Return the box that the bare body of a run sweeps."""
    along = run.end[0] - run.start[0], run.end[1] - run.start[1]
    length = hypot(*along)
    u = (along[0] / length, along[1] / length) if length else (1.0, 0.0)
    low, high = run.low - run.down, run.low + run.travel + run.up
    return Box(
        center=(
            (run.start[0] + run.end[0]) / 2,
            (run.start[1] + run.end[1]) / 2,
            (low + high) / 2,
        ),
        half=(length / 2, run.side, (high - low) / 2),
        axes=((u[0], u[1], 0.0), (-u[1], u[0], 0.0), (0.0, 0.0, 1.0)),
    )
