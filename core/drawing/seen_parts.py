"""Solids as a plane sees them, kept while it only moves along its line of sight."""

from collections.abc import Sequence
from functools import partial

import numpy as np

from core.drawing.faces import Face, depth_range, seen_face
from core.drawing.memo import Memo
from core.drawing.records import Frame
from core.geometry.shapes import Vec3
from core.placement.solids import Solid

__all__ = ["SeenParts", "seen_parts", "sight"]


class SeenParts:
    """Outlines and depths of some solids; mutable, an outline is made when wanted.

    Parameters
    ----------
    parts : sequence of Solid
        The solids.
    frame : Frame
        A plane that looks their way; how deep it lies does not matter.
    """

    def __init__(self, parts: Sequence[Solid], frame: Frame) -> None:
        self.parts = parts
        self._frame = frame
        sight = _depth(frame)
        self._depths = tuple(
            (near + sight, far + sight)
            for near, far in (depth_range(part.shape, frame) for part in parts)
        )
        self._faces: dict[int, Face] = {}

    def depths(self, frame: Frame) -> list[tuple[float, float]]:
        """Return least and greatest depth of each solid behind a plane [in]."""
        sight = _depth(frame)
        return [(near - sight, far - sight) for near, far in self._depths]

    def face(self, index: int) -> Face:
        """Return the outline of one solid in the plane [in]."""
        face = self._faces.get(index)
        if face is None:
            face = seen_face(self.parts[index].shape, self._frame)
            self._faces[index] = face
        return face


def seen_parts(
    owner: str, parts: tuple[Solid, ...], frame: Frame, memo: Memo
) -> SeenParts:
    """Return an owner's solids as a view's plane sees them, the kept ones if it can."""
    make = partial(SeenParts, parts, frame)
    return memo.value("seen", owner, (parts, *sight(frame)), make)


def sight(frame: Frame) -> tuple[Vec3, Vec3, Vec3, float, float]:
    """Return what stays of a plane while it moves along its line of sight."""
    origin, right, up = frame.origin, frame.right, frame.up
    return (right, up, frame.away, _dot(origin, right), _dot(origin, up))


def _depth(frame: Frame) -> float:
    """Return how far from the room's corner a plane lies along its line of sight."""
    return _dot(frame.origin, frame.away)


def _dot(a: Vec3, b: Vec3) -> float:
    return float(np.dot(a, b))
