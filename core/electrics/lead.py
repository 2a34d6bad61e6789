"""How long the high-voltage lead has to be, and where it hangs on the way.

The free part of a lead goes from its last fixed hold to its terminal on the pipe,
which moves straight up and down. Its own stiffness is left out: a real lead hangs
in a wider bow than the catenary where it is short.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.errors import UnconvergedError, ValueRangeError
from core.ranges import require_between

__all__ = [
    "LeadReach",
    "SweptLead",
    "lead_low_points",
    "lead_reach",
    "lead_shape",
    "lead_shapes",
    "route_length",
    "sweep_lead",
]

Vec3 = tuple[float, float, float]
FloatArray = NDArray[np.float64]

_FEWEST_SEGMENTS = 8
_MOST_SEGMENTS = 400
_MOST_SHAPES = 4000
_FOLD = 1e-7  # a span narrower than this share of the length hangs as a fold


@dataclass(frozen=True, slots=True, kw_only=True)
class LeadReach:
    """Straight line from the hold to the terminal over the whole travel [in].

    `shortest` and `longest` with the heights of the terminal above its place at
    working height; `lowered` and `stowed` are the two ends of the travel.
    """

    shortest: float
    shortest_at: float
    longest: float
    longest_at: float
    lowered: float
    stowed: float

    def slack(self, free_length: float) -> float:
        """Return the most slack that a lead has within the travel.

        Parameters
        ----------
        free_length : float
            Length of the free part of the lead [in].

        Returns
        -------
        float
            Slack [in]; negative if the lead is too short even there.
        """
        return free_length - self.shortest

    def spare(self, free_length: float) -> float:
        """Return what is left of a lead where it is stretched most.

        Parameters
        ----------
        free_length : float
            Length of the free part of the lead [in].

        Returns
        -------
        float
            Spare length [in]; negative if the lead is too short.
        """
        return free_length - self.longest


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SweptLead:
    """Everywhere a lead hangs during the travel.

    `lifts` `(n,)` from 0 to 1 [-]; `shapes` `(n, k, 3)` the lead as polylines at
    those lifts [in]; every point of the true lead at any lift is within `margin`
    [in] of the one before or the one after.
    """

    lifts: FloatArray
    shapes: FloatArray
    margin: float


def lead_reach(hold: Vec3, terminal: Vec3, *, travel: float) -> LeadReach:
    """Return the shortest and the longest straight line of the travel.

    With the hold between the two ends of the travel the shortest one is inside.

    Parameters
    ----------
    hold : (3,) float
        Last fixed hold of the lead [in].
    terminal : (3,) float
        Terminal on the pipe at working height [in].
    travel : float
        How far the terminal rises [in], 0 or more.

    Returns
    -------
    LeadReach
        Lengths and where they occur.

    Raises
    ------
    ValueRangeError
        If the travel is negative.

    References
    ----------
    Geometry (Pythagoras); level with the hold the line is shortest.

    Examples
    --------
    >>> reach = lead_reach((18.0, 0.0, 30.0), (0.0, 0.0, 0.0), travel=70.0)
    >>> reach.shortest, reach.shortest_at
    (18.0, 30.0)
    """
    require_between("travel", travel, 0, 1e5, "in")
    aside = math.hypot(hold[0] - terminal[0], hold[1] - terminal[1])
    above = hold[2] - terminal[2]
    lowered = math.hypot(aside, above)
    stowed = math.hypot(aside, above - travel)
    level = min(max(above, 0.0), travel)
    return LeadReach(
        shortest=math.hypot(aside, above - level),
        shortest_at=level,
        longest=max(lowered, stowed),
        longest_at=0.0 if lowered >= stowed else travel,
        lowered=lowered,
        stowed=stowed,
    )


def route_length(points: Sequence[Vec3]) -> float:
    """Return the length of the fixed part of a lead.

    Parameters
    ----------
    points : sequence of (3,) float
        Its corners in order [in].

    Returns
    -------
    float
        Length [in]; 0 for fewer than two points.

    References
    ----------
    Geometry.

    Examples
    --------
    >>> route_length([(0.0, 0.0, 0.0), (3.0, 4.0, 0.0), (3.0, 4.0, 12.0)])
    17.0
    """
    return sum(map(math.dist, points, points[1:]), start=0.0)


def lead_shape(
    hold: Vec3, terminal: Vec3, *, length: float, tolerance: float = 0.05
) -> FloatArray:
    """Return the shape of a hanging lead as a polyline.

    Parameters
    ----------
    hold, terminal : (3,) float
        Its two ends [in].
    length : float
        Its length between them [in], at least their distance.
    tolerance : float
        Largest distance of the polyline from the true curve [in], above 0.

    Returns
    -------
    (k, 3) float
        Points from the hold to the terminal [in].

    Raises
    ------
    ValueRangeError
        If the lead is shorter than the distance of its ends.

    Notes
    -----
    Points evenly spread over the catenary's parameter u: the chord of a step du
    stays within ``a du^2 / 8`` of the curve.

    References
    ----------
    As in `lead_shapes`.
    """
    ends = np.asarray([terminal], dtype=np.float64)
    curve = _catenaries(hold, ends, length)
    shape: FloatArray = _hung(curve, hold, ends, length, _segments(curve, tolerance))[0]
    return shape


def lead_shapes(
    hold: Vec3, terminals: ArrayLike, *, length: float, segments: int = 32
) -> FloatArray:
    """Return the shapes of a hanging lead for many places of its terminal.

    Parameters
    ----------
    hold : (3,) float
        Fixed end [in].
    terminals : (n, 3) float
        Moving end [in].
    length : float
        Length between the ends [in], at least their largest distance.
    segments : int
        Pieces of each polyline, an even number, so that a fold has its bottom.

    Returns
    -------
    (n, segments + 1, 3) float
        Points from the hold to the terminal [in].

    Raises
    ------
    ValueRangeError
        If the lead is shorter than the distance of its ends.
    UnconvergedError
        If the catenary is not found.

    Notes
    -----
    ``sinh(x) / x = sqrt(s^2 - v^2) / h`` for x = h / 2a, by Newton in logarithms.
    A lead whose ends are one above the other hangs as a fold.

    References
    ----------
    H. M. Irvine, Cable Structures, 1981, ch. 1 (from memory).
    """
    ends = np.asarray(terminals, dtype=np.float64)
    return _hung(_catenaries(hold, ends, length), hold, ends, length, segments)


def lead_low_points(hold: Vec3, terminals: ArrayLike, *, length: float) -> FloatArray:
    """Return the lowest point of a hanging lead for many places of its terminal.

    Parameters
    ----------
    hold : (3,) float
        Fixed end [in].
    terminals : (n, 3) float
        Moving end [in].
    length : float
        Length between the ends [in], at least their largest distance.

    Returns
    -------
    (n, 3) float
        Lowest points [in]; an end where the lead does not hang below it.

    Raises
    ------
    ValueRangeError
        If the lead is shorter than the distance of its ends.
    UnconvergedError
        If the catenary is not found.

    References
    ----------
    As in `lead_shapes`; the slope is 0 where u is 0.

    Examples
    --------
    >>> low = lead_low_points((0.0, 0.0, 0.0), [(120.0, 0.0, 0.0)], length=126.0)
    >>> round(float(-low[0, 2]), 4)
    16.7165
    """
    ends = np.asarray(terminals, dtype=np.float64)
    curve = _catenaries(hold, ends, length)
    share = np.clip(-curve.first / (2 * curve.x), 0.0, 1.0)
    u = curve.first + 2 * curve.x * share
    low = _in_plan(hold, ends, share[:, None])[:, 0]
    low[:, 2] = hold[2] + curve.parameter * (np.cosh(u) - np.cosh(curve.first))
    bottom = _fold_bottom(hold, ends, length)
    low[:, 2] = np.where(curve.fold, bottom, low[:, 2])
    return low


def sweep_lead(
    hold: Vec3,
    terminal: Vec3,
    *,
    travel: float,
    length: float,
    hold_travel: float = 0.0,
    tolerance: float = 0.25,
) -> SweptLead:
    """Return the space that a hanging lead passes through during the travel.

    Parameters
    ----------
    hold : (3,) float
        Last hold of the lead, or the first end of a jumper, at working height [in].
    terminal : (3,) float
        Terminal on the pipe at working height [in].
    travel : float
        How far the terminal rises [in], 0 or more.
    length : float
        Length of the free part [in], at least the longest straight line.
    hold_travel : float
        How far the hold rises meanwhile [in], 0 or more: a jumper between two runs.
    tolerance : float
        Largest margin wanted [in], above 0.

    Returns
    -------
    SweptLead
        Shapes at lifts close enough for the margin.

    Raises
    ------
    ValueRangeError
        If the lead is too short for the travel.
    UnconvergedError
        If the margin cannot be reached with 4000 shapes.

    Notes
    -----
    Steps of the lift are halved until no point of the lead moves more than the
    margin allows in one; a lead that is nearly taut moves fastest.

    References
    ----------
    As in `lead_shapes`.
    """
    require_between("tolerance", tolerance, 1e-3, 1e3, "in")
    require_between("travel", travel, 0, 1e5, "in")
    require_between("travel of the hold", hold_travel, 0, 1e5, "in")
    apart = travel - hold_travel  # as seen from the hold
    ends = _risen(terminal, apart * np.asarray([0.0, 0.5, 1.0]))
    segments = _segments(_catenaries(hold, ends, length), tolerance / 4)
    lifts = np.linspace(0.0, 1.0, 9)
    while True:
        ends = _risen(terminal, apart * lifts)
        shapes = lead_shapes(hold, ends, length=length, segments=segments)
        shapes[:, :, 2] += hold_travel * lifts[:, None]
        moves = np.linalg.norm(np.diff(shapes, axis=0), axis=2).max(axis=1)
        wide = 0.55 * moves > 0.75 * tolerance
        if not wide.any():
            break
        _require_few(lifts, tolerance)
        halves = (lifts[:-1] + lifts[1:])[wide] / 2
        lifts = np.sort(np.concatenate([lifts, halves]))
    margin = 0.55 * float(moves.max()) + tolerance / 4
    return SweptLead(lifts=lifts, shapes=shapes, margin=margin)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Catenaries:
    """Span [in], half span in parameters x [-], parameter a [in], first u [-]."""

    span: FloatArray
    x: FloatArray
    parameter: FloatArray
    first: FloatArray
    fold: NDArray[np.bool_]


def _catenaries(hold: Vec3, ends: FloatArray, length: float) -> _Catenaries:
    """Find the catenary of each pair of ends."""
    away = ends - hold
    span, rise = np.hypot(away[:, 0], away[:, 1]), away[:, 2]
    _require_long_enough(np.hypot(span, rise), length)
    fold = span <= _FOLD * length
    span = np.where(fold, _FOLD * length, span)
    excess = np.maximum(length**2 - rise**2 - span**2, 0.0) / span**2
    x = _half_span(np.log1p(excess) / 2)
    tilt = np.arctanh(np.clip(rise / length, -1 + 1e-16, 1 - 1e-16))
    return _Catenaries(
        span=span, x=x, parameter=span / (2 * x), first=tilt - x, fold=fold
    )


def _hung(
    curve: _Catenaries, hold: Vec3, ends: FloatArray, length: float, segments: int
) -> FloatArray:
    """Draw catenaries as polylines from the hold to each end."""
    share = np.linspace(0.0, 1.0, segments + 1)
    u = curve.first[:, None] + 2 * curve.x[:, None] * share
    along = curve.span[:, None] * share
    rise = curve.parameter[:, None] * (np.cosh(u) - np.cosh(curve.first)[:, None])
    points = _in_plan(hold, ends, along / np.maximum(curve.span, 1e-300)[:, None])
    points[:, :, 2] = hold[2] + rise
    _replace_folds(points, curve, hold, ends, length)
    points[:, 0], points[:, -1] = hold, ends
    return points


def _half_span(logarithm: FloatArray) -> FloatArray:
    """Solve ln(sinh(x) / x) = y for x by Newton."""
    y = np.maximum(logarithm, 1e-14)
    x: FloatArray = np.where(y < 1, np.sqrt(6 * y), y + np.log(2 * y + 2))
    for _ in range(30):
        value = np.where(
            x < 0.05,
            x**2 / 6 - x**4 / 180,
            x + np.log1p(-np.exp(-2 * x)) - np.log(2 * x),
        )
        slope = np.where(x < 0.05, x / 3 - x**3 / 45, 1 / np.tanh(x) - 1 / x)
        step = (value - y) / slope
        x = np.maximum(x - step, x / 4)
        if (np.abs(step) <= 1e-12 * x).all():
            return x
    msg = f"catenary of a lead not found for logarithms {y.min():g} to {y.max():g}"
    raise UnconvergedError(msg)


def _segments(curve: _Catenaries, tolerance: float) -> int:
    """Count the steps, an even number, that keep the chords within tolerance."""
    require_between("tolerance", tolerance, 1e-6, 1e3, "in")
    steps = 2 * curve.x * np.sqrt(curve.parameter / (8 * tolerance))
    most = float(np.where(curve.fold, 0.0, steps).max())
    return min(max(2 * math.ceil(most / 2), _FEWEST_SEGMENTS), _MOST_SEGMENTS)


def _in_plan(hold: Vec3, ends: FloatArray, share: FloatArray) -> FloatArray:
    """Place points at shares of the way in plan, at the height of the hold."""
    start = np.asarray(hold, dtype=np.float64)
    away = (ends - start) * (1.0, 1.0, 0.0)
    points: FloatArray = start + share[:, :, None] * away[:, None, :]
    return points


def _fold_bottom(hold: Vec3, ends: FloatArray, length: float) -> FloatArray:
    """Return the height of the bottom of a lead that hangs as a fold."""
    bottom: FloatArray = (hold[2] + ends[:, 2] - length) / 2
    return bottom


def _replace_folds(
    points: FloatArray, curve: _Catenaries, hold: Vec3, ends: FloatArray, length: float
) -> None:
    """Let leads whose ends are one above the other hang straight down and up."""
    if not curve.fold.any():
        return
    bottom = _fold_bottom(hold, ends, length)[:, None]
    share = np.linspace(0.0, 1.0, points.shape[1])
    down = hold[2] + (bottom - hold[2]) * 2 * share
    up = bottom + (ends[:, 2:] - bottom) * (2 * share - 1)
    heights = np.where(share <= 0.5, down, up)
    points[curve.fold, :, 2] = heights[curve.fold]


def _risen(terminal: Vec3, heights: FloatArray) -> FloatArray:
    """Place the terminal at heights above its place at working height."""
    up = np.asarray((0.0, 0.0, 1.0))
    places: FloatArray = np.asarray(terminal) + heights[:, None] * up
    return places


def _require_long_enough(distance: FloatArray, length: float) -> None:
    """Refuse a lead that does not reach."""
    farthest = float(distance.max())
    if not math.isfinite(length) or length < farthest * (1 - 1e-12):
        msg = (
            f"lead length = {length:.2f} in is less than the {farthest:.2f} in between "
            "its ends; lengthen it or move its last hold"
        )
        raise ValueRangeError(msg)


def _require_few(lifts: FloatArray, tolerance: float) -> None:
    """Give up when the sweep of a lead needs too many shapes."""
    if len(lifts) > _MOST_SHAPES:
        msg = (
            f"a lead swept to {tolerance:g} in needs more than {_MOST_SHAPES} shapes; "
            "give it some slack or allow a wider margin"
        )
        raise UnconvergedError(msg)
