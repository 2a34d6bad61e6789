"""The line of a rope in space: through points, and round pulleys in its way."""

import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import accumulate, pairwise

from core.geometry.shapes import Vec3
from core.placement.vectors import added, dot, scaled, subtracted, unit

__all__ = ["Bend", "RopeLine", "rope_line"]

_ARC_STEPS = 4  # chords of a quarter turn stay within 2 % of the radius of the arc
_STRAIGHT = (
    1e-6  # sine of a turn too small, or too near to half a turn, to have a plane
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bend:
    """A place that a rope passes: an end or support (radius 0), or a pulley.

    `at` is the point itself, or the centre of the pulley [in].
    """

    name: str
    at: Vec3
    radius: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class RopeLine:
    """A rope as a line through points.

    Attributes
    ----------
    points : tuple of Vec3
        The line [in].
    lengths : tuple of float
        Way along the line to each point [in].
    bends : tuple of Bend
        What it passes, in order.
    stations : tuple of float
        Way along the line to each of them, to the middle of its arc [in].
    """

    points: tuple[Vec3, ...]
    lengths: tuple[float, ...]
    bends: tuple[Bend, ...]
    stations: tuple[float, ...]

    def station(self, name: str) -> float:
        """Return the way along the line to the bend of a name [in]."""
        return next(
            station
            for bend, station in zip(self.bends, self.stations, strict=True)
            if bend.name == name
        )

    def point(self, station: float) -> Vec3:
        """Return the point so far along the line [in]; its end beyond its end."""
        station = min(max(station, 0.0), self.lengths[-1])
        index = min(bisect_right(self.lengths, station), len(self.points) - 1)
        before, after = self.lengths[index - 1], self.lengths[index]
        share = (station - before) / (after - before) if after > before else 0.0
        way = subtracted(self.points[index], self.points[index - 1])
        return added(self.points[index - 1], way, share)

    def part(self, first: float, last: float) -> tuple[Vec3, ...]:
        """Return the points of the line between two ways along it [in]."""
        first, last = max(first, 0.0), min(last, self.lengths[-1])
        inner = slice(
            bisect_right(self.lengths, first), bisect_left(self.lengths, last)
        )
        return (self.point(first), *self.points[inner], self.point(last))


def rope_line(bends: Iterable[Bend]) -> RopeLine:
    """Return the line of a taut rope past some bends.

    Parameters
    ----------
    bends : iterable of Bend
        At least two, in the order of the rope.

    Returns
    -------
    RopeLine
        The line. A rope that a pulley does not turn, or turns right back, passes
        through its centre.

    Notes
    -----
    The wheel of a pulley lies in the plane of the rope's two directions u and v,
    taken between the bends' own points; the rope lies on the far side of it from
    the inside of the turn, from ``centre + r n`` with n the part of -v square to
    u, to the like point of the other part. On the true common tangents the point
    of touch is off by the angle (r1 + r2) / L, which moves it towards the centre
    by r (angle)^2 / 2: under 0.001 in for pulleys of 2 in radius and 10 ft apart.
    The arc is drawn in 4 chords, within 2 % of r for a quarter turn.
    """
    passed = tuple(bends)
    neighbours = zip(
        (passed[0], *passed), passed, (*passed[1:], passed[-1]), strict=False
    )
    contacts = [_contact(bend, before, after) for before, bend, after in neighbours]
    points = tuple(point for contact in contacts for point in contact)
    steps = (math.dist(a, b) for a, b in pairwise(points))
    lengths = tuple(accumulate(steps, initial=0.0))
    ends = list(accumulate(map(len, contacts)))
    middles = (
        (lengths[end - len(contact)] + lengths[end - 1]) / 2
        for end, contact in zip(ends, contacts, strict=True)
    )
    return RopeLine(
        points=points, lengths=lengths, bends=passed, stations=tuple(middles)
    )


def _contact(bend: Bend, before: Bend, after: Bend) -> list[Vec3]:
    """Return the points of a rope on a bend."""
    u = unit(subtracted(bend.at, before.at))
    v = unit(subtracted(after.at, bend.at))
    first = unit(added(scaled(u, dot(u, v)), v, -1.0))
    last = unit(added(u, v, -dot(u, v)))
    turn = math.acos(min(1.0, max(-1.0, dot(u, v))))
    if bend.radius == 0.0 or math.sin(turn) < _STRAIGHT:
        return [bend.at]
    return [
        added(bend.at, _between(first, last, turn, step / _ARC_STEPS), bend.radius)
        for step in range(_ARC_STEPS + 1)
    ]


def _between(a: Vec3, b: Vec3, angle: float, share: float) -> Vec3:
    """Return the unit vector at a share of the angle from a to b.

    ``(a sin((1 - t) w) + b sin(t w)) / sin(w)``.
    """
    first = math.sin((1.0 - share) * angle) / math.sin(angle)
    return added(scaled(a, first), b, math.sin(share * angle) / math.sin(angle))
