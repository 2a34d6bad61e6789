"""What somebody in the barn can do: which thing can be moved, and which way."""

from collections.abc import Iterable

from core.geometry.shapes import Vec3
from core.placement.solids import SCAN_PART, Group
from core.quantities import LengthStyle
from core.rules.wording import measure

__all__ = ["can_move", "force_words", "sentence"]

_LEAST = 0.05  # [lbf] what is written as 0.0 lb is left out
_WAYS = (
    ("towards the back wall", "towards the front wall"),
    ("towards the right wall", "towards the left wall"),
    ("up", "down"),
)


def can_move(group: Group, part: str) -> bool:
    """Tell whether a thing can be moved: neither the building nor what a scan shows.

    Parameters
    ----------
    group : Group
        What kind of thing it is.
    part : str
        Which part of it.
    """
    return group is not Group.BUILDING and part != SCAN_PART


def sentence(ways: Iterable[str]) -> str:
    """Return several ways out as one sentence.

    Examples
    --------
    >>> sentence(["move it"]), sentence(["move it", "lift it", "leave it"])
    ('Move it.', 'Move it, lift it, or leave it.')
    >>> sentence(["move it", "lift it"])
    'Move it, or lift it.'
    """
    *first, last = ways
    words = ", ".join([*first, f"or {last}" if first else last])
    return f"{words[:1].upper()}{words[1:]}."


def force_words(force: Vec3) -> str:
    """Return a force as its parts towards the walls, up and down.

    Parameters
    ----------
    force : Vec3
        The force, z up [lbf].

    Examples
    --------
    >>> force_words((2.4, -39.2, -41.7))
    '2.4 lb towards the back wall, 39.2 lb towards the left wall and 41.7 lb down'
    >>> force_words((0.0, 0.0, 0.0))
    'nothing'
    """
    words = [
        f"{measure(abs(part), 'lb', style=LengthStyle.FEET)} {ways[part < 0.0]}"
        for part, ways in zip(force, _WAYS, strict=True)
        if abs(part) >= _LEAST
    ]
    if len(words) < 2:
        return words[0] if words else "nothing"
    return f"{', '.join(words[:-1])} and {words[-1]}"
