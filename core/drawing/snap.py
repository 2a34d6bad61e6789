"""What a dragged object keeps to: trusses, walls, middles of strips, sixteenths."""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum

from core.geometry.shapes import Vec2, Vec3
from core.model.room import Room, Wall
from core.model.runs import Run
from core.placement.building import truss_stations
from core.placement.runs import run_direction, run_length
from core.placement.walls import wall_frame

__all__ = [
    "SIXTEENTH",
    "Keep",
    "Line",
    "Snapped",
    "WallPlace",
    "middle_lines",
    "on_grid",
    "snapped",
    "truss_marks",
    "wall_place",
]

SIXTEENTH = 0.0625  # the grid of a tape measure [in]


class Keep(StrEnum):
    """What an object has been kept to."""

    GRID = "grid"
    TRUSS = "truss"
    MIDDLE = "middle"
    ALIGNED = "aligned"


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A value that draws a coordinate near it to itself, and what is there [in]."""

    at: float
    keep: Keep
    name: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Snapped:
    """A coordinate after snapping [in]; `line` is None on the grid alone."""

    value: float
    line: Line | None = None


def snapped(value: float, lines: Iterable[Line], *, reach: float) -> Snapped:
    """Return a coordinate drawn to the nearest line within reach, else to the grid.

    Parameters
    ----------
    value : float
        The coordinate [in].
    lines : iterable of Line
        What it may be drawn to.
    reach : float
        How far off a line may be, 0 for the grid alone [in].

    Returns
    -------
    Snapped
        The line's own value, or the nearest sixteenth.

    Examples
    --------
    >>> truss = Line(at=48.0, keep=Keep.TRUSS, name="truss 2")
    >>> snapped(46.3, [truss], reach=3.0).value
    48.0
    >>> snapped(46.3, [truss], reach=1.0).value
    46.3125
    """
    near = min(lines, key=lambda line: abs(line.at - value), default=None)
    if near is not None and abs(near.at - value) <= reach:
        return Snapped(value=near.at, line=near)
    return Snapped(value=round(value / SIXTEENTH) * SIXTEENTH)


def _truss_lines(room: Room) -> tuple[Line, ...]:
    """Return the trusses as lines along x [in]."""
    return tuple(
        Line(at=truss.x, keep=Keep.TRUSS, name=f"truss {truss.number}")
        for truss in truss_stations(room)
    )


def truss_marks(run: Run, room: Room) -> tuple[Line, ...]:
    """Return where a run passes under trusses, as stations along it [in].

    A run along the trusses passes under none.
    """
    dx = run_direction(run)[0]
    if abs(dx) < 1e-3:
        return ()
    length = run_length(run)
    marks = (
        Line(at=(line.at - run.start[0]) / dx, keep=line.keep, name=line.name)
        for line in _truss_lines(room)
    )
    return tuple(mark for mark in marks if 0.0 <= mark.at <= length)


def middle_lines(room: Room) -> tuple[Line, ...]:
    """Return the middles of the strips as lines along y [in]."""
    return tuple(
        Line(
            at=strip.y + strip.width / 2, keep=Keep.MIDDLE, name=f"middle of {strip.id}"
        )
        for strip in room.strips
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class WallPlace:
    """A place on a wall: which one, how far along it, and the point itself [in]."""

    wall: Wall
    along: float
    at: Vec2


def wall_place(room: Room, at: Vec2, *, inward: float = 0.0) -> WallPlace:
    """Return the nearest place on a wall, kept between its ends.

    Parameters
    ----------
    room : Room
        The room.
    at : Vec2
        Any plan place [in].
    inward : float
        How far the place is to lie inside the room [in].

    Returns
    -------
    WallPlace
        Along the wall to the sixteenth.
    """
    return min(_on_walls(room, at, inward), key=lambda found: math.dist(found.at, at))


def _on_walls(room: Room, at: Vec2, inward: float) -> Iterator[WallPlace]:
    for wall in Wall:
        frame = wall_frame(room, wall)
        off = (at[0] - frame.start[0], at[1] - frame.start[1])
        along = off[0] * frame.along[0] + off[1] * frame.along[1]
        kept = snapped(min(max(along, 0.0), frame.length), (), reach=0.0).value
        yield WallPlace(wall=wall, along=kept, at=frame.point(kept, inward))


def on_grid(at: Vec3) -> Vec3:
    """Return a place with every coordinate on the grid [in]."""
    x, y, z = (round(value / SIXTEENTH) * SIXTEENTH for value in at)
    return (x, y, z)
