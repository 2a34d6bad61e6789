"""A first run over each strip, with supports on trusses: a place to begin from."""

from collections.abc import Callable, Iterator

from core.errors import ValueRangeError
from core.mechanics.support_layout import fewest_supports
from core.model.room import Room, Strip
from core.model.runs import Run, Support
from core.placement.building import truss_stations
from core.rules.registry import rules

__all__ = ["Fresh", "first_runs", "run_between", "run_over"]

Fresh = Callable[[str], str]


def _limit(rule: str) -> float:
    """Return the first limit of a rule, as common practice has it [in]."""
    return next(each.value or 0.0 for each in rules() if each.id == rule)


def first_runs(room: Room, fresh: Fresh) -> Iterator[Run]:
    """Yield a run along the middle of each strip of a room.

    Parameters
    ----------
    room : Room
        The room with its strips and trusses.
    fresh : callable
        Gives an id that nothing has yet, for one like it.

    Yields
    ------
    Run
        With the fewest supports on trusses; without any where trusses are too
        far apart.
    """
    for strip in room.strips:
        yield run_over(room, strip, fresh)


def run_over(room: Room, strip: Strip, fresh: Fresh) -> Run:
    """Return a run along the middle of a strip, clear of the end walls [in]."""
    gap = _limit("layout.end-gap")
    start = max(strip.x, 0.0) + gap
    end = min(strip.x + strip.length, room.length) - gap
    y = strip.y + strip.width / 2
    return run_between(room, start, max(end, start + gap), y, fresh, strip=strip.id)


def run_between(
    room: Room,
    start: float,
    end: float,
    y: float,
    fresh: Fresh,
    *,
    strip: str | None = None,
) -> Run:
    """Return a run along the room with the fewest supports on trusses.

    Parameters
    ----------
    room : Room
        The room.
    start, end : float
        Where it begins and ends along the room [in].
    y : float
        Its place across the room [in].
    fresh : callable
        Gives an id that nothing has yet.
    strip : str, optional
        The strip that it serves.

    Returns
    -------
    Run
        Without supports where trusses are too far apart.
    """
    try:
        places = fewest_supports(
            start,
            end,
            trusses=[truss.x for truss in truss_stations(room)],
            max_span=_limit("support.spacing"),
            max_overhang=_limit("support.ends"),
        )
    except ValueRangeError:
        places = ()
    key = fresh("run-1")
    supports = tuple(
        Support(id=fresh(f"{key}-s1"), station=place - start) for place in places
    )
    return Run(id=key, strip=strip, start=(start, y), end=(end, y), supports=supports)
