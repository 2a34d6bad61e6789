"""What a run takes up in a view: its axis, its live metal, its travel, its air."""

import math
from dataclasses import replace

import numpy as np

from core.analysis.report import RunReport
from core.catalogue.catalogue import Catalogue
from core.geometry.runs import SweptRun
from core.geometry.shapes import FloatArray, Vec2
from core.model.room import Room
from core.model.runs import Run
from core.placement.runs import point_at, run_body, run_direction

__all__ = [
    "axis_height",
    "body_of",
    "half_width",
    "place",
    "rounded_box",
    "sag_at",
    "swing_reach",
]

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
