"""The space that hinged and hanging parts move through, as convex hulls.

A hull holds every position of the part. On the outer side, where it rounds an
arc with tangent planes, it is larger by no more than `ARC_ALLOWANCE`.
"""

import math
from dataclasses import dataclass

import numpy as np

from core.geometry.shapes import FloatArray, Hull, Vec2, Vec3

__all__ = ["ARC_ALLOWANCE", "Hinge", "swept_leaf", "swung_rod", "upright_hinge"]

ARC_ALLOWANCE = 0.05  # [in] common practice, no published source
_PIECE = math.radians(60.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Hinge:
    """A hinge: a point on its axis [in], and three unit vectors square to each other.

    The leaf points `along` at angle 0 and `across` at a quarter turn; it reaches
    from `low` to `high` [in] on the axis.
    """

    at: Vec3
    along: Vec3
    across: Vec3
    axis: Vec3
    low: float
    high: float

    def hull(self, plan: FloatArray) -> Hull:
        """Return the prism over points `(n, 2)` [in] square to the axis."""
        flat = plan @ np.array([self.along, self.across]) + np.array(self.at)
        ends = [flat + height * np.array(self.axis) for height in (self.low, self.high)]
        return Hull(points=_vectors(np.concatenate(ends)))


def upright_hinge(at: Vec2, *, low: float, high: float) -> Hinge:
    """Return an upright hinge; its angles are headings.

    Parameters
    ----------
    at : Vec2
        Plan place [in].
    low, high : float
        Heights of the leaf's lower and upper edge [in].
    """
    return Hinge(
        at=(at[0], at[1], 0.0),
        along=(1.0, 0.0, 0.0),
        across=(0.0, 1.0, 0.0),
        axis=(0.0, 0.0, 1.0),
        low=low,
        high=high,
    )


def swept_leaf(
    hinge: Hinge, *, length: float, thickness: float, start: float, swing: float
) -> tuple[Hull, ...]:
    """Return the space that a hinged leaf moves through.

    Parameters
    ----------
    hinge : Hinge
        Where it turns.
    length : float
        From the axis to the free end [in].
    thickness : float
        Half of it lies on each side of the line through the axis [in].
    start, swing : float
        Angle at which the leaf stands, and by how much it turns, either way [rad].

    Returns
    -------
    tuple of Hull
        Convex pieces of at most 60 degrees; neighbours share the leaf's position
        between them.

    Notes
    -----
    A corner of the free end runs on an arc of radius ``hypot(length,
    thickness / 2)``, ahead of the leaf's line by ``atan(thickness / (2 length))``.
    Each piece is the hull of the leaf in its two end positions and of a polygon
    round that arc whose sides touch it: it contains every position between, and
    is too large by at most `ARC_ALLOWANCE` outside and by ``thickness / 4``
    behind the axis.

    References
    ----------
    Plane geometry; second method in the tests: sampled positions.
    """
    low, high = sorted((start, start + swing))
    count = max(1, math.ceil((high - low) / _PIECE - 1e-9))
    angles = np.linspace(low, high, count + 1)
    return tuple(
        hinge.hull(_leaf_outline(a, b, length, thickness / 2))
        for a, b in zip(angles[:-1].tolist(), angles[1:].tolist(), strict=True)
    )


def swung_rod(
    pivot: Vec3, *, near: float, far: float, radius: float, swing: float
) -> Hull:
    """Return the space of a round rod that hangs from a pivot and swings every way.

    Parameters
    ----------
    pivot : Vec3
        Where it hangs [in].
    near, far : float
        Distance from the pivot to the rod's two ends [in], 0 <= near < far.
    radius : float
        Radius of the rod [in].
    swing : float
        Greatest angle off plumb [rad], 0 to pi/2.

    Returns
    -------
    Hull
        Holds the rod at every angle up to the swing in every direction.

    Notes
    -----
    The corner of the far end runs on a sphere of radius ``hypot(far, radius)``,
    up to ``swing + atan(radius / far)`` off plumb; the rod's outer side at full
    swing bounds it sideways, its upper corner there, at ``near cos(swing) -
    radius sin(swing)`` below the pivot, bounds it above. The hull stands on
    many-sided rings round those circles: too large by at most `ARC_ALLOWANCE`
    outside. Above a short rod it also fills the hollow, of depth
    ``near (1 - cos(swing))``, in which its own cable swings.

    References
    ----------
    Solid geometry; second method in the tests: sampled positions.
    """
    cos, sin = math.cos(swing), math.sin(swing)
    rings = [(near * sin + radius * cos, near * cos - radius * sin)]
    reach, angle = math.hypot(far, radius), swing + math.atan2(radius, far)
    rings += [(reach * math.sin(angle), reach * math.cos(angle))]
    sides = 2 * _sides(reach, angle, ARC_ALLOWANCE / 2)
    half = angle / sides
    outer = reach / math.cos(half)
    for k in range(sides // 2):
        turn = (2 * k + 1) * half
        rings.append((outer * math.sin(turn), outer * math.cos(turn)))
    widest = max(ring[0] for ring in rings)
    corners = 2 * max(2, _sides(widest, math.pi, ARC_ALLOWANCE / 2))
    points = np.concatenate([_ring(wide, deep, corners) for wide, deep in rings])
    return Hull(points=_vectors(points + np.array(pivot)))


def _leaf_outline(a: float, b: float, length: float, half: float) -> FloatArray:
    """Return plan points whose hull holds a leaf at all angles from a to b."""
    reach, ahead = math.hypot(length, half), math.atan2(half, length)
    first, last = a - ahead, b + ahead
    sides = _sides(reach, last - first, ARC_ALLOWANCE)
    half_step = (last - first) / (2 * sides)
    turns = np.linspace(first + half_step, last - half_step, sides)
    arc = _polar(turns, reach / math.cos(half_step))
    ends = _polar(np.array([first, last]), reach)
    quarter = math.pi / 2
    heel = [a - quarter, a + quarter, b - quarter, b + quarter] if half else [a]
    return np.concatenate([ends, arc, _polar(np.array(heel), half)])


def _sides(radius: float, span: float, allowance: float) -> int:
    """Return how many tangents round an arc without leaving it by the allowance.

    Two tangents whose points of touch are an angle 2 h apart meet at
    ``radius (1 / cos h - 1)`` outside the arc.
    """
    if radius <= 0.0:
        return 1
    half = math.acos(radius / (radius + allowance))
    return max(1, math.ceil(span / (2 * half)))


def _polar(angles: FloatArray, radius: float) -> FloatArray:
    """Return plan points at angles on a circle round the origin."""
    return radius * np.stack((np.cos(angles), np.sin(angles)), axis=-1)


def _ring(wide: float, deep: float, corners: int) -> FloatArray:
    """Return the corners of a level polygon round a circle, below the origin."""
    angles = np.linspace(0.0, 2 * math.pi, corners, endpoint=False)
    plan = _polar(angles, wide / math.cos(math.pi / corners))
    return np.column_stack((plan, np.full(corners, -deep)))


def _vectors(points: FloatArray) -> tuple[Vec3, ...]:
    """Return points `(n, 3)` as tuples."""
    return tuple((x, y, z) for x, y, z in points.tolist())
