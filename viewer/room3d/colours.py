"""In which colour each surface of the room view is painted, by the theme.

Ink on paper in different strengths, as in the drawings, with a little of the
material's own colour. Blue is what is chosen, vermilion what must stop.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from viewer.paper.theme import Theme, mixed
from viewer.room3d.shell import Surface

__all__ = ["Rgba", "backdrop", "bytes_of", "colour_of", "rgba"]

Rgba = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Paint:
    """How much ink is on the paper, in light and dark, and a share of a tint [-]."""

    light: float
    dark: float
    tint: str = "#808080"
    share: float = 0.0


_PAINTS: Mapping[Surface, _Paint] = {
    Surface.FLOOR: _Paint(light=0.26, dark=0.16),
    Surface.PEN_FLOOR: _Paint(light=0.20, dark=0.20, tint="#B8AFA0", share=0.35),
    Surface.ALLEY: _Paint(light=0.12, dark=0.28),
    Surface.PARTITION: _Paint(light=0.16, dark=0.36, tint="#7E97A6", share=0.30),
    Surface.WALL: _Paint(light=0.05, dark=0.24),
    Surface.CUT: _Paint(light=0.78, dark=0.62),
    Surface.CEILING: _Paint(light=0.02, dark=0.20),
    Surface.DOOR: _Paint(light=0.30, dark=0.45, tint="#6F8794", share=0.40),
    Surface.WOOD: _Paint(light=0.30, dark=0.50, tint="#B98A55", share=0.60),
    Surface.STEEL: _Paint(light=0.34, dark=0.58),
    Surface.PLASTIC: _Paint(light=0.10, dark=0.66, tint="#D9D4C4", share=0.30),
    Surface.CABINET: _Paint(light=0.24, dark=0.48, tint="#8FA39A", share=0.25),
    Surface.DARK: _Paint(light=0.80, dark=0.06),
    Surface.LAMP: _Paint(light=0.00, dark=1.00, tint="#FFEFB8", share=0.80),
    Surface.SCAN: _Paint(light=0.22, dark=0.52, tint="#A79C8A", share=0.45),
    Surface.RUN: _Paint(light=0.62, dark=0.86, tint="#7D8A94", share=0.25),
    Surface.ROPE: _Paint(light=0.70, dark=0.80, tint="#2F5E9E", share=0.30),
    Surface.CABLE: _Paint(light=0.82, dark=0.92),
    Surface.LEAD: _Paint(light=1.00, dark=1.00, tint="#CC79A7", share=0.55),
    Surface.INSULATOR: _Paint(light=0.50, dark=0.70, tint="#9A4A2A", share=0.75),
    Surface.ANIMAL: _Paint(light=0.10, dark=0.55, tint="#DDA79B", share=0.75),
}


def rgba(colour: str, alpha: float = 1.0) -> Rgba:
    """Return a colour such as `#D55E00` as shares [-]."""
    red, green, blue = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
    return (red, green, blue, alpha)


@cache
def colour_of(theme: Theme, surface: Surface) -> str:
    """Return the colour of a surface in a theme."""
    paint = _PAINTS[surface]
    ink = paint.dark if theme.is_dark else paint.light
    plain = mixed(theme.strong, theme.paper, ink)
    return mixed(paint.tint, plain, paint.share)


def backdrop(theme: Theme) -> str:
    """Return the colour behind the room."""
    return mixed(theme.strong, theme.paper, 0.04 if theme.is_dark else 0.07)


@cache
def bytes_of(colour: str, alpha: float = 1.0) -> NDArray[np.uint8]:
    """Return a colour as four bytes."""
    shares = np.array(rgba(colour, alpha))
    whole: NDArray[np.uint8] = np.round(255 * shares).astype(np.uint8)
    return whole
