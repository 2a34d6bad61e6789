"""How much is seen of walls and ceiling: next to nothing of those before the eye."""

from core.model.room import Room, Wall
from core.placement.ceiling import ceiling_height
from viewer.room3d.camera import Camera

__all__ = ["fading"]

_FADE = 30.0  # way of the eye through a wall or ceiling over which it fades [in]
_LEFT_WALL = 0.10  # what is left of a wall that has faded [-]
_LEFT_CEILING = 0.0


def fading(camera: Camera, room: Room) -> tuple[dict[Wall, float], float]:
    """Return how much is seen of each wall and of the ceiling [-].

    All of it from inside the room, next to nothing from behind; in between while
    the eye passes through.
    """
    x, y, z = camera.eye
    inside = {
        Wall.FRONT: x,
        Wall.BACK: room.length - x,
        Wall.LEFT: y,
        Wall.RIGHT: room.width - y,
    }
    walls = {
        wall: _LEFT_WALL + (1.0 - _LEFT_WALL) * _share(way)
        for wall, way in inside.items()
    }
    under = ceiling_height(room, x, y) - z
    return walls, _LEFT_CEILING + (1.0 - _LEFT_CEILING) * _share(under)


def _share(way: float) -> float:
    """Return 1 on the inner side, 0 far enough outside, smoothly."""
    s = min(max(1.0 + way / _FADE, 0.0), 1.0)
    return s * s * (3.0 - 2.0 * s)
