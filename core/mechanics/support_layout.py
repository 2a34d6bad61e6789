"""Which trusses a run hangs from, with as few ropes as the limits allow."""

from collections.abc import Sequence

from core.errors import ValueRangeError
from core.ranges import require_above, require_at_least

__all__ = ["fewest_supports"]

_FORGIVEN = 1e-6  # [in] rounding of stations


def fewest_supports(
    start: float,
    end: float,
    *,
    trusses: Sequence[float],
    max_span: float,
    max_overhang: float,
) -> tuple[float, ...]:
    """Return the fewest truss stations that hold a run, the most even of them.

    Parameters
    ----------
    start, end : float
        Ends of the run [in].
    trusses : sequence of float
        Stations where a rope may hang [in], in any order.
    max_span : float
        Largest distance between neighbouring ropes [in], greater than 0.
    max_overhang : float
        Largest distance from an end to its next rope [in], at least 0.

    Returns
    -------
    tuple of float
        Stations in order [in], at least two.

    Raises
    ------
    ValueRangeError
        If no choice keeps the limits; names the gap that is too wide.

    Notes
    -----
    Shortest path over the trusses: fewest ropes first, then the least sum of
    squared spans and overhangs. Exact.

    References
    ----------
    R. Bellman, On a routing problem, Q. Appl. Math. 16, 1958.

    Examples
    --------
    >>> places = [96.0 * k for k in range(6)]
    >>> fewest_supports(0.0, 400.0, trusses=places, max_span=144, max_overhang=48)
    (0.0, 96.0, 192.0, 288.0, 384.0)
    """
    require_above("end of the run", end, start, "in")
    require_above("largest span", max_span, 0.0, "in")
    require_at_least("largest overhang", max_overhang, 0.0, "in")
    places = sorted({place for place in trusses if start <= place <= end})
    best: dict[float, tuple[int, float, float | None]] = {}
    for place in places:
        choices = [
            (best[before][0] + 1, best[before][1] + (place - before) ** 2, before)
            for before in best
            if place - before <= max_span + _FORGIVEN
        ]
        if place - start <= max_overhang + _FORGIVEN:
            best[place] = (1, (place - start) ** 2, None)
        elif choices:
            best[place] = min(choices)
    lasts = [
        (best[place][0], best[place][1] + (end - place) ** 2, place)
        for place in best
        if end - place <= max_overhang + _FORGIVEN and best[place][0] > 1
    ]
    if not lasts:
        raise ValueRangeError(_no_layout(start, end, list(best), max_span))
    return _walk_back(best, min(lasts)[2])


def _walk_back(
    best: dict[float, tuple[int, float, float | None]], last: float
) -> tuple[float, ...]:
    """Return the stations that lead to the last one, in order."""
    path: list[float] = []
    place: float | None = last
    while place is not None:
        path.append(place)
        place = best[place][2]
    return tuple(reversed(path))


def _no_layout(start: float, end: float, reached: list[float], span: float) -> str:
    """Say how far the ropes get."""
    run = f"run from {start:g} in to {end:g} in"
    if not reached:
        return f"{run}: no truss within the largest overhang of its front end"
    return (
        f"{run}: with spans up to {span:g} in the ropes get to {max(reached):g} in "
        "only, or hold it at one place; add blocking or allow a longer span"
    )
