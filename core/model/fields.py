"""The types of the document's fields: what a number means and what it may be.

Each quantity is a float in internal units (inches, radians, volts, pounds-force,
inches per second) with a mark that tells the file border how it is written, and
a limit from `annotated_types` that tells it what is allowed.
"""

from typing import Annotated

from annotated_types import Ge, Le, MinLen

from core.quantities import (
    Angle,
    Gap,
    Length,
    Quantity,
    Size,
    Speed,
    Voltage,
    Weight,
)

__all__ = [
    "Angle",
    "Gap",
    "Id",
    "Length",
    "Point2",
    "Point3",
    "Quantity",
    "Size",
    "Speed",
    "Temperature",
    "Voltage",
    "Weight",
]

Id = Annotated[str, MinLen(1)]
Temperature = Annotated[float, Quantity.TEMPERATURE, Ge(-60), Le(60)]
Point2 = tuple[Length, Length]
Point3 = tuple[Length, Length, Length]
