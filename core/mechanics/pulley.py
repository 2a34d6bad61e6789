"""What one pulley carries and what it costs in friction."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.errors import ValueRangeError
from core.ranges import require_above, require_at_least, require_between

__all__ = [
    "Motion",
    "PulleyForces",
    "friction_ratio",
    "pulley_forces",
    "pulley_load",
    "ratio_at_wrap",
    "seized_ratio",
    "wrap_angle",
    "wrap_from_included_angle",
]

FloatArray = NDArray[np.float64]


class Motion(Enum):
    """Which way the rope runs; the value is the power of the friction ratio."""

    LIFTING = 1
    AT_REST = 0
    LOWERING = -1


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PulleyForces:
    """The force of the rope on one pulley at each position of the travel.

    `vectors` `(n, 3)` [lbf] point where the pulley is pulled to; `sizes` `(n,)`
    [lbf] are their lengths; `wraps` `(n,)` [rad] the wrap of the rope.
    """

    vectors: FloatArray
    sizes: FloatArray
    wraps: FloatArray

    @property
    def worst(self) -> int:
        """Return the position at which the pulley carries most [-]."""
        return int(self.sizes.argmax())


def wrap_angle(direction_in: Sequence[float], direction_out: Sequence[float]) -> float:
    """Return the wrap of a rope from its directions of travel in space.

    0 is a straight rope, pi a full turn back.

    Parameters
    ----------
    direction_in, direction_out : sequence of float
        Travel of the rope towards and away from the pulley, `(3,)` [-]; any
        length but 0.

    Returns
    -------
    float
        Wrap [rad], 0 to pi.

    Raises
    ------
    ValueRangeError
        If a direction has no length.

    Notes
    -----
    ``atan2(|u x v|, u . v)``, exact near 0 and pi too. A rope that wraps by more
    than half a turn is outside the range.

    References
    ----------
    Vector geometry.

    Examples
    --------
    >>> math.degrees(wrap_angle((0, 0, 1), (1, 0, 0)))
    90.0
    >>> wrap_angle((0, 0, 1), (0, 0, 2))
    0.0
    """
    if not any(direction_in) or not any(direction_out):
        msg = "the direction of a rope at a pulley has no length; give two points apart"
        raise ValueRangeError(msg)
    first, second = np.asarray(direction_in, float), np.asarray(direction_out, float)
    across = float(np.linalg.norm(np.cross(first, second)))
    return math.atan2(across, float(first @ second))


def wrap_from_included_angle(included_angle: float) -> float:
    """Return the wrap for the angle between the two lines, as handbooks print it.

    Parameters
    ----------
    included_angle : float
        Angle between the two lines [rad], 0 (side by side) to pi (straight).

    Returns
    -------
    float
        Wrap [rad].

    Raises
    ------
    ValueRangeError
        If the angle is outside 0 to pi.

    Notes
    -----
    ``wrap = pi - angle``: the two are equal at a right angle only.

    References
    ----------
    Rigging-handbook table of angle factors (from memory which editions).

    Examples
    --------
    >>> wrap_from_included_angle(0.0)
    3.14159265
    """
    require_between("angle between the lines", included_angle, 0.0, math.pi, "rad")
    return math.pi - included_angle


def pulley_load(tension_in: float, tension_out: float, wrap: float) -> float:
    """Return the size of the force of a rope on its pulley.

    Parameters
    ----------
    tension_in, tension_out : float
        Tensions of the two parts [lbf], at least 0.
    wrap : float
        Wrap of the rope [rad], 0 to pi; not the angle between the lines.

    Returns
    -------
    float
        Resultant [lbf]; ``2 T sin(wrap/2)`` for equal tensions.

    Raises
    ------
    ValueRangeError
        If a tension is below 0 or the wrap outside 0 to pi.

    Notes
    -----
    ``R^2 = T1^2 + T2^2 - 2 T1 T2 cos(wrap)``, exact.

    References
    ----------
    Law of cosines (statics); tables of angle factors in rigging handbooks.

    Examples
    --------
    >>> pulley_load(50.0, 50.0, math.pi)
    100.0
    >>> pulley_load(50.0, 50.0, 0.0)
    0.0
    """
    require_at_least("tension", min(tension_in, tension_out), 0.0, "lbf")
    require_between("wrap", wrap, 0.0, math.pi, "rad")
    difference = tension_out - tension_in
    along = 2.0 * math.sqrt(tension_in * tension_out) * math.sin(wrap / 2.0)
    return math.hypot(difference, along)


def pulley_forces(
    tension_in: ArrayLike,
    tension_out: ArrayLike,
    *,
    came_from: ArrayLike,
    pulley: ArrayLike,
    goes_to: ArrayLike,
) -> PulleyForces:
    """Return the force on a pulley, with its direction, through the travel.

    Parameters
    ----------
    tension_in, tension_out : array_like
        Tension of the rope from `came_from` and of that to `goes_to`, scalar or
        `(n,)` [lbf].
    came_from : array_like
        The next point of the rope on its load side, `(3,)` or `(n, 3)` [in].
    pulley : array_like
        Centre of the pulley, `(3,)` [in].
    goes_to : array_like
        The next point of the rope on its winch side, `(3,)` or `(n, 3)` [in].

    Returns
    -------
    PulleyForces
        Force [lbf], size [lbf] and wrap [rad] at each of the n positions.

    Raises
    ------
    ValueRangeError
        If a point lies in the pulley's centre, so that the rope has no direction.

    Notes
    -----
    Each part pulls the pulley towards its far point. The pulley's radius is
    left out: right while the points are many radii away, or when they are the
    points where the tangents cross.

    References
    ----------
    Statics.

    Examples
    --------
    A drop rope of 5 lbf that turns level:

    >>> pulley_forces(
    ...     5, 5, came_from=(0, 0, 40), pulley=(0, 0, 90), goes_to=(60, 0, 90)
    ... ).vectors[0].tolist()
    [5.0, 0.0, -5.0]
    """
    center = np.asarray(pulley, float)
    back, ahead = np.broadcast_arrays(
        _unit_rows(np.asarray(came_from, float) - center),
        _unit_rows(np.asarray(goes_to, float) - center),
    )
    low = np.asarray(tension_in, float).reshape(-1, 1)
    high = np.asarray(tension_out, float).reshape(-1, 1)
    vectors = low * back + high * ahead
    across = np.linalg.norm(np.cross(-back, ahead), axis=1)
    wraps = np.arctan2(across, -(back * ahead).sum(axis=1))
    return PulleyForces(
        vectors=vectors, sizes=np.linalg.norm(vectors, axis=1), wraps=wraps
    )


def friction_ratio(
    wrap: float,
    *,
    friction: float,
    pin_radius: float,
    sheave_radius: float,
    floor: float = 1.0,
) -> float:
    """Return the tension ratio K of a pulley that turns on a plain pin.

    Parameters
    ----------
    wrap : float
        Wrap of the rope [rad], 0 to pi.
    friction : float
        Coefficient of friction of the pin [-], at least 0.
    pin_radius : float
        Radius of the pin [in], greater than 0.
    sheave_radius : float
        Pitch radius of the rope on the sheave [in], greater than the pin's
        radius times its friction.
    floor : float
        Least ratio to return [-], for the stiffness of the rope; at least 1.

    Returns
    -------
    float
        Larger tension over smaller tension [-], at least 1.

    Raises
    ------
    ValueRangeError
        If an input is outside its range.

    Notes
    -----
    Solves ``(T2 - T1) R = mu r |T1 + T2|`` (vector sum) for T2/T1 exactly;
    closely ``(1 + q)/(1 - q)`` with ``q = mu (r/R) sin(wrap/2)``. Published
    ratios of like sheaves differ by two: a measured one is better.

    References
    ----------
    Journal friction, machine-design texts (from memory).

    Examples
    --------
    >>> friction_ratio(
    ...     math.pi / 2, friction=0.12, pin_radius=0.1875, sheave_radius=0.875
    ... )
    1.03704
    >>> friction_ratio(0.0, friction=0.12, pin_radius=0.1875, sheave_radius=0.875)
    1.0
    """
    require_between("wrap", wrap, 0.0, math.pi, "rad")
    require_at_least("friction", friction, 0.0, "-")
    require_above("pin radius", pin_radius, 0.0, "in")
    require_above("sheave radius", sheave_radius, friction * pin_radius, "in")
    squared = (friction * pin_radius / sheave_radius) ** 2
    middle = 1.0 - squared * math.cos(wrap)
    edge = 1.0 - squared
    root = math.sqrt(max(middle**2 - edge**2, 0.0))
    return max((middle + root) / edge, floor, 1.0)


def ratio_at_wrap(half_turn_ratio: float, wrap: float) -> float:
    """Return the tension ratio at a wrap from the one measured at half a turn.

    Parameters
    ----------
    half_turn_ratio : float
        Ratio K at a wrap of 180 degrees [-], at least 1.
    wrap : float
        Wrap of the rope [rad], 0 to pi.

    Returns
    -------
    float
        Larger tension over smaller tension [-], at least 1.

    Raises
    ------
    ValueRangeError
        If an input is outside its range.

    Notes
    -----
    ``K = (1 + q)/(1 - q)`` with ``q = q180 sin(wrap/2)``: the pin's friction
    follows the resultant. Under 0.0004 low of the exact law up to K = 1.2 at half
    a turn; without the rope's own stiffness, which does not fall with the wrap.

    References
    ----------
    Journal friction, machine-design texts (from memory).

    Examples
    --------
    >>> ratio_at_wrap(1.05279, math.pi / 2)
    1.03704
    >>> ratio_at_wrap(1.05279, 0.0)
    1.0
    """
    require_at_least("friction ratio at half a turn", half_turn_ratio, 1.0, "-")
    require_between("wrap", wrap, 0.0, math.pi, "rad")
    q = (half_turn_ratio - 1.0) / (half_turn_ratio + 1.0) * math.sin(wrap / 2.0)
    return (1.0 + q) / (1.0 - q)


def seized_ratio(wrap: float, *, friction: float) -> float:
    """Return the tension ratio of a pulley that no longer turns.

    Parameters
    ----------
    wrap : float
        Wrap of the rope [rad], at least 0.
    friction : float
        Coefficient of friction of rope on sheave [-], at least 0.

    Returns
    -------
    float
        Larger tension over smaller tension [-], at least 1.

    Raises
    ------
    ValueRangeError
        If an input is below 0.

    Notes
    -----
    ``K = exp(mu wrap)``; a limp rope on a round sheave.

    References
    ----------
    Euler-Eytelwein capstan equation (from memory).

    Examples
    --------
    >>> seized_ratio(math.pi / 2, friction=0.2)
    1.36911
    """
    require_at_least("wrap", wrap, 0.0, "rad")
    require_at_least("friction", friction, 0.0, "-")
    return math.exp(friction * wrap)


def _unit_rows(vectors: FloatArray) -> FloatArray:
    """Return rows of length 1, `(n, 3)`."""
    rows = np.atleast_2d(vectors)
    lengths = np.linalg.norm(rows, axis=1, keepdims=True)
    if not lengths.all():
        msg = "a rope point lies in the centre of its pulley; move it at least 1/16 in"
        raise ValueRangeError(msg)
    unit: FloatArray = rows / lengths
    return unit
