"""Bracketed Newton roots of rising functions, many at once and each for itself.

A step that leaves the bracket, or that has not halved the value, is replaced by a
bisection, so that a jump or a steep rise cannot lead it astray. Each item stops for
itself, so that its result does not depend on the others in the batch.
"""

from collections.abc import Callable

import numpy as np

from core.geometry.shapes import FloatArray, IntArray

__all__ = ["closed_in", "rising_roots"]

_MOST_STEPS = 120
_FLAT = 1e-200
_NEAR = 1e-8  # a least distance is wrong by no more than this, mostly its square
_End = tuple[FloatArray, FloatArray]
_Function = Callable[[IntArray, FloatArray], tuple[FloatArray, FloatArray]]


def rising_roots(
    function: _Function, left: _End, right: _End, good: FloatArray
) -> FloatArray:
    """Return the places where rising functions pass zero.

    Parameters
    ----------
    function : callable
        `function(items, place)` gives values and slopes of the given items.
    left, right : pair of FloatArray, shape (n,)
        Places and values, below zero on the left and above on the right.
    good : FloatArray, shape (n,)
        How small a value counts as zero.
    """
    (low, under), (high, over) = left, right
    chord = low - under / (over - under) * (high - low)
    low, high = closed_in(function, (low, high), guess=chord, good=good, narrow=_NEAR)
    return np.asarray((low + high) / 2)


def closed_in(
    function: _Function,
    ends: _End,
    *,
    guess: FloatArray,
    good: FloatArray,
    narrow: float,
) -> _End:
    """Return narrowed brackets of the places where rising functions pass zero.

    Parameters
    ----------
    function : callable
        `function(items, place)` gives values and slopes of the given items.
    ends : pair of FloatArray, shape (n,)
        Places with values below zero and above.
    guess : FloatArray, shape (n,)
        Where to look first; the middle of the bracket where it is not within.
    good : FloatArray, shape (n,)
        How small a value counts as zero.
    narrow : float
        How narrow a bracket is narrow enough.

    Returns
    -------
    low, high : FloatArray, shape (n,)
        The narrowed brackets; both ends are one where a zero was met.
    """
    low, high = ends
    found_low, found_high = low.copy(), high.copy()
    items = np.arange(low.size)
    place = np.where((guess > low) & (guess < high), guess, (low + high) / 2)
    last = np.full(items.size, np.inf)
    for _ in range(_MOST_STEPS):
        value, slope = function(items, place)
        amount = np.abs(value)
        met = amount <= good
        low = np.where((value < 0.0) | met, place, low)
        high = np.where((value >= 0.0) | met, place, high)
        going = high - low > narrow
        if not going.all():
            found_low[items], found_high[items] = low, high
            kept = going.nonzero()[0]
            if not kept.size:
                break
            items, low, high, good = items[kept], low[kept], high[kept], good[kept]
            place, last, amount = place[kept], last[kept], amount[kept]
            value, slope = value[kept], slope[kept]
        newton = place - value / np.maximum(slope, _FLAT)
        usable = (amount < last) & (newton > low) & (newton < high)
        place = np.where(usable, newton, (low + high) / 2)
        last = amount / 2
    return found_low, found_high
