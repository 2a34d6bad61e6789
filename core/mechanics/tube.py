"""What a steel tube weighs and how stiff its section is."""

import math

from core.ranges import require_above, require_between

__all__ = [
    "STEEL_MODULUS",
    "bending_stress",
    "run_weight",
    "second_moment",
    "tube_weight",
]

STEEL_MODULUS = 29.0e6
"""Modulus of elasticity of steel [lbf/in2], AISC Manual, 15th ed., 2017."""

_POUNDS_PER_FOOT = 10.69  # ASME B36.10M plain-end mass; some tables print 10.68


def tube_weight(outside_diameter: float, wall: float) -> float:
    """Return the weight of a bare steel tube per length.

    Parameters
    ----------
    outside_diameter : float
        Outside diameter [in], greater than 0.
    wall : float
        Wall thickness [in], above 0 and at most half the diameter (a solid bar).

    Returns
    -------
    float
        Weight per length [lbf/in].

    Raises
    ------
    ValueRangeError
        If a size is not greater than 0 or the wall is thicker than the radius.

    Notes
    -----
    ``w = 10.69 (D - t) t`` in lb/ft with inches. Plain carbon steel, 0.2836
    lb/in3; zinc adds about 1 %, printed EMT weights round to 0.7 lb per 100 ft.

    References
    ----------
    ASME B36.10M-2018, plain-end mass formula; ANSI C80.3-2015 for EMT sizes.

    Examples
    --------
    >>> 12 * tube_weight(0.922, 0.049)
    0.45729
    """
    _require_section(outside_diameter, wall)
    return _POUNDS_PER_FOOT * (outside_diameter - wall) * wall / 12.0


def second_moment(outside_diameter: float, wall: float) -> float:
    """Return the second moment of area of a tube about its diameter.

    Parameters
    ----------
    outside_diameter : float
        Outside diameter [in], greater than 0.
    wall : float
        Wall thickness [in], above 0 and at most half the diameter.

    Returns
    -------
    float
        Second moment of area [in4].

    Raises
    ------
    ValueRangeError
        If a size is not greater than 0 or the wall is thicker than the radius.

    Notes
    -----
    ``I = pi (D^4 - d^4) / 64``; any round section, exact.

    References
    ----------
    Young and Budynas, Roark's Formulas for Stress and Strain, 7th ed., 2002,
    App. A (from memory).

    Examples
    --------
    >>> second_moment(0.922, 0.049)
    0.0128429
    """
    _require_section(outside_diameter, wall)
    inside = outside_diameter - 2.0 * wall
    return math.pi * (outside_diameter**4 - inside**4) / 64.0


def bending_stress(moment: float, outside_diameter: float, wall: float) -> float:
    """Return the largest bending stress in a tube, without sign.

    Parameters
    ----------
    moment : float
        Bending moment of either sign [in lbf].
    outside_diameter : float
        Outside diameter [in], greater than 0.
    wall : float
        Wall thickness [in], above 0 and at most half the diameter.

    Returns
    -------
    float
        Stress at the outer fibre [lbf/in2], at least 0.

    Raises
    ------
    ValueRangeError
        If a size is not greater than 0 or the wall is thicker than the radius.

    Notes
    -----
    ``sigma = M (D/2) / I``; valid below the yield point of the tube.

    References
    ----------
    Young and Budynas, Roark's Formulas for Stress and Strain, 7th ed., 2002,
    ch. 8, eq. 8.1-1 (from memory).

    Examples
    --------
    >>> round(bending_stress(-98.8, 0.922, 0.049))
    3546
    """
    inertia = second_moment(outside_diameter, wall)
    return abs(moment) * outside_diameter / 2.0 / inertia


def run_weight(
    length: float, weight_per_length: float, *, lumps: tuple[float, ...] = ()
) -> float:
    """Return the whole weight of a run: its tube and everything fixed to it.

    Parameters
    ----------
    length : float
        Length of tube [in], at least 0.
    weight_per_length : float
        Weight of the tube [lbf/in], at least 0.
    lumps : tuple of float
        Weights of fittings, points and caps [lbf].

    Returns
    -------
    float
        Weight [lbf].

    Notes
    -----
    A plain sum, without limit of range.

    References
    ----------
    Statics.

    Examples
    --------
    >>> run_weight(120.0, 0.04, lumps=(0.35, 0.35))
    5.5
    >>> run_weight(0.0, 0.04)
    0.0
    """
    return length * weight_per_length + math.fsum(lumps)


def _require_section(outside_diameter: float, wall: float) -> None:
    """Refuse a section that cannot be made."""
    require_above("outside diameter", outside_diameter, 0.0, "in")
    require_above("wall", wall, 0.0, "in")
    require_between("wall", wall, 0.0, outside_diameter / 2.0, "in")
