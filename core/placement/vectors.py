"""Sums and products of points in space, one at a time."""

import math

from core.geometry.shapes import Vec3

__all__ = ["added", "dot", "scaled", "subtracted", "unit"]


def added(a: Vec3, b: Vec3, share: float = 1.0) -> Vec3:
    """Return a + share b."""
    return (a[0] + share * b[0], a[1] + share * b[1], a[2] + share * b[2])


def subtracted(a: Vec3, b: Vec3) -> Vec3:
    """Return a - b."""
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def scaled(a: Vec3, share: float) -> Vec3:
    """Return share a."""
    return (share * a[0], share * a[1], share * a[2])


def dot(a: Vec3, b: Vec3) -> float:
    """Return the product a . b."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def unit(a: Vec3) -> Vec3:
    """Return the vector of length 1 along a, or no vector for none."""
    length = math.hypot(*a)
    return scaled(a, 1.0 / length) if length > 0.0 else (0.0, 0.0, 0.0)
