"""Eye points: those of the barn file, and sensible ones found from the room."""

import numpy as np

from core.errors import ValueRangeError
from core.geometry.shapes import Vec3
from core.model.barn import Barn
from core.model.job import EyePoint
from core.model.room import Alley, Room
from core.picture.camera import Camera
from core.picture.rays import Caster
from core.picture.subject import Subject
from core.placement.ceiling import ceiling_height
from core.placement.walls import wall_frame

__all__ = ["clear_eye", "eye_named", "eye_points"]

STANDING = 64.0  # eye of somebody who stands [in]; common practice
_OVER = "above-the-pens"
_BLOCKED = 25  # share of the view by which eyes are compared [%]
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


def _over_pens(room: Room, corner: tuple[int, int] = (0, 0)) -> EyePoint:
    """Look down on the pens from a corner under the ceiling, the front left first."""
    inset = (min(48.0, room.length / 8), min(30.0, room.width / 8))
    reach = min(room.length, 1.6 * room.width)
    x = room.length - inset[0] if corner[0] else inset[0]
    y = room.width - inset[1] if corner[1] else inset[1]
    eye = (x, y, ceiling_height(room, x, y) - _UNDER)
    across = 0.38 * room.width if corner[1] else 0.62 * room.width
    look = (x - reach if corner[0] else x + reach, across, 20.0)
    return EyePoint(id=_OVER, eye=eye, look=look)


def clear_eye(subject: Subject, eye: EyePoint) -> EyePoint:
    """Return an eye point with nothing big before it.

    Parameters
    ----------
    subject : Subject
        What is seen.
    eye : EyePoint
        One of `eye_points`. Only the one found above the pens may be moved, to the
        corner of the room from which one sees furthest.
    """
    if eye.id != _OVER or eye in subject.barn.eyes:
        return eye
    caster = Caster(subject.still.corners)
    corners = ((0, 0), (0, 1), (1, 0), (1, 1))
    eyes = [_over_pens(subject.barn.room, corner) for corner in corners]
    return max(eyes, key=lambda each: _openness(caster, each))


def _openness(caster: Caster, eye: EyePoint) -> float:
    """Return how far an eye sees at most in the most blocked quarter of its view."""
    camera = Camera(eye=eye.eye, look=eye.look, width=64, height=36)
    rows, columns = np.mgrid[1:36:2, 1:64:2]
    ways = camera.ways(columns.ravel(), rows.ravel())
    start = np.broadcast_to(np.array(eye.eye, np.float32), ways.shape)
    hits = caster.hits(start, ways)
    far = np.where(hits.triangle >= 0, hits.far, 1e4)
    return float(np.percentile(far, _BLOCKED))
