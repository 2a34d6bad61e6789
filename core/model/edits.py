"""Every change that can be made to a barn: a pure function of barn and request.

Each gives the new barn and what changed in it; everything else is shared with
the barn before. What cannot be done raises `EditError` and changes nothing.
"""

import math
import re
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import replace
from difflib import get_close_matches
from typing import Any

from core.catalogue.parts import Part
from core.errors import EditError
from core.model.barn import Barn
from core.model.consistency import links_of
from core.model.electrical import (
    PLACES,
    Electrical,
    GroundRod,
    IsolatingSwitch,
    Jumper,
    Lead,
    Supply,
)
from core.model.fields import Point2, Point3
from core.model.fixtures import Fixture
from core.model.hoists import Hoist, PullCable, RunEnd, TurningPulley
from core.model.job import CommissioningRecord, EyePoint, Job, Reading
from core.model.moving import shifted
from core.model.rewriting import Edited, What, by_id, edited, rewritten
from core.model.room import Alley, Bulkhead, Door, Pen, Room, Strip
from core.model.runs import Run, Support

__all__ = [
    "Edited",
    "What",
    "add_objects",
    "copy_objects",
    "delete_objects",
    "delete_part",
    "move_objects",
    "move_run_end",
    "move_supply",
    "move_support",
    "move_switch",
    "rename_barn",
    "replace_object",
    "set_electrical",
    "set_job",
    "set_part",
    "set_record",
    "set_room",
    "split_strip",
]

_NUMBERED = re.compile(r"(.*?)-?(\d+)")

# The list that an object of a class stands in: under the barn, or under another
# object of the class named.
_HOMES: Mapping[type, tuple[type, str]] = {
    Bulkhead: (Room, "bulkheads"),
    Strip: (Room, "strips"),
    Pen: (Room, "pens"),
    Alley: (Room, "alleys"),
    Door: (Room, "doors"),
    Run: (Barn, "runs"),
    Support: (Run, "supports"),
    Hoist: (Barn, "hoists"),
    PullCable: (Hoist, "cables"),
    TurningPulley: (PullCable, "turns"),
    Lead: (Electrical, "leads"),
    Jumper: (Electrical, "jumpers"),
    GroundRod: (Electrical, "rods"),
    EyePoint: (Barn, "eyes"),
}


def add_objects(
    barn: Barn, items: Iterable[object], *, owner: str | None = None
) -> Edited:
    """Add objects at the end of the lists where they belong.

    Parameters
    ----------
    barn : Barn
        The document.
    items : iterable of object
        Fixtures, runs, pens and the like, each with an id of its own.
    owner : str or None
        The id of the run for supports, of the hoist for cables and of the cable
        for turning pulleys.

    Returns
    -------
    Edited
        The new barn and what changed.

    Raises
    ------
    EditError
        If an object has no place there, its id is taken or a value is wrong.
    """
    after = barn
    for item in items:
        after = _added(after, item, owner)
    return edited(barn, after)


def replace_object(barn: Barn, item: Any, *, id: str | None = None) -> Edited:  # noqa: A002 - the field's name
    """Put an object in the place of the one with its id.

    Parameters
    ----------
    barn : Barn
        The document.
    item : object
        The object as it is to be.
    id : str or None
        The id of the one that it replaces, where it gets another; what names
        the old id then names the new one.

    Returns
    -------
    Edited
        The new barn and what changed.

    Raises
    ------
    EditError
        If there is no such object, it is of another class, or a value is wrong.
    """
    old_id = item.id if id is None else id
    old = _find(barn, old_id)
    is_place = old_id in PLACES
    if type(item) is not type(old) if is_place else _home(item) != _home(old):
        msg = f'"{old_id}" is a {type(old).__name__}, not a {type(item).__name__}'
        raise EditError(msg)
    if is_place:
        return edited(barn, _with_place(barn, old_id, item))
    after = rewritten(barn, lambda each: (item if each is old else each,))
    if item.id != old_id:
        after = rewritten(after, lambda each: (_relinked(each, old_id, item.id),))
    return edited(barn, after)


def delete_objects(barn: Barn, ids: Collection[str]) -> Edited:
    """Delete objects and what cannot be without them.

    A pen or a run loses its link to a deleted strip; the cable, leads, jumpers,
    bonds and readings of a deleted run go with it.

    Parameters
    ----------
    barn : Barn
        The document.
    ids : collection of str
        The ids of the objects; "supply" and "switch" name these two.

    Returns
    -------
    Edited
        The new barn; `changed` names everything that went or lost a link.

    Raises
    ------
    EditError
        If there is no object of an id.
    """
    gone = {id(_find(barn, each)) for each in ids}
    after = rewritten(barn, lambda i: () if id(i) in gone else (i,))
    for place in PLACES:
        if place in ids:
            after = _with_place(after, place, None)
    return edited(barn, after)


def move_objects(barn: Barn, ids: Collection[str], by: Point3) -> Edited:
    """Move objects by a vector.

    A run takes its supports along, a hoist its winch, pull point and turning
    pulleys. A support on its own goes along its run, what is mounted on a wall
    along its wall, and what hangs from the ceiling stays below it.

    Parameters
    ----------
    barn : Barn
        The document.
    ids : collection of str
        The ids of the objects; "supply" and "switch" name these two.
    by : Point3
        The move along x, y and z [in].

    Returns
    -------
    Edited
        The new barn and what changed.

    Raises
    ------
    EditError
        If there is no object of an id, or a new place is impossible.
    """
    places = [each for each in PLACES if each in ids]
    after = rewritten(barn, _mover(barn, set(ids) - set(places), by))
    for place in places:
        after = _shifted_place(after, place, by)
    return edited(barn, after)


def move_run_end(barn: Barn, run: str, end: RunEnd, to: Point2) -> Edited:
    """Move one end of a run; supports keep their place along it.

    Supports are measured from the front end, so that moving it shifts them.

    Parameters
    ----------
    barn : Barn
        The document.
    run : str
        The id of the run.
    end : RunEnd
        Which end.
    to : Point2
        Where to [in].

    Returns
    -------
    Edited
        The new barn and what changed.

    Raises
    ------
    EditError
        If there is no such run, it would have no length or lose a support.
    """
    old = _find_as(barn, Run, run)
    changes = {"start" if end is RunEnd.FRONT else "end": to}
    return _swap(barn, old, replace(old, **changes))


def move_support(barn: Barn, support: str, *, station: float) -> Edited:
    """Move a support along its run.

    Parameters
    ----------
    barn : Barn
        The document.
    support : str
        The id of the support.
    station : float
        Distance from the run's front end [in].

    Returns
    -------
    Edited
        The new barn and what changed.

    Raises
    ------
    EditError
        If there is no such support, or the station is off the run or taken.
    """
    old = _find_as(barn, Support, support)
    return _swap(barn, old, replace(old, station=station))


def move_switch(barn: Barn, *, to: Point3) -> Edited:
    """Put the isolating switch in a place; there is one afterwards.

    Parameters
    ----------
    barn : Barn
        The document.
    to : Point3
        Where to [in].

    Returns
    -------
    Edited
        The new barn and what changed.
    """
    old = barn.electrical.switch
    switch = IsolatingSwitch(at=to) if old is None else replace(old, at=to)
    return set_electrical(barn, replace(barn.electrical, switch=switch))


def move_supply(barn: Barn, *, to: Point3) -> Edited:
    """Put the supply in a place; there is one afterwards, its outlet stays.

    Parameters
    ----------
    barn : Barn
        The document.
    to : Point3
        Where to [in].

    Returns
    -------
    Edited
        The new barn and what changed.
    """
    old = barn.electrical.supply
    supply = Supply(at=to) if old is None else replace(old, at=to)
    return set_electrical(barn, replace(barn.electrical, supply=supply))


def copy_objects(
    barn: Barn, ids: Collection[str], by: Point3, *, count: int = 1
) -> Edited:
    """Copy objects along a line, each copy with ids that nothing else has.

    A copied run has supports of its own, but no cable and no lead.

    Parameters
    ----------
    barn : Barn
        The document.
    ids : collection of str
        The ids of the objects.
    by : Point3
        The step from one copy to the next [in].
    count : int
        Number of copies of each object [-], 1 to 500.

    Returns
    -------
    Edited
        The new barn; the new ids are those in `changed` that it had not before.

    Raises
    ------
    EditError
        If there is no object of an id, one is a hoist, a cable, a lead, a
        jumper, the supply or the switch, or a copy has no place.
    """
    if not 1 <= count <= 500:
        msg = f"count = {count} copies, expected 1 to 500"
        raise EditError(msg)
    within = {s.id for run in barn.runs if run.id in ids for s in run.supports}
    wanted = {key: _copied(_find(barn, key)) for key in set(ids) - within}
    fresh = _fresh_ids(by_id(barn))
    movers = [_mover(barn, wanted, _times(by, k + 1)) for k in range(count)]

    def with_copies(item: Any) -> tuple[Any, ...]:
        if not any(item is each for each in wanted.values()):
            return (item,)
        copies = [_renamed(mover(item)[0], fresh) for mover in movers]
        return (item, *copies)

    return edited(barn, rewritten(barn, with_copies))


def split_strip(barn: Barn, strip: str, *, count: int) -> Edited:
    """Divide a strip along the room into pens of one length, in place of its own.

    Parameters
    ----------
    barn : Barn
        The document.
    strip : str
        The id of the strip.
    count : int
        Number of pens [-], 1 to 200.

    Returns
    -------
    Edited
        The new barn and what changed; partitions are as in the first pen before.

    Raises
    ------
    EditError
        If there is no such strip or the count is out of range.
    """
    if not 1 <= count <= 200:
        msg = f"count = {count} pens, expected 1 to 200"
        raise EditError(msg)
    area = _find_as(barn, Strip, strip)
    old = [pen for pen in barn.room.pens if pen.strip == strip]
    kept = tuple(pen for pen in barn.room.pens if pen.strip != strip)
    taken = by_id(barn).keys() - {pen.id for pen in old}
    fresh = _fresh_ids(dict.fromkeys(taken))
    pens = tuple(
        _pen(area, index, count, fresh(f"{strip}-pen-1"), like=old[0] if old else None)
        for index in range(count)
    )
    return edited(barn, replace(barn, room=replace(barn.room, pens=(*kept, *pens))))


def rename_barn(barn: Barn, name: str) -> Edited:
    """Give a barn another name.

    Parameters
    ----------
    barn : Barn
        The document.
    name : str
        The name.

    Returns
    -------
    Edited
        The new barn and what changed.

    Raises
    ------
    EditError
        If the name is empty.
    """
    return edited(barn, replace(barn, name=name))


def set_room(barn: Barn, room: Room) -> Edited:
    """Put another room in place; links to what it no longer has are dropped.

    Parameters
    ----------
    barn : Barn
        The document.
    room : Room
        The room.

    Returns
    -------
    Edited
        The new barn and what changed.

    Raises
    ------
    EditError
        If a value is wrong or does not fit.
    """
    return edited(barn, replace(barn, room=room))


def set_job(barn: Barn, job: Job) -> Edited:
    """Put another job in place: title block, settings, rule values.

    Parameters
    ----------
    barn : Barn
        The document.
    job : Job
        The job.

    Returns
    -------
    Edited
        The new barn and what changed.

    Raises
    ------
    EditError
        If a value is wrong.
    """
    return edited(barn, replace(barn, job=job))


def set_electrical(barn: Barn, electrical: Electrical) -> Edited:
    """Put another electrical side in place.

    Parameters
    ----------
    barn : Barn
        The document.
    electrical : Electrical
        The electrical side.

    Returns
    -------
    Edited
        The new barn and what changed.

    Raises
    ------
    EditError
        If a value is wrong or a link leads nowhere.
    """
    return edited(barn, replace(barn, electrical=electrical))


def set_record(barn: Barn, record: CommissioningRecord | None) -> Edited:
    """Put another commissioning record in place.

    Parameters
    ----------
    barn : Barn
        The document.
    record : CommissioningRecord or None
        The record.

    Returns
    -------
    Edited
        The new barn and what changed.

    Raises
    ------
    EditError
        If a value is wrong or a link leads nowhere.
    """
    return edited(barn, replace(barn, record=record))


def set_part(barn: Barn, part: Part) -> Edited:
    """Add a part of the job's own, or replace the one with its id.

    Parameters
    ----------
    barn : Barn
        The document.
    part : Part
        The part.

    Returns
    -------
    Edited
        The new barn and what changed.

    Raises
    ------
    EditError
        If a value is wrong, or something uses the id for another kind of part.
    """
    known = any(own.id == part.id for own in barn.parts)
    parts = (
        tuple(part if own.id == part.id else own for own in barn.parts)
        if known
        else (*barn.parts, part)
    )
    return edited(barn, replace(barn, parts=parts))


def delete_part(barn: Barn, part: str) -> Edited:
    """Delete a part of the job's own.

    Parameters
    ----------
    barn : Barn
        The document.
    part : str
        Its id.

    Returns
    -------
    Edited
        The new barn and what changed.

    Raises
    ------
    EditError
        If there is no such part, or something still uses it.
    """
    parts = tuple(own for own in barn.parts if own.id != part)
    if len(parts) == len(barn.parts):
        raise EditError(_not_there(part, (own.id for own in barn.parts)))
    return edited(barn, replace(barn, parts=parts))


def _added(barn: Barn, item: Any, owner: str | None) -> Barn:
    """Put one object at the end of its list."""
    cls, field = _home(item)
    if cls is Room:
        return replace(barn, room=_with(barn.room, field, item))
    if cls is Electrical:
        return replace(barn, electrical=_with(barn.electrical, field, item))
    if cls is Barn:
        added: Barn = _with(barn, field, item)
        return added
    if owner is None:
        what = f'the {type(item).__name__} "{item.id}"'
        msg = f"{what} needs an owner; name its {cls.__name__}"
        raise EditError(msg)
    home = _find_as(barn, cls, owner)
    new: Barn = rewritten(barn, lambda i: (_with(i, field, item) if i is home else i,))
    return new


def _with(home: Any, field: str, item: object) -> Any:
    """Append an object to a list of another."""
    return replace(home, **{field: (*getattr(home, field), item)})


def _home(item: object) -> tuple[type, str]:
    """Return the class and the list that an object belongs in."""
    if isinstance(item, Fixture):
        return Barn, "fixtures"
    home = _HOMES.get(type(item))
    if home is None:
        msg = f"a {type(item).__name__} has no id and no list; set what holds it"
        raise EditError(msg)
    return home


def _find(barn: Barn, key: str) -> Any:
    """Look an object up, or say that it is not there."""
    items = by_id(barn)
    if key not in items:
        raise EditError(_not_there(key, items))
    return items[key]


def _find_as(barn: Barn, cls: type, key: str) -> Any:
    """Look an object of a class up, or say that it is not there."""
    item = _find(barn, key)
    if not isinstance(item, cls):
        msg = f'"{key}" is a {type(item).__name__}, expected a {cls.__name__}'
        raise EditError(msg)
    return item


def _not_there(key: str, known: Iterable[str]) -> str:
    """Say that an id is not there, with the nearest one."""
    near = get_close_matches(key, list(known), n=1)
    hint = f'; did you mean "{near[0]}"?' if near else ""
    return f'there is no "{key}" in this barn{hint}'


def _swap(barn: Barn, old: object, new: object) -> Edited:
    """Put one object in the place of another."""
    return edited(barn, rewritten(barn, lambda i: (new if i is old else i,)))


def _relinked(item: Any, old: str, new: str) -> Any:
    """Let an object name a new id where it named an old one."""
    if isinstance(item, Reading):
        return _relabelled(item, old, new)
    lost = {link.field: new for link in links_of(item) if link.id == old}
    return replace(item, **lost) if lost and not isinstance(item, Part) else item


def _relabelled(reading: Reading, old: str, new: str) -> Reading:
    """Let a reading such as `bond/probe-1` follow the object that it is of."""
    kind, *rest = reading.id.split("/")
    if rest[:1] != [old]:
        return reading
    return replace(reading, id="/".join((kind, new, *rest[1:])))


def _mover(
    barn: Barn, ids: Collection[str], by: Point3
) -> Callable[[Any], tuple[Any, ...]]:
    """Return a change that moves the objects of some ids."""
    items = {key: _find(barn, key) for key in ids}
    inside = {
        id(part)
        for item in items.values()
        if isinstance(item, Hoist | PullCable)
        for part in _parts_of(item)
    }
    wanted = {id(item) for item in items.values()} - inside
    steps = {
        id(support): _along(run, by)
        for run in barn.runs
        if id(run) not in wanted
        for support in run.supports
        if id(support) in wanted
    }

    def move(item: Any) -> tuple[Any, ...]:
        if id(item) not in wanted:
            return (item,)
        if isinstance(item, Support):
            step = steps.get(id(item))
            return (
                item if step is None else replace(item, station=item.station + step),
            )
        return (shifted(item, by),)

    return move


def _parts_of(item: Hoist | PullCable) -> Iterator[object]:
    """Yield what moves along with a hoist or a cable."""
    if isinstance(item, Hoist):
        for cable in item.cables:
            yield cable
            yield from cable.turns
    else:
        yield from item.turns


def _along(run: Run, by: Point3) -> float:
    """Return the part of a move that goes along a run [in]."""
    length = math.dist(run.start, run.end)
    dx, dy = (run.end[k] - run.start[k] for k in (0, 1))
    return (dx * by[0] + dy * by[1]) / length


def _shifted_place(barn: Barn, place: str, by: Point3) -> Barn:
    """Move the supply with its outlet, or the isolating switch."""
    item = getattr(barn.electrical, place)
    if item is None:
        raise EditError(_not_there(place, ()))
    return _with_place(barn, place, shifted(item, by))


def _with_place(barn: Barn, place: str, item: Any) -> Barn:
    """Put another supply or switch in place, or none."""
    return replace(barn, electrical=replace(barn.electrical, **{place: item}))


def _times(by: Point3, count: int) -> Point3:
    """Multiply a vector."""
    return by[0] * count, by[1] * count, by[2] * count


def _copied(item: object) -> object:
    """Return what may be copied; refuse what exists once for each run or winch."""
    if isinstance(item, Supply | IsolatingSwitch):
        msg = "the supply and the switch are not copied; one room has one of each"
        raise EditError(msg)
    if isinstance(item, Hoist | PullCable | TurningPulley | Lead | Jumper):
        name = type(item).__name__
        msg = f"a {name} belongs to its runs and is not copied; add one instead"
        raise EditError(msg)
    return item


def _renamed(item: Any, fresh: Callable[[str], str]) -> Any:
    """Give a copy and what is in it new ids; a copied door is not the main one."""
    changes: dict[str, Any] = {"id": fresh(item.id)}
    if isinstance(item, Run):
        supports = (replace(s, id=fresh(s.id)) for s in item.supports)
        changes["supports"] = tuple(supports)
    if isinstance(item, Door):
        changes["main"] = False
    return replace(item, **changes)


def _fresh_ids(taken: Mapping[str, object]) -> Callable[[str], str]:
    """Return a function that makes ids like a given one that nothing has."""
    used = set(taken)

    def fresh(like: str) -> str:
        found = _NUMBERED.fullmatch(like)
        stem = found[1] if found and found[1] else like
        number = int(found[2]) if found and found[1] else 1
        while f"{stem}-{number}" in used:
            number += 1
        used.add(f"{stem}-{number}")
        return f"{stem}-{number}"

    return fresh


def _pen(area: Strip, index: int, count: int, name: str, *, like: Pen | None) -> Pen:
    """Make one of the pens of a strip."""
    step = area.length / count
    left, right = area.x + step * index, area.x + step * (index + 1)
    low, high = area.y, area.y + area.width
    outline = ((left, low), (right, low), (right, high), (left, high))
    if like is None:
        return Pen(id=name, outline=outline, strip=area.id)
    return replace(like, id=name, outline=outline)
