"""Pipe runs and what they hang on."""

from dataclasses import dataclass
from enum import StrEnum

from core.model.fields import Gap, Id, Length, Point2, Size

__all__ = ["PointDirection", "PointRow", "Run", "Support"]


class PointDirection(StrEnum):
    """Which way the discharge points of a run look."""

    DOWN = "down"
    UP = "up"
    SIDES = "sides"
    RING = "ring"


@dataclass(frozen=True, slots=True, kw_only=True)
class PointRow:
    """The discharge points of a run: reach beyond the axis, pitch, first one [in]."""

    reach: Gap = 2.0
    spacing: Size = 24.0
    first: Gap = 12.0
    direction: PointDirection = PointDirection.DOWN
    part: Id = "steel-point"


@dataclass(frozen=True, slots=True, kw_only=True)
class Support:
    """One hanging point, at a station along its run [in].

    The drop pulley hangs `pulley_drop` below the ceiling. It is straight above
    the run unless moved `along` (towards the run's end) or `across` (towards
    larger y for a run along x). At working height the clamp sits `clamp_gap`
    from the pulley along the pull cable; a longer `rope_slack` lets the pipe
    hang that much lower here.
    """

    id: Id
    station: Gap
    along: Length = 0.0
    across: Length = 0.0
    pulley_drop: Size = 2.5
    clamp_gap: Gap = 6.0
    rope_slack: Length = 0.0
    blocking: bool = False
    anchor: Id = "screw-eye-lag-1-4x3"
    pulley: Id = "drop-pulley-40"
    rope: Id = "cord-3-16"
    insulator: Id = "rod-insulator-6"
    clamp: Id = "cable-clamp-3-16"


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """One straight line of joined pipes, from its front end to its far end.

    `working_height` is the height of the pipe's axis at the supports [in];
    `stow_drop` is the air between the lowest ceiling over the run and the
    pipe's top at the supports when stowed [in].
    """

    id: Id
    name: str = ""
    strip: Id | None = None
    start: Point2
    end: Point2
    working_height: Size = 50.0
    stow_drop: Size = 9.0
    tube: Id = "emt-3-4"
    stick_length: Size = 120.0
    first_joint: Size | None = None
    joint: Id = "set-screw-coupling"
    points: PointRow = PointRow()
    supports: tuple[Support, ...] = ()
