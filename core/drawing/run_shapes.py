"""What a run takes up in a view: its axis, its live metal, its travel, its air."""

import math
from dataclasses import replace

import numpy as np

from core.analysis.report import RunReport
from core.catalogue.catalogue import Catalogue
from core.drawing.records import Frame
from core.geometry.runs import SweptRun
from core.geometry.shapes import FloatArray, Vec2
from core.model.room import Room
from core.model.runs import Run
from core.placement.runs import point_at, run_body, run_direction

__all__ = [
    "axis_height",
    "body_of",
    "body_outline",
    "half_width",
    "lies_along",
    "place",
    "rounded_box",
    "sag_at",
    "swing_reach",
]

_ALONG = 0.1  # a run within about 6 degrees of a plane lies along it [-]
_QUARTER = np.linspace(0.0, math.pi / 2, 9)


def place(run: Run, station: float, across: float = 0.0) -> Vec2:
    """Return the plan place at a station and so far across [in]."""
    x, y = point_at(run, station)
    dx, dy = run_direction(run)
    return (x - across * dy, y + across * dx)


def body_of(
    run: Run, room: Room, catalogue: Catalogue, found: RunReport | None
) -> SweptRun:
    """Return the run's swept body: the analysed one, or the best there is.

    While a run is dragged its analysis may be one frame behind: then the sag and
    the limit are those of before, all else is new. A swing is left out until the
    analysis has it.
    """
    if found is None:
        return run_body(run, room, catalogue)
    evidence = found.evidence
    if evidence.run is run and evidence.room is room:
        return evidence.body
    fresh = run_body(run, room, catalogue, limit=evidence.body.limit)
    return replace(fresh, sag=evidence.body.sag)


def axis_height(body: SweptRun, lift: float) -> float:
    """Return the height of the axis at the supports at a lift [in]."""
    return body.low + lift * body.travel


def sag_at(body: SweptRun, stations: FloatArray) -> FloatArray:
    """Return how far the axis hangs below its supports at stations `(n,)` [in]."""
    if body.sag is None:
        return np.zeros(np.shape(stations))
    depths: FloatArray = np.interp(stations, body.sag.stations, body.sag.depths)
    return depths


def half_width(body: SweptRun) -> float:
    """Return how far the live metal reaches to each side of the axis [in]."""
    return body.side + body.radius


def swing_reach(body: SweptRun, height: float) -> float:
    """Return how far the axis can swing to each side at a support height [in]."""
    if body.swing is None:
        return 0.0
    return (body.swing.pulley_height - height) * math.sin(body.swing.angle)


def rounded_box(low: Vec2, high: Vec2, *, grown: float) -> FloatArray:
    """Return the outline of an upright rectangle grown by a radius all round.

    Parameters
    ----------
    low, high : Vec2
        Lower left and upper right corner [in].
    grown : float
        Radius of the rounded corners, 0 for none [in].

    Returns
    -------
    (n, 2) array
        The outline, anticlockwise [in].
    """
    (u0, v0), (u1, v1) = low, high
    if grown == 0.0:
        return np.array(((u0, v0), (u1, v0), (u1, v1), (u0, v1)))
    turns = np.concatenate([_QUARTER + k * math.pi / 2 for k in range(4)])
    corners = np.repeat(((u1, v1), (u0, v1), (u0, v0), (u1, v0)), len(_QUARTER), axis=0)
    outline: FloatArray = corners + grown * np.stack(
        (np.cos(turns), np.sin(turns)), axis=-1
    )
    return outline


def lies_along(body: SweptRun, frame: Frame) -> bool:
    """Tell whether a run goes along an upright plane, near enough, not through it."""
    (x0, y0), (x1, y1) = body.start, body.end
    way = (x1 - x0) * frame.away[0] + (y1 - y0) * frame.away[1]
    return abs(way) < _ALONG * math.dist(body.start, body.end)


def body_outline(
    body: SweptRun, frame: Frame, *, height: float | None
) -> FloatArray | None:
    """Return the outline of a run's envelope on a plane.

    Parameters
    ----------
    body : SweptRun
        The run.
    frame : Frame
        From above, along the run, or across it.
    height : float or None
        Height of the axis at the supports [in]; None from above.

    Returns
    -------
    (n, 2) array or None
        The outline [in]; None where an upright plane misses the run.
    """
    grown = body.radius + body.limit
    (x0, y0), (x1, y1) = body.start, body.end
    length = math.dist(body.start, body.end)
    dx, dy = (x1 - x0) / length, (y1 - y0) / length
    if height is None:
        box = rounded_box((0.0, -body.side), (length, body.side), grown=grown)
        along, across = box.T
        places = (x0 + along * dx - across * dy, y0 + along * dy + across * dx)
        return frame.to_plane(np.stack((*places, np.zeros(len(box))), axis=-1))
    slope = dx * frame.away[0] + dy * frame.away[1]
    if lies_along(body, frame):
        middle = height - float(sag_at(body, np.array(length / 2)))
        low, high = sorted((height, middle))
        u0, u1 = sorted(frame.point((x, y, 0.0))[0] for x, y in (body.start, body.end))
        return rounded_box((u0, low - body.down), (u1, high + body.up), grown=grown)
    depth = float(frame.depths(np.array((x0, y0, 0.0))))
    station = -depth / slope
    if not 0.0 <= station <= length:
        return None
    u, _ = frame.point((x0 + station * dx, y0 + station * dy, 0.0))
    v = height - float(sag_at(body, np.array(station)))
    outline = rounded_box(
        (-body.side, v - body.down), (body.side, v + body.up), grown=grown
    )
    outline[:, 0] = u + outline[:, 0] / abs(slope)
    return outline
