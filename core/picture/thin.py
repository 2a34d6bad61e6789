"""Where something thinner than a pixel may cross the picture."""

import math
from collections.abc import Iterator
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from core.catalogue.catalogue import Catalogue
from core.geometry.shapes import FloatArray, Vec3
from core.model.barn import Barn
from core.picture.camera import Camera
from core.placement.runs import height_at
from core.placement.scene import strands

__all__ = ["thin_pixels"]

_NEAR = 6.0  # what is nearer to the eye than this is thick [in]


def thin_pixels(
    barn: Barn, catalogue: Catalogue, camera: Camera, *, lift: float
) -> NDArray[np.bool_]:
    """Return the pixels near ropes, cables, leads and runs `(h, w)`."""
    marked = np.zeros((camera.height, camera.width), np.bool_)
    ends = np.array(list(_segments(barn, catalogue, lift)), float).reshape(-1, 2, 3)
    if not len(ends):
        return marked
    for first, last in _before_the_eye(ends, camera):
        _mark(marked, first, last)
    return marked


def _before_the_eye(
    ends: FloatArray, camera: Camera
) -> Iterator[tuple[FloatArray, FloatArray]]:
    """Yield the projected ends of what of the segments is before the eye."""
    ahead, _, _ = camera.axes()
    depth = (ends - np.array(camera.eye)) @ ahead
    for (a, b), (near, far) in zip(ends, depth, strict=True):
        if max(near, far) <= _NEAR:
            continue
        cut = [a, b]
        for k, (here, other) in enumerate(((near, far), (far, near))):
            if here < _NEAR:
                share = (_NEAR - here) / (other - here)
                cut[k] = cut[k] + share * ((b, a)[k] - cut[k])
        first, last = camera.project(cut)
        yield first, last


def _segments(
    barn: Barn, catalogue: Catalogue, lift: float
) -> Iterator[tuple[Vec3, Vec3]]:
    for strand in strands(barn, catalogue, lift=lift):
        yield from pairwise(strand.points)
    for run in barn.runs:
        z = height_at(run, barn.room, catalogue, lift=lift)
        yield (*run.start, z), (*run.end, z)


def _mark(marked: NDArray[np.bool_], a: FloatArray, b: FloatArray) -> None:
    """Mark a line of the picture, a pixel more on each side."""
    height, width = marked.shape
    steps = min(math.ceil(float(np.abs(b - a)[:2].max())) + 1, 4 * (height + width))
    share = np.linspace(0.0, 1.0, steps)
    x = (a[0] + share * (b[0] - a[0])).astype(int)
    y = (a[1] + share * (b[1] - a[1])).astype(int)
    for dx in (-1, 0, 1):
        for dy in (-1, 0, 1):
            inside = (
                (x + dx >= 0) & (x + dx < width) & (y + dy >= 0) & (y + dy < height)
            )
            marked[y[inside] + dy, x[inside] + dx] = True
