"""How wide an air gap has to be at a voltage, an altitude and a temperature."""

from bisect import bisect_right
from dataclasses import dataclass
from enum import Enum

from core.ranges import require_between

__all__ = [
    "STREAMER_GRADIENT",
    "AirGap",
    "SphereSize",
    "air_pressure",
    "needle_gap",
    "relative_air_density",
    "required_gap",
    "sphere_gap_voltage",
    "streamer_length",
]

STREAMER_GRADIENT = 12_700.0
"""Field in which a positive streamer keeps growing [V/in], 5 kV/cm; Raizer, and
Bazelyan and Raizer give 4.5 to 5 kV/cm (from memory)."""

_INCHES_PER_CENTIMETRE = 1 / 2.54
_INCHES_PER_METRE = 1 / 0.0254
_CENTIMETRES_OF_MERCURY_PER_KILOPASCAL = 0.750062

# AIEE needle-point column, 25 degC, 760 mmHg: peak kV, gap in cm. Published.
_NEEDLE_GAPS = (
    *((5.0, 0.42), (10.0, 0.85), (15.0, 1.30), (20.0, 1.75), (25.0, 2.20)),
    *((30.0, 2.69), (35.0, 3.20), (40.0, 3.81), (45.0, 4.49), (50.0, 5.20)),
    *((60.0, 6.81), (70.0, 8.81), (80.0, 11.10), (90.0, 13.30), (100.0, 15.50)),
    *((110.0, 17.70), (120.0, 19.80), (130.0, 22.00), (140.0, 24.10)),
    *((150.0, 26.10), (160.0, 28.10), (170.0, 30.10), (180.0, 32.00)),
    *((190.0, 33.90), (200.0, 35.70), (250.0, 45.20), (300.0, 54.70)),
)


class SphereSize(Enum):
    """Diameter of the spheres of a standard gap, in centimetres."""

    CM_5 = 5
    CM_10 = 10


# IEC 60052, one sphere earthed, AC peak and DC, 20 degC, 101.3 kPa: gap in cm,
# peak kV. Published, read in a secondary copy; accuracy 3 %.
_SPHERE_VOLTAGES = {
    SphereSize.CM_5: ((0.5, 17.4), (1.0, 32.0), (1.5, 44.7), (2.0, 57.5)),
    SphereSize.CM_10: (
        *((0.5, 16.8), (1.0, 31.7), (1.5, 44.7), (2.0, 58.0), (2.5, 71.5)),
        *((3.0, 85.0), (3.5, 95.5), (4.0, 106.0), (5.0, 123.0)),
    ),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class AirGap:
    """The air that a voltage needs [in]: sparkover, streamer, and the rule's gap."""

    sparkover: float
    streamer: float
    required: float


def air_pressure(altitude: float) -> float:
    """Return the standard pressure of air at an altitude.

    Parameters
    ----------
    altitude : float
        Height above the sea [in], -1500 ft to 16,000 ft.

    Returns
    -------
    float
        Pressure [kPa].

    Raises
    ------
    ValueRangeError
        If the altitude is outside that range.

    Notes
    -----
    ``p = 101.325 (1 - 2.25577e-5 h)^5.25588`` with h in metres; weather moves it by
    some 3 per cent.

    References
    ----------
    U.S. Standard Atmosphere, 1976, troposphere.

    Examples
    --------
    >>> air_pressure(0.0)
    101.325
    >>> round(air_pressure(5000 * 12), 2)
    84.31
    """
    require_between("altitude", altitude / 12, -1500, 16_000, "ft")
    metres = altitude / _INCHES_PER_METRE
    return float(101.325 * (1 - 2.25577e-5 * metres) ** 5.25588)


def relative_air_density(*, pressure: float, temperature: float) -> float:
    """Return the density of air in ratio to that at 76 cmHg and 25 degC.

    Parameters
    ----------
    pressure : float
        Pressure [kPa], 40 to 120.
    temperature : float
        Temperature [degC], -60 to 60.

    Returns
    -------
    float
        Relative density [-].

    Raises
    ------
    ValueRangeError
        If the air is none that people breathe.

    Notes
    -----
    ``3.92 b / (273 + t)`` with b in centimetres of mercury.

    References
    ----------
    F. W. Peek, Dielectric Phenomena in High-Voltage Engineering, 1929 (the
    constants from memory).

    Examples
    --------
    >>> round(relative_air_density(pressure=101.325, temperature=25.0), 4)
    0.9997
    """
    require_between("pressure", pressure, 40, 120, "kPa")
    require_between("temperature", temperature, -60, 60, "degC")
    mercury = pressure * _CENTIMETRES_OF_MERCURY_PER_KILOPASCAL
    return 3.92 * mercury / (273 + temperature)


def needle_gap(voltage: float) -> float:
    """Return the gap between two needles that a voltage sparks over.

    Linear between the rows of the table, at 25 degC and 76 cmHg.

    Parameters
    ----------
    voltage : float
        Voltage, its peak if it alternates [V], 5 to 300 kV.

    Returns
    -------
    float
        Gap [in].

    Raises
    ------
    ValueRangeError
        If the voltage is outside the table.

    References
    ----------
    AIEE needle-gap and sphere-gap table, 25 degC, 760 mmHg, peak kV.

    Examples
    --------
    >>> round(needle_gap(30e3), 4)
    1.0591
    """
    require_between("voltage", voltage / 1000, 5, 300, "kV")
    return _interpolated(_NEEDLE_GAPS, voltage / 1000) * _INCHES_PER_CENTIMETRE


def sphere_gap_voltage(gap: float, *, spheres: SphereSize) -> float:
    """Return the voltage that sparks over between two equal spheres, one earthed.

    Linear between the rows of the table, at 20 degC and 101.3 kPa. Direct voltage
    in dusty air may spark over earlier.

    Parameters
    ----------
    gap : float
        Least distance of the spheres [in], from 0.5 cm on.
    spheres : SphereSize
        Diameter of the spheres.

    Returns
    -------
    float
        Peak voltage [V], within 3 per cent.

    Raises
    ------
    ValueRangeError
        If the gap is outside the table.

    References
    ----------
    IEC 60052, Voltage measurement by means of standard air gaps, table of peak
    values for AC, DC and negative impulse (read in a secondary copy).

    Examples
    --------
    >>> round(sphere_gap_voltage(1 / 2.54, spheres=SphereSize.CM_5))
    32000
    """
    table = _SPHERE_VOLTAGES[spheres]
    centimetres = round(gap / _INCHES_PER_CENTIMETRE, 9)
    require_between("gap", centimetres, table[0][0], table[-1][0], "cm")
    return 1000 * _interpolated(table, centimetres)


def streamer_length(voltage: float, *, gradient: float = STREAMER_GRADIENT) -> float:
    """Return how far a positive streamer can bridge.

    Parameters
    ----------
    voltage : float
        Voltage [V], 0 or more.
    gradient : float
        Field that keeps a streamer growing [V/in], above 0.

    Returns
    -------
    float
        Length [in].

    Raises
    ------
    ValueRangeError
        If the voltage is negative or the gradient not positive.

    Notes
    -----
    ``V / E``. The pipe is negative, but a grounded sharp part that faces it is the
    positive point, which is the worse case.

    References
    ----------
    Y. P. Raizer, Gas Discharge Physics, 1991; E. M. Bazelyan and Y. P. Raizer,
    Spark Discharge, 1998: 4.5 to 5 kV/cm (from memory).

    Examples
    --------
    >>> round(streamer_length(30e3), 4)
    2.3622
    """
    require_between("voltage", voltage, 0, 1e6, "V")
    require_between("gradient", gradient, 1, 1e6, "V/in")
    return voltage / gradient


def required_gap(voltage: float, *, density: float) -> AirGap:
    """Return the air that has to stay free round a live part.

    Parameters
    ----------
    voltage : float
        Voltage [V], 5 to 300 kV.
    density : float
        Relative density of the air [-], 0.4 to 1.5.

    Returns
    -------
    AirGap
        Sparkover gap of needles and streamer length at standard density, and the
        larger of twice the one and twice the other divided by the density.

    Raises
    ------
    ValueRangeError
        If the voltage is outside the needle table or the density outside its range.

    Notes
    -----
    Not in it: sway, sag, beards of dust. People are kept off by interlock and
    lock-out, not by this gap.

    References
    ----------
    Twice the sparking distance: 29 CFR 1926.66(e), 1910.107(h), NFPA 33.

    Examples
    --------
    >>> round(required_gap(30e3, density=1.0).required, 3)
    4.724
    """
    require_between("relative air density", density, 0.4, 1.5, "-")
    sparkover = needle_gap(voltage)
    streamer = streamer_length(voltage)
    required = 2 * max(sparkover, streamer) / density
    return AirGap(sparkover=sparkover, streamer=streamer, required=required)


def _interpolated(table: tuple[tuple[float, float], ...], at: float) -> float:
    """Read a table linearly between its rows."""
    row = min(bisect_right(table, at, key=lambda pair: pair[0]), len(table) - 1)
    (low, first), (high, second) = table[row - 1], table[row]
    return first + (second - first) * (at - low) / (high - low)
