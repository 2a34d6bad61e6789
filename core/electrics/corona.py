"""At what voltage a smooth pipe glows, and how strong the field at a point is."""

import math

from core.ranges import require_between

__all__ = ["field_over_floor", "onset_gradient", "onset_voltage", "point_field"]

_PEEK_GRADIENT = 30.0  # [kV/cm], F. W. Peek; fitted for alternating voltage
_PEEK_CURVATURE = 0.301  # [cm^1/2]
_CENTIMETRES_PER_INCH = 2.54
_VOLTS_PER_INCH = 2540.0  # one kV/cm


def onset_gradient(radius: float, *, surface: float, density: float) -> float:
    """Return the field at which a round conductor starts to glow.

    Parameters
    ----------
    radius : float
        Radius of the conductor [in], 0.001 to 12.
    surface : float
        Smoothness [-]: 1 polished, about 0.9 weathered tube; above 0, at most 1.
    density : float
        Relative density of the air [-], 0.4 to 1.5.

    Returns
    -------
    float
        Field at the surface [V/in].

    Raises
    ------
    ValueRangeError
        If a value is outside its range.

    Notes
    -----
    ``30 m d (1 + 0.301 / sqrt(d r))`` kV/cm, r in cm. Fitted for alternating
    voltage; the onset of negative direct voltage differs by some per cent.

    References
    ----------
    F. W. Peek, Dielectric Phenomena in High-Voltage Engineering, 1929.

    Examples
    --------
    >>> round(onset_gradient(0.461, surface=1.0, density=1.0) / 2540, 3)
    38.345
    """
    require_between("radius", radius, 0.001, 12, "in")
    require_between("surface factor", surface, 0.01, 1, "-")
    require_between("relative air density", density, 0.4, 1.5, "-")
    root = math.sqrt(density * radius * _CENTIMETRES_PER_INCH)
    gradient = _PEEK_GRADIENT * surface * density * (1 + _PEEK_CURVATURE / root)
    return gradient * _VOLTS_PER_INCH


def field_over_floor(voltage: float, *, radius: float, height: float) -> float:
    """Return the strongest field at a long pipe over a grounded floor.

    Parameters
    ----------
    voltage : float
        Voltage of the pipe [V].
    radius : float
        Outside radius of the pipe [in].
    height : float
        Height of its axis above the floor [in], greater than the radius.

    Returns
    -------
    float
        Field at the bottom of the pipe [V/in].

    Raises
    ------
    ValueRangeError
        If the pipe touches the floor.

    Notes
    -----
    Exact for a line charge and its image:
    ``V sqrt((h + r) / (h - r)) / (r acosh(h / r))``.

    References
    ----------
    W. R. Smythe, Static and Dynamic Electricity, 3rd ed., 1968 (from memory).
    """
    _require_above_floor(radius, height)
    crowding = math.sqrt((height + radius) / (height - radius))
    return voltage * crowding / (radius * math.acosh(height / radius))


def onset_voltage(
    *, radius: float, height: float, surface: float, density: float
) -> float:
    """Return the voltage at which a smooth pipe over the floor starts to glow.

    Points, burrs and cut ends discharge long before.

    Parameters
    ----------
    radius : float
        Outside radius of the pipe [in].
    height : float
        Height of its axis above the floor [in], greater than the radius.
    surface : float
        Smoothness [-], above 0, at most 1.
    density : float
        Relative density of the air [-], 0.4 to 1.5.

    Returns
    -------
    float
        Voltage [V].

    Raises
    ------
    ValueRangeError
        If a value is outside its range.

    References
    ----------
    Peek's law as in `onset_gradient`; the field as in `field_over_floor`.
    """
    gradient = onset_gradient(radius, surface=surface, density=density)
    return gradient / field_over_floor(1.0, radius=radius, height=height)


def point_field(voltage: float, *, tip_radius: float, gap: float) -> float:
    """Return the field at a sharp point that faces a grounded plane.

    Parameters
    ----------
    voltage : float
        Voltage between point and plane [V].
    tip_radius : float
        Radius of the tip [in], above 0.
    gap : float
        Distance from the tip to the plane [in], at least 10 tip radii.

    Returns
    -------
    float
        Field at the tip [V/in].

    Raises
    ------
    ValueRangeError
        If the tip is not sharp against its gap.

    Notes
    -----
    ``2 V / (r ln(4 d / r))``, the hyperboloid; within 0.02 per cent of the exact
    field from d = 3000 r on.

    References
    ----------
    L. B. Loeb, Electrical Coronas, 1965 (from memory).
    """
    require_between(
        "gap in tip radii", gap / tip_radius if tip_radius else 0, 10, 1e9, "-"
    )
    return 2 * voltage / (tip_radius * math.log(4 * gap / tip_radius))


def _require_above_floor(radius: float, height: float) -> None:
    """Refuse a pipe that touches the floor."""
    require_between("radius", radius, 0.001, 12, "in")
    require_between("height of the axis in radii", height / radius, 1.000001, 1e9, "-")
