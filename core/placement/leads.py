"""Where high-voltage leads and jumpers hang at a lift."""

import math

from core.catalogue.catalogue import Catalogue
from core.catalogue.parts import HvLead
from core.electrics.lead import lead_shape
from core.geometry.shapes import Vec3
from core.model.electrical import Jumper, Lead
from core.model.room import Room
from core.model.runs import Run
from core.placement.runs import height_at, point_at
from core.placement.solids import Group, Strand

__all__ = ["hanging_line", "jumper_strand", "lead_strands", "terminal_point"]

# A lead as short as its ends are apart hangs straight; so does one that is longer
# by less than this share, where the sag is under 1 in 10 000 of the span.
_TAUT = 1e-8


def terminal_point(
    run: Run, room: Room, catalogue: Catalogue, *, station: float, lift: float
) -> Vec3:
    """Return a place on a run's axis at a lift, sag left out [in]."""
    x, y = point_at(run, station)
    return (x, y, height_at(run, room, catalogue, lift=lift))


def hanging_line(a: Vec3, b: Vec3, *, length: float) -> tuple[Vec3, ...]:
    """Return the line of a lead between two points.

    Parameters
    ----------
    a, b : Vec3
        Its ends [in].
    length : float
        Its length [in]. A lead that is too short is drawn taut: straight.

    Returns
    -------
    tuple of Vec3
        From a to b: a catenary, within 0.05 in, or the two ends [in].
    """
    if length <= math.dist(a, b) * (1.0 + _TAUT):
        return (a, b)
    shape = lead_shape(a, b, length=length)
    return tuple((x, y, z) for x, y, z in shape.tolist())


def lead_strands(
    lead: Lead, run: Run, room: Room, catalogue: Catalogue, *, lift: float
) -> tuple[Strand, ...]:
    """Return the fixed route of a lead and its free part.

    Parameters
    ----------
    lead, run, room, catalogue
        The lead, the run that it feeds, the room, and the parts.
    lift : float
        0 at working height, 1 stowed [-].

    Returns
    -------
    tuple of Strand
        "route" (if it has two points or more) and "free part", which ends at the
        terminal on the run's axis; none for a lead without a route.
    """
    if not lead.route:
        return ()
    end = terminal_point(run, room, catalogue, station=lead.terminal, lift=lift)
    lines = {
        "route": lead.route,
        "free part": hanging_line(lead.route[-1], end, length=lead.free_length),
    }
    radius = catalogue.find(HvLead, lead.part).outside_diameter / 2
    return tuple(
        Strand(owner=lead.id, part=part, group=Group.LEAD, points=points, radius=radius)
        for part, points in lines.items()
        if len(points) > 1
    )


def jumper_strand(
    jumper: Jumper,
    from_run: Run,
    to_run: Run,
    room: Room,
    catalogue: Catalogue,
    *,
    lift: float,
) -> Strand:
    """Return a jumper as it hangs between two runs at a lift.

    Parameters
    ----------
    jumper, from_run, to_run, room, catalogue
        The jumper, its two runs, the room, and the parts.
    lift : float
        0 at working height, 1 stowed [-].
    """
    a = terminal_point(
        from_run, room, catalogue, station=jumper.from_station, lift=lift
    )
    b = terminal_point(to_run, room, catalogue, station=jumper.to_station, lift=lift)
    return Strand(
        owner=jumper.id,
        part="jumper",
        group=Group.LEAD,
        points=hanging_line(a, b, length=jumper.length),
        radius=catalogue.find(HvLead, jumper.part).outside_diameter / 2,
    )
