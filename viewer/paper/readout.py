"""The words of a live read-out."""

from core.quantities import LengthStyle, format_length

__all__ = ["both_units"]


def both_units(length: float) -> str:
    """Return a length [in] to the sixteenth, in feet and inches and in millimetres.

    Examples
    --------
    >>> both_units(87.51)
    '7 ft 3-1/2 in (2223 mm)'
    """
    kept = round(length * 16.0) / 16.0
    feet, metric = (
        format_length(kept, style=style)
        for style in (LengthStyle.FEET, LengthStyle.MILLIMETRES)
    )
    return f"{feet} ({metric})"
