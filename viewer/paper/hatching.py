"""The lines of a hatch: where parallel lines cross a face."""

import math
from collections.abc import Sequence
from functools import cache

import numpy as np

from core.geometry.shapes import FloatArray, IntArray

__all__ = ["hatch_face"]

_MOST_LINES = 4000  # a face that needs more is shown by its tint alone


def hatch_face(
    rings: Sequence[FloatArray], *, spacing: float, angle: float
) -> FloatArray:
    """Return the hatch of a face whose outline and holes are given.

    Parameters
    ----------
    rings : sequence of arrays (n, 2)
        Outline and holes, unclosed [in].
    spacing : float
        Between two lines, > 0 [in].
    angle : float
        Of the lines, positive u towards v [rad].

    Returns
    -------
    FloatArray, shape (k, 2, 2)
        The pieces of line inside, by the even-odd rule [in]. All faces of one
        spacing and angle have their lines in line with each other.

    Examples
    --------
    >>> square = np.array([(0, 0), (4, 0), (4, 4), (0, 4)], dtype=float)
    >>> hatch_face([square], spacing=2.0, angle=0.0).tolist()
    [[[0.0, 1.0], [4.0, 1.0]], [[0.0, 3.0], [4.0, 3.0]]]
    >>> len(hatch_face([square[:0]], spacing=2.0, angle=0.0))
    0
    """
    turn = _turn(angle)
    turned = [ring @ turn for ring in rings]
    starts = np.concatenate(turned)
    ends = np.concatenate([part for r in turned for part in (r[1:], r[:1])])
    if not len(starts):
        return np.zeros((0, 2, 2))
    (u0, v0), (u1, v1) = starts.T, ends.T
    edge, line = _crossed(np.minimum(v0, v1), np.maximum(v0, v1), spacing)
    v = (line + 0.5) * spacing
    share = (v - v0[edge]) / (v1 - v0)[edge]
    u = u0[edge] + share * (u1 - u0)[edge]
    order = np.lexsort((u, line))
    pairs = np.stack((u[order], v[order]), axis=-1).reshape(-1, 2, 2)
    return pairs @ turn.T


@cache
def _turn(angle: float) -> FloatArray:
    """Return the matrix that takes a point to its place along and across lines."""
    cos, sin = math.cos(angle), math.sin(angle)
    return np.array(((cos, -sin), (sin, cos)))


def _crossed(
    low: FloatArray, high: FloatArray, spacing: float
) -> tuple[IntArray, IntArray]:
    """Return each pair of an interval and a line with low <= line < high."""
    ends = np.ceil(np.stack((low, high)) / spacing - 0.5).astype(np.int64)
    first, counts = ends[0], ends[1] - ends[0]
    if ends.max(initial=0) - ends.min(initial=0) > _MOST_LINES:
        counts = np.zeros_like(counts)
    owner = np.repeat(np.arange(len(counts)), counts)
    begin = np.cumsum(counts) - counts
    return owner, (first - begin)[owner] + np.arange(len(owner))
