"""The planes of the three views.

y runs from the left as one walks in along x, so a view from above has x to the
right and y down; seen along the room, y runs to the right.
"""

import math

from core.drawing.records import Frame
from core.geometry.shapes import Vec2

__all__ = ["PLAN", "long_frame", "section_frame"]

PLAN = Frame(
    origin=(0.0, 0.0, 0.0),
    right=(1.0, 0.0, 0.0),
    up=(0.0, -1.0, 0.0),
    away=(0.0, 0.0, -1.0),
)


def section_frame(x: float) -> Frame:
    """Return the plane across the room at x [in], seen from the front: u is y."""
    return Frame(
        origin=(x, 0.0, 0.0),
        right=(0.0, 1.0, 0.0),
        up=(0.0, 0.0, 1.0),
        away=(1.0, 0.0, 0.0),
    )


def long_frame(start: Vec2, end: Vec2) -> Frame:
    """Return the upright plane through a run: u is the station, v the height.

    Parameters
    ----------
    start, end : Vec2
        Ends of the run in plan [in]. Ends in one place give a plane along x.
    """
    length = math.dist(start, end)
    way = (
        ((end[0] - start[0]) / length, (end[1] - start[1]) / length)
        if length
        else (1.0, 0.0)
    )
    return Frame(
        origin=(start[0], start[1], 0.0),
        right=(way[0], way[1], 0.0),
        up=(0.0, 0.0, 1.0),
        away=(way[1], -way[0], 0.0),
    )
