"""The eye: where it is, what it looks at, and where a point falls in the picture."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from core.errors import ValueRangeError
from core.geometry.shapes import FloatArray, Vec3
from core.picture.forms import Floats

__all__ = ["LARGEST", "SMALLEST", "Camera"]

SMALLEST, LARGEST = 32, 7680  # sides of a picture [px]
_NEAR = 3.2  # an eye outside looks in from so far inside the wall [in]


@dataclass(frozen=True, slots=True, kw_only=True)
class Camera:
    """An eye that looks at a point, its horizon level.

    Room axes are left-handed (x ahead, y to the right, z up), and so is what it
    sees: a larger y is further right for an eye that looks along x.

    Attributes
    ----------
    eye, look : Vec3
        Where it is and what it looks at [in].
    width, height : int
        Size of the picture [px].
    view : float
        Angle of view from the left to the right edge [rad].
    """

    eye: Vec3
    look: Vec3
    width: int
    height: int
    view: float = math.radians(72.0)

    def __post_init__(self) -> None:
        """Refuse a picture without size and an eye that looks nowhere."""
        for name, size in (("width", self.width), ("height", self.height)):
            if not SMALLEST <= size <= LARGEST:
                message = (
                    f"picture {name} = {size} px, choose {SMALLEST} to {LARGEST} px"
                )
                raise ValueRangeError(message)
        if not all(map(math.isfinite, (*self.eye, *self.look))):
            message = f"eye {self.eye}, look {self.look}: every number must be finite"
            raise ValueRangeError(message)
        if math.dist(self.eye, self.look) < 1e-3:
            message = "the eye is where it looks at; move one of the two"
            raise ValueRangeError(message)

    def axes(self) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Return the unit vectors ahead, to the right and up."""
        ahead = np.subtract(self.look, self.eye)
        ahead = ahead / np.linalg.norm(ahead)
        plumb = np.array([0.0, 0.0, 1.0])
        right = np.cross(plumb, ahead)
        if np.linalg.norm(right) < 1e-6:
            right = np.array([0.0, 1.0, 0.0])
        right = right / np.linalg.norm(right)
        return ahead, right, np.cross(ahead, right)

    @property
    def reach(self) -> float:
        """Half of the picture's width at the distance 1 [-]."""
        return math.tan(self.view / 2)

    def spread(self) -> float:
        """Return the width of a pixel at the distance 1 [-]."""
        return 2 * self.reach / self.width

    def ways(self, columns: ArrayLike, rows: ArrayLike) -> Floats:
        """Return unit vectors through places of the picture, from its top left [px]."""
        ahead, right, up = self.axes()
        across = (2 * np.asarray(columns) / self.width - 1) * self.reach
        below = (2 * np.asarray(rows) / self.height - 1) * self.reach
        down = below * self.height / self.width
        ways = ahead + across[..., None] * right - down[..., None] * up
        ways /= np.linalg.norm(ways, axis=-1, keepdims=True)
        found: Floats = ways.astype(np.float32)
        return found

    def project(self, points: ArrayLike) -> FloatArray:
        """Return column, row [px] and distance ahead [in] of points `(n, 3)`.

        The distance is not greater than 0 for what is behind the eye; its column
        and row mean nothing then.
        """
        ahead, right, up = self.axes()
        away = np.atleast_2d(np.asarray(points, dtype=float)) - np.array(self.eye)
        depth = away @ ahead
        safe = np.where(np.abs(depth) < 1e-9, 1e-9, depth)
        scale = self.width / (2 * self.reach)
        column = self.width / 2 + scale * (away @ right) / safe
        row = self.height / 2 - scale * (away @ up) / safe
        return np.stack([column, row, depth], axis=-1)

    def starts(self, ways: Floats, low: Floats, high: Floats) -> Floats:
        """Return how far along each ray it enters the room [in], 0 from inside.

        An eye outside looks in as if the wall before it were not there.
        """
        eye = np.array(self.eye, np.float32)
        with np.errstate(divide="ignore", invalid="ignore"):
            near = (low + _NEAR - eye) / ways
            far = (high - _NEAR - eye) / ways
        entries = np.where(np.isnan(near), -np.inf, np.minimum(near, far))
        start: Floats = np.maximum(entries.max(axis=-1), 0.0).astype(np.float32)
        return start
