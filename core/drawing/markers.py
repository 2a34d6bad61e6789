"""The strokes of the small things that a marker stands for, as seen from above."""

import math
from collections.abc import Mapping

import numpy as np

from core.drawing.records import Marker, MarkerKind
from core.geometry.shapes import FloatArray

__all__ = ["marker_lines"]


def _ring(radius: float, *, corners: int = 24) -> FloatArray:
    turn = np.linspace(0.0, 2.0 * math.pi, corners + 1)
    return radius * np.stack((np.cos(turn), np.sin(turn)), axis=-1)


def _block(half_u: float, half_v: float) -> FloatArray:
    signs = np.array(((-1, -1), (1, -1), (1, 1), (-1, 1), (-1, -1)), dtype=float)
    return signs * (half_u, half_v)


def _line(*points: tuple[float, float]) -> FloatArray:
    return np.array(points, dtype=float)


# each drawn one unit across about its middle
_SHAPES: Mapping[MarkerKind, tuple[FloatArray, ...]] = {
    # a screw's head with its slot
    MarkerKind.ANCHOR: (_ring(0.5, corners=6), _line((-0.3, 0.0), (0.3, 0.0))),
    MarkerKind.CAMERA: (_ring(0.5), _ring(0.2)),
    # two saddles on a cable
    MarkerKind.CLAMP: (
        _block(0.5, 0.3),
        _line((-0.2, -0.3), (-0.2, 0.3)),
        _line((0.2, -0.3), (0.2, 0.3)),
    ),
    # where a section is cut: the thick end of its line, an arrow the way one looks
    MarkerKind.CUT_ARROW: (
        _line((0.0, 0.7), (1.0, 0.7)),
        _line((0.55, 0.85), (1.0, 0.7), (0.55, 0.55), (0.55, 0.85)),
    ),
    # the same where the mark is turned by half a turn and one looks as before
    MarkerKind.CUT_ARROW_BELOW: (
        _line((0.0, 0.7), (-1.0, 0.7)),
        _line((-0.55, 0.85), (-1.0, 0.7), (-0.55, 0.55), (-0.55, 0.85)),
    ),
    MarkerKind.CUT_END: (_line((0.0, 0.0), (0.0, 1.0)),),
    # a sheave on edge between its cheeks, with the pin
    MarkerKind.DROP_PULLEY: (
        _block(0.5, 0.2),
        _line((0.0, -0.35), (0.0, 0.35)),
        _line((-0.5, 0.0), (0.5, 0.0)),
    ),
    MarkerKind.EYE: (
        _line((0.0, 0.0), (0.9, 0.4)),
        _line((0.0, 0.0), (0.9, -0.4)),
        0.35 * _ring(1.0),
    ),
    MarkerKind.GROUND_ROD: (
        _ring(0.5),
        _line((-0.5, 0.0), (0.5, 0.0)),
        _line((0.0, -0.5), (0.0, 0.5)),
    ),
    # where to drill: a hole with its centre lines
    MarkerKind.HOLE: (
        _ring(0.3),
        _line((-0.5, 0.0), (0.5, 0.0)),
        _line((0.0, -0.5), (0.0, 0.5)),
    ),
    # a ribbed rod
    MarkerKind.INSULATOR: (
        _block(0.15, 0.5),
        *(_line((-0.3, v), (0.3, v)) for v in (-0.3, -0.1, 0.1, 0.3)),
    ),
    # two pins behind a plate
    MarkerKind.OUTLET: (
        _block(0.35, 0.5),
        _line((-0.12, -0.15), (-0.12, 0.15)),
        _line((0.12, -0.15), (0.12, 0.15)),
    ),
    # a ring that everything is tied to
    MarkerKind.PULL_POINT: (_ring(0.5), _ring(0.3)),
    # a cabinet with the flash of high voltage on its lid
    MarkerKind.SUPPLY: (
        _block(0.5, 0.4),
        _line((0.08, 0.3), (-0.12, -0.02), (0.1, 0.02), (-0.08, -0.3)),
    ),
    # a cabinet with an open blade
    MarkerKind.SWITCH: (
        _block(0.5, 0.35),
        _line((-0.4, 0.0), (-0.2, 0.0), (0.2, 0.25)),
        _line((0.2, 0.0), (0.4, 0.0)),
    ),
    # a sheave lying flat, with its pin
    MarkerKind.TURNING_PULLEY: (_ring(0.5), _ring(0.38), _ring(0.08, corners=8)),
    # a drum between two flanges, with its crank
    MarkerKind.WINCH: (
        _block(0.3, 0.22),
        _line((-0.3, -0.5), (-0.3, 0.5)),
        _line((0.3, -0.5), (0.3, 0.5)),
        _line((0.3, 0.0), (0.5, 0.0), (0.5, 0.3)),
    ),
}


def marker_lines(marker: Marker, *, mm: float) -> tuple[FloatArray, ...]:
    """Return a marker's lines in the plane, each `(n, 2)` [in].

    Parameters
    ----------
    marker : Marker
        What is drawn, where and how large.
    mm : float
        Length in the plane of one millimetre on paper or screen [in].

    Returns
    -------
    tuple of (n, 2) arrays
        Lines to be joined corner by corner; the last corner repeats the first
        where a line is closed.
    """
    size = max(marker.size, marker.least_mm * mm)
    cos, sin = math.cos(marker.angle) * size, math.sin(marker.angle) * size
    turn = np.array(((cos, sin), (-sin, cos)))
    return tuple(line @ turn + marker.at for line in _SHAPES[marker.kind])
