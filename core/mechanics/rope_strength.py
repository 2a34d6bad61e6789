"""What a wire rope holds once it is bent over a sheave and has an end."""

import math

import numpy as np

from core.ranges import require_above, require_at_least, require_between

__all__ = ["bend_efficiency", "design_factor"]

# Share of strength [-] by D/d, wire rope 6x19 and 6x37 class; the rows 4, 8 and 20
# published (table of a rope maker), the others from memory.
_BEND_RATIOS = (1.0, 2.0, 4.0, 6.0, 8.0, 10.0, 15.0, 20.0, 25.0, 30.0, 40.0)
_BEND_SHARES = (0.50, 0.65, 0.75, 0.79, 0.83, 0.86, 0.89, 0.91, 0.92, 0.93, 0.95)


def bend_efficiency(sheave: float, rope: float) -> float:
    """Return the share of its strength that a rope keeps on a sheave.

    Parameters
    ----------
    sheave : float
        Diameter of the sheave at the bottom of its groove [in].
    rope : float
        Diameter of the rope [in], greater than 0.

    Returns
    -------
    float
        Share [-], 0.50 to 0.95.

    Raises
    ------
    ValueRangeError
        If the sheave is thinner than the rope, or the rope not greater than 0.

    Notes
    -----
    Straight lines between the rows of the table by D/d; above 40 its last row.
    For 6x19 and 6x37; 7x19 is a little better.

    References
    ----------
    Wire-rope bending efficiency table of a rope maker (D/d of 4, 8 and 20
    published, the other rows from memory).

    Examples
    --------
    >>> bend_efficiency(1.5, 0.1875)
    0.83
    """
    require_above("rope diameter", rope, 0.0, "in")
    require_at_least("sheave diameter", sheave, rope, "in")
    return float(np.interp(sheave / rope, _BEND_RATIOS, _BEND_SHARES))


def design_factor(
    strength: float, tension: float, *, bend: float = 1.0, termination: float = 1.0
) -> float:
    """Return how many times its tension a rope holds.

    Parameters
    ----------
    strength : float
        Least breaking strength [lbf], greater than 0.
    tension : float
        Tension while lifting [lbf]; 0 gives infinity.
    bend, termination : float
        Efficiencies of sheave and end [-], above 0 to 1.

    Returns
    -------
    float
        Design factor [-].

    Raises
    ------
    ValueRangeError
        If an input is outside its range.

    Notes
    -----
    ``MBS bend termination / T``. Both losses are taken together, which is on
    the low side where they are in different places.

    References
    ----------
    ASME B30.9-2021 and B30.26-2015 practice: 5 for wire rope and most hardware
    (a design target here).

    Examples
    --------
    >>> design_factor(2000.0, 70.0, bend=0.86, termination=0.95)
    23.3429
    >>> design_factor(2000.0, 0.0)
    inf
    """
    require_above("strength", strength, 0.0, "lbf")
    require_at_least("tension", tension, 0.0, "lbf")
    for name, share in (("bend", bend), ("termination", termination)):
        require_above(f"{name} efficiency", share, 0.0, "-")
        require_between(f"{name} efficiency", share, 0.0, 1.0, "-")
    return strength * bend * termination / tension if tension else math.inf
