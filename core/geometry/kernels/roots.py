"""Bracketed roots of rising functions, many at once and each for itself.

False position with halved weights (Illinois), and every fourth step is a plain
bisection, which also closes in on a jump. Each item stops for itself, so that its
result does not depend on the others in the batch.
"""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from core.geometry.shapes import FloatArray, IntArray

__all__ = ["rising_directions", "rising_roots"]

_MOST_STEPS = 120
_NARROW = 1e-15
_End = tuple[FloatArray, FloatArray]


def rising_roots(
    function: Callable[[IntArray, FloatArray], FloatArray],
    left: _End,
    right: _End,
    good: FloatArray,
) -> FloatArray:
    """Return the places where rising functions pass zero.

    Parameters
    ----------
    function : callable
        `function(items, place)` gives the values of the given items.
    left, right : pair of FloatArray, shape (n,)
        Places and values, below zero on the left and above on the right.
    good : FloatArray, shape (n,)
        How small a value counts as zero.
    """
    ends = _close_in(
        lambda items, place: function(items, place[0]),
        (left[0][None, :], left[1]),
        (right[0][None, :], right[1]),
        good,
    )
    return np.asarray((ends[0] + ends[2]) / 2)


def rising_directions(
    function: Callable[[IntArray, FloatArray], FloatArray],
    left: _End,
    right: _End,
    good: FloatArray,
) -> tuple[FloatArray, FloatArray]:
    """Bracket the directions in which rising functions pass zero.

    A direction is `(x, y)` of length one with `y >= 0`, ordered by x; so the whole
    half turn is searched without a slope that grows beyond all bounds.

    Parameters
    ----------
    function : callable
        `function(items, direction)` gives the values of the given items.
    left, right : pair of FloatArray, shapes (2, n) and (n,)
        Directions and values, below zero on the left and above on the right.
    good : FloatArray, shape (n,)
        How small a value counts as zero.

    Returns
    -------
    left, right : FloatArray, shape (2, n)
        The narrowed bracket; both ends are one where a zero was met.
    """
    ends = _close_in(function, left, right, good)
    return ends[:2], ends[3:5]


def _close_in(
    function: Callable[[IntArray, FloatArray], FloatArray],
    left: _End,
    right: _End,
    good: FloatArray,
) -> FloatArray:
    """Return the narrowed brackets: place and value on the left, then on the right."""
    size = left[0].shape[0]
    ends = np.concatenate((left[0], left[1][None, :], right[0], right[1][None, :]))
    side = np.zeros(ends.shape[1])
    items = np.arange(ends.shape[1])
    for step in range(_MOST_STEPS):
        if not items.size:
            break
        bracket = ends[:, items]
        place = _between(bracket, size, 0.5 if step % 4 == 3 else None)
        value = function(items, place)
        met = np.abs(value) <= good[items]
        below = value < 0.0
        again = np.where(below == (side[items] < 0.0), 0.5, 1.0)
        bracket[size] *= np.where(below, 1.0, again)
        bracket[-1] *= np.where(below, again, 1.0)
        new = np.concatenate((place, value[None, :]))
        bracket[: size + 1] = np.where(below | met, new, bracket[: size + 1])
        bracket[size + 1 :] = np.where(~below | met, new, bracket[size + 1 :])
        ends[:, items] = bracket
        side[items] = np.where(below, -1.0, 1.0)
        items = items[~met & ~_narrow(bracket, size)]
    return ends


def _between(bracket: FloatArray, size: int, share: float | None) -> FloatArray:
    """Return the place where the chord passes zero, or at a share of the way."""
    left, right = bracket[:size], bracket[size + 1 : -1]
    weight = -bracket[size] / (bracket[-1] - bracket[size]) if share is None else share
    place = left + weight * (right - left)
    if size == 1:
        return np.asarray(place)
    return np.asarray(place / np.sqrt(place[0] * place[0] + place[1] * place[1]))


def _narrow(bracket: FloatArray, size: int) -> NDArray[np.bool_]:
    """Return which brackets cannot be narrowed further."""
    left, right = bracket[:size], bracket[size + 1 : -1]
    room = _NARROW * (1.0 + np.abs(left))
    return np.asarray((np.abs(right - left) <= room).all(axis=0))
