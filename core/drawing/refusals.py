"""Why a dragged object cannot go where the pointer is, said beside the pointer."""

import textwrap
from collections.abc import Iterator

import numpy as np

from core.drawing.records import Align, Bounds, Polygon, Record, Role, Text
from core.geometry.shapes import Vec2

__all__ = ["refusal"]

_LETTERS = 44  # in a line of the sentence
# sizes in reaches of the pointer, so that they are the same at every scale
_WIDE = 1.25  # one letter
_HIGH = 2.8  # one line
_PAD = 0.8  # from the frame to the letters
_AWAY = 3.0  # from the pointer to the frame


def refusal(
    words: str, at: Vec2, *, thing: Vec2, reach: float, seen: Bounds | None
) -> Iterator[Record]:
    """Yield a framed sentence beside the pointer, on the side away from a thing.

    Parameters
    ----------
    words : str
        The sentence.
    at : Vec2
        Where the pointer is in the view's plane [in].
    thing : Vec2
        Where the object stays, which must not be covered [in].
    reach : float
        How far off the pointer may be when it takes hold, > 0; it tells how large
        things are on the screen [in].
    seen : Bounds or None
        The part of the plane that is seen; the frame is kept inside it [in].
    """
    lines = textwrap.wrap(words, _LETTERS)
    wide = (max(map(len, lines), default=0) * _WIDE + 2.0 * _PAD) * reach
    high = (len(lines) * _HIGH + 2.0 * _PAD) * reach
    low = _corner(at, thing, (wide, high), away=_AWAY * reach, seen=seen)
    (u0, v0), (u1, v1) = low, (low[0] + wide, low[1] + high)
    frame = np.array(((u0, v0), (u1, v0), (u1, v1), (u0, v1)))
    yield Polygon(role=Role.REFUSAL, outline=frame)
    for index, line in enumerate(lines):
        yield Text(
            role=Role.REFUSAL,
            at=(u0 + _PAD * reach, v1 - (_PAD + (index + 0.5) * _HIGH) * reach),
            parts=(line,),
            across=Align.START,
        )


def _corner(
    at: Vec2, thing: Vec2, size: Vec2, *, away: float, seen: Bounds | None
) -> Vec2:
    """Return the lower left corner of the frame [in].

    It is above the pointer, or below it where the object is above or there is no
    room; beside the pointer it would lie on what the pointer goes to.
    """
    above, below = at[1] + away, at[1] - away - size[1]
    v = below if thing[1] > at[1] + away else above
    if seen is None:
        return (at[0], v)
    if v + size[1] > seen.high[1]:
        v = below
    if v < seen.low[1]:
        v = above
    u = max(min(at[0], seen.high[0] - size[0]), seen.low[0])
    return (u, v)
