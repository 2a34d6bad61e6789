"""Smoothing of light between neighbours on the same surface; edges stay put."""

import numpy as np

from core.picture.forms import Floats, Ints

__all__ = ["HALO", "smoothed"]

_LEVELS = (1, 2, 4, 8)
HALO = sum(_LEVELS)  # rows above and below that a row's light is taken from
_REACH = 9.0  # light is mixed over about so far on a surface [in]


def smoothed(
    light: Floats, *, thing: Ints, place: Floats, normal: Floats, pixel: Floats
) -> Floats:
    """Return light mixed with that of near places on the same smooth surface.

    Parameters
    ----------
    light : ndarray
        Light on each pixel `(h, w, k)`.
    thing : ndarray
        What each pixel shows `(h, w)`; only equal ones mix.
    place, normal : ndarray
        Where that is [in] and which way it faces, `(h, w, 3)`.
    pixel : ndarray
        Width of a pixel there `(h, w)` [in].

    Notes
    -----
    Four rounds of a 3 x 3 kernel whose taps are 1, 2, 4 and 8 px apart
    (Dammertz et al., "Edge-Avoiding A-Trous Wavelet Transform for fast Global
    Illumination Filtering", HPG 2010). The weight falls off with the distance in
    the room beyond 9 in or 3 px, with the distance from the tangent plane, and
    with the angle between the normals.
    """
    reach = np.maximum(np.float32(_REACH), 3 * pixel)
    plane = np.maximum(np.float32(0.15), pixel)
    for step in _LEVELS:
        light = _round(light, thing, place, normal, reach, plane, step)
    return light


def _round(
    light: Floats,
    thing: Ints,
    place: Floats,
    normal: Floats,
    reach: Floats,
    plane: Floats,
    step: int,
) -> Floats:
    total, weights = light * np.float32(0.25), np.full(thing.shape, 0.25, np.float32)
    for dy in (-step, 0, step):
        for dx in (-step, 0, step):
            if dx == 0 and dy == 0:
                continue
            here, there = _overlap(thing.shape, dy, dx)
            kernel = np.float32(0.0625 if dx and dy else 0.125)
            away = place[there] - place[here]
            off = np.einsum("ijk,ijk->ij", away, normal[here]) / plane[here]
            far = np.einsum("ijk,ijk->ij", away, away) / reach[here] ** 2
            alike = np.einsum("ijk,ijk->ij", normal[here], normal[there])
            weight = np.exp(-np.minimum(far + off * off, 30.0))
            weight *= np.maximum(alike, 0.0) ** 16
            weight *= kernel * (thing[here] == thing[there])
            total[here] += weight[..., None] * light[there]
            weights[here] += weight
    mixed: Floats = total / weights[..., None]
    return mixed


def _overlap(
    shape: tuple[int, ...], dy: int, dx: int
) -> tuple[tuple[slice, slice], tuple[slice, slice]]:
    """Return where a picture and its copy moved by some pixels overlap."""
    height, width = shape

    def pair(size: int, move: int) -> tuple[slice, slice]:
        return (
            slice(max(0, -move), size - max(0, move)),
            slice(max(0, move), size - max(0, -move)),
        )

    rows, columns = pair(height, dy), pair(width, dx)
    return (rows[0], columns[0]), (rows[1], columns[1])
