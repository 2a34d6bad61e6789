"""What the screws of a winch and of its dead end carry, and what they hold."""

import math
from collections.abc import Iterator
from dataclasses import replace

from core.analysis.anchors import ScrewHold, hold_in
from core.analysis.winches import pull_point_at, winch_part
from core.catalogue import parts
from core.catalogue.catalogue import Catalogue
from core.geometry.shapes import Vec3
from core.mechanics.anchor import combined_value
from core.mechanics.fixing import screw_pull
from core.model.hoists import Fixing, Hoist, Parts
from core.model.room import Room, Wall
from core.placement.vectors import added, dot, subtracted, unit
from core.placement.walls import wall_frame
from core.rules.hoist_evidence import FixingLoads, WinchLoads

__all__ = ["fixing_loads", "fixings_of", "on_wall"]

# Where the maker of a winch states nothing: a base as long as the drum's flange is
# across, the rope at the far side of a full drum that clears it by this [in].
_CLEARANCE = 0.5  # common practice, no published source
# A pad eye on two rows of screws; common practice, no published source.
_EYE_HEIGHT, _EYE_SPREAD = 1.0, 2.5  # [in]
_NO_LUMBER = "it stands on no added lumber"


def fixing_loads(
    hoist: Hoist, room: Room, catalogue: Catalogue, winch: WinchLoads, travel: float
) -> tuple[FixingLoads, ...]:
    """Return the fixings of a hoist at the lift with the greatest pull.

    Parameters
    ----------
    hoist, room, catalogue
        The hoist, its room, and the parts.
    winch : WinchLoads
        Its winch at work; none of its screws is known where its pull is not.
    travel : float
        Way of the pull point [in].

    Returns
    -------
    tuple of FixingLoads
        Of the winch, and of the dead end where that has a place of its own.

    Notes
    -----
    The weight of the winch counts where it adds to the pull, the force of a hand on
    its handle does not. A winch on a post is taken to be pulled along the wood.
    """
    if not math.isfinite(winch.pull):
        return ()
    return tuple(_fixings(hoist, room, catalogue, winch, travel))


def _fixings(
    hoist: Hoist, room: Room, catalogue: Catalogue, winch: WinchLoads, travel: float
) -> Iterator[FixingLoads]:
    part = winch_part(hoist, catalogue)
    point = pull_point_at(hoist, travel, winch.pull_at)
    height = part.line_height or part.flange_diameter + _CLEARANCE
    spread = part.screw_spread or part.flange_diameter
    for name, what, fixing, at in fixings_of(hoist):
        if what == "winch":
            force = _on_winch(hoist, winch, point, part.weight)
            lever = (height, spread)
        else:
            force = _towards(at, point, winch.dead_end or 0.0)
            lever = (_EYE_HEIGHT, _EYE_SPREAD)
        place = on_wall(room, hoist.winch.wall, at)
        hold = _hold(hoist, room, catalogue, fixing)
        row = _fixing(fixing, hold, force, lever, _inward(room, hoist.winch.wall))
        yield replace(row, id=name, what=what, wall=hoist.winch.wall, at=place)


def _on_winch(hoist: Hoist, winch: WinchLoads, point: Vec3, weight: float) -> Vec3:
    """Return the pull on a winch, that of a dead end on it included [lbf]."""
    pull = winch.pull
    if hoist.dead_end is None:
        pull += winch.dead_end or 0.0
    force = _towards(hoist.winch.at, point, pull)
    return added(force, (0.0, 0.0, -weight)) if force[2] < 0.0 else force


def _towards(at: Vec3, point: Vec3, size: float) -> Vec3:
    return added((0.0, 0.0, 0.0), unit(subtracted(point, at)), size)


def fixings_of(hoist: Hoist) -> Iterator[tuple[str, str, Fixing, Vec3]]:
    """Yield name, kind, screws and place of each base that a hoist is held by [in].

    Those of hoist-1 are winch-1 and end-1. A dead end has screws of its own where
    it has a place of its own.
    """
    winch, name = hoist.winch, hoist.id.removeprefix("hoist-")
    yield f"winch-{name}", "winch", winch.fixing, winch.at
    if hoist.parts is Parts.TWO and hoist.dead_end is not None:
        end = f"end-{name}"
        yield end, "dead end", hoist.dead_end_fixing, hoist.dead_end


def on_wall(room: Room, wall: Wall | None, at: Vec3) -> Vec3:
    """Return the place on a wall's inner face that is nearest to a point [in]."""
    if wall is None:
        return at
    frame = wall_frame(room, wall)
    away = (at[0] - frame.start[0], at[1] - frame.start[1])
    along = away[0] * frame.along[0] + away[1] * frame.along[1]
    x, y = frame.point(along)
    return (x, y, at[2])


def _inward(room: Room, wall: Wall | None) -> Vec3 | None:
    if wall is None:
        return None
    x, y = wall_frame(room, wall).inward
    return (x, y, 0.0)


def _fixing(
    fixing: Fixing,
    hold: ScrewHold,
    force: Vec3,
    lever: tuple[float, float],
    inward: Vec3 | None,
) -> FixingLoads:
    """Return what screws carry and hold, without whose they are and where."""
    (height, spread), size = lever, math.hypot(*force)
    out = 0.0 if inward is None else dot(force, inward)
    along = math.sqrt(max(size**2 - out**2, 0.0))
    pull = screw_pull(out, along, height=height, spread=spread, screws=fixing.screws)
    allowed = 0.0
    if not hold.trouble:
        allowed = combined_value(hold.withdrawal, hold.side, pull.angle)
    return FixingLoads(
        id="",
        what="",
        part=fixing.anchor,
        screws=fixing.screws,
        wall=None,
        at=(0.0, 0.0, 0.0),
        force=force,
        height=height,
        spread=spread,
        withdrawal=pull.withdrawal,
        side=pull.side,
        thread=hold.thread,
        allowed=allowed,
        use=pull.size / allowed if allowed else math.inf,
        trouble=hold.trouble,
    )


def _hold(hoist: Hoist, room: Room, catalogue: Catalogue, fixing: Fixing) -> ScrewHold:
    """Return what a screw holds in the lumber, of the species of the trusses."""
    if not hoist.winch.on_lumber:
        return ScrewHold(withdrawal=0.0, side=0.0, thread=0.0, trouble=_NO_LUMBER)
    wood = catalogue.find(parts.Wood, room.trusses.wood)
    screw = catalogue.find(parts.AnchorScrew, fixing.anchor)
    return hold_in(wood, screw, thickness=fixing.lumber)
