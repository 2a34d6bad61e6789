"""Place solids of one kind in the frames of their runs."""

from collections.abc import Callable

from core.geometry.kernels.placed import Frames, Placed
from core.geometry.kernels.polytope import place_boxes, place_capsules, place_hulls
from core.geometry.kernels.tilted_cylinder import place_tilted_cylinders
from core.geometry.kernels.upright import place_upright_boxes, place_upright_cylinders
from core.geometry.obstacles import ObstacleSet, SolidKind
from core.geometry.shapes import FloatArray, IntArray

__all__ = ["place"]

_PLACERS: dict[SolidKind, Callable[[FloatArray, Frames], Placed]] = {
    SolidKind.UPRIGHT_BOX: place_upright_boxes,
    SolidKind.UPRIGHT_CYLINDER: place_upright_cylinders,
    SolidKind.CAPSULE: place_capsules,
    SolidKind.TILTED_BOX: place_boxes,
    SolidKind.TILTED_CYLINDER: place_tilted_cylinders,
}


def place(
    kind: SolidKind, obstacles: ObstacleSet, chosen: IntArray, frames: Frames
) -> Placed:
    """Return the chosen solids, all of one kind, each in its frame."""
    fields = obstacles.fields[:, chosen]
    if kind is SolidKind.HULL:
        return place_hulls(obstacles.hull_tables, fields[0].astype("int64"), frames)
    return _PLACERS[kind](fields, frames)
