"""Where a finding is, in the words of someone with a tape measure in the barn."""

import math
from bisect import bisect_left

from core.geometry.shapes import Vec2
from core.model.barn import Barn
from core.model.room import Room
from core.model.runs import Run
from core.placement.building import truss_stations
from core.placement.runs import point_at
from core.quantities import LengthStyle
from core.rules.finding import Finding
from core.rules.wording import measure

__all__ = ["place_words", "truss_words"]

_AT_TRUSS = 3.0  # [in] nearer to a chord's middle than this, one is at the truss


def place_words(finding: Finding, barn: Barn, *, style: LengthStyle) -> str:
    """Say where a finding is: station, height and truss, as far as they are known.

    Parameters
    ----------
    finding : Finding
        Any finding.
    barn : Barn
        The barn that it was found in.
    style : LengthStyle
        How lengths are written.

    Returns
    -------
    str
        Such as ``"15 ft 0 in from the front end of run-1, height 4 ft 2 in, between
        trusses 5 and 6"``, or an empty text for a finding without a place.
    """
    run = next((run for run in barn.runs if run.id == finding.subject), None)
    station = None if run is None else _station(finding, run)
    words = []
    if run is not None and station is not None:
        along = measure(station, "in", style=style)
        words.append(f"{along} from the front end of {run.id}")
        plan: Vec2 | None = point_at(run, station)
    else:
        plan = finding.points[0][:2] if finding.points else None
        words += _plan_words(plan, style)
    height = finding.points[0][2] if finding.points else None
    height = height if finding.height is None else finding.height
    if height is not None:
        words.append(f"height {measure(height, 'in', style=style)}")
    if plan is not None:
        words += truss_words(barn.room, plan[0])
    return ", ".join(words)


def _station(finding: Finding, run: Run) -> float | None:
    """Return the station of a finding, or of the support that it names."""
    if finding.station is not None and math.isfinite(finding.station):
        return finding.station
    supports = (s.station for s in run.supports if s.id == finding.other)
    return next(supports, None)


def _plan_words(plan: Vec2 | None, style: LengthStyle) -> list[str]:
    if plan is None:
        return []
    along, across = (measure(length, "in", style=style) for length in plan)
    return [f"{along} from the front wall", f"{across} from the left wall"]


def truss_words(room: Room, x: float) -> list[str]:
    """Name the truss at a place along the room, or the two beside it.

    Parameters
    ----------
    room : Room
        The room.
    x : float
        Distance from the front wall [in].

    Returns
    -------
    list of str
        One text; none where the room has no trusses.
    """
    trusses = truss_stations(room)
    if not trusses:
        return []
    nearest = min(trusses, key=lambda truss: abs(truss.x - x))
    if abs(nearest.x - x) <= _AT_TRUSS:
        return [f"at truss {nearest.number}"]
    place = bisect_left([truss.x for truss in trusses], x)
    if place == 0:
        return [f"before truss {trusses[0].number}"]
    if place == len(trusses):
        return [f"beyond truss {trusses[-1].number}"]
    before, after = trusses[place - 1], trusses[place]
    return [f"between trusses {before.number} and {after.number}"]
