"""How far the air of the fans pushes a hanging run aside."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.ranges import require_above, require_at_least, require_between

__all__ = [
    "AIR_WEIGHT",
    "GRAVITY",
    "Sway",
    "drag_coefficient",
    "pendulum_period",
    "reynolds_number",
    "sway",
    "sway_offsets",
    "wind_load",
]

GRAVITY = 386.088
"""Standard gravity [in/s2]."""

AIR_WEIGHT = 0.075 / 1728.0
"""Weight of standard air, 0.075 lb/ft3 [lbf/in3]."""

_KINEMATIC_VISCOSITY = 1.81e-5 / 1.2014 * 1550.0031  # [in2/s] air at 20 C, from memory


@dataclass(frozen=True, slots=True, kw_only=True)
class Sway:
    """A run in moving air: steady angle, largest angle in a gust [rad]."""

    steady: float
    gust: float


def reynolds_number(
    air_speed: float,
    diameter: float,
    *,
    kinematic_viscosity: float = _KINEMATIC_VISCOSITY,
) -> float:
    """Return the Reynolds number of air across a tube.

    Parameters
    ----------
    air_speed : float
        Speed of the air [in/s], at least 0.
    diameter : float
        Outside diameter of the tube [in], greater than 0.
    kinematic_viscosity : float
        Of the air [in2/s], greater than 0; 20 C at sea level unless given.

    Returns
    -------
    float
        Reynolds number [-].

    Raises
    ------
    ValueRangeError
        If an input is outside its range.

    Notes
    -----
    ``V D / nu``, a definition without limit of range.

    References
    ----------
    F. M. White, Viscous Fluid Flow, 3rd ed., 2006 (from memory).

    Examples
    --------
    >>> round(reynolds_number(100.0, 0.922))
    3948
    """
    require_at_least("air speed", air_speed, 0.0, "in/s")
    require_above("diameter", diameter, 0.0, "in")
    require_above("kinematic viscosity", kinematic_viscosity, 0.0, "in2/s")
    return air_speed * diameter / kinematic_viscosity


def drag_coefficient(reynolds: float) -> float:
    """Return the drag coefficient of a long smooth tube across the air.

    Parameters
    ----------
    reynolds : float
        Reynolds number [-], above 1 to 200 000.

    Returns
    -------
    float
        Drag coefficient [-].

    Raises
    ------
    ValueRangeError
        If the Reynolds number is outside the range, where the drag drops.

    Notes
    -----
    ``1 + 10 Re^(-2/3)`` up to 10 000, 1.2 from there to 200 000. The constant
    1.2 is the larger for Re above 360: take it where in doubt.

    References
    ----------
    F. M. White, Viscous Fluid Flow, 3rd ed., 2006, eq. 3-225 (from memory).

    Examples
    --------
    >>> drag_coefficient(3948.28)
    1.04003
    """
    require_between("Reynolds number", reynolds, 1.0, 2.0e5, "-")
    if reynolds > 1.0e4:
        return 1.2
    return float(1.0 + 10.0 * reynolds ** (-2.0 / 3.0))


def wind_load(
    air_speed: float,
    diameter: float,
    *,
    drag: float = 1.2,
    air_weight: float = AIR_WEIGHT,
) -> float:
    """Return the side load of moving air on a tube per length.

    Parameters
    ----------
    air_speed : float
        Speed of the air square to the tube [in/s], at least 0.
    diameter : float
        Outside diameter [in], greater than 0.
    drag : float
        Drag coefficient [-], greater than 0.
    air_weight : float
        Weight of the air [lbf/in3], greater than 0.

    Returns
    -------
    float
        Load [lbf/in].

    Raises
    ------
    ValueRangeError
        If an input is outside its range.

    Notes
    -----
    ``q = rho V^2 Cd D / 2``. Steady air over the whole length; an oblique
    stream or a jet on one end only gives less, and yaw.

    References
    ----------
    F. M. White, Viscous Fluid Flow, 3rd ed., 2006 (from memory).

    Examples
    --------
    >>> 12 * wind_load(100.0, 0.922, drag=1.05)
    0.00652984
    """
    require_at_least("air speed", air_speed, 0.0, "in/s")
    require_above("diameter", diameter, 0.0, "in")
    require_above("drag coefficient", drag, 0.0, "-")
    require_above("weight of the air", air_weight, 0.0, "lbf/in3")
    return air_weight / GRAVITY * air_speed**2 * drag * diameter / 2.0


def sway(side_load: float, weight: float) -> Sway:
    """Return how far a hanging run swings out, steady and in a gust.

    Parameters
    ----------
    side_load : float
        Side load of the air [lbf/in], at least 0.
    weight : float
        Weight of the run, lumps spread out [lbf/in], greater than 0.

    Returns
    -------
    Sway
        Angles of the ropes from plumb [rad].

    Raises
    ------
    ValueRangeError
        If an input is outside its range.

    Notes
    -----
    ``tan(steady) = q/w``; air that sets in at once swings an undamped pendulum
    to exactly twice that, at any angle. Ropes without weight, rigid run.

    References
    ----------
    Statics; energy of a pendulum under a constant force.

    Examples
    --------
    >>> math.degrees(sway(0.00652984, 0.457).steady)
    0.818615
    """
    require_at_least("side load", side_load, 0.0, "lbf/in")
    require_above("weight", weight, 0.0, "lbf/in")
    steady = math.atan2(side_load, weight)
    return Sway(steady=steady, gust=2.0 * steady)


def sway_offsets(angle: float, rope_lengths: ArrayLike) -> NDArray[np.float64]:
    """Return how far aside a run hangs at each rope length through its travel.

    Parameters
    ----------
    angle : float
        Angle of the ropes from plumb [rad], 0 to pi.
    rope_lengths : array_like
        Lengths from drop pulley to run, `(n,)` [in], at least 0.

    Returns
    -------
    ndarray
        Side ways offsets `(n,)` [in]: a wedge, widest at working height.

    Raises
    ------
    ValueRangeError
        If the angle is outside its range.

    Notes
    -----
    ``L sin(angle)``, at most L once the ropes are level. The run also rises by
    ``L (1 - cos(angle))``.

    References
    ----------
    Geometry.

    Examples
    --------
    >>> sway_offsets(0.5, [60.0, 0.0]).tolist()
    [28.765532, 0.0]
    """
    require_between("angle of the ropes", angle, 0.0, math.pi, "rad")
    widest = math.sin(min(angle, math.pi / 2.0))
    return np.asarray(rope_lengths, dtype=np.float64) * widest


def pendulum_period(rope_length: float) -> float:
    """Return the time of one swing of a hanging run, there and back.

    Parameters
    ----------
    rope_length : float
        From drop pulley to run [in], at least 0.

    Returns
    -------
    float
        Period [s].

    Raises
    ------
    ValueRangeError
        If the length is below 0.

    Notes
    -----
    ``2 pi sqrt(L/g)``; under 1 % short for swings up to 22 degrees.

    References
    ----------
    Any text on dynamics.

    Examples
    --------
    >>> pendulum_period(60.0)
    2.47692
    """
    require_at_least("rope length", rope_length, 0.0, "in")
    return math.tau * math.sqrt(rope_length / GRAVITY)
