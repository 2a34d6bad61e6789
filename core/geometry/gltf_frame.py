"""The room in the frame of glTF: metres, y up, right-handed.

The room's frame (x forward, y to the right, z up) is left-handed. Forward goes to -Z,
right to +X, up to +Y, so that who looks along -Z stands at the main door, looks into
the room, and has its left wall on the left. Nothing is mirrored, but the corners of
triangles run the other way round.

References
----------
Khronos Group, glTF 2.0 Specification, 2021, 3.4 (coordinate system and units).
"""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from core.quantities import MILLIMETRES_PER_INCH

__all__ = ["METRE", "gltf_axes", "gltf_points"]

METRE = float(MILLIMETRES_PER_INCH / 1000)  # in an inch


def gltf_axes(ways: NDArray[Any]) -> NDArray[Any]:
    """Return ways of the room `(..., 3)` along glTF's axes, in the unit they have.

    Examples
    --------
    >>> gltf_axes(np.array([1.0, 2.0, 3.0])).tolist()
    [2.0, 3.0, -1.0]
    """
    turned: NDArray[Any] = np.stack((ways[..., 1], ways[..., 2], -ways[..., 0]), -1)
    return turned


def gltf_points(points: NDArray[Any]) -> NDArray[Any]:
    """Return points of the room `(..., 3)` [in] in glTF's frame [m]."""
    metres: NDArray[Any] = gltf_axes(points) * METRE
    return metres
