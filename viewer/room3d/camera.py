"""Where the eye is, what it sees where, and how it moves; room axes in, pixels out.

The room's axes are left-handed (x ahead, y to the right, z up), those of OpenGL are
not: y changes its sign on the way there, so that nothing is mirrored.
"""

import math
from dataclasses import dataclass, replace

import numpy as np

from core.geometry.shapes import FloatArray, Vec2, Vec3
from core.model.room import Room
from core.placement.ceiling import ceiling_height
from core.placement.vectors import added

__all__ = [
    "EYE_HEIGHT",
    "Camera",
    "Ray",
    "beside",
    "dollied",
    "kept_above_floor",
    "kept_inside",
    "looked",
    "orbited",
    "panned",
    "pixel_of",
    "pixels_of",
    "projection",
    "ray_through",
    "room_to_gl",
    "stepped",
    "view",
    "walking",
    "whole_room",
]

EYE_HEIGHT = 66.0  # of someone who walks [in]
FIELD = math.radians(52.0)  # upright angle of view [rad]
_BODY = 12.0  # a walker's eye stays this far from walls [in]
_HEAD = 4.0  # and this far below the ceiling [in]
_FLOOR = 2.0  # an eye that orbits stays this far above the floor [in]
_STEEPEST = math.radians(86.0)
_NEAREST = 6.0  # an eye that orbits stays this far from what it looks at [in]
_TURNS = (28.0, 38.0, 50.0, 62.0)  # from the room's axis, to see all of it [deg]
_RISE = math.radians(33.0)  # above the level, to see all of it
_CALM = 0.25  # of a step towards the best place at once; more would overshoot [-]
_FILLED = 0.92  # of the picture by a whole room [-]
_NEAR = 3.0  # what is nearer to the eye is not seen [in]


@dataclass(frozen=True, slots=True, kw_only=True)
class Camera:
    """An eye and the point that it looks at, in room axes [in]."""

    eye: Vec3
    look: Vec3

    @property
    def distance(self) -> float:
        """From the eye to what it looks at [in]."""
        return math.dist(self.eye, self.look)

    @property
    def heading(self) -> float:
        """Direction of looking in plan, from x towards y [rad]."""
        return math.atan2(self.look[1] - self.eye[1], self.look[0] - self.eye[0])

    @property
    def pitch(self) -> float:
        """Angle of looking above the level [rad]."""
        rise = self.look[2] - self.eye[2]
        level = math.dist(self.look[:2], self.eye[:2])
        return math.atan2(rise, level)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ray:
    """What one looks along: from a point in a direction, a unit vector [in]."""

    origin: Vec3
    way: Vec3


def _way(heading: float, pitch: float) -> Vec3:
    level = math.cos(pitch)
    return (level * math.cos(heading), level * math.sin(heading), math.sin(pitch))


def _clamped(value: float, low: float, high: float) -> float:
    return min(max(value, low), high) if low <= high else (low + high) / 2


def _axes(camera: Camera) -> tuple[Vec3, Vec3, Vec3]:
    """Return the unit vectors to the right, up and ahead, in room axes."""
    heading, pitch = camera.heading, _clamped(camera.pitch, -_STEEPEST, _STEEPEST)
    right = (-math.sin(heading), math.cos(heading), 0.0)
    return right, _way(heading, pitch + math.pi / 2), _way(heading, pitch)


# ----- what is seen where -----


def room_to_gl(points: FloatArray) -> FloatArray:
    """Return room points or directions `(..., 3)` in the axes of OpenGL."""
    turned: FloatArray = points * np.array((1.0, -1.0, 1.0))
    return turned


def view(camera: Camera) -> FloatArray:
    """Return the matrix from the axes of OpenGL to those of the eye, `(4, 4)`."""
    right, up, ahead = (room_to_gl(np.array(axis)) for axis in _axes(camera))
    matrix = np.eye(4)
    matrix[:3, :3] = np.stack((right, up, -ahead))
    matrix[:3, 3] = -matrix[:3, :3] @ room_to_gl(np.array(camera.eye))
    return matrix


def projection(size: Vec2, *, far: float) -> FloatArray:
    """Return the matrix from the axes of the eye to the picture, `(4, 4)`.

    Parameters
    ----------
    size : Vec2
        Width and height of the picture [px].
    far : float
        Nothing farther from the eye is seen [in].
    """
    width, height = max(size[0], 1.0), max(size[1], 1.0)
    scale = 1.0 / math.tan(FIELD / 2)
    matrix = np.zeros((4, 4))
    matrix[0, 0] = scale * height / width
    matrix[1, 1] = scale
    matrix[2, 2] = (far + _NEAR) / (_NEAR - far)
    matrix[2, 3] = 2.0 * far * _NEAR / (_NEAR - far)
    matrix[3, 2] = -1.0
    return matrix


def pixels_of(
    camera: Camera, points: FloatArray, size: Vec2
) -> tuple[FloatArray, FloatArray]:
    """Return where room points are seen.

    Parameters
    ----------
    camera : Camera
        The eye.
    points : (n, 3) array
        Room points [in].
    size : Vec2
        Width and height of the picture [px].

    Returns
    -------
    tuple of (n, 2) array and (n,) array
        Pixels to the right and down from the upper left corner, and how far ahead
        of the eye each point is [in]; one that is not ahead has no pixel (nan).
    """
    right, up, ahead = (np.array(axis) for axis in _axes(camera))
    offset = np.asarray(points, dtype=float) - camera.eye
    depth = offset @ ahead
    scale = size[1] / 2 / math.tan(FIELD / 2)
    with np.errstate(divide="ignore", invalid="ignore"):
        seen = np.where(depth > _NEAR, scale / depth, np.nan)
    return (
        np.stack(
            (size[0] / 2 + offset @ right * seen, size[1] / 2 - offset @ up * seen),
            axis=-1,
        ),
        depth,
    )


def pixel_of(camera: Camera, point: Vec3, size: Vec2) -> Vec2 | None:
    """Return where a room point is seen [px], None where it is behind the eye."""
    (at,), _ = pixels_of(camera, np.array([point]), size)
    return None if np.isnan(at).any() else (float(at[0]), float(at[1]))


def ray_through(camera: Camera, pixel: Vec2, size: Vec2) -> Ray:
    """Return the line of sight through a pixel."""
    right, up, ahead = (np.array(axis) for axis in _axes(camera))
    scale = math.tan(FIELD / 2) / (size[1] / 2)
    across, down = pixel[0] - size[0] / 2, pixel[1] - size[1] / 2
    way = ahead + scale * (across * right - down * up)
    way /= math.sqrt(float(way @ way))
    return Ray(origin=camera.eye, way=(float(way[0]), float(way[1]), float(way[2])))


# ----- moving -----


def whole_room(room: Room, size: Vec2) -> Camera:
    """Return an eye that sees all of a room from beside and above its front end.

    Parameters
    ----------
    room : Room
        The room.
    size : Vec2
        Width and height of the picture [px].

    Notes
    -----
    Of some directions the one from which the room fills the picture best.
    """
    length, width = room.length, room.width
    height = ceiling_height(room, length / 2, width / 2)
    corners = np.array(
        [(x, y, z) for x in (0, length) for y in (0, width) for z in (0, height)],
        dtype=float,
    )
    tried = [_fitted(corners, size, math.radians(turn)) for turn in _TURNS]
    return min(tried, key=lambda camera: camera.distance)


def _fitted(corners: FloatArray, size: Vec2, turn: float) -> Camera:
    """Return an eye, turned from the room's axis, that just sees some points."""
    way = _way(math.pi - turn, _RISE)
    middle = ((corners.min(axis=0) + corners.max(axis=0)) / 2).tolist()
    look: Vec3 = (middle[0], middle[1], middle[2])
    reach = 2.0 * float(np.ptp(corners, axis=0).max())
    for _ in range(60):
        camera = Camera(eye=added(look, way, reach), look=look)
        at, _depth = pixels_of(camera, corners, size)
        low, high = at.min(axis=0), at.max(axis=0)
        off = (_CALM * ((low + high) - np.array(size))).tolist()
        look = _shifted(camera, (off[0], off[1]), size)
        share = float(((high - low) / np.array(size)).max())
        reach *= (share / _FILLED) ** _CALM
    return Camera(eye=added(look, way, reach), look=look)


def _shifted(camera: Camera, by: Vec2, size: Vec2) -> Vec3:
    """Return what is looked at, moved by pixels to the right and down."""
    right, up, _ = _axes(camera)
    scale = camera.distance * math.tan(FIELD / 2) / (size[1] / 2)
    return added(added(camera.look, right, scale * by[0]), up, -scale * by[1])


def beside(at: Vec3, room: Room, *, away: float) -> Camera:
    """Return an eye in the room that looks at a place, mostly across the room.

    Parameters
    ----------
    at : Vec3
        What is looked at [in].
    room : Room
        The eye stands on the side of its middle.
    away : float
        How far off, if the room is large enough [in].
    """
    way = 0.8 if at[1] < room.width / 2 else -0.8
    x, y, z = added(at, (-0.45, way, 0.30), away)
    x = _clamped(x, _BODY, room.length - _BODY)
    y = _clamped(y, _BODY, room.width - _BODY)
    eye = (x, y, _clamped(z, _FLOOR, ceiling_height(room, x, y) - _HEAD))
    return Camera(eye=eye, look=at)


def kept_above_floor(camera: Camera) -> Camera:
    """Return the camera with its eye above the floor."""
    if camera.eye[2] >= _FLOOR:
        return camera
    return replace(camera, eye=(camera.eye[0], camera.eye[1], _FLOOR))


def orbited(camera: Camera, *, turn: float, rise: float) -> Camera:
    """Return the eye turned round what it looks at.

    Parameters
    ----------
    camera : Camera
        The eye.
    turn : float
        Angle in plan, from x towards y [rad].
    rise : float
        Angle upwards; the eye stays above the floor [rad].
    """
    reach = max(camera.distance, _NEAREST)
    lowest = math.asin(_clamped((_FLOOR - camera.look[2]) / reach, -1.0, 1.0))
    steep = _clamped(-camera.pitch + rise, max(lowest, -_STEEPEST), _STEEPEST)
    back = _way(camera.heading + math.pi + turn, steep)
    return kept_above_floor(replace(camera, eye=added(camera.look, back, reach)))


def dollied(camera: Camera, factor: float) -> Camera:
    """Return the eye at another distance from what it looks at, times a factor [-]."""
    reach = max(camera.distance * factor, _NEAREST)
    _, _, ahead = _axes(camera)
    return kept_above_floor(replace(camera, eye=added(camera.look, ahead, -reach)))


def panned(camera: Camera, by: Vec2, size: Vec2, room: Room) -> Camera:
    """Return the eye moved sideways so that what it looks at follows the pointer.

    Parameters
    ----------
    camera : Camera
        The eye.
    by, size : Vec2
        Way of the pointer, to the right and down, and the picture's size [px].
    room : Room
        What is looked at stays inside it.
    """
    look = _shifted(camera, (-by[0], -by[1]), size)
    high = ceiling_height(room, room.length / 2, room.width / 2)
    inside = (
        _clamped(look[0], 0.0, room.length),
        _clamped(look[1], 0.0, room.width),
        _clamped(look[2], 0.0, high),
    )
    moved = added(inside, camera.look, -1.0)
    eye = added(camera.eye, moved)
    return kept_above_floor(Camera(eye=eye, look=inside))


def kept_inside(camera: Camera, room: Room) -> Camera:
    """Return the camera of someone who stands in the room, looking the same way.

    Parameters
    ----------
    camera : Camera
        Any eye.
    room : Room
        The eye is brought inside its walls, to eye height or below its ceiling.

    Returns
    -------
    Camera
        Never below the floor, beyond a wall or above the ceiling.
    """
    x = _clamped(camera.eye[0], _BODY, room.length - _BODY)
    y = _clamped(camera.eye[1], _BODY, room.width - _BODY)
    z = min(EYE_HEIGHT, ceiling_height(room, x, y) - _HEAD)
    eye = (x, y, max(z, _FLOOR))
    _, _, ahead = _axes(camera)
    return Camera(eye=eye, look=added(eye, ahead, 100.0))


def walking(camera: Camera, room: Room) -> Camera:
    """Return the camera for a walk, looking level where it looked steeply down."""
    inside = kept_inside(camera, room)
    pitch = _clamped(inside.pitch, math.radians(-20.0), math.radians(20.0))
    return replace(inside, look=added(inside.eye, _way(inside.heading, pitch), 100.0))


def stepped(camera: Camera, room: Room, *, ahead: float, right: float) -> Camera:
    """Return a walker some inches farther, stopped by walls, sliding along them."""
    heading = camera.heading
    cos, sin = math.cos(heading), math.sin(heading)
    by = (ahead * cos - right * sin, ahead * sin + right * cos, 0.0)
    moved = Camera(eye=added(camera.eye, by), look=added(camera.look, by))
    return kept_inside(moved, room)


def looked(camera: Camera, *, turn: float, rise: float) -> Camera:
    """Return the camera turned about its eye [rad]."""
    pitch = _clamped(camera.pitch + rise, -_STEEPEST, _STEEPEST)
    way = _way(camera.heading + turn, pitch)
    return replace(camera, look=added(camera.eye, way, max(camera.distance, 1.0)))
