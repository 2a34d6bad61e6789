"""Everything in a barn as rows in rows: room, fixtures by kind, runs, hoists."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from core.drawing.records import SUPPLY, SWITCH
from core.model.barn import Barn
from core.model.electrical import Bond
from core.model.fixtures import Fixture
from core.quantities import LengthStyle, format_length
from viewer.panels.tree_model import Branch
from viewer.panels.words import class_words

__all__ = ["COLUMNS", "Entry", "cell", "object_branches", "row_words"]

COLUMNS = ("Object", "Name", "Place")
_AXES = ("x", "y", "z")


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One row: the id that it chooses, empty for a group, and its object."""

    id: str
    title: str
    item: Any = None


def object_branches(barn: Barn) -> tuple[Branch, ...]:
    """Return the tree of a barn.

    Parameters
    ----------
    barn : Barn
        The document.

    Returns
    -------
    tuple of Branch
        Groups first, each with the objects in it; a group without objects is
        left out.
    """
    room, electrical = barn.room, barn.electrical
    places = [
        _row(key, getattr(electrical, key))
        for key in (SUPPLY, SWITCH)
        if getattr(electrical, key) is not None
    ]
    groups = (
        _group(
            "Room",
            (
                _group("Strips", map(_object, room.strips)),
                _group("Pens", map(_object, room.pens)),
                _group("Alleys", map(_object, room.alleys)),
                _group("Doors", map(_object, room.doors)),
                _group("Bulkheads", map(_object, room.bulkheads)),
            ),
        ),
        _group("Fixtures", _by_kind(barn.fixtures)),
        _group("Runs", (_object(run, run.supports) for run in barn.runs)),
        _group(
            "Hoists",
            (
                _row(h.id, h, (_object(cable, cable.turns) for cable in h.cables))
                for h in barn.hoists
            ),
        ),
        _group(
            "Electrical",
            (
                *places,
                _group("Leads", map(_object, electrical.leads)),
                _group("Jumpers", map(_object, electrical.jumpers)),
                _group("Ground rods", map(_object, electrical.rods)),
                _group("Bonds", map(_bond, range(500), electrical.bonds)),
            ),
        ),
        _group("Eye points", map(_object, barn.eyes)),
    )
    return tuple(group for group in groups if group.rows)


def _group(title: str, rows: Iterable[Branch]) -> Branch:
    kept = tuple(row for row in rows if row.rows or _id_of(row))
    return Branch(key=title, what=Entry(id="", title=title), rows=kept)


def _id_of(row: Branch) -> str:
    return row.what.id if isinstance(row.what, Entry) else ""


def _row(key: str, item: Any, rows: Iterable[Branch] = ()) -> Branch:
    return Branch(key=key, what=Entry(id=key, title=key, item=item), rows=tuple(rows))


def _object(item: Any, inner: Iterable[Any] = ()) -> Branch:
    return _row(item.id, item, map(_object, inner))


def _bond(number: int, bond: Bond) -> Branch:
    what = Entry(
        id=bond.subject, title=f"{bond.subject} to {bond.to or '?'}", item=bond
    )
    return Branch(key=("bond", number), what=what)


def _by_kind(fixtures: Iterable[Fixture]) -> Iterable[Branch]:
    kinds: dict[str, list[Branch]] = defaultdict(list)
    for fixture in fixtures:
        kinds[_plural(type(fixture))].append(_object(fixture))
    return (_group(title, rows) for title, rows in sorted(kinds.items()))


def _plural(cls: type) -> str:
    words = class_words(cls)
    return f"{words[:-1]}ies" if words.endswith("y") else f"{words}s"


def cell(entry: Entry, column: int, *, count: int, style: LengthStyle) -> str:
    """Return the text of a cell.

    Parameters
    ----------
    entry : Entry
        What the row is.
    column : int
        Place in `COLUMNS`.
    count : int
        Number of objects in a group.
    style : LengthStyle
        How lengths are written.

    Returns
    -------
    str
        Empty where there is nothing to say.
    """
    item = entry.item
    match COLUMNS[column]:
        case "Object":
            return entry.title if item is not None else f"{entry.title} ({count})"
        case "Name":
            return str(getattr(item, "name", ""))
    return "" if item is None else _place(item, style)


def row_words(entry: Entry, style: LengthStyle) -> str:
    """Return all that a row says, what it is of among it; empty for a group."""
    item = entry.item
    if item is None:
        return ""
    name = str(getattr(item, "name", ""))
    words = (f"{class_words(type(item))} {entry.title}", name, _place(item, style))
    return ", ".join(word for word in words if word)


def _place(item: Any, style: LengthStyle) -> str:
    """Say where an object is, by the first of its fields that tells."""
    if hasattr(item, "station"):
        return f"station {format_length(item.station, style=style)}"
    if hasattr(item, "wall") and hasattr(item, "offset"):
        offset = format_length(item.offset, style=style)
        return f"{item.wall.value} wall, {offset} along"
    point = _point(item)
    return ", ".join(
        f"{axis} {format_length(value, style=style)}"
        for axis, value in zip(_AXES, point, strict=False)
    )


def _point(item: Any) -> tuple[float, ...]:
    for name in ("at", "start", "eye"):
        if hasattr(item, name):
            return tuple(getattr(item, name))
    for name in ("path", "outline", "points", "route"):
        if hasattr(item, name):
            return tuple(getattr(item, name)[0]) if getattr(item, name) else ()
    if hasattr(item, "winch"):
        return tuple(item.winch.at)
    return (item.x, item.y) if hasattr(item, "x") and hasattr(item, "y") else ()
