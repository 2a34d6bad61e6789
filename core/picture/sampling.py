"""Directions and places that fill their range evenly, the same on every run."""

import numpy as np

from core.picture.forms import Floats, Ints

__all__ = ["RANKS", "cosine_ways", "ranks_at", "spread_pairs"]

# the two steps of the plane's most even additive sequence: 1/g and 1/g^2 with
# g^3 = g + 1 (Roberts, "The unreasonable effectiveness of quasirandom sequences",
# 2018, from memory)
_STEPS = (0.7548776662466927, 0.5698402909980532)
RANKS = 64


def _bayer(order: int) -> Ints:
    """Return the ranks of an ordered dither tile of side ``2**order``."""
    tile = np.zeros((1, 1), np.int32)
    for _ in range(order):
        tile = np.block([[4 * tile, 4 * tile + 2], [4 * tile + 3, 4 * tile + 1]])
    return tile.astype(np.int32)


_TILE = _bayer(3)


def ranks_at(rows: Ints, columns: Ints) -> Ints:
    """Return the rank of each pixel in its 8 x 8 tile; neighbours are far apart."""
    ranks: Ints = _TILE[rows % 8, columns % 8]
    return ranks


def spread_pairs(indices: Ints) -> tuple[Floats, Floats]:
    """Return the points of the even sequence at some places of it, each in [0, 1)."""
    at = indices.astype(np.float64)
    first, second = ((0.5 + at * step) % 1.0 for step in _STEPS)
    return first.astype(np.float32), second.astype(np.float32)


def cosine_ways(normals: Floats, s: Floats, t: Floats) -> Floats:
    """Return directions about normals `(n, 3)`, denser where they are steeper.

    The density is the cosine with the normal over pi, so that the mean of what is
    seen along them is the light that falls on the surface.
    """
    radius, turn = np.sqrt(s), 2 * np.pi * t
    x, y = radius * np.cos(turn), radius * np.sin(turn)
    z = np.sqrt(np.maximum(0.0, 1 - s))
    a, b = _across(normals)
    ways: Floats = (x[:, None] * a + y[:, None] * b + z[:, None] * normals).astype(
        np.float32
    )
    return ways


def _across(normals: Floats) -> tuple[Floats, Floats]:
    """Return two unit vectors square to each normal and to each other.

    Duff et al., "Building an Orthonormal Basis, Revisited", JCGT 6 (1), 2017.
    """
    x, y, z = normals.T
    sign = np.where(z < 0, np.float32(-1), np.float32(1))
    a = -1 / (sign + z)
    b = x * y * a
    first = np.stack([1 + sign * x * x * a, sign * b, -sign * x], axis=-1)
    second = np.stack([b, sign + y * y * a, -y], axis=-1)
    return first, second
