"""How a dimension is laid out: its lines, its ticks and where its text stands.

After ISO 129-1: thin continuous extension lines that leave a small gap at the
object and pass the dimension line a little, oblique strokes at the ends as
building drawings use them, the text above the line and readable from below or
from the right. The millimetre sizes are usual ones, from memory of the standard.
"""

import math
from dataclasses import dataclass

from core.drawing.records import Dimension, Measure
from core.geometry.shapes import Vec2

__all__ = ["DimensionLayout", "laid_out"]

_GAP = 0.8  # between object and extension line [mm]
_PAST = 1.5  # extension line past the dimension line [mm]
_STROKE = 3.0  # length of the oblique stroke [mm]
_LIFT = 2.0  # middle of the text above the line [mm]

Line = tuple[Vec2, Vec2]


@dataclass(frozen=True, slots=True, kw_only=True)
class DimensionLayout:
    """Thin lines, end strokes, and the middle [in] and angle [rad] of the text."""

    lines: tuple[Line, ...]
    strokes: tuple[Line, ...]
    text_at: Vec2
    text_angle: float


def _direction(dimension: Dimension) -> Vec2:
    if dimension.measure is Measure.ACROSS:
        return (1.0, 0.0)
    if dimension.measure is Measure.UPRIGHT:
        return (0.0, 1.0)
    (au, av), (bu, bv) = dimension.a, dimension.b
    length = math.hypot(bu - au, bv - av)
    return ((bu - au) / length, (bv - av) / length) if length else (1.0, 0.0)


def _moved(at: Vec2, way: Vec2, by: float) -> Vec2:
    return (at[0] + way[0] * by, at[1] + way[1] * by)


def _extension(at: Vec2, foot: Vec2, mm: float) -> Line | None:
    """Return the line from near the object to a little past the dimension line."""
    length = math.dist(at, foot)
    if length <= _GAP * mm:
        return None
    way = ((foot[0] - at[0]) / length, (foot[1] - at[1]) / length)
    return _moved(at, way, _GAP * mm), _moved(foot, way, _PAST * mm)


def laid_out(dimension: Dimension, *, mm: float) -> DimensionLayout:
    """Lay a dimension out for one scale.

    Parameters
    ----------
    dimension : Dimension
        What is measured and through which point its line goes.
    mm : float
        Length in the plane of one millimetre on paper or screen [in].

    Returns
    -------
    DimensionLayout
        Lines and text place in the plane [in].
    """
    way = _direction(dimension)
    normal = (-way[1], way[0])
    feet = []
    for at in (dimension.a, dimension.b):
        through = dimension.through
        by = (through[0] - at[0]) * normal[0] + (through[1] - at[1]) * normal[1]
        feet.append(_moved(at, normal, by))
    ends = zip((dimension.a, dimension.b), feet, strict=True)
    extensions = [_extension(at, foot, mm) for at, foot in ends]
    slant = _turned(way, math.pi / 4)
    half = _STROKE / 2 * mm
    angle = _readable(math.atan2(way[1], way[0]))
    middle = ((feet[0][0] + feet[1][0]) / 2, (feet[0][1] + feet[1][1]) / 2)
    above = (-math.sin(angle), math.cos(angle))
    return DimensionLayout(
        lines=((feet[0], feet[1]), *(line for line in extensions if line)),
        strokes=tuple(
            (_moved(foot, slant, -half), _moved(foot, slant, half)) for foot in feet
        ),
        text_at=_moved(middle, above, _LIFT * mm),
        text_angle=angle,
    )


def _turned(way: Vec2, angle: float) -> Vec2:
    cos, sin = math.cos(angle), math.sin(angle)
    return (way[0] * cos - way[1] * sin, way[0] * sin + way[1] * cos)


def _readable(angle: float) -> float:
    """Turn a text so that it reads from below or from the right."""
    turned = (angle + math.pi / 2) % math.pi - math.pi / 2
    return math.pi / 2 if math.isclose(turned, -math.pi / 2) else turned
