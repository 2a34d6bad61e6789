"""How long a cable is, how it runs over its pulleys, and how it stretches."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike

from core.errors import ValueRangeError
from core.ranges import require_above, require_at_least

__all__ = [
    "PathCircle",
    "clamp_room",
    "clamp_travel",
    "elastic_stretch",
    "far_end_lag",
    "tangent_length",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class PathCircle:
    """A pulley, or an end with radius 0, in the plane of the rope [in].

    `turn` is +1 where the rope goes round anticlockwise, -1 clockwise.
    """

    x: float
    y: float
    radius: float = 0.0
    turn: int = 1


def tangent_length(circles: Sequence[PathCircle], *, closed: bool = False) -> float:
    """Return the length of a rope in one plane by its tangents and arcs.

    Parameters
    ----------
    circles : sequence of PathCircle
        Pulleys and ends in the order of the rope [in]; pitch radii to the
        middle of the rope.
    closed : bool
        Whether the rope returns to the first circle as a belt.

    Returns
    -------
    float
        Length between the first and last circle's end tangents [in]; all round
        for a belt.

    Raises
    ------
    ValueRangeError
        If two neighbours overlap so that they have no common tangent.

    Notes
    -----
    Straight part ``sqrt(C^2 - (s1 R1 - s2 R2)^2)`` with s = +-1 for the sense,
    arc ``R wrap`` with the wrap between 0 and a full turn. Exact in a plane.

    References
    ----------
    Machinery's Handbook, 30th ed., 2016, belt length (from memory).

    Examples
    --------
    A drop of 60 in, a pulley of 1 in and a run of 120 in:

    >>> end, far = PathCircle(x=0, y=-60), PathCircle(x=121, y=1)
    >>> tangent_length([end, PathCircle(x=1, y=0, radius=1, turn=-1), far])
    181.570796
    >>> tangent_length([end])
    0.0
    """
    ring = list(circles) + ([circles[0]] if closed else [])
    legs = [_tangent(a, b) for a, b in pairwise(ring)]
    arcs = 0.0
    for index in range(0 if closed else 1, len(legs)):
        circle, before, after = ring[index], legs[index - 1][1], legs[index][1]
        wrap = circle.turn * (after - before) % math.tau
        arcs += circle.radius * (wrap if wrap < math.tau - 1e-9 else 0.0)
    return math.fsum(length for length, _ in legs) + arcs


def clamp_travel(*, drop_low: float, drop_high: float, offset: float = 0.0) -> float:
    """Return how far a clamp moves along the cable while its rope lifts.

    Parameters
    ----------
    drop_low, drop_high : float
        Height of the drop pulley above the rope's end at working height and
        stowed [in], at least 0.
    offset : float
        How far the rope's end is off plumb [in].

    Returns
    -------
    float
        Travel of the clamp [in]; the lift itself for a plumb rope.

    Raises
    ------
    ValueRangeError
        If a drop is below 0.

    Notes
    -----
    Difference of the slant lengths; the change of wrap on the pulley, under
    ``R offset/drop``, is left out.

    References
    ----------
    Pythagoras.

    Examples
    --------
    >>> clamp_travel(drop_low=60.0, drop_high=12.0)
    48.0
    >>> clamp_travel(drop_low=60.0, drop_high=12.0, offset=6.0)
    46.8828
    """
    require_at_least("drop", min(drop_low, drop_high), 0.0, "in")
    return math.hypot(drop_low, offset) - math.hypot(drop_high, offset)


def clamp_room(
    *, distance: float, travel: float, clamp_length: float, pulley_radius: float
) -> float:
    """Return the way left between a clamp and the next pulley when stowed.

    Less than 0 means that the clamp runs into the pulley before the end.

    Parameters
    ----------
    distance : float
        From the middle of the clamp to the centre of the next pulley towards
        the winch, at working height [in].
    travel : float
        Way of the clamp along the cable [in].
    clamp_length : float
        Length of the clamp with its rope end [in].
    pulley_radius : float
        Outside radius of the pulley [in]: of its wheel where its housing is not known.

    Returns
    -------
    float
        Way left [in].

    Notes
    -----
    ``distance - travel - clamp/2 - radius``; a straight part of the cable.

    References
    ----------
    Geometry.

    Examples
    --------
    >>> clamp_room(distance=96.0, travel=48.0, clamp_length=3.0, pulley_radius=1.5)
    45.0
    """
    return distance - travel - clamp_length / 2.0 - pulley_radius


def elastic_stretch(tension: float, length: float, *, axial_stiffness: float) -> float:
    """Return how much a 7x19 rope stretches.

    Parameters
    ----------
    tension : float
        Tension [lbf], at least 0.
    length : float
        Length without load [in], at least 0.
    axial_stiffness : float
        Force for a strain of 1, EA [lbf], greater than 0.

    Returns
    -------
    float
        Stretch [in].

    Raises
    ------
    ValueRangeError
        If an input is outside its range.

    Notes
    -----
    ``T L / EA``, below about 60 % of the strength; a new rope also beds in by up
    to 1 %. Cable makers' rule for 7x19: ``EA = 100 D^2 / 0.0000162``.

    References
    ----------
    Cable-maker's rule of elastic stretch (read at a maker's page).

    Examples
    --------
    >>> elastic_stretch(500.0, 20.0, axial_stiffness=96450.6)
    0.10368
    """
    require_at_least("tension", tension, 0.0, "lbf")
    require_at_least("length", length, 0.0, "in")
    require_above("axial stiffness", axial_stiffness, 0.0, "lbf")
    return tension * length / axial_stiffness


def far_end_lag(
    tensions: ArrayLike, lengths: ArrayLike, *, axial_stiffness: float
) -> float:
    """Return how far the far clamp lags behind the winch by stretch alone.

    Parameters
    ----------
    tensions : array_like
        Tension of each part of the cable from far to near, `(n,)` [lbf].
    lengths : array_like
        Length of each part, `(n,)` [in].
    axial_stiffness : float
        Force for a strain of 1, EA [lbf], greater than 0.

    Returns
    -------
    float
        Sum of the stretches [in].

    Raises
    ------
    ValueRangeError
        If the stiffness is not greater than 0.

    Notes
    -----
    ``sum T_i L_i / EA``; the range of `elastic_stretch`.

    References
    ----------
    As `elastic_stretch`.

    Examples
    --------
    >>> parts = [5.5 * k for k in range(1, 8)]
    >>> far_end_lag(parts, [144.0] * 7, axial_stiffness=217014.0)
    0.102187
    """
    require_above("axial stiffness", axial_stiffness, 0.0, "lbf")
    work = np.asarray(tensions, float) * np.asarray(lengths, float)
    return float(work.sum()) / axial_stiffness


def _tangent(a: PathCircle, b: PathCircle) -> tuple[float, float]:
    """Return length and direction [rad] of the rope from one circle to the next."""
    distance = math.hypot(b.x - a.x, b.y - a.y)
    shift = a.turn * a.radius - b.turn * b.radius
    if distance <= abs(shift):
        msg = (
            f"pulleys at ({a.x:g}, {a.y:g}) in and ({b.x:g}, {b.y:g}) in overlap; "
            f"their centres must be over {abs(shift):g} in apart"
        )
        raise ValueRangeError(msg)
    direction = math.atan2(b.y - a.y, b.x - a.x) + math.asin(shift / distance)
    return math.sqrt(distance**2 - shift**2), direction
