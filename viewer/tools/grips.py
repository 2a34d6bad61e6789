"""From what has been taken hold of to its mover."""

from dataclasses import replace
from functools import partial

from core.drawing.handles import Floor
from core.drawing.records import SUPPLY, SWITCH, Grip
from core.geometry.shapes import Vec3
from core.model import edits
from core.model.barn import Barn
from core.model.electrical import GroundRod, Lead
from core.model.fixtures import Fixture
from core.model.hoists import Hoist, TurningPulley
from core.model.job import EyePoint
from core.model.room import Alley, Bulkhead, Door, Pen, Strip
from core.model.runs import Run, Support
from viewer.tools.fixture_movers import fixture_mover, wall_mover, why_no_point
from viewer.tools.hoist_movers import (
    hoist_mover,
    supply_mover,
    switch_mover,
    turn_mover,
)
from viewer.tools.movers import (
    Kept,
    Mover,
    object_notes,
    objects_mover,
    to_grid,
)
from viewer.tools.outline_movers import outline_mover
from viewer.tools.run_movers import run_end_mover, run_mover, support_mover
from viewer.tools.steps import Request, Stage

__all__ = [
    "is_room_part",
    "movable_ids",
    "mover_of",
    "movers_of_many",
    "object_of",
    "why_it_stays",
]

RoomPart = Alley | Bulkhead | Door | Pen | Strip
Movable = (
    Fixture
    | Run
    | tuple[Run, Support]
    | Hoist
    | TurningPulley
    | EyePoint
    | GroundRod
    | Lead
    | RoomPart
)
_OF_OUTLINES = (Grip.VERTEX, Grip.EDGE)


def object_of(barn: Barn, owner: str) -> Movable | None:
    """Return what an id stands for, a support with its run; None if nothing."""
    return _movables(barn).get(owner)


def _movables(barn: Barn) -> dict[str, Movable]:
    room = barn.room
    found: dict[str, Movable] = {}
    for group in (room.bulkheads, room.strips, room.pens, room.alleys, room.doors):
        found |= {part.id: part for part in group}
    found |= {fixture.id: fixture for fixture in barn.fixtures}
    for run in barn.runs:
        found[run.id] = run
        found |= {support.id: (run, support) for support in run.supports}
    for hoist in barn.hoists:
        found[hoist.id] = hoist
        found |= {turn.id: turn for cable in hoist.cables for turn in cable.turns}
    found |= {rod.id: rod for rod in barn.electrical.rods}
    found |= {lead.id: lead for lead in barn.electrical.leads}
    return found | {eye.id: eye for eye in barn.eyes}


def is_room_part(barn: Barn, owner: str) -> bool:
    """Tell whether an id is a strip, pen, alley, door or bulkhead."""
    return isinstance(object_of(barn, owner), RoomPart)


def why_it_stays(barn: Barn, owner: str) -> str:
    """Return why an object cannot be dragged by its body; empty if it can be."""
    if any(lead.id == owner for lead in barn.electrical.leads):
        return (
            f"{owner} goes from the supply to its run; drag these, or a point of its "
            "route"
        )
    if any(jumper.id == owner for jumper in barn.electrical.jumpers):
        return f"{owner} joins two runs; drag these, or type its stations"
    if any(cable.id == owner for hoist in barn.hoists for cable in hoist.cables):
        return f"{owner} goes where its pulleys are; drag these"
    return ""


def mover_of(stage: Stage, owner: str, grip: Grip, part: str = "") -> Mover | None:
    """Return the mover of an object, None for what cannot be dragged.

    Parameters
    ----------
    stage : Stage
        The document and its view.
    owner : str
        Id of the object; `SUPPLY` and `SWITCH` stand for these two.
    grip : Grip
        What of it is held.
    part : str
        Which point of a path, by its index.
    """
    if owner in (SUPPLY, SWITCH):
        return _cabinet_mover(stage, owner)
    item = object_of(stage.barn, owner)
    match item:
        case Run():
            ends = (Grip.START, Grip.END)
            if grip in ends:
                return run_end_mover(stage, item, grip)
            return run_mover(stage, item)
        case (Run() as run, Support() as support):
            return support_mover(stage, run, support)
        case Hoist():
            return hoist_mover(stage, item, grip)
        case TurningPulley():
            return turn_mover(stage, item)
        case EyePoint():
            return _eye_mover(stage, item, grip)
        case Lead():
            return _lead_mover(stage, item, int(part)) if grip is Grip.VERTEX else None
        case Alley() | Bulkhead() | Door() | GroundRod() | Pen() | Strip():
            return _floor_mover(stage, item, grip, part)
    return fixture_mover(stage, item, grip, part) if item is not None else None


def _floor_mover(
    stage: Stage, item: RoomPart | GroundRod, grip: Grip, part: str
) -> Mover:
    """Return the mover of a part of the room, of its outline where that is held."""
    if isinstance(item, Door):
        return wall_mover(stage, item)
    if grip in _OF_OUTLINES and not isinstance(item, GroundRod):
        return outline_mover(stage, item, grip, int(part))
    start = _corner(item)
    name = f"Move {item.id}"
    return objects_mover(stage, frozenset({item.id}), start, name=name)


def _cabinet_mover(stage: Stage, owner: str) -> Mover | None:
    electrical = stage.barn.electrical
    if owner == SUPPLY and electrical.supply is not None:
        return supply_mover(stage, electrical.supply.at)
    if owner == SWITCH and electrical.switch is not None:
        return switch_mover(stage, electrical.switch.at)
    return None


def _corner(item: Floor | GroundRod) -> Vec3:
    match item:
        case GroundRod():
            return (*item.at, 0.0)
        case Pen():
            return (*item.outline[0], 0.0)
    return (item.x, item.y, 0.0)


def movable_ids(barn: Barn, ids: frozenset[str]) -> frozenset[str]:
    """Return those of some ids that can be moved by a vector, each only once.

    Supports of a run and pulleys of a hoist that move too go with these.
    """
    carried = {s.id for run in barn.runs if run.id in ids for s in run.supports}
    carried |= {
        turn.id
        for hoist in barn.hoists
        if hoist.id in ids
        for cable in hoist.cables
        for turn in cable.turns
    }
    known = _movables(barn).keys() | _cabinets(barn)
    leads = {lead.id for lead in barn.electrical.leads}
    return (ids & known) - carried - leads


def movers_of_many(stage: Stage, ids: frozenset[str], held: str) -> Mover | None:
    """Return the mover of several objects at once; `held` is under the pointer.

    That one keeps to what it keeps to alone, the others go by the same vector.
    """
    moved = movable_ids(stage.barn, ids)
    single = mover_of(stage, held, Grip.BODY)
    if single is None or not moved:
        return None
    name = f"Move {len(moved)} objects"
    mover = objects_mover(stage, moved, single.start, name=name)
    is_run = isinstance(object_of(stage.barn, held), Run | tuple)
    notes = single.notes if is_run else mover.notes
    return replace(mover, keep=single.keep, notes=notes, why=single.why)


def _cabinets(barn: Barn) -> set[str]:
    electrical = barn.electrical
    found = {SUPPLY: electrical.supply, SWITCH: electrical.switch}
    return {owner for owner, item in found.items() if item is not None}


def _lead_mover(stage: Stage, lead: Lead, index: int) -> Mover:
    """Return the mover of one point of a lead's fixed route."""

    def ask(kept: Kept) -> Request:
        route = (*lead.route[:index], kept.at, *lead.route[index + 1 :])
        edit = partial(edits.replace_object, item=replace(lead, route=route))
        return Request(name=f"Reroute {lead.id}", edit=edit)

    return Mover(
        start=lead.route[index],
        keep=to_grid,
        ask=ask,
        notes=object_notes(stage, lead.id, moving=frozenset()),
        why=partial(why_no_point, lead.id, lead.route, index),
    )


def _eye_mover(stage: Stage, eye: EyePoint, grip: Grip) -> Mover:
    """Return the mover of an eye point, or of what it looks at."""
    start = eye.look if grip is Grip.LOOK else eye.eye

    def ask(kept: Kept) -> Request:
        item = (
            replace(eye, look=kept.at)
            if grip is Grip.LOOK
            else replace(eye, eye=kept.at)
        )
        edit = partial(edits.replace_object, item=item)
        return Request(name=f"Move {eye.id}", edit=edit)

    notes = object_notes(stage, eye.id, moving=frozenset())
    return Mover(start=start, keep=to_grid, ask=ask, notes=notes)
