"""Clearance of still capsules (ropes, cables) and of runs against each other."""

from dataclasses import dataclass
from enum import Enum

from core.geometry.obstacles import ObstacleSet
from core.geometry.runs import SweptRun
from core.geometry.shapes import FloatArray, IntArray, Vec3

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
) -> SegmentTable:
    """Return the gaps between still capsules and obstacles, up to `horizon` [in]."""
    raise NotImplementedError


def run_clearance(a: SweptRun, b: SweptRun, *, motion: Motion) -> RunClearance:
    """Return the least gap between two runs over all heights that they can have."""
    raise NotImplementedError
