"""How high the lowest hanging part is when a run is stowed."""

from core.ranges import require_at_least

__all__ = [
    "BINDS_FARM_OPERATIONS",
    "EXIT_CEILING_HEIGHT",
    "EXIT_PROJECTION_HEIGHT",
    "EXIT_WIDTH",
    "stowed_headroom",
]

EXIT_CEILING_HEIGHT = 90.0
"""Least ceiling height of an exit route [in]; 29 CFR 1910.36(g)(1), 7 ft 6 in."""

EXIT_PROJECTION_HEIGHT = 80.0
"""Least height under any projection into it [in]; 29 CFR 1910.36(g)(1), 6 ft 8 in."""

EXIT_WIDTH = 28.0
"""Least width of an exit access [in]; 29 CFR 1910.36(g)(2)."""

BINDS_FARM_OPERATIONS = False
"""29 CFR 1928.21(b): 1910 subparts B to T do not bind farm operations as such.
These values are design targets; contractors and installers are another matter."""


def stowed_headroom(
    ceiling: float,
    *,
    stow_drop: float,
    outside_diameter: float,
    sag: float,
    point_hang: float,
    stretch: float = 0.0,
) -> float:
    """Return the height of the lowest hanging part of a stowed run at midspan.

    Parameters
    ----------
    ceiling : float
        Height of the ceiling above the floor [in].
    stow_drop : float
        From the ceiling down to the top of the pipe at its supports [in], 0 or
        more; insulator and drop pulley are in it.
    outside_diameter : float
        Diameter of the pipe [in], 0 or more.
    sag : float
        Sag of the pipe between supports [in], 0 or more.
    point_hang : float
        From the bottom of the pipe to the tips of its points [in], 0 or more.
    stretch : float
        Stretch and lag of the ropes that leaves the pipe lower [in], 0 or more.

    Returns
    -------
    float
        Height above the floor [in].

    Raises
    ------
    ValueRangeError
        If a drop is negative.

    Notes
    -----
    Ceiling less all that hangs below it; a run that is level at its supports.

    References
    ----------
    Geometry; the 80 in to hold it against are a design target, 29 CFR 1910.36(g).

    Examples
    --------
    >>> height = stowed_headroom(
    ...     90.0, stow_drop=7.0, outside_diameter=0.922, sag=0.26, point_hang=3.0
    ... )
    >>> round(height, 3)
    78.818
    """
    drops = {
        "stow drop": stow_drop,
        "outside diameter": outside_diameter,
        "sag": sag,
        "hang of the points": point_hang,
        "stretch": stretch,
    }
    for name, drop in drops.items():
        require_at_least(name, drop, 0.0, "in")
    return ceiling - sum(drops.values())
