"""The strip under a picture: what room, at which lift, and the caution."""

from dataclasses import dataclass

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from core.picture.render import Pixels
from core.rules.cautions import CAUTIONS

__all__ = ["Strip", "captioned", "lift_words", "strip_for"]

_PAPER, _INK, _GREY = (250, 249, 246), (28, 28, 30), (92, 92, 96)
_ORANGE = (230, 159, 0)  # ANSI Z535 orange, in Okabe and Ito's tone
_TEXT = 0.0185  # height of the letters against that of the picture [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """The strip of a picture: its lines of text and its height [px]."""

    title: str
    state: str
    caution: tuple[str, ...]
    letters: float
    height: int


def lift_words(lift: float) -> str:
    """Return the state of the runs in words.

    Examples
    --------
    >>> lift_words(0.0), lift_words(0.355), lift_words(1.0)
    ('working', '35 % lifted', 'stowed')
    """
    if lift in {0.0, 1.0}:
        return "stowed" if lift else "working"
    return f"{min(99, max(1, int(100 * lift)))} % lifted"


def strip_for(title: str, state: str, *, width: int, height: int) -> Strip:
    """Return the strip of a picture of a size, strip included [px]."""
    letters = max(9.0, min(_TEXT * max(height, 0.45 * width), width / 52))
    pad = letters * 0.9
    lines = _wrapped(CAUTIONS[0], letters * 0.86, width - 2 * pad - 2.2 * letters)
    tall = pad * 1.5 + letters * 1.25 + len(lines) * letters * 1.15
    return Strip(
        title=title,
        state=state,
        caution=tuple(lines),
        letters=letters,
        height=round(tall),
    )


def _wrapped(text: str, letters: float, width: float) -> list[str]:
    """Return a text in lines no wider than a width [px]."""
    font = ImageFont.load_default(letters)
    lines = [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".strip()
        if font.getlength(longer) <= width or not lines[-1]:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


def captioned(pixels: Pixels, strip: Strip) -> Pixels:
    """Return a picture with its strip below."""
    height, width = pixels.shape[:2]
    sheet = Image.new("RGB", (width, height + strip.height), _PAPER)
    sheet.paste(Image.fromarray(pixels), (0, 0))
    draw, size = ImageDraw.Draw(sheet), strip.letters
    pad, top = 0.9 * size, height + 0.75 * size
    big, small = (ImageFont.load_default(s) for s in (size * 1.12, size * 0.86))
    state = strip.state
    room = width - 3 * pad - big.getlength(state)
    draw.text((pad, top), _fitted(strip.title, big, room), _INK, font=big)
    draw.text((width - pad, top), state, _INK, font=big, anchor="ra")
    _sign(draw, pad, top + 1.55 * size, size)
    for turn, line in enumerate(strip.caution):
        at = (pad + 1.6 * size, top + (1.55 + 1.15 * turn) * size)
        draw.text(at, line, _GREY, font=small)
    return np.asarray(sheet).copy()


def _fitted(
    text: str, font: ImageFont.FreeTypeFont | ImageFont.ImageFont, width: float
) -> str:
    """Return a text, cut short where it is too wide."""
    if font.getlength(text) <= width:
        return text
    while text and font.getlength(f"{text}...") > width:
        text = text[:-1]
    return f"{text}..."


def _sign(draw: ImageDraw.ImageDraw, x: float, y: float, size: float) -> None:
    """Draw a warning triangle."""
    points = [(x, y + size), (x + 1.15 * size, y + size), (x + 0.575 * size, y)]
    draw.polygon(points, fill=_ORANGE, outline=_INK)
    font = ImageFont.load_default(0.72 * size)
    at = (x + 0.575 * size, y + 0.64 * size)
    draw.text(at, "!", _INK, font=font, anchor="mm")
