"""How a rope, cable or lead hangs between two points."""

import math
from dataclasses import dataclass

from core.errors import UnconvergedError, ValueRangeError
from core.ranges import require_above, require_at_least, require_between

__all__ = [
    "Hang",
    "clipped_sag",
    "hang_by_length",
    "hang_by_pull",
    "off_plumb",
    "parabola_sag",
    "slack_droop",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Hang:
    """A rope at rest between a near and a far end, the far one `rise` higher.

    `sag` [in] is the largest distance below the straight line between the ends,
    `dip` [in] how far the lowest point is below the lower end, `length` [in] the
    length of rope, the tensions [lbf] those at the two ends and `pull` [lbf] the
    level part, the same everywhere.
    """

    sag: float
    dip: float
    length: float
    pull: float
    near_tension: float
    far_tension: float


def hang_by_pull(weight: float, span: float, *, pull: float, rise: float = 0.0) -> Hang:
    """Return the catenary of a rope whose level pull is known.

    Parameters
    ----------
    weight : float
        Weight of the rope [lbf/in], greater than 0.
    span : float
        Level distance between the ends [in], greater than 0.
    pull : float
        Level part of the tension [lbf], greater than 0 and at least
        ``weight * span / 100``.
    rise : float
        How much higher the far end is [in], of either sign.

    Returns
    -------
    Hang
        Sag, dip and length [in], tensions [lbf].

    Raises
    ------
    ValueRangeError
        If an input is outside its range.

    Notes
    -----
    ``z = a cosh((x - x0)/a)``, ``a = H/w``; for level ends sag
    ``a (cosh(L/2a) - 1)`` and length ``2 a sinh(L/2a)``. A limp rope. On a
    rope that runs over a pulley H is close to its tension (within w times sag).

    References
    ----------
    H. M. Irvine, Cable Structures, 1981, ch. 1 (from memory).

    Examples
    --------
    >>> hung = hang_by_pull(0.065 / 12, 144.0, pull=8.0)
    >>> hung.sag / 12
    0.146279
    """
    require_above("weight of the rope", weight, 0.0, "lbf/in")
    require_above("span", span, 0.0, "in")
    require_above("pull", pull, 0.0, "lbf")
    require_at_least("pull", pull, weight * span / 100.0, "lbf")
    return _hang(weight, span, scale=pull / weight, rise=rise)


def hang_by_length(
    weight: float, span: float, *, length: float, rise: float = 0.0
) -> Hang:
    """Return the catenary of a rope whose length is known.

    Parameters
    ----------
    weight : float
        Weight of the rope [lbf/in], greater than 0.
    span : float
        Level distance between the ends [in], greater than 0.
    length : float
        Length of the rope [in], longer than the straight line between the ends
        and at most 20 times the span.
    rise : float
        How much higher the far end is [in], of either sign.

    Returns
    -------
    Hang
        Sag, dip and length [in], tensions [lbf].

    Raises
    ------
    ValueRangeError
        If the rope is too short to reach, or an input outside its range.

    Notes
    -----
    Solves ``sinh(u)/u = sqrt(S^2 - rise^2)/L`` for u = L/2a by Newton's method.
    A limp rope that does not stretch.

    References
    ----------
    H. M. Irvine, Cable Structures, 1981, ch. 1 (from memory).

    Examples
    --------
    >>> hang_by_length(0.01, 120.0, length=126.0).sag / 12
    1.393042
    """
    require_above("weight of the rope", weight, 0.0, "lbf/in")
    require_above("span", span, 0.0, "in")
    require_above("length of the rope", length, math.hypot(span, rise), "in")
    require_between("length of the rope", length, 0.0, 20.0 * span + abs(rise), "in")
    u = _solved_sinh_ratio(math.sqrt(length**2 - rise**2) / span)
    return _hang(weight, span, scale=span / (2.0 * u), rise=rise)


def parabola_sag(weight: float, span: float, *, pull: float) -> float:
    """Return the sag of a taut rope between level ends.

    Parameters
    ----------
    weight : float
        Weight of the rope [lbf/in], at least 0.
    span : float
        Distance between the ends [in], at least 0.
    pull : float
        Level part of the tension [lbf], greater than 0.

    Returns
    -------
    float
        Sag at the middle [in].

    Raises
    ------
    ValueRangeError
        If the pull is not greater than 0.

    Notes
    -----
    ``w L^2 / 8 H``; under 1 % too small while sag/span is below 1/20. Below
    that tension use `hang_by_pull`.

    References
    ----------
    H. M. Irvine, Cable Structures, 1981, ch. 2 (from memory).

    Examples
    --------
    >>> parabola_sag(0.065 / 12, 144.0, pull=8.0) / 12
    0.14625
    """
    require_above("pull", pull, 0.0, "lbf")
    return weight * span**2 / (8.0 * pull)


def slack_droop(span: float, slack: float) -> float:
    """Return how far a rope with slack droops between level ends.

    Parameters
    ----------
    span : float
        Distance between the ends [in], greater than 0.
    slack : float
        Length of rope beyond the span [in], at least 0 and at most 19 spans.

    Returns
    -------
    float
        Droop at the middle [in]; 0 without slack.

    Raises
    ------
    ValueRangeError
        If an input is outside its range.

    Notes
    -----
    Catenary by length, exact for a limp rope; the shallow form
    ``sqrt(3 L slack / 8)`` is 1.7 % short at a slack of 5 %.

    References
    ----------
    H. M. Irvine, Cable Structures, 1981, ch. 1 (from memory).

    Examples
    --------
    >>> slack_droop(120.0, 6.0) / 12
    1.393042
    >>> slack_droop(120.0, 0.0)
    0.0
    """
    require_above("span", span, 0.0, "in")
    require_between("slack", slack, 0.0, 19.0 * span, "in")
    if slack <= 1e-12 * span:
        return 0.0
    return hang_by_length(1.0, span, length=span + slack).sag


def clipped_sag(load: float, place: float, span: float, *, pull: float) -> float:
    """Return the sag that a weight clipped to a taut rope adds under itself.

    Parameters
    ----------
    load : float
        Weight of a clamp or sleeve [lbf], at least 0.
    place : float
        Its distance from one end [in], 0 to `span`.
    span : float
        Distance between the ends [in], greater than 0.
    pull : float
        Level part of the tension [lbf], greater than 0.

    Returns
    -------
    float
        Sag under the weight [in]; the sag of the rope itself adds to it.

    Raises
    ------
    ValueRangeError
        If an input is outside its range.

    Notes
    -----
    ``P a (L - a) / (H L)``; slopes up to about 1/20.

    References
    ----------
    Statics of a loaded string (from memory).

    Examples
    --------
    >>> clipped_sag(1.2, 48.0, 120.0, pull=40.0) / 12
    0.072
    """
    require_above("span", span, 0.0, "in")
    require_between("place of the weight", place, 0.0, span, "in")
    require_above("pull", pull, 0.0, "lbf")
    return load * place * (span - place) / (pull * span)


def off_plumb(load: float, *, offset: float, drop: float) -> tuple[float, float]:
    """Return tension and side pull of a rope that hangs off plumb.

    Parameters
    ----------
    load : float
        Weight carried [lbf], at least 0.
    offset : float
        Level distance between the rope's two ends [in], at least 0.
    drop : float
        Height between them [in], greater than 0.

    Returns
    -------
    tension : float
        Tension of the rope [lbf].
    side : float
        Level pull on the run [lbf]; it grows as the drop gets short.

    Raises
    ------
    ValueRangeError
        If the drop is not greater than 0.

    Notes
    -----
    ``W / cos`` and ``W tan``, exact for a straight rope.

    References
    ----------
    Statics.

    Examples
    --------
    >>> off_plumb(5.0, offset=6.0, drop=12.0)
    (5.590170, 2.5)
    >>> off_plumb(5.0, offset=0.0, drop=12.0)
    (5.0, 0.0)
    """
    require_above("drop", drop, 0.0, "in")
    side = load * offset / drop
    return math.hypot(load, side), side


def _hang(weight: float, span: float, *, scale: float, rise: float) -> Hang:
    """Return the catenary with the parameter a = `scale` [in]."""
    half = span / (2.0 * scale)
    chord = 2.0 * scale * math.sinh(half)
    low = span / 2.0 - scale * math.asinh(rise / chord)
    near, far = -low / scale, (span - low) / scale
    steepest = low + scale * math.asinh(rise / span)
    lowest = min(max(low, 0.0), span)

    def below_near(x: float) -> float:
        """Return how far the rope at x is below the near end [in]."""
        middle = ((x - low) / scale + near) / 2.0
        return 2.0 * scale * math.sinh(middle) * math.sinh(-x / (2.0 * scale))

    return Hang(
        sag=below_near(steepest) + rise * steepest / span,
        dip=max(below_near(lowest) + min(rise, 0.0), 0.0),
        length=math.hypot(chord, rise),
        pull=weight * scale,
        near_tension=weight * scale * math.cosh(near),
        far_tension=weight * scale * math.cosh(far),
    )


def _solved_sinh_ratio(ratio: float) -> float:
    """Return u with sinh(u)/u = ratio, for a ratio above 1."""
    excess = ratio - 1.0
    if excess <= 0.0:
        msg = f"rope length / span = {ratio:g} must be greater than 1; give it slack"
        raise ValueRangeError(msg)
    u = math.sqrt(6.0 * excess) if excess < 3.0 else math.log(2.0 * ratio) + 2.0
    for _ in range(60):
        change = (_sinh_excess(u) - excess) / _sinh_slope(u)
        u -= change
        if abs(change) <= 1e-13 * u:
            return u
    msg = f"no catenary found for rope length / span = {ratio:g}"
    raise UnconvergedError(msg)


def _sinh_excess(u: float) -> float:
    """Return sinh(u)/u - 1 without loss for small u."""
    if u < 0.1:
        square = u * u
        return square / 6 * (1 + square / 20 * (1 + square / 42 * (1 + square / 72)))
    return math.sinh(u) / u - 1.0


def _sinh_slope(u: float) -> float:
    """Return the derivative of sinh(u)/u."""
    if u < 0.1:
        square = u * u
        return u / 3 * (1 + square / 10 * (1 + square / 28))
    return (math.cosh(u) - math.sinh(u) / u) / u
