"""What resistance driven rods have, and what the code asks of a rod."""

import math

from core.ranges import require_between

__all__ = [
    "LEAST_ROD_DIAMETER",
    "LEAST_ROD_LENGTH",
    "LEAST_ROD_SPACING",
    "SINGLE_ROD_LIMIT",
    "rod_resistance",
    "two_rod_resistance",
]

LEAST_ROD_LENGTH = 96.0
"""Least length of a rod in contact with the soil [in]; NEC 250.53(G)."""

LEAST_ROD_DIAMETER = 0.625
"""Least diameter of an unlisted rod [in]; NEC 250.52(A)(5)(b)."""

LEAST_ROD_SPACING = 72.0
"""Least spacing of a second rod [in]; NEC 250.53(A)(3)."""

SINGLE_ROD_LIMIT = 25.0
"""Resistance above which one rod needs a second [ohm]; NEC 250.53(A)(2) Ex."""

_METRES_PER_INCH = 0.0254


def rod_resistance(resistivity: float, *, length: float, diameter: float) -> float:
    """Return the resistance to ground of one driven rod.

    Parameters
    ----------
    resistivity : float
        Resistivity of the soil [ohm m], above 0.
    length : float
        Length in the soil [in], at least 10 diameters.
    diameter : float
        Diameter of the rod [in], above 0.

    Returns
    -------
    float
        Resistance [ohm].

    Raises
    ------
    ValueRangeError
        If the soil or the rod is none.

    Notes
    -----
    ``rho / (2 pi L) (ln(4 L / a) - 1)`` with the rod's radius a, in even soil.

    References
    ----------
    H. B. Dwight, Calculation of Resistances to Ground, AIEE Trans. 55, 1936;
    IEEE 142.

    Examples
    --------
    >>> round(rod_resistance(100.0, length=96.0, diameter=0.625), 3)
    39.905
    """
    scale = _ohms_of_length(resistivity, length)
    require_between("diameter of the rod", diameter, 0.01, 12, "in")
    require_between("length in diameters", length / diameter, 10, 1e6, "-")
    return scale * (math.log(8 * length / diameter) - 1)


def two_rod_resistance(
    resistivity: float, *, length: float, diameter: float, spacing: float
) -> float:
    """Return the resistance to ground of two equal rods, bonded together.

    It is more than half that of one rod: each rod lifts the soil round the other.

    Parameters
    ----------
    resistivity : float
        Resistivity of the soil [ohm m], above 0.
    length : float
        Length of each rod in the soil [in], at least 10 diameters.
    diameter : float
        Diameter of each rod [in], above 0.
    spacing : float
        Distance of the rods [in], at least 2 diameters.

    Returns
    -------
    float
        Resistance of the pair [ohm].

    Raises
    ------
    ValueRangeError
        If the soil or the rods are none, or the rods stand too close.

    Notes
    -----
    ``(R + Rm) / 2`` with the mutual resistance of two line electrodes and their
    images, the mean potential of one along the other.

    References
    ----------
    H. B. Dwight, as in `rod_resistance`; agrees with both of his series, for
    spacings above and below the rods' length, within 0.05 per cent.

    Examples
    --------
    >>> pair = two_rod_resistance(100.0, length=96.0, diameter=0.625, spacing=72.0)
    >>> round(pair, 2)
    23.26
    """
    one = rod_resistance(resistivity, length=length, diameter=diameter)
    require_between("spacing in diameters", spacing / diameter, 2, 1e6, "-")
    away = spacing / (2 * length)
    slant = math.hypot(1, away)
    mutual = math.log((1 + slant) / away) + away - slant
    return (one + _ohms_of_length(resistivity, length) * mutual) / 2


def _ohms_of_length(resistivity: float, length: float) -> float:
    """Return rho / (2 pi L) [ohm]."""
    require_between("resistivity of the soil", resistivity, 0.1, 1e6, "ohm m")
    require_between("length of the rod", length, 1, 2400, "in")
    return resistivity / (2 * math.pi * length * _METRES_PER_INCH)
