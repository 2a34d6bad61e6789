"""One typed value as one edit: into one object, or into all that are chosen."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from core.errors import EditError
from core.model import edits
from core.model.barn import Barn, object_ids
from core.model.edits import Edited
from core.model.rewriting import by_id, edited

__all__ = ["Path", "new_ids", "objects_of", "set_value", "with_value"]

Path = tuple[str | int, ...]


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
        item = with_value(found[key], path, value)
        after = edits.replace_object(after, item, id=key).barn
    return edited(barn, after)
