"""Bracketed Newton roots of rising functions, many at once and each for itself.

A step that leaves the bracket, or that has not halved the value, is replaced by a
bisection, so that a jump or a steep rise cannot lead it astray. Each item stops for
itself, so that its result does not depend on the others in the batch.
"""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from core.geometry.shapes import FloatArray, IntArray

__all__ = ["rising_directions", "rising_roots"]

_MOST_STEPS = 120
_NARROW = 1e-14
_NUDGE = 1e-9
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
    bracket = np.stack((*left, *right))
    ends = _close_in(
        lambda items, place: function(items, place[0]),
        bracket,
        good,
        _chord(bracket, 1),
        _NEAR,
    )
    return np.asarray((ends[0] + ends[2]) / 2)


def rising_directions(
    function: _Function,
    left: FloatArray,
    right: FloatArray,
    good: FloatArray,
    guess: FloatArray,
) -> tuple[FloatArray, FloatArray]:
    """Bracket the directions in which rising functions pass zero.

    A direction is `(x, y)` of length one with `y >= 0`, ordered by x; so the whole
    half turn is searched without a slope that grows beyond all bounds.

    Parameters
    ----------
    function : callable
        `function(items, direction)` gives values and slopes by the angle [1/rad].
    left, right : FloatArray, shape (3, n)
        Direction and value, below zero on the left and above on the right.
    good : FloatArray, shape (n,)
        How small a value counts as zero.
    guess : FloatArray, shape (2, n)
        Where to look first, or just inside the nearest end of the bracket.

    Returns
    -------
    left, right : FloatArray, shape (2, n)
        The narrowed bracket; both ends are one where a zero was met.
    """
    bracket = np.concatenate((left, right))
    step = _NUDGE * (right[:2] - left[:2])
    place = np.where(guess[0] <= left[0], left[:2] + step, guess)
    place = np.where(guess[0] >= right[0], right[:2] - step, place)
    place = np.where(place[1] > 2.0 * _NUDGE, _unit(place), _chord(bracket, 2))
    ends = _close_in(function, bracket, good, place, 0.0)
    return ends[:2], ends[3:5]


def _close_in(
    function: _Function,
    ends: FloatArray,
    good: FloatArray,
    place: FloatArray,
    near: float,
) -> FloatArray:
    """Return the narrowed brackets: place and value on the left, then on the right."""
    size = ends.shape[0] // 2 - 1
    items, bracket = np.arange(ends.shape[1]), ends
    last = np.full(items.size, np.inf)
    for _ in range(_MOST_STEPS):
        if not items.size:
            break
        value, slope = function(items, place)
        amount = np.abs(value)
        met = amount <= good[items]
        below = value < 0.0
        new = np.concatenate((place, value[None, :]))
        bracket[: size + 1] = np.where(below | met, new, bracket[: size + 1])
        bracket[size + 1 :] = np.where(~below | met, new, bracket[size + 1 :])
        ends[:, items] = bracket
        width = np.abs(bracket[size + 1] - bracket[0])
        narrow = width <= np.maximum(_NARROW * (1.0 + np.abs(bracket[0])), near)
        going = np.flatnonzero(~met & ~narrow)
        items, bracket = items[going], bracket[:, going]
        place = _next(bracket, new[:, going], slope[going], amount[going] < last[going])
        last = amount[going] / 2
    return ends


def _next(
    bracket: FloatArray,
    new: FloatArray,
    slope: FloatArray,
    halved: NDArray[np.bool_],
) -> FloatArray:
    """Return the Newton step from the newest place, or the middle of the bracket."""
    size = new.shape[0] - 1
    left, right = bracket[:size], bracket[size + 1 : -1]
    usable = halved & (slope > 0.0)
    step = -new[-1] / np.where(usable, slope, 1.0)
    place = new[0] + step
    if size > 1:
        x, y = new[0] + step * new[1], new[1] - step * new[0]
        place = x / np.sqrt(x * x + y * y)
        usable &= y > 0.0
    usable &= (place > left[0]) & (place < right[0])
    middle = _unit((left + right) / 2)
    if size == 1:
        return np.asarray(np.where(usable, place, middle[0])[None, :])
    return np.where(usable, _unit(np.stack((x, y))), middle)


def _chord(bracket: FloatArray, size: int) -> FloatArray:
    """Return where the chord of the values passes zero."""
    left, right = bracket[:size], bracket[size + 1 : -1]
    weight = -bracket[size] / (bracket[-1] - bracket[size])
    return _unit(left + weight * (right - left))


def _unit(place: FloatArray) -> FloatArray:
    """Return directions brought to length one; places on a line as they are."""
    if place.shape[0] == 1:
        return place
    return np.asarray(place / np.sqrt(place[0] * place[0] + place[1] * place[1]))
