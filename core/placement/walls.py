"""Where the four walls of a room stand, as frames in plan."""

from dataclasses import dataclass

from core.geometry.shapes import Vec2
from core.model.room import Room, Wall

__all__ = ["WallFrame", "wall_frame"]


@dataclass(frozen=True, slots=True, kw_only=True)
class WallFrame:
    """A wall's inner face in plan: start [in], unit vectors along it and inward [-].

    A wall starts at the left (front, back) or at the front (left, right).
    """

    start: Vec2
    along: Vec2
    inward: Vec2
    length: float

    def point(self, along: float, inward: float = 0.0) -> Vec2:
        """Return the plan point so far along the wall and into the room [in]."""
        return (
            self.start[0] + along * self.along[0] + inward * self.inward[0],
            self.start[1] + along * self.along[1] + inward * self.inward[1],
        )


def wall_frame(room: Room, wall: Wall) -> WallFrame:
    """Return where a wall stands.

    Examples
    --------
    >>> from core.model.room import FlatCeiling
    >>> room = Room(length=480.0, width=240.0, ceiling=FlatCeiling(height=96.0))
    >>> wall_frame(room, Wall.BACK).point(60.0, 10.0)
    (470.0, 60.0)
    """
    across, along = (0.0, 1.0), (1.0, 0.0)
    if wall is Wall.FRONT:
        return WallFrame(
            start=(0.0, 0.0), along=across, inward=(1.0, 0.0), length=room.width
        )
    if wall is Wall.BACK:
        return WallFrame(
            start=(room.length, 0.0),
            along=across,
            inward=(-1.0, 0.0),
            length=room.width,
        )
    if wall is Wall.LEFT:
        return WallFrame(
            start=(0.0, 0.0), along=along, inward=(0.0, 1.0), length=room.length
        )
    return WallFrame(
        start=(0.0, room.width), along=along, inward=(0.0, -1.0), length=room.length
    )
