"""One typed value as one edit: into one object, or into all that are chosen."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from core.drawing.records import SUPPLY, SWITCH
from core.errors import EditError
from core.model import edits
from core.model.barn import Barn, object_ids
from core.model.edits import Edited
from core.model.rewriting import by_id, edited

__all__ = ["Path", "delete", "new_ids", "objects_of", "set_value", "with_value"]

Path = tuple[str | int, ...]
_PLACES: Mapping[str, str] = {SUPPLY: "supply", SWITCH: "switch"}


def with_value(item: Any, path: Path, value: object) -> Any:
    """Return a copy of an object with one value in it replaced.

    Parameters
    ----------
    item : object
        An object or a tuple of the document.
    path : tuple of str and int
        Fields and places in tuples, from the outside in; empty is the item itself.
    value : object
        What is to stand there.

    Returns
    -------
    object
        The copy.

    Examples
    --------
    >>> with_value(((0.0, 1.0), (2.0, 3.0)), (1, 0), 9.0)
    ((0.0, 1.0), (9.0, 3.0))
    """
    if not path:
        return value
    step, rest = path[0], path[1:]
    if isinstance(step, int):
        inner = with_value(item[step], rest, value)
        return (*item[:step], inner, *item[step + 1 :])
    return replace(item, **{step: with_value(getattr(item, step), rest, value)})


def objects_of(barn: Barn, ids: Sequence[str]) -> dict[str, Any]:
    """Look objects up by their ids, the supply and the switch among them.

    Parameters
    ----------
    barn : Barn
        The document.
    ids : sequence of str
        Ids; those that are not there are left out.

    Returns
    -------
    dict of str to object
        In the order of the ids.
    """
    known = by_id(barn)
    for key, field in _PLACES.items():
        place = getattr(barn.electrical, field)
        if place is not None:
            known[key] = place
    return {each: known[each] for each in ids if each in known}


def new_ids(before: Barn, after: Barn) -> tuple[str, ...]:
    """Return the ids that a barn has and another has not, in file order."""
    known = set(object_ids(before))
    return tuple(each for each in object_ids(after) if each not in known)


def set_value(barn: Barn, ids: Sequence[str], path: Path, value: object) -> Edited:
    """Set one value of one or more objects.

    Parameters
    ----------
    barn : Barn
        The document.
    ids : sequence of str
        The ids of the objects.
    path : tuple of str and int
        Where the value stands in each of them.
    value : object
        The value.

    Returns
    -------
    Edited
        The new barn and what changed, as one edit.

    Raises
    ------
    EditError
        If an object is not there, or the value is wrong or does not fit.
    """
    after = barn
    for key in ids:
        found = objects_of(after, (key,))
        if key not in found:
            msg = f'there is no "{key}" in this barn any more'
            raise EditError(msg)
        after = _put(after, key, with_value(found[key], path, value))
    return edited(barn, after)


def _put(barn: Barn, key: str, item: Any) -> Barn:
    if key in _PLACES:
        electrical = replace(barn.electrical, **{_PLACES[key]: item})
        return edits.set_electrical(barn, electrical).barn
    return edits.replace_object(barn, item, id=key).barn


def delete(barn: Barn, ids: Sequence[str]) -> Edited:
    """Delete objects, the supply and the switch among them.

    Parameters
    ----------
    barn : Barn
        The document.
    ids : sequence of str
        The ids.

    Returns
    -------
    Edited
        The new barn and what changed, as one edit.

    Raises
    ------
    EditError
        If there is no object of an id.
    """
    after = barn
    for key in ids:
        if key in _PLACES:
            after = _put(after, key, None)
    rest = [key for key in ids if key not in _PLACES]
    return edited(barn, edits.delete_objects(after, rest).barn if rest else after)
