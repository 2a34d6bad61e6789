"""True scales: those of ISO 5455 in millimetres, those of the trade in feet."""

from core.quantities import LengthStyle

__all__ = ["fitting_scale", "scale_words", "scales"]

# name of what one foot is on paper, and the scale
_TRADE = (
    ("1 ft", 1.0),
    ("6 in", 2.0),
    ("3 in", 4.0),
    ("1-1/2 in", 8.0),
    ("1 in", 12.0),
    ("3/4 in", 16.0),
    ("1/2 in", 24.0),
    ("3/8 in", 32.0),
    ("1/4 in", 48.0),
    ("3/16 in", 64.0),
    ("1/8 in", 96.0),
    ("3/32 in", 128.0),
    ("1/16 in", 192.0),
    ("1/32 in", 384.0),
)
_ISO = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0)


def scales(style: LengthStyle) -> tuple[float, ...]:
    """Return the scales in use, largest drawing first: 96 for 1:96 [-]."""
    if style is LengthStyle.MILLIMETRES:
        return _ISO
    return tuple(scale for _, scale in _TRADE)


def scale_words(scale: float, style: LengthStyle) -> str:
    """Return a scale as it is written on a sheet.

    Examples
    --------
    >>> scale_words(96.0, LengthStyle.FEET)
    '1/8 in = 1 ft (1:96)'
    >>> scale_words(50.0, LengthStyle.MILLIMETRES)
    '1:50'
    """
    if style is LengthStyle.MILLIMETRES:
        return f"1:{scale:g}"
    name = next(name for name, trade in _TRADE if trade == scale)
    return f"{name} = 1 ft (1:{scale:g})"


def fitting_scale(
    width: float, height: float, room: tuple[float, float], style: LengthStyle
) -> float:
    """Return the largest scale at which a size fits.

    Parameters
    ----------
    width, height : float
        What is drawn [in].
    room : pair of float
        Width and height on paper [mm].
    style : LengthStyle
        Which scales are in use.

    Returns
    -------
    float
        The scale, the smallest there is when none fits [-].
    """
    needed = max(25.4 * width / room[0], 25.4 * height / room[1])
    return next((s for s in scales(style) if s >= needed - 1e-9), scales(style)[-1])
