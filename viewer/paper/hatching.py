"""The lines of a hatch: where parallel lines cross a face."""

import math
from collections.abc import Sequence

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
    starts = np.concatenate([ring @ turn for ring in rings])
    ends = np.concatenate([np.roll(ring @ turn, -1, axis=0) for ring in rings])
    if not len(starts):
        return np.zeros((0, 2, 2))
    low, high = (f(starts[:, 1], ends[:, 1]) for f in (np.minimum, np.maximum))
    edge, line = _crossed(low, high, spacing)
    v = (line + 0.5) * spacing
    rise = ends[edge, 1] - starts[edge, 1]
    share = (v - starts[edge, 1]) / rise
    u = starts[edge, 0] + share * (ends[edge, 0] - starts[edge, 0])
    order = np.lexsort((u, line))
    pairs = np.stack((u[order], v[order]), axis=-1).reshape(-1, 2, 2)
    return pairs @ turn.T


def _turn(angle: float) -> FloatArray:
    """Return the matrix that takes a point to its place along and across lines."""
    cos, sin = math.cos(angle), math.sin(angle)
    return np.array(((cos, -sin), (sin, cos)))


def _crossed(
    low: FloatArray, high: FloatArray, spacing: float
) -> tuple[IntArray, IntArray]:
    """Return each pair of an interval and a line with low <= line < high."""
    first = np.ceil(low / spacing - 0.5).astype(np.int64)
    last = np.ceil(high / spacing - 0.5).astype(np.int64)
    counts = last - first
    if last.max(initial=0) - first.min(initial=0) > _MOST_LINES:
        counts = np.zeros_like(counts)
    owner = np.repeat(np.arange(len(counts)), counts)
    begin = np.repeat(np.cumsum(counts) - counts, counts)
    return owner, first[owner] + np.arange(len(owner)) - begin
