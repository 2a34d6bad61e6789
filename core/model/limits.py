"""Whether the values of an object keep the limits of their fields."""

import math
from collections.abc import Iterator, Mapping

from core.model.consistency import Inconsistency
from core.model.fields import Quantity
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

__all__ = ["value_faults"]

_UNITS: Mapping[Quantity | None, str] = {
    Quantity.LENGTH: " in",
    Quantity.ANGLE: " rad",
    Quantity.VOLTAGE: " V",
    Quantity.WEIGHT: " lb",
    Quantity.SPEED: " in/s",
    Quantity.TEMPERATURE: " degrees Celsius",
    None: "",
}


def value_faults(item: object) -> Iterator[Inconsistency]:
    """Find values of one object that its fields do not allow.

    Parameters
    ----------
    item : object
        An object of the document; the objects within it are not looked into.

    Yields
    ------
    Inconsistency
        With the value and the limit in internal units.
    """
    cls: type = type(item)
    for field in fields_of(cls):
        for found, expected in _faults(getattr(item, field.name), field.spec):
            yield Inconsistency(
                subject=item, field=field.name, found=found, expected=expected
            )


def _faults(value: object, spec: Spec) -> Iterator[tuple[str, str]]:
    """Yield what was found and expected for one value."""
    match spec:
        case OptionalSpec(inner=inner):
            yield from () if value is None else _faults(value, inner)
        case ListSpec() | TupleSpec():
            yield from _list_faults(value, spec)
        case NumberSpec():
            if not _is_number(value, spec):
                yield f"{value}{_UNITS[spec.quantity]}", _number_words(spec)
        case _:
            if not _is_right(value, spec):
                yield repr(value)[:60], _words(spec)


def _list_faults(
    value: object, spec: ListSpec | TupleSpec
) -> Iterator[tuple[str, str]]:
    """Yield what is wrong with the length and the items of a tuple."""
    if not isinstance(value, tuple):
        yield repr(value)[:60], "a tuple"
        return
    if isinstance(spec, TupleSpec):
        least, specs = len(spec.items), list(spec.items)
        right = len(value) == least
    else:
        least, specs = spec.shortest, [spec.item] * len(value)
        right = len(value) >= least
    if not right:
        yield f"{len(value)} items", f"{least} items"
        return
    for item, item_spec in zip(value, specs, strict=True):
        yield from _faults(item, item_spec)


def _is_number(value: object, spec: NumberSpec) -> bool:
    """Tell whether a value is a number within the limits."""
    if isinstance(value, bool) or not isinstance(
        value, int if spec.whole else int | float
    ):
        return False
    return spec.allows(value)


def _is_right(value: object, spec: Spec) -> bool:
    """Tell whether a value that is no number is one that the field takes."""
    match spec:
        case TextSpec():
            return isinstance(value, str) and spec.allows(value)
        case FlagSpec():
            return isinstance(value, bool)
        case ChoiceSpec(choices=choices):
            return any(
                type(value) is type(member) and value == member
                for member in choices.values()
            )
        case ObjectSpec(cls=cls):
            return type(value) is cls
        case KindSpec(kinds=kinds):
            return type(value) in kinds.values()
    return False


def _number_words(spec: NumberSpec) -> str:
    """Say the limits of a number."""
    unit = _UNITS[spec.quantity]
    lower = (
        f"more than {spec.above:.6g}{unit}"
        if math.isfinite(spec.above)
        else f"at least {max(spec.least, -spec.reach):.6g}{unit}"
    )
    return f"{lower} and at most {min(spec.most, spec.reach):.6g}{unit}"


def _words(spec: Spec) -> str:
    """Say what a field takes that is no number."""
    match spec:
        case TextSpec(shortest=shortest):
            words = "a text that is not empty" if shortest else "a text"
            return words + ", without control characters"
        case ChoiceSpec(choices=choices):
            return "one of " + ", ".join(map(str, choices))
        case ObjectSpec(cls=cls):
            return f"a {cls.__name__}"
        case KindSpec(kinds=kinds):
            return "one of " + ", ".join(kinds)
    return "true or false"
