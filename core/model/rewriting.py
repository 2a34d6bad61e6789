"""Changing some objects of a barn and sharing all the others.

A rewrite visits everything that stands in a list of the document; what it
leaves alone stays the same Python object, so that a check can tell by identity
what it need not do again.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from enum import Flag, auto
from functools import cache, partial
from operator import is_
from typing import Any, get_args

from core.catalogue.parts import Part
from core.catalogue.standard import standard_catalogue
from core.errors import EditError
from core.model.barn import Barn
from core.model.consistency import (
    Inconsistency,
    link_faults,
    links_of,
    objects_within,
    own_faults,
)
from core.model.electrical import PLACES
from core.model.job import Reading
from core.model.limits import value_faults
from core.model.spec import (
    KindSpec,
    ListSpec,
    ObjectSpec,
    OptionalSpec,
    Spec,
    fields_of,
)

__all__ = ["Edited", "What", "by_id", "edited", "listed", "replaced", "rewritten"]

_MOST_SHOWN = 3
_NAMELESS = (*get_args(Part), Reading)  # their ids are not those of objects


class What(Flag):
    """The parts of a barn that an edit changed."""

    NAME = auto()
    ROOM = auto()
    FIXTURES = auto()
    RUNS = auto()
    HOISTS = auto()
    ELECTRICAL = auto()
    JOB = auto()
    PARTS = auto()
    EYES = auto()
    RECORD = auto()


@dataclass(frozen=True, slots=True, kw_only=True)
class Edited:
    """A barn after an edit and what is new in it.

    `changed` holds the ids of all objects that were added, removed or are not
    the same as before, and of those that hold them: a moved support changes its
    run too. "supply" and "switch" stand for these two, which have no id.
    """

    barn: Barn
    changed: frozenset[str]
    what: What


def rewritten(item: Any, change: Callable[[Any], tuple[Any, ...]]) -> Any:
    """Apply a change to everything that stands in a list within an object.

    Parameters
    ----------
    item : object
        A barn or any object of it.
    change : callable
        Gives for one object what is to stand in its place: itself, other
        objects, or nothing. It then visits what stands in lists within those.

    Returns
    -------
    object
        The same object if nothing in it changed.
    """
    cls: type = type(item)
    changes = {}
    for name in _containers(cls):
        old = getattr(item, name)
        if old is None:
            continue
        new = (
            _rewritten_list(old, change)
            if isinstance(old, tuple)
            else rewritten(old, change)
        )
        if new is not old:
            changes[name] = new
    return replace(item, **changes) if changes else item


def _rewritten_list(
    items: tuple[Any, ...], change: Callable[[Any], tuple[Any, ...]]
) -> tuple[Any, ...]:
    """Apply a change to the items of a list and to what is in them."""
    new = tuple(rewritten(kept, change) for item in items for kept in change(item))
    same = len(new) == len(items) and all(map(is_, new, items))
    return items if same else new


@cache
def _containers(cls: type) -> tuple[str, ...]:
    """List the fields of a class that hold lists of objects, at any depth."""
    return tuple(field.name for field in fields_of(cls) if _holds_list(field.spec))


def _holds_list(spec: Spec) -> bool:
    """Tell whether a field holds a list of objects, at any depth."""
    match spec:
        case OptionalSpec(inner=inner):
            return _holds_list(inner)
        case ObjectSpec(cls=cls):
            return bool(_containers(cls))
        case ListSpec(item=ObjectSpec() | KindSpec()):
            return True
    return False


def listed(barn: Barn) -> Iterator[Any]:
    """Yield everything that stands in a list of the document, outermost first.

    Parameters
    ----------
    barn : Barn
        The document.

    Yields
    ------
    object
        Objects with and without an id, and the job's own parts.
    """
    found: list[Any] = []

    def note(item: object) -> tuple[object]:
        found.append(item)
        return (item,)

    rewritten(barn, note)
    yield from found


def by_id(barn: Barn) -> dict[str, Any]:
    """Look up the objects of a barn by id, the job's own parts left out.

    Parameters
    ----------
    barn : Barn
        The document.

    Returns
    -------
    dict of str to object
        In file order; at the end what there is of `PLACES`.
    """
    found = {item.id: item for item in listed(barn) if _is_named(item)}
    places = ((name, getattr(barn.electrical, name)) for name in PLACES)
    return found | {name: item for name, item in places if item is not None}


def _is_named(item: object) -> bool:
    """Tell whether an object has an id among those of the barn's objects."""
    return hasattr(item, "id") and not isinstance(item, _NAMELESS)


def edited(before: Barn, after: Barn) -> Edited:
    """Finish an edit: drop links to what is gone, check what is new.

    Parameters
    ----------
    before : Barn
        The barn that was edited.
    after : Barn
        The barn as the edit left it.

    Returns
    -------
    Edited
        The new barn and what changed.

    Raises
    ------
    EditError
        If an id is used twice, or something new breaks a limit or does not fit.
    """
    old = by_id(before)
    after, new = _without_dangling(after, old)
    changed = {
        key for key in old.keys() | new.keys() if old.get(key) is not new.get(key)
    }
    what = What(0)
    for field in fields_of(Barn):
        if getattr(before, field.name) is not getattr(after, field.name):
            what |= What[field.name.upper()]
    _check(before, after, new)
    return Edited(barn=after, changed=frozenset(changed), what=what)


def replaced(before: Barn, after: Barn) -> Edited:
    """Tell of a whole barn in the place of another one, without checking it again.

    Parameters
    ----------
    before, after : Barn
        Two barns that have nothing to do with each other, such as two files.

    Returns
    -------
    Edited
        The second barn; everything of both counts as changed.
    """
    changed = frozenset((*by_id(before), *by_id(after)))
    return Edited(barn=after, changed=changed, what=~What(0))


def _without_dangling(barn: Barn, old: dict[str, Any]) -> tuple[Barn, dict[str, Any]]:
    """Drop the links to what is gone, and what cannot be without its link."""
    new = by_id(barn)
    gone = old.keys() - new.keys()
    while gone:
        barn = rewritten(barn, partial(_unlinked, gone=gone))
        left = by_id(barn)
        gone = new.keys() - left.keys()
        new = left
    return barn, new


def _unlinked(item: Any, gone: set[str]) -> tuple[Any, ...]:
    """Drop the links of one object to what is gone; or the object, if it must link."""
    cls: type = type(item)
    lost = {link.field for link in links_of(item) if link.id in gone}
    if not lost or isinstance(item, Part):
        return (item,)
    optional = {
        field.name for field in fields_of(cls) if isinstance(field.spec, OptionalSpec)
    }
    return (replace(item, **dict.fromkeys(lost)),) if lost <= optional else ()


def _check(before: Barn, after: Barn, ids: dict[str, Any]) -> None:
    """Refuse ids used twice and new objects that break a limit or do not fit."""
    _check_ids(after)
    fresh = list(_fresh(before, after))
    parts = {
        part.id: type(part)
        for part in (*standard_catalogue().by_id.values(), *after.parts)
    }
    classes = {key: type(item) for key, item in ids.items()}
    linking = fresh if before.parts is after.parts else list(objects_within(after))
    faults = [
        *(fault for item in fresh for fault in value_faults(item)),
        *link_faults(linking, ids=classes, parts=parts),
    ]
    # the shape of an object is asked for only where its values are right
    if not faults:
        faults = [fault for item in fresh for fault in own_faults(item)]
    if faults:
        raise EditError("; ".join(map(_words, faults[:_MOST_SHOWN])))


def _check_ids(barn: Barn) -> None:
    """Refuse an id that two things have, or one of the names without an id."""
    seen = set(PLACES)
    own = [part.id for part in barn.parts]
    for item in listed(barn):
        if _is_named(item):
            if item.id in seen:
                msg = f'the id "{item.id}" is taken; choose another'
                raise EditError(msg)
            seen.add(item.id)
    if len(own) != len(set(own)):
        msg = "two parts of the job have one id; choose another"
        raise EditError(msg)


def _fresh(before: Any, after: Any) -> Iterator[Any]:
    """Yield the objects that are not shared with the barn before."""
    if before is after:
        return
    yield after
    cls: type = type(after)
    for field in fields_of(cls):
        old, new = getattr(before, field.name), getattr(after, field.name)
        if isinstance(new, tuple):
            shared = {id(item) for item in old} if isinstance(old, tuple) else set()
            for item in new:
                if id(item) not in shared:
                    yield from objects_within(item)
        elif type(old) is type(new):
            yield from _fresh_object(old, new)
        else:
            yield from objects_within(new)


def _fresh_object(old: Any, new: Any) -> Iterator[Any]:
    """Yield the fresh objects of a field that holds one object."""
    if hasattr(type(new), "__dataclass_fields__"):
        yield from _fresh(old, new)


def _words(fault: Inconsistency) -> str:
    """Word what an edit may not do."""
    name = type(fault.subject).__name__
    identity = getattr(fault.subject, "id", None)
    subject = f'{name} "{identity}"' if identity else name
    near = f'; did you mean "{fault.nearest}"?' if fault.nearest else ""
    return f"{subject}: {fault.field} = {fault.found}, expected {fault.expected}{near}"
