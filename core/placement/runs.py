"""Where a run is: in plan, at each lift, and with its points as a swept body."""

import math

from core.catalogue.catalogue import Catalogue
from core.catalogue.parts import Tube
from core.errors import ValueRangeError
from core.geometry.runs import SagProfile, SweptRun, Swing
from core.geometry.shapes import Vec2
from core.model.room import Room
from core.model.runs import PointDirection, Run
from core.placement.ceiling import lowest_ceiling

__all__ = [
    "ENVELOPE",
    "height_at",
    "point_at",
    "run_body",
    "run_direction",
    "run_length",
    "stow_height",
    "travel",
    "tube_radius",
]

ENVELOPE = 6.0  # [in] common practice, no published source


def run_length(run: Run) -> float:
    """Return the length of a run in plan [in]."""
    return math.dist(run.start, run.end)


def run_direction(run: Run) -> Vec2:
    """Return the unit vector from a run's front end to its far end [-].

    Raises
    ------
    ValueRangeError
        If the run has no length.
    """
    length = run_length(run)
    if length == 0.0:
        message = f'run "{run.id}": length = 0 in, move one end away from the other'
        raise ValueRangeError(message)
    return (
        (run.end[0] - run.start[0]) / length,
        (run.end[1] - run.start[1]) / length,
    )


def point_at(run: Run, station: float) -> Vec2:
    """Return the plan point of a station.

    Parameters
    ----------
    run : Run
        The run.
    station : float
        Distance from its front end [in]; less than 0 or beyond the far end is
        on the line drawn on.

    Returns
    -------
    Vec2
        Plan point [in].
    """
    along = run_direction(run)
    return (run.start[0] + station * along[0], run.start[1] + station * along[1])


def tube_radius(run: Run, catalogue: Catalogue) -> float:
    """Return half of the outside diameter of a run's tube [in]."""
    return catalogue.find(Tube, run.tube).outside_diameter / 2


def stow_height(run: Run, room: Room, catalogue: Catalogue) -> float:
    """Return the height of a stowed run's axis at its supports.

    Parameters
    ----------
    run, room, catalogue
        The run, its room, and the parts.

    Returns
    -------
    float
        Height [in]; never below the working height.

    Notes
    -----
    ``lowest ceiling over the run - stow drop - OD / 2``. Under a ceiling too low
    for that the run cannot be lifted: it stays at its working height.
    """
    lowest = lowest_ceiling(room, run.start, run.end)
    stowed = lowest - run.stow_drop - tube_radius(run, catalogue)
    return max(stowed, run.working_height)


def travel(run: Run, room: Room, catalogue: Catalogue) -> float:
    """Return how far a run is lifted, ``stow height - working height >= 0`` [in]."""
    return stow_height(run, room, catalogue) - run.working_height


def height_at(run: Run, room: Room, catalogue: Catalogue, *, lift: float) -> float:
    """Return the height of a run's axis at its supports.

    Parameters
    ----------
    run, room, catalogue
        The run, its room, and the parts.
    lift : float
        0 at working height, 1 stowed [-].

    Returns
    -------
    float
        ``working height + lift travel`` [in].
    """
    return run.working_height + lift * travel(run, room, catalogue)


def run_body(
    run: Run,
    room: Room,
    catalogue: Catalogue,
    *,
    sag: SagProfile | None = None,
    side_allowance: float = 0.0,
    swing: Swing | None = None,
    limit: float = ENVELOPE,
) -> SweptRun:
    """Return a run's live metal and the travel that it is lifted through.

    Parameters
    ----------
    run, room, catalogue
        The run, its room, and the parts.
    sag : SagProfile, optional
        How the axis hangs below its supports.
    side_allowance : float
        Way to each side that the run may take besides [in].
    swing : Swing, optional
        How far the ropes may swing.
    limit : float
        Air to keep round the live metal [in].

    Returns
    -------
    SweptRun
        The tube with its points.

    Raises
    ------
    ValueRangeError
        If the pulley line of the swing is below the stowed run.

    Notes
    -----
    The body is a rectangle round the axis grown by the tube's radius r. A point
    whose tip is `reach` from the axis extends it by ``reach - r`` that way, so
    that the grown body ends exactly at the tip: DOWN below, UP above, SIDES to
    both sides. A RING of points extends it all four ways; at 45 degrees that is
    ``(sqrt(2) - 1) (reach - r)`` more than the ring needs. Points shorter than r
    extend nothing. The points count along the whole run, past its ends by r.
    """
    radius = tube_radius(run, catalogue)
    tip = max(0.0, run.points.reach - radius)
    way = run.points.direction
    ring = way is PointDirection.RING
    return SweptRun(
        start=run.start,
        end=run.end,
        low=run.working_height,
        travel=travel(run, room, catalogue),
        radius=radius,
        down=tip if ring or way is PointDirection.DOWN else 0.0,
        up=tip if ring or way is PointDirection.UP else 0.0,
        side=(tip if ring or way is PointDirection.SIDES else 0.0) + side_allowance,
        limit=limit,
        sag=sag,
        swing=swing,
    )
