"""What charge stays on the runs after the supply is switched off."""

import math

from core.ranges import require_between

__all__ = [
    "TOUCH_VOLTAGE",
    "bleed_time",
    "lead_capacitance",
    "run_capacitance",
    "stored_energy",
]

TOUCH_VOLTAGE = 50.0
"""Voltage to which a run is bled before it is touched [V]; common practice, no
published source for this use. The grounding stick comes in any case."""

_VACUUM_PERMITTIVITY = 8.8541878128e-12  # [F/m], CODATA 2018
_METRES_PER_INCH = 0.0254


def run_capacitance(length: float, *, radius: float, height: float) -> float:
    """Return the capacitance of a level pipe to the floor below it.

    Parameters
    ----------
    length : float
        Length of the pipe [in], 0 or more.
    radius : float
        Outside radius [in], above 0.
    height : float
        Height of the axis above the floor [in], greater than the radius.

    Returns
    -------
    float
        Capacitance [F].

    Raises
    ------
    ValueRangeError
        If the pipe has no size or touches the floor.

    Notes
    -----
    ``2 pi e0 L / acosh(h / r)``. Ends, points, a near ceiling and neighbouring
    runs are left out: they change it by some ten per cent.

    References
    ----------
    W. R. Smythe, Static and Dynamic Electricity, 3rd ed., 1968 (from memory).

    Examples
    --------
    >>> round(run_capacitance(92 * 12, radius=0.461, height=78.0) * 1e12, 2)
    267.85
    """
    require_between("length", length, 0, 1e6, "in")
    require_between("radius", radius, 0.001, 12, "in")
    require_between("height of the axis in radii", height / radius, 1.000001, 1e9, "-")
    metres = length * _METRES_PER_INCH
    return 2 * math.pi * _VACUUM_PERMITTIVITY * metres / math.acosh(height / radius)


def lead_capacitance(length: float, *, capacitance_per_foot: float) -> float:
    """Return the capacitance that a lead adds where it lies on grounded metal.

    Parameters
    ----------
    length : float
        Length of the lead [in], 0 or more.
    capacitance_per_foot : float
        Capacitance of the lead [pF/ft], 0 or more.

    Returns
    -------
    float
        Capacitance [F].

    Raises
    ------
    ValueRangeError
        If a value is negative.

    References
    ----------
    Common practice, no published source: the lead's data are its maker's.
    """
    require_between("length", length, 0, 1e6, "in")
    require_between("capacitance of the lead", capacitance_per_foot, 0, 1e4, "pF/ft")
    return length / 12 * capacitance_per_foot * 1e-12


def stored_energy(capacitance: float, voltage: float) -> float:
    """Return the energy that charged runs and leads hold.

    Parameters
    ----------
    capacitance : float
        Capacitance of runs and leads together [F], 0 or more.
    voltage : float
        Voltage [V].

    Returns
    -------
    float
        Energy [J].

    Raises
    ------
    ValueRangeError
        If the capacitance is negative.

    Notes
    -----
    ``C V^2 / 2``.

    References
    ----------
    W. R. Smythe, Static and Dynamic Electricity, 3rd ed., 1968 (from memory).
    """
    require_between("capacitance", capacitance, 0, 1, "F")
    return capacitance * voltage**2 / 2


def bleed_time(
    capacitance: float,
    *,
    resistance: float,
    voltage: float,
    down_to: float = TOUCH_VOLTAGE,
) -> float:
    """Return how long a bleed resistor takes to bring the voltage down.

    Parameters
    ----------
    capacitance : float
        Capacitance of runs and leads together [F], 0 or more.
    resistance : float
        Resistance to ground [ohm], above 0.
    voltage : float
        Voltage at the start [V], either sign.
    down_to : float
        Voltage at the end [V], above 0.

    Returns
    -------
    float
        Time [s]; 0 if the voltage is below the end at the start.

    Raises
    ------
    ValueRangeError
        If the capacitance is negative or a resistance or end voltage not positive.

    Notes
    -----
    ``R C ln(V / V1)``. It holds while the resistor is connected: a broken lead
    leaves the run charged, so the grounding stick stays in the lock-out list.

    References
    ----------
    Discharge of a capacitor; W. R. Smythe, as in `run_capacitance`.

    Examples
    --------
    >>> round(bleed_time(1000e-12, resistance=1e9, voltage=-30e3), 2)
    6.4
    """
    require_between("capacitance", capacitance, 0, 1, "F")
    require_between("bleed resistance", resistance, 1, 1e15, "ohm")
    require_between("end voltage", down_to, 1e-3, 1e6, "V")
    if abs(voltage) <= down_to:
        return 0.0
    return resistance * capacitance * math.log(abs(voltage) / down_to)
