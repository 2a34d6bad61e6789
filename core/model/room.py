"""The room: walls, ceiling, trusses, pens, alleys and doors."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated, Literal

from annotated_types import MinLen

from core.model.fields import Gap, Id, Length, Point2, Size

__all__ = [
    "Alley",
    "Bulkhead",
    "Ceiling",
    "Door",
    "DoorSwing",
    "FlatCeiling",
    "GableCeiling",
    "Pen",
    "Room",
    "SlopedCeiling",
    "StepAxis",
    "SteppedCeiling",
    "Strip",
    "Trusses",
    "Ventilation",
    "Wall",
]


class Wall(StrEnum):
    """The four walls: front holds the main door (x = 0), left is y = 0."""

    FRONT = "front"
    BACK = "back"
    LEFT = "left"
    RIGHT = "right"


class Ventilation(StrEnum):
    """How the room is ventilated."""

    NATURAL = "natural"
    WALL_FANS = "wall-fans"
    CHIMNEYS = "chimneys"
    TUNNEL = "tunnel"


class DoorSwing(StrEnum):
    """Where a door leaf goes; left and right as seen from inside the room."""

    IN_LEFT = "in-left"
    IN_RIGHT = "in-right"
    OUT_LEFT = "out-left"
    OUT_RIGHT = "out-right"
    SLIDING = "sliding"


class StepAxis(StrEnum):
    """The direction in which a stepped ceiling steps."""

    ALONG = "along"  # the height changes with x
    ACROSS = "across"  # the height changes with y


@dataclass(frozen=True, slots=True, kw_only=True)
class FlatCeiling:
    """One height [in] everywhere."""

    kind: Literal["flat"] = "flat"
    height: Size


@dataclass(frozen=True, slots=True, kw_only=True)
class SlopedCeiling:
    """A mono-slope from the left wall to the right wall [in]."""

    kind: Literal["mono-slope"] = "mono-slope"
    left: Size
    right: Size


@dataclass(frozen=True, slots=True, kw_only=True)
class GableCeiling:
    """Two slopes that meet at a ridge along the room [in]."""

    kind: Literal["gable"] = "gable"
    eave: Size
    ridge: Size
    ridge_y: Size


@dataclass(frozen=True, slots=True, kw_only=True)
class SteppedCeiling:
    """Level fields; step i holds from `starts[i]` to the next start [in].

    The first start is 0. `heights` has as many values as `starts`.
    """

    kind: Literal["stepped"] = "stepped"
    axis: StepAxis = StepAxis.ALONG
    starts: Annotated[tuple[Gap, ...], MinLen(1)]
    heights: Annotated[tuple[Size, ...], MinLen(1)]


Ceiling = FlatCeiling | SlopedCeiling | GableCeiling | SteppedCeiling


@dataclass(frozen=True, slots=True, kw_only=True)
class Bulkhead:
    """A part of the ceiling that drops below it: plan rectangle and depth [in]."""

    id: Id
    x: Length
    y: Length
    length: Size
    width: Size
    depth: Size


@dataclass(frozen=True, slots=True, kw_only=True)
class Trusses:
    """Trusses across the room, by spacing or as a list of stations [in].

    `stations`, when given, wins over `first` and `spacing`. The chord's
    underside is at the ceiling, or `exposed` below it: then it is an obstacle.
    """

    spacing: Size = 48.0
    first: Gap = 0.0
    stations: tuple[Gap, ...] = ()
    chord_width: Size = 1.5
    chord_depth: Size = 3.5
    wood: Id = "spruce-pine-fir"
    exposed: bool = False
    sheet_thickness: Gap = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """A row of pens that is to be served by one run; a plan rectangle [in]."""

    id: Id
    x: Length
    y: Length
    length: Size
    width: Size


@dataclass(frozen=True, slots=True, kw_only=True)
class Pen:
    """A pen with partitions on its outline, a simple polygon in plan [in]."""

    id: Id
    outline: Annotated[tuple[Point2, ...], MinLen(3)]
    partition_height: Gap = 36.0
    partition_thickness: Size = 1.5
    strip: Id | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Alley:
    """A walkway; a plan rectangle [in]."""

    id: Id
    x: Length
    y: Length
    length: Size
    width: Size


@dataclass(frozen=True, slots=True, kw_only=True)
class Door:
    """A door in a wall: near jamb's distance from the wall's start [in].

    A wall starts at the left (front, back) or at the front (left, right).
    """

    id: Id
    wall: Wall
    offset: Gap
    width: Size
    height: Size = 80.0
    swing: DoorSwing = DoorSwing.OUT_LEFT
    main: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """A rectangular room from (0, 0, 0) to (length, width, ceiling) [in]."""

    length: Size
    width: Size
    ceiling: Ceiling
    wall_thickness: Size = 6.0
    trusses: Trusses = Trusses()
    bulkheads: tuple[Bulkhead, ...] = ()
    strips: tuple[Strip, ...] = ()
    pens: tuple[Pen, ...] = ()
    alleys: tuple[Alley, ...] = ()
    doors: tuple[Door, ...] = ()
    ventilation: Ventilation = Ventilation.WALL_FANS
