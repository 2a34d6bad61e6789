"""The winch, the pull cables and the pulleys that turn them."""

from dataclasses import dataclass
from enum import IntEnum, StrEnum
from typing import Annotated

from annotated_types import Ge, Le

from core.model.fields import Gap, Id, Point3, Size
from core.model.room import Wall

__all__ = [
    "Fixing",
    "Hoist",
    "Parts",
    "PullCable",
    "RunEnd",
    "TurningPulley",
    "Winch",
]


class RunEnd(StrEnum):
    """The end of a run at which its pull cable leaves towards the winch."""

    FRONT = "front"
    BACK = "back"


class Parts(IntEnum):
    """Parts of line between the pull point and the winch."""

    ONE = 1
    TWO = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class TurningPulley:
    """A pulley where a pull cable changes direction; its centre [in]."""

    id: Id
    at: Point3
    part: Id = "turning-pulley-175"
    anchor: Id = "screw-eye-lag-3-8x4"
    blocking: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PullCable:
    """The cable over one run: along its drop pulleys, then round `turns`.

    It leaves the run at the `leaves` end, goes round the turning pulleys in
    order and ends at the hoist's pull point.
    """

    id: Id
    run: Id
    leaves: RunEnd = RunEnd.FRONT
    turns: tuple[TurningPulley, ...] = ()
    cable: Id = "cable-7x19-3-16"


@dataclass(frozen=True, slots=True, kw_only=True)
class Fixing:
    """The screws that hold a base to added lumber, and the thickness of it [in].

    The lumber is two boards, or a board before a stud, of the species of the trusses.
    """

    anchor: Id = "lag-screw-3-8x4"
    screws: Annotated[int, Ge(1), Le(12)] = 4
    lumber: Size = 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Winch:
    """The winch: where it is fixed, on which wall or post, and its part [in]."""

    at: Point3
    part: Id = "hand-winch-1000"
    wall: Wall | None = Wall.FRONT
    on_lumber: bool = False
    rope: Id = "cable-7x19-3-16"
    dead_wraps: Annotated[int, Ge(0), Le(20)] = 3
    fixing: Fixing = Fixing()


@dataclass(frozen=True, slots=True, kw_only=True)
class Hoist:
    """A winch with the cable tree and the runs that it lifts.

    All pull cables join at the `pull_point`, given with the runs at working
    height; lifting moves it towards `pull_towards` by the travel. With two
    parts of line a snatch block sits there and `dead_end` holds the other part, on a
    pad eye with screws of its own; without one the winch holds it.
    """

    id: Id
    name: str = ""
    winch: Winch
    parts: Parts = Parts.ONE
    pull_point: Point3
    pull_towards: Point3
    dead_end: Point3 | None = None
    dead_end_fixing: Fixing = Fixing()
    block: Id = "snatch-block-3"
    turnbuckle: Id = "turnbuckle-3-8"
    block_length: Gap = 8.0
    cables: tuple[PullCable, ...] = ()
    spare_rope: Size = 24.0
