"""Named places to look from: those of the barn file, and some found by itself."""

from collections.abc import Iterator

from core.geometry.shapes import Vec3
from core.model.barn import Barn
from core.model.room import Room
from core.placement.ceiling import ceiling_height
from core.placement.walls import wall_frame
from viewer.room3d.camera import EYE_HEIGHT, Camera

__all__ = ["eye_name", "eye_points"]

_INSIDE = 24.0  # from the door to the eye [in]


def eye_name(eye_id: str) -> str:
    """Return the id of an eye point as it is read."""
    words = eye_id.replace("-", " ")
    return words[:1].upper() + words[1:]


def eye_points(barn: Barn) -> Iterator[tuple[str, Camera]]:
    """Yield names and cameras: the barn's own, then those that every room has."""
    for eye in barn.eyes:
        if eye.eye != eye.look:
            yield eye_name(eye.id), Camera(eye=eye.eye, look=eye.look)
    room = barn.room
    middle: Vec3 = (room.length / 2, room.width / 2, 0.6 * EYE_HEIGHT)
    yield "At the main door", _at_door(room, middle)
    yield "Half way along", _half_way(room)
    high = ceiling_height(room, room.length / 2, room.width / 2)
    up: Vec3 = (0.06 * room.length, 0.08 * room.width, high - 8.0)
    yield (
        "Over the pens",
        Camera(eye=up, look=(0.6 * room.length, room.width / 2, 20.0)),
    )


def _at_door(room: Room, middle: Vec3) -> Camera:
    main = next((door for door in room.doors if door.main), None)
    if main is None:
        return Camera(eye=(_INSIDE, room.width / 2, EYE_HEIGHT), look=middle)
    frame = wall_frame(room, main.wall)
    x, y = frame.point(main.offset + main.width / 2, _INSIDE)
    return Camera(eye=(x, y, EYE_HEIGHT), look=middle)


def _half_way(room: Room) -> Camera:
    alley = max(room.alleys, key=lambda each: each.length * each.width, default=None)
    y = room.width / 2 if alley is None else alley.y + alley.width / 2
    eye: Vec3 = (0.45 * room.length, y, EYE_HEIGHT)
    return Camera(eye=eye, look=(0.9 * room.length, y, 0.8 * EYE_HEIGHT))
