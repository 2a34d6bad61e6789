"""Objects of a barn in another place."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from core.model.fields import Point3
from core.model.room import Wall
from core.model.runs import Run
from core.model.spec import (
    ListSpec,
    NumberSpec,
    ObjectSpec,
    OptionalSpec,
    Spec,
    TupleSpec,
    fields_of,
)

__all__ = ["shifted"]

_AXES: Mapping[str, int] = {"x": 0, "y": 1, "z": 2, "top": 2, "bottom": 2}
_AXIS_OF_WALL: Mapping[Wall, int] = {
    Wall.FRONT: 1,
    Wall.BACK: 1,
    Wall.LEFT: 0,
    Wall.RIGHT: 0,
}


def shifted(item: Any, by: Point3) -> Any:
    """Return an object moved by a vector.

    What is mounted on a wall goes along its wall, what hangs from the ceiling
    stays below it, and a run moved up has a higher working height.

    Parameters
    ----------
    item : object
        Any object of the document.
    by : Point3
        The move along x, y and z [in].

    Returns
    -------
    object
        A copy; the objects within it are moved too.
    """
    cls: type = type(item)
    changes = {
        field.name: _moved(getattr(item, field.name), field.spec, field.name, by)
        for field in fields_of(cls)
    }
    wall = getattr(item, "wall", None)
    if wall is not None and hasattr(item, "offset"):
        changes["offset"] = item.offset + by[_AXIS_OF_WALL[wall]]
    if isinstance(item, Run):
        changes["working_height"] = item.working_height + by[2]
    return replace(item, **changes)


def _moved(value: Any, spec: Spec, name: str, by: Point3) -> Any:
    """Move one value of an object, if it is a place."""
    match spec:
        case OptionalSpec(inner=inner):
            return None if value is None else _moved(value, inner, name, by)
        case TupleSpec(items=items):
            return tuple(value[k] + by[k] for k in range(len(items)))
        case ListSpec(item=inner):
            return tuple(_moved(each, inner, name, by) for each in value)
        case ObjectSpec():
            return shifted(value, by)
        case NumberSpec() if name in _AXES:
            return value + by[_AXES[name]]
    return value
