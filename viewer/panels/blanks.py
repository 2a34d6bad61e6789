"""A value to begin with where a field is to be given one."""

from typing import Any

from core.model.fields import Point3, Quantity
from core.model.spec import (
    ChoiceSpec,
    FlagSpec,
    KindSpec,
    ListSpec,
    NumberSpec,
    ObjectSpec,
    OptionalSpec,
    Spec,
    TextSpec,
    TupleSpec,
    fields_of,
)

__all__ = ["blank", "blank_object", "next_item"]

_USUAL = {Quantity.LENGTH: 12.0, Quantity.VOLTAGE: 30_000.0}
_STEP = 12.0  # from the last point of a path to a new one [in]


def blank(spec: Spec, *, near: Point3 = (0.0, 0.0, 0.0)) -> Any:
    """Return a value that a field takes.

    Parameters
    ----------
    spec : Spec
        What the field allows.
    near : Point3
        Where a place is to be [in].

    Returns
    -------
    object
        A usual value, not yet the right one.
    """
    match spec:
        case NumberSpec():
            return _number(spec)
        case TextSpec(shortest=shortest):
            return "new" if shortest else ""
        case FlagSpec():
            return False
        case ChoiceSpec(choices=choices):
            return next(iter(choices.values()))
        case TupleSpec(items=items):
            return tuple(near[: len(items)])
        case ListSpec(item=item, shortest=shortest):
            return tuple(blank(item, near=near) for _ in range(shortest))
        case ObjectSpec(cls=cls):
            return blank_object(cls, near=near)
        case KindSpec(kinds=kinds):
            return blank_object(next(iter(kinds.values())), near=near)
        case OptionalSpec():
            return None


def blank_object(cls: type, *, near: Point3) -> Any:
    """Return an object with a value in every field that needs one."""
    needed = (field for field in fields_of(cls) if field.required)
    return cls(**{field.name: blank(field.spec, near=near) for field in needed})


def _number(spec: NumberSpec) -> float:
    usual = _USUAL.get(spec.quantity, 1.0) if spec.quantity else 1.0
    value = 0.0 if spec.allows(0.0) else usual
    return int(value) if spec.whole else value


def next_item(spec: ListSpec, items: tuple[Any, ...], place: int) -> Any:
    """Return an item to put into a list, before a place.

    Between two points or numbers it is the middle, behind the last one a step on.
    """
    if not items:
        return blank(spec.item)
    before, after = items[place - 1 : place], items[place : place + 1]
    if isinstance(spec.item, TupleSpec):
        if before and after:
            return tuple((a + b) / 2 for a, b in zip(before[0], after[0], strict=True))
        start = (before or after)[0]
        return (start[0] + _STEP, *start[1:])
    if isinstance(spec.item, NumberSpec):
        if before and after:
            return (before[0] + after[0]) / 2
        return (before or after)[0] + (_STEP if before else 0.0)
    return blank(spec.item)
