"""What a field may name: the objects of some classes in a barn, by id and in words."""

from core.drawing.records import SUPPLY, SWITCH
from core.model.barn import Barn
from core.model.rewriting import by_id
from viewer.panels.words import class_words

__all__ = ["targets_in"]


def targets_in(barn: Barn, targets: tuple[type, ...]) -> dict[str | None, str]:
    """List the objects of some classes.

    Parameters
    ----------
    barn : Barn
        The document.
    targets : tuple of type
        Classes of the model; `object` is anything in the barn.

    Returns
    -------
    dict of str to str
        A line for each id.
    """
    found: dict[str | None, str] = {
        key: _line(key, item)
        for key, item in by_id(barn).items()
        if isinstance(item, targets)
    }
    if targets == (object,):
        found |= {
            key: f"{key} (electrical)"
            for key in (SUPPLY, SWITCH)
            if getattr(barn.electrical, key) is not None
        }
    return found


def _line(key: str, item: object) -> str:
    name = getattr(item, "name", "") or class_words(type(item)).lower()
    return f"{key} ({name})"
