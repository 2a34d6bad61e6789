"""From radiance to the colours of a picture."""

import numpy as np

from core.picture.forms import Floats

__all__ = ["exposure_for", "filled", "toned"]

_MIDDLE = 0.82  # what the level of a room's light is exposed to
_DARK, _BRIGHT = 0.72, 0.55  # powers that light below and above its level is raised to


def exposure_for(level: float) -> float:
    """Return by what radiance is multiplied in a room lit to a level."""
    return _MIDDLE / max(level, 1e-3)


def filled(light: Floats, level: float) -> Floats:
    """Return light with its dark and bright places drawn together `(n, 3)`.

    As with the lamps that a photographer brings along: what is lit to the level
    stays, corners and lamps' cones move towards it; colours are kept.
    """
    bright = np.maximum(light.max(axis=-1, keepdims=True), 1e-3) / level
    power = np.where(bright < 1.0, np.float32(_DARK - 1.0), np.float32(_BRIGHT - 1.0))
    evened: Floats = light * bright**power
    return evened


def toned(radiance: Floats) -> Floats:
    """Return sRGB values from 0 to 1 of linear radiance, its highlights rolled off.

    Notes
    -----
    ``x (a x + b) / (x (c x + d) + e)`` with a = 2.51, b = 0.03, c = 2.43, d = 0.59,
    e = 0.14 (Narkowicz's fit of a film curve, 2016, from memory), then the transfer
    curve of IEC 61966-2-1.
    """
    x = np.maximum(radiance, 0.0) * np.float32(0.6)
    film = np.clip(x * (2.51 * x + 0.03) / (x * (2.43 * x + 0.59) + 0.14), 0.0, 1.0)
    low = film * np.float32(12.92)
    high = np.float32(1.055) * film ** np.float32(1 / 2.4) - np.float32(0.055)
    values: Floats = np.where(film <= 0.0031308, low, high).astype(np.float32)
    return values
