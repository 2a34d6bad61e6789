"""Simple polygons in plan: cut into triangles, and how far inside a point lies."""

import numpy as np

from core.geometry.shapes import FloatArray, Vec2

__all__ = ["depth_inside", "triangles"]


def triangles(outline: tuple[Vec2, ...]) -> FloatArray:
    """Return the triangles of a simple polygon.

    Parameters
    ----------
    outline : tuple of Vec2
        Its corners in either direction, the first not repeated [in].

    Returns
    -------
    (n, 3, 2) array
        Triangles that cover it once [in]; what cannot be cut any further, because
        the outline crosses itself, is left out.

    Examples
    --------
    >>> len(triangles(((0, 0), (4, 0), (4, 3), (2, 1), (0, 3))))
    3
    """
    turned = _area(outline) < 0.0
    left = list(reversed(outline)) if turned else list(outline)
    found = []
    while len(left) > 3:
        ear = next((k for k in range(len(left)) if _is_ear(left, k)), None)
        if ear is None:
            break
        found.append((left[ear - 1], left[ear], left[(ear + 1) % len(left)]))
        del left[ear]
    if len(left) == 3:
        found.append((left[0], left[1], left[2]))
    return np.array(found, dtype=float).reshape(-1, 3, 2)


def _area(outline: tuple[Vec2, ...]) -> float:
    points = np.array(outline, dtype=float)
    after = np.roll(points, -1, axis=0)
    return float((points[:, 0] * after[:, 1] - after[:, 0] * points[:, 1]).sum() / 2)


def _turn(a: Vec2, b: Vec2, c: Vec2) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1])


def _is_ear(left: list[Vec2], k: int) -> bool:
    """Tell whether a corner can be cut off without cutting anything else."""
    a, b, c = left[k - 1], left[k], left[(k + 1) % len(left)]
    if _turn(a, b, c) <= 0.0:
        return False
    others = (p for p in left if p not in (a, b, c))
    return not any(
        _turn(a, b, p) >= 0.0 and _turn(b, c, p) >= 0.0 and _turn(c, a, p) >= 0.0
        for p in others
    )


def depth_inside(outline: tuple[Vec2, ...], at: Vec2) -> float:
    """Return how far a point is inside a polygon, less than 0 outside [in].

    Examples
    --------
    >>> depth_inside(((0, 0), (10, 0), (10, 10), (0, 10)), (3.0, 5.0))
    3.0
    """
    a = np.array(outline, dtype=float)
    b = np.roll(a, -1, axis=0)
    way, off = b - a, np.array(at) - a
    square = np.maximum((way * way).sum(axis=1), 1e-12)
    share = np.clip((off * way).sum(axis=1) / square, 0.0, 1.0)
    gaps = off - share[:, None] * way
    nearest = float(np.sqrt((gaps * gaps).sum(axis=1)).min())
    over = (a[:, 1] > at[1]) != (b[:, 1] > at[1])
    with np.errstate(divide="ignore", invalid="ignore"):
        x = a[:, 0] + (at[1] - a[:, 1]) * way[:, 0] / way[:, 1]
    crossings = int((over & (x > at[0])).sum())
    return nearest if crossings % 2 else -nearest
