"""Where a hung pipe is: its sag, its bending moment and their extremes."""

import math
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.mechanics.beam_frame import SAME_STATION
from core.mechanics.pipe import PipeStatics
from core.ranges import require_between

__all__ = ["bending_moment", "largest_sag", "sag", "span_sags"]

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

_SAMPLES = 33  # stations looked at between two marks for an extreme


def sag(statics: PipeStatics, stations: ArrayLike) -> FloatArray:
    """Return how far the pipe hangs below the level line of its ropes.

    Parameters
    ----------
    statics : PipeStatics
        A solved pipe.
    stations : array_like
        Stations on the pipe, `(m,)` [in].

    Returns
    -------
    ndarray
        Sag `(m,)` [in], greater than 0 below the line.

    Raises
    ------
    ValueRangeError
        If a station is off the pipe.

    Notes
    -----
    One polynomial of degree 4 between ropes, lumps and joints: exact for the
    model. Range: slopes to about 1/20.

    References
    ----------
    Young and Budynas, Roark's Formulas for Stress and Strain, 7th ed., 2002,
    ch. 8, eq. 8.1-3 (from memory).

    Examples
    --------
    >>> from core.mechanics.pipe import solve_pipe
    >>> from core.mechanics.pipe_parts import Pipe, Rope
    >>> pipe = Pipe(start=0.0, end=120.0, weight=0.0381072, stiffness=372444.0)
    >>> hung = solve_pipe(pipe, ropes=[Rope(station=0.0), Rope(station=120.0)])
    >>> round(float(sag(hung, [60.0])[0]), 4)
    0.2763
    """
    curve, (mark, x) = statics.curve, _behind(statics, stations)
    stiff = statics.pipe.stiffness
    bow = curve.moments[mark] / 2 + x * curve.shears[mark] / 6
    bow -= statics.pipe.weight * x**2 / 24
    low: FloatArray = curve.sags[mark] + x * (curve.slopes[mark] - x * bow / stiff)
    return low


def bending_moment(statics: PipeStatics, stations: ArrayLike) -> FloatArray:
    """Return the bending moment in the pipe, greater than 0 where it sags.

    Parameters
    ----------
    statics : PipeStatics
        A solved pipe.
    stations : array_like
        Stations on the pipe, `(m,)` [in].

    Returns
    -------
    ndarray
        Moment `(m,)` [in lbf]; less than 0 over a rope.

    Raises
    ------
    ValueRangeError
        If a station is off the pipe.

    Notes
    -----
    Sum of the moments of all forces on the left, so it is exact at joints and
    ropes too. Range: as the solution that it is taken from.

    References
    ----------
    Statics.

    Examples
    --------
    >>> from core.mechanics.pipe import solve_pipe
    >>> from core.mechanics.pipe_parts import Pipe, Rope
    >>> pipe = Pipe(start=0.0, end=120.0, weight=0.04, stiffness=370000.0)
    >>> hung = solve_pipe(pipe, ropes=[Rope(station=0.0), Rope(station=120.0)])
    >>> round(float(bending_moment(hung, [60.0])[0]), 6)
    72.0
    """
    curve, (mark, x) = statics.curve, _behind(statics, stations)
    moment: FloatArray = curve.moments[mark] + x * (
        curve.shears[mark] - statics.pipe.weight * x / 2
    )
    return moment


def largest_sag(statics: PipeStatics) -> tuple[float, float]:
    """Return the lowest point of the pipe: its station and its sag.

    Parameters
    ----------
    statics : PipeStatics
        A solved pipe.

    Returns
    -------
    station : float
        Where [in].
    sag : float
        How far below the level line of the ropes [in].

    Notes
    -----
    Looks at 32 stations of each part and fits a parabola through the lowest
    three; error below 1e-5 of the sag. Range: as the solution.

    References
    ----------
    As `sag`.

    Examples
    --------
    >>> from core.mechanics.pipe import solve_pipe
    >>> from core.mechanics.pipe_parts import Pipe, Rope
    >>> pipe = Pipe(start=0.0, end=120.0, weight=0.0381072, stiffness=372444.0)
    >>> hung = solve_pipe(pipe, ropes=[Rope(station=0.0), Rope(station=120.0)])
    >>> [round(value, 4) for value in largest_sag(hung)]
    [60.0, 0.2763]
    """
    along = _dense_stations(statics)
    return _peak(along, sag(statics, along))


def span_sags(statics: PipeStatics) -> tuple[float, ...]:
    """Return the sag of each part of the pipe, against its own two ends.

    Parameters
    ----------
    statics : PipeStatics
        A solved pipe.

    Returns
    -------
    tuple of float
        For the front overhang, each span between neighbouring ropes that are
        taut, and the back overhang [in]: the largest distance of the pipe below
        the straight line between its ropes, or of an overhang below its rope;
        0 where it does not hang lower or there is no overhang.

    Notes
    -----
    Looks at the same stations as `largest_sag`. Range: as the solution.

    References
    ----------
    As `sag`.

    Examples
    --------
    >>> from core.mechanics.pipe import solve_pipe
    >>> from core.mechanics.pipe_parts import Pipe, Rope
    >>> pipe = Pipe(start=0.0, end=120.0, weight=0.0381072, stiffness=372444.0)
    >>> hung = solve_pipe(pipe, ropes=[Rope(station=0.0), Rope(station=120.0)])
    >>> [round(value, 4) for value in span_sags(hung)]
    [0.0, 0.2763, 0.0]
    """
    along = _dense_stations(statics)
    stations = np.array(statics.rope_stations)[np.array(statics.taut)]
    held = np.sort(stations)
    below = sag(statics, along) - np.interp(along, held, sag(statics, held))
    bounds = [0, *np.searchsorted(along, held, side="right").tolist(), along.size]
    return tuple(
        max(_peak(along[low:high], below[low:high])[1], 0.0) if high > low else 0.0
        for low, high in pairwise(bounds)
    )


def _behind(statics: PipeStatics, stations: ArrayLike) -> tuple[IntArray, FloatArray]:
    """Return the mark before each station and the distance from it [in]."""
    pipe, marks = statics.pipe, statics.curve.marks
    along = np.atleast_1d(np.asarray(stations, float))
    if along.size:
        low, high = pipe.start - SAME_STATION, pipe.end + SAME_STATION
        require_between("station", float(along.min()), low, high, "in")
        require_between("station", float(along.max()), low, high, "in")
    mark = np.maximum(np.searchsorted(marks, along, side="right") - 1, 0)
    return mark, along - marks[mark]


def _dense_stations(statics: PipeStatics) -> FloatArray:
    """Return evenly spread stations between the marks, the marks included."""
    ends = np.append(statics.curve.marks, statics.pipe.end)
    steps = np.linspace(0.0, 1.0, _SAMPLES)[:-1]
    inside = ends[:-1, None] + np.diff(ends)[:, None] * steps[None, :]
    return np.concatenate([inside.ravel(), ends[-1:]])


def _peak(along: FloatArray, values: FloatArray) -> tuple[float, float]:
    """Return the highest value and its place, refined by a parabola."""
    top = int(values.argmax())
    if 0 < top < values.size - 1:
        place, value = along[top - 1 : top + 2], values[top - 1 : top + 2]
        if math.isclose(place[1] - place[0], place[2] - place[1], rel_tol=1e-6):
            bend = value[0] - 2 * value[1] + value[2]
            if bend < 0:
                shift = 0.5 * (value[0] - value[2]) / bend
                rise = -0.125 * (value[0] - value[2]) ** 2 / bend
                step = float(place[1] - place[0])
                return float(place[1] + shift * step), float(value[1] + rise)
    return float(along[top]), float(values[top])
