"""Eye points: those of the barn file, and sensible ones found from the room."""

from core.errors import ValueRangeError
from core.geometry.shapes import Vec3
from core.model.barn import Barn
from core.model.job import EyePoint
from core.model.room import Alley, Room
from core.placement.ceiling import ceiling_height
from core.placement.walls import wall_frame

__all__ = ["eye_named", "eye_points"]

STANDING = 64.0  # eye of somebody who stands [in]; common practice
_UNDER = 13.0  # an eye over the pens is so far below the ceiling [in]


def eye_points(barn: Barn) -> tuple[EyePoint, ...]:
    """Return all places to look from: the barn file's, then those found.

    Returns
    -------
    tuple of EyePoint
        The barn file's own come first and win over a found one of the same name.
    """
    own = {eye.id for eye in barn.eyes}
    found = (eye for eye in _found(barn.room) if eye.id not in own)
    return (*barn.eyes, *found)


def eye_named(barn: Barn, name: str) -> EyePoint:
    """Return the eye point of a name.

    Raises
    ------
    ValueRangeError
        If there is none; the message names those there are.
    """
    eyes = eye_points(barn)
    for eye in eyes:
        if eye.id == name:
            return eye
    names = ", ".join(eye.id for eye in eyes)
    message = f'no eye point is called "{name}"; there are {names}'
    raise ValueRangeError(message)


def _found(room: Room) -> tuple[EyePoint, ...]:
    """Return the eye points found from door, alley and pens."""
    return (_main_door(room), _mid_alley(room), _over_pens(room))


def _standing(room: Room, x: float, y: float) -> Vec3:
    """Return the eye of somebody who stands there."""
    return (x, y, min(STANDING, 0.75 * ceiling_height(room, x, y)))


def _main_door(room: Room) -> EyePoint:
    """Look in from the main door, along the room."""
    doors = sorted(room.doors, key=lambda door: not door.main)
    if not doors:
        at, into = (6.0, room.width / 2), (1.0, 0.0)
    else:
        frame = wall_frame(room, doors[0].wall)
        at = frame.point(doors[0].offset + doors[0].width / 2, 6.0)
        into = frame.inward
    eye = _standing(room, *at)
    reach = abs(into[0]) * room.length / 2 + abs(into[1]) * room.width / 2
    look = (at[0] + into[0] * reach, at[1] + into[1] * reach, eye[2] - 5.0)
    return EyePoint(id="main-door", eye=eye, look=look)


def _mid_alley(room: Room) -> EyePoint:
    """Stand in the longest alley, a third of its way, and look across to the end."""
    alley = max(room.alleys, key=lambda a: max(a.length, a.width), default=None)
    if alley is None:
        alley = Alley(id="room", x=0.0, y=0.0, length=room.length, width=room.width)
    x, y = alley.x + alley.length * 0.3, alley.y + alley.width * 0.5
    if alley.width > alley.length:
        x, y = alley.x + alley.length * 0.5, alley.y + alley.width * 0.3
    eye = _standing(room, x, y)
    side = y + room.width * (0.22 if y < room.width * 0.6 else -0.22)
    look = (min(x + room.width, room.length), side, eye[2] - 6.0)
    return EyePoint(id="mid-alley", eye=eye, look=look)


def _over_pens(room: Room) -> EyePoint:
    """Look down on the pens from a front corner under the ceiling."""
    x, y = min(48.0, room.length / 8), min(30.0, room.width / 8)
    eye = (x, y, ceiling_height(room, x, y) - _UNDER)
    reach = min(room.length, 1.6 * room.width)
    return EyePoint(
        id="above-the-pens", eye=eye, look=(x + reach, 0.62 * room.width, 20.0)
    )
