"""The types of the document's fields: what a number means and what it may be.

Each quantity is a float in internal units (inches, radians, volts, pounds-force,
inches per second) with a mark that tells the file border how it is written, and
a limit from `annotated_types` that tells it what is allowed.
"""

from enum import StrEnum
from typing import Annotated

from annotated_types import Ge, Gt, Le, MinLen

__all__ = [
    "Angle",
    "Gap",
    "Id",
    "Length",
    "Point2",
    "Point3",
    "Quantity",
    "Share",
    "Size",
    "Speed",
    "Temperature",
    "Voltage",
    "Weight",
]


class Quantity(StrEnum):
    """What a float stands for; the unit inside is fixed, the file may differ."""

    LENGTH = "length"  # [in]; in a file: the file's unit, or text with a unit
    ANGLE = "angle"  # [rad]; in a file: degrees
    VOLTAGE = "voltage"  # [V]; in a file: volts, or text with V or kV
    WEIGHT = "weight"  # [lbf]; in a file: pounds
    SPEED = "speed"  # [in/s]; in a file: feet per minute
    TEMPERATURE = "temperature"  # [degC]; in a file: degrees Celsius


Id = Annotated[str, MinLen(1)]
Length = Annotated[float, Quantity.LENGTH]
Size = Annotated[float, Quantity.LENGTH, Gt(0)]
Gap = Annotated[float, Quantity.LENGTH, Ge(0)]
Angle = Annotated[float, Quantity.ANGLE]
Voltage = Annotated[float, Quantity.VOLTAGE, Gt(0)]
Weight = Annotated[float, Quantity.WEIGHT, Ge(0)]
Speed = Annotated[float, Quantity.SPEED, Ge(0)]
Temperature = Annotated[float, Quantity.TEMPERATURE, Ge(-60), Le(60)]
Share = Annotated[float, Ge(0), Le(1)]
Point2 = tuple[Length, Length]
Point3 = tuple[Length, Length, Length]
