"""The job's own parts as edits: new ones, copies, values; none in use is lost."""

from collections.abc import Iterator, Mapping
from dataclasses import is_dataclass, replace
from functools import cache
from itertools import count
from operator import is_
from typing import Any

from core.catalogue.catalogue import Catalogue
from core.catalogue.parts import Origin, Part
from core.catalogue.standard import standard_catalogue
from core.errors import EditError
from core.model import edits
from core.model.barn import Barn
from core.model.consistency import links_of, objects_within
from core.model.edits import Edited
from core.model.rewriting import edited
from core.model.spec import fields_of
from viewer.panels.changing import Path, with_value

__all__ = [
    "add_copy",
    "add_new",
    "delete",
    "own_part",
    "set_part_value",
    "standard_by_kind",
    "users_of",
]


@cache
def standard_by_kind() -> Mapping[str, tuple[Part, ...]]:
    """Return the standard parts of each kind, in the order of the catalogue."""
    kinds: dict[str, list[Part]] = {}
    for part in standard_catalogue().by_id.values():
        kinds.setdefault(part.kind, []).append(part)
    return {kind: tuple(parts) for kind, parts in kinds.items()}


def own_part(barn: Barn, key: str) -> Part | None:
    """Return the job's own part with an id, None if it has none."""
    return next((part for part in barn.parts if part.id == key), None)


def add_new(barn: Barn, kind: str) -> Edited:
    """Add a part of a kind, in the sizes of the first standard one of it.

    Its numbers count as from memory until somebody says where they come from.

    Parameters
    ----------
    barn : Barn
        The document.
    kind : str
        A kind of `standard_by_kind`.

    Returns
    -------
    Edited
        The new barn and what changed; the part is the last of the job's own.
    """
    like = standard_by_kind()[kind][0]
    fresh = replace(
        like,
        id=_fresh_id(barn, kind),
        description=f"new {kind.replace('-', ' ')}",
        source="",
        origin=Origin.FROM_MEMORY,
    )
    return edits.set_part(barn, fresh)


def add_copy(barn: Barn, catalogue: Catalogue, key: str) -> Edited:
    """Add a copy of a part; its source says what it was copied from.

    Parameters
    ----------
    barn : Barn
        The document.
    catalogue : Catalogue
        The standard parts with the job's own.
    key : str
        The id of the part to copy.

    Returns
    -------
    Edited
        The new barn and what changed; the part is the last of the job's own.
    """
    like = catalogue.by_id[key]
    source = f"copied from {like.id}: {like.source or like.origin.words}"
    return edits.set_part(
        barn, replace(like, id=_fresh_id(barn, like.id), source=source)
    )


def set_part_value(barn: Barn, key: str, path: Path, value: object) -> Edited:
    """Set one value of a part of the job's own; a new id is followed by its users.

    Parameters
    ----------
    barn : Barn
        The document.
    key : str
        The id of the part.
    path : tuple of str and int
        Where the value stands in it.
    value : object
        The value.

    Returns
    -------
    Edited
        The new barn and what changed.

    Raises
    ------
    EditError
        If there is no such part, or the value is wrong or does not fit.
    """
    part = own_part(barn, key)
    if part is None:
        msg = f'the job has no part "{key}" of its own any more'
        raise EditError(msg)
    new = with_value(part, path, value)
    if new.id == key:
        return edits.set_part(barn, new)
    parts = tuple(new if each is part else each for each in barn.parts)
    return edited(barn, _following(replace(barn, parts=parts), key, new.id))


def delete(barn: Barn, key: str) -> Edited:
    """Delete a part of the job's own that nothing uses.

    Raises
    ------
    EditError
        If something uses it and no standard part has its id.
    """
    users = users_of(barn, key)
    if users and key not in standard_catalogue().by_id:
        verb = "uses" if len(users) == 1 else "use"
        msg = f'{_joined(users)} {verb} "{key}"; choose another part there first'
        raise EditError(msg)
    return edits.delete_part(barn, key)


def users_of(barn: Barn, key: str) -> tuple[str, ...]:
    """Return the names of what uses a part: runs, hoists, leads, the trusses."""
    return tuple(name for name, item in _holders(barn) if _uses(item, key))


def _holders(barn: Barn) -> Iterator[tuple[str, object]]:
    electrical = barn.electrical
    for items in (barn.runs, barn.hoists, electrical.leads, electrical.jumpers):
        yield from ((item.id, item) for item in items)
    yield "the room", barn.room


def _uses(holder: object, key: str) -> bool:
    return any(
        link.id == key and issubclass(link.targets[0], Part)
        for item in objects_within(holder)
        for link in links_of(item)
    )


def _following(item: Any, old: str, new: str) -> Any:
    """Let everything within an object name a part by its new id."""
    if isinstance(item, tuple):
        made = tuple(_following(each, old, new) for each in item)
        return item if all(map(is_, made, item)) else made
    if not is_dataclass(item) or isinstance(item, Part | type):
        return item
    changes: dict[str, Any] = {
        link.field: new
        for link in links_of(item)
        if link.id == old and issubclass(link.targets[0], Part)
    }
    for field in fields_of(type(item)):
        value = getattr(item, field.name)
        kept = _following(value, old, new)
        if kept is not value:
            changes[field.name] = kept
    return replace(item, **changes) if changes else item


def _fresh_id(barn: Barn, like: str) -> str:
    used = {*standard_catalogue().by_id, *(part.id for part in barn.parts)}
    return next(f"{like}-own{k}" for k in count(1) if f"{like}-own{k}" not in used)


def _joined(names: tuple[str, ...]) -> str:
    if len(names) > 3:
        return f"{', '.join(names[:3])} and {len(names) - 3} more"
    *first, last = names
    return f"{', '.join(first)} and {last}" if first else last
