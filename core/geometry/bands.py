"""Unions of closed intervals: blocked heights and what they leave free."""

import numpy as np
from numpy.typing import NDArray

from core.geometry.shapes import FloatArray, IntArray

__all__ = ["clip_bands", "free_gaps", "union_bands"]


def union_bands(
    group: IntArray, lo: FloatArray, hi: FloatArray
) -> tuple[IntArray, FloatArray, FloatArray]:
    """Unite the intervals of each group.

    Touching intervals join. Starts and ends are sorted each for itself: after
    the k-th start a gap follows exactly where the next start lies above the k-th
    end, since then every interval begun so far has ended. Group and height are sorted
    as the two parts of one complex number, so that no digit is lost.

    Parameters
    ----------
    group : IntArray, shape (n,)
        The group that each interval belongs to, in any order.
    lo, hi : FloatArray, shape (n,)
        Ends of the intervals [in]; those with NaN or `hi < lo` are left out.

    Returns
    -------
    group, lo, hi : arrays, shape (m,)
        The united intervals, ordered by group, then height [in].

    Examples
    --------
    >>> import numpy as np
    >>> union_bands(
    ...     np.array([0, 0, 0]), np.array([5.0, 0.0, 1.0]), np.array([6.0, 2.0, 3.0])
    ... )
    (array([0, 0]), array([0., 5.]), array([3., 6.]))
    """
    kept = hi >= lo
    start = _sorted_by_group(group[kept], lo[kept])
    end = _sorted_by_group(group[kept], hi[kept])
    if not start.size:
        return group[kept], lo[kept], hi[kept]
    gap = (start.real[1:] > end.real[:-1]) | (start.imag[1:] > end.imag[:-1])
    fresh = np.concatenate(([True], gap))
    last = np.concatenate((gap, [True]))
    return start.real[fresh].astype(np.int64), start.imag[fresh], end.imag[last]


def _sorted_by_group(group: IntArray, height: FloatArray) -> NDArray[np.complex128]:
    """Return `group + i height`, sorted by group, then height."""
    both = np.zeros(group.size, dtype=np.complex128)
    both.real, both.imag = group, height
    both.sort()
    return both


def clip_bands(
    lo: FloatArray, hi: FloatArray, *, low: float, high: float
) -> tuple[FloatArray, FloatArray]:
    """Cut sorted intervals [in] to those parts that lie in `[low, high]` [in]."""
    kept = (hi >= low) & (lo <= high)
    return np.maximum(lo[kept], low), np.minimum(hi[kept], high)


def free_gaps(
    lo: FloatArray, hi: FloatArray, *, low: float, high: float
) -> tuple[FloatArray, FloatArray]:
    """Return what sorted, disjoint blocked intervals [in] leave of `[low, high]` [in].

    A height on the end of a blocked interval is free: the limit is just kept
    there. A gap of no length, with blocked heights on both sides, is left out.

    Examples
    --------
    >>> import numpy as np
    >>> free_gaps(np.array([2.0]), np.array([3.0]), low=0.0, high=9.0)
    (array([0., 3.]), array([2., 9.]))
    """
    inner_lo, inner_hi = clip_bands(lo, hi, low=low, high=high)
    start = np.concatenate(([low], inner_hi))
    end = np.concatenate((inner_lo, [high]))
    kept = end > start
    return start[kept], end[kept]
