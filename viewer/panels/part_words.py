"""A part of the catalogue in a line: what it is, what it bears, where that is from."""

from collections.abc import Mapping

from core.catalogue.parts import Part
from core.quantities import format_voltage, format_weight

__all__ = ["part_line", "part_note", "part_source"]

_RATINGS: Mapping[str, str] = {
    "rating": "bears",
    "breaking_strength": "breaks at",
    "first_layer_pull": "pulls",
    "slip_load": "slips at",
}


def part_line(part: Part) -> str:
    """Return a part's description and rating, beginning with a capital.

    Parameters
    ----------
    part : Part
        The part.

    Returns
    -------
    str
        Such as ``Drop pulley - bears 40 lb``.
    """
    name = part.description or part.id
    name = name[:1].upper() + name[1:]
    words = [
        f"{word} {format_weight(value)}"
        for field, word in _RATINGS.items()
        if (value := getattr(part, field, None)) is not None
    ]
    volts = getattr(part, "rated_voltage", None)
    if volts is not None:
        words.append(f"rated {format_voltage(volts)}")
    return f"{name} \N{EN DASH} {', '.join(words)}" if words else name


def part_note(part: Part) -> str:
    """Return the id of a part and what kind of source its numbers have."""
    return f"{part.id}: {part.origin.words}"


def part_source(part: Part) -> str:
    """Return the line of a part with its id and source, for a tooltip."""
    return (
        f"{part_line(part)}\n{part_note(part)}\nSource: {part.source or 'none given'}"
    )
