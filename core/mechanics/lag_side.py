"""What a lag screw holds square to its axis, by the yield limits of its wood."""

import math

from core.ranges import require_above, require_at_least, require_between

__all__ = ["lag_side_value"]

_STEEL_BEARING = 61850.0  # [lbf/in2] ASTM A653 grade 33 plate, NDS 2018 Table 12K


def lag_side_value(
    gravity: float,
    diameter: float,
    *,
    root: float,
    bending_yield: float,
    penetration: float,
    plate: float,
    grain_angle: float = math.pi / 2.0,
) -> float:
    """Return the reference side value Z of a lag screw through a steel plate.

    Parameters
    ----------
    gravity : float
        Specific gravity of the wood [-], 0.3 to 0.75.
    diameter : float
        Lag screw diameter [in], 0.25 to 1.
    root : float
        Diameter of the root of its thread [in], above 0.1 to `diameter`.
    bending_yield : float
        Bending yield strength of the screw [lbf/in2], greater than 0.
    penetration : float
        Length in the wood, tip not counted [in], at least 4 diameters.
    plate : float
        Thickness of the steel strap or hanger [in], greater than 0.
    grain_angle : float
        Between the side pull and the grain [rad], 0 to pi/2 (the weakest).

    Returns
    -------
    float
        Side value Z before the factors for duration and moisture [lbf].

    Raises
    ------
    ValueRangeError
        If an input is outside its range.

    Notes
    -----
    Least of the six yield modes, with the root diameter. For a pull close to
    the wood's face: an eye that stands off bends more than this knows.

    References
    ----------
    NDS 2018, 12.3.1, Tables 12.3.1A and B, 12.3.3; gives back the cells of its
    Table 12K.

    Examples
    --------
    >>> along = lag_side_value(
    ...     0.55,
    ...     0.25,
    ...     root=0.173,
    ...     bending_yield=70000.0,
    ...     penetration=2.0,
    ...     plate=0.105,
    ...     grain_angle=0.0,
    ... )
    >>> round(along, -1)
    170.0
    """
    require_between("specific gravity", gravity, 0.3, 0.75, "-")
    require_between("lag diameter", diameter, 0.25, 1.0, "in")
    require_between("root diameter", root, 0.1, diameter, "in")
    require_above("bending yield strength", bending_yield, 0.0, "lbf/in2")
    require_at_least("penetration of the lag", penetration, 4.0 * diameter, "in")
    require_above("plate", plate, 0.0, "in")
    require_between("angle to the grain", grain_angle, 0.0, math.pi / 2.0, "rad")
    wood = _wood_bearing(gravity, diameter, grain_angle)
    modes = _yield_modes(
        wood, root, bending=bending_yield, penetration=penetration, plate=plate
    )
    terms = _reduction_terms(root, grain_angle)
    return min(mode / term for mode, term in zip(modes, terms, strict=True))


def _wood_bearing(gravity: float, diameter: float, grain_angle: float) -> float:
    """Return the dowel bearing strength of the wood at an angle [lbf/in2]."""
    along = 11200.0 * gravity
    across = float(6100.0 * gravity**1.45) / math.sqrt(diameter)
    sine, cosine = math.sin(grain_angle) ** 2, math.cos(grain_angle) ** 2
    return along * across / (along * sine + across * cosine)


def _reduction_terms(root: float, grain_angle: float) -> tuple[float, ...]:
    """Return Rd of the modes Im, Is, II, IIIm, IIIs and IV [-]."""
    turn = 1.0 + 0.25 * grain_angle / (math.pi / 2.0)
    if root < 0.25:
        return (turn * (10.0 * root + 0.5 if root > 0.17 else 2.2),) * 6
    return tuple(term * turn for term in (4.0, 4.0, 3.6, 3.2, 3.2, 3.2))


def _yield_modes(
    wood: float, root: float, *, bending: float, penetration: float, plate: float
) -> tuple[float, ...]:
    """Return the six yield loads before reduction [lbf], Table 12.3.1A."""
    steel, ratio, depth = _STEEL_BEARING, wood / _STEEL_BEARING, penetration / plate
    k1 = (
        math.sqrt(
            ratio + 2.0 * ratio**2 * (1.0 + depth + depth**2) + depth**2 * ratio**3
        )
        - ratio * (1.0 + depth)
    ) / (1.0 + ratio)
    flex = 2.0 * bending * root**2 / (3.0 * wood)
    k2 = -1.0 + math.sqrt(
        2.0 * (1.0 + ratio) + flex * (1.0 + 2.0 * ratio) / penetration**2
    )
    k3 = -1.0 + math.sqrt(2.0 * (1.0 + ratio) / ratio + flex * (2.0 + ratio) / plate**2)
    return (
        root * penetration * wood,
        root * plate * steel,
        k1 * root * plate * steel,
        k2 * root * penetration * wood / (1.0 + 2.0 * ratio),
        k3 * root * plate * wood / (2.0 + ratio),
        root**2 * math.sqrt(2.0 * wood * bending / (3.0 * (1.0 + ratio))),
    )
