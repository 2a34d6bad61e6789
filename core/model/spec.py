"""What each field of the document allows, read from the model's own annotations.

The file border, the JSON Schema and the edits all go by these specs, so that a
limit is written once: beside the field.
"""

import dataclasses
import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from functools import cache
from types import UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from annotated_types import Ge, Gt, Le, MinLen

from core.model.fields import Quantity

__all__ = [
    "ChoiceSpec",
    "FieldSpec",
    "FlagSpec",
    "KindSpec",
    "ListSpec",
    "NumberSpec",
    "ObjectSpec",
    "OptionalSpec",
    "Spec",
    "TextSpec",
    "TupleSpec",
    "fields_of",
    "kinds_of",
    "spec_of",
]

# No barn comes near these; they keep a slip of the keyboard out of the sums.
_REACH: Mapping[Quantity | None, float] = {
    Quantity.LENGTH: 1e6,  # [in], 16 miles
    Quantity.ANGLE: 100.0,  # [rad], 16 turns
    Quantity.VOLTAGE: 1e7,  # [V]
    Quantity.WEIGHT: 1e7,  # [lbf]
    Quantity.SPEED: 1e5,  # [in/s]
    Quantity.TEMPERATURE: 1e3,  # [degC]
    None: 1e15,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberSpec:
    """A finite number in internal units within its limits."""

    quantity: Quantity | None = None
    whole: bool = False
    above: float = -math.inf
    least: float = -math.inf
    most: float = math.inf

    @property
    def reach(self) -> float:
        """Largest magnitude that is taken for meant, in internal units."""
        return _REACH[self.quantity]

    def allows(self, value: float) -> bool:
        """Tell whether a number keeps the limits.

        Parameters
        ----------
        value : float
            Number in internal units.

        Returns
        -------
        bool
            False for NaN and infinity too.
        """
        return (
            value > self.above
            and self.least <= value <= self.most
            and abs(value) <= self.reach
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class TextSpec:
    """A text of at least `shortest` characters, blanks around it not counted."""

    shortest: int = 0

    def allows(self, text: str) -> bool:
        """Tell whether a text keeps the limits.

        Parameters
        ----------
        text : str
            A text.

        Returns
        -------
        bool
            False for a text with characters that a file or a terminal cannot
            take: control characters, and halves of a pair of code units.
        """
        return len(text.strip()) >= self.shortest and all(map(_is_plain, text))


@dataclass(frozen=True, slots=True, kw_only=True)
class FlagSpec:
    """Yes or no."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChoiceSpec:
    """One of some words or numbers; each stands for a value of the document."""

    choices: Mapping[str | int, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class ListSpec:
    """Any number of items of one kind, at least `shortest`."""

    item: "Spec"
    shortest: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class TupleSpec:
    """A fixed number of items, such as the coordinates of a point."""

    items: tuple["Spec", ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ObjectSpec:
    """An object of one class; `fields_of` tells what it holds."""

    cls: type


@dataclass(frozen=True, slots=True, kw_only=True)
class KindSpec:
    """An object of one of several classes, told apart by its `kind`."""

    kinds: Mapping[str, type]


@dataclass(frozen=True, slots=True, kw_only=True)
class OptionalSpec:
    """A value or None."""

    inner: "Spec"


Spec = (
    NumberSpec
    | TextSpec
    | FlagSpec
    | ChoiceSpec
    | ListSpec
    | TupleSpec
    | ObjectSpec
    | KindSpec
    | OptionalSpec
)


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldSpec:
    """A field of a class: its name, what it allows, and its default."""

    name: str
    spec: Spec
    required: bool
    default: object = None


@cache
def fields_of(cls: type) -> tuple[FieldSpec, ...]:
    """List the fields of a class of the model, save the `kind` it is told by.

    Parameters
    ----------
    cls : type
        A dataclass of the model.

    Returns
    -------
    tuple[FieldSpec, ...]
        In the order of the class.
    """
    return tuple(
        _field_spec(field) for field in dataclasses.fields(cls) if field.name != "kind"
    )


def spec_of(hint: Any) -> Spec:
    """Turn an annotation of the model into what it allows.

    Parameters
    ----------
    hint : type or annotation
        As written in the model.

    Returns
    -------
    Spec
        What a value of this type may be.

    Raises
    ------
    TypeError
        If the annotation is of a form that the model does not use.
    """
    origin = get_origin(hint)
    if origin is Annotated:
        inner, *marks = get_args(hint)
        return _limited(spec_of(inner), marks)
    if origin is Union or origin is UnionType:
        return _union(get_args(hint))
    if origin is tuple:
        return _tuple(get_args(hint))
    if origin is Literal:
        return ChoiceSpec(choices={word: word for word in get_args(hint)})
    return _plain(hint)


def _is_plain(letter: str) -> bool:
    """Tell whether a letter can be stored and shown."""
    is_control = letter < " " or "\x7f" <= letter <= "\x9f"
    return (not is_control or letter in "\n\t") and not "\ud800" <= letter <= "\udfff"


def _field_spec(field: "dataclasses.Field[Any]") -> FieldSpec:
    """Read one field."""
    required = field.default is dataclasses.MISSING
    return FieldSpec(
        name=field.name,
        spec=spec_of(field.type),
        required=required,
        default=None if required else field.default,
    )


def _plain(hint: Any) -> Spec:
    """Read a type without marks."""
    simple: Mapping[Any, Spec] = {
        bool: FlagSpec(),
        float: NumberSpec(),
        int: NumberSpec(whole=True),
        str: TextSpec(),
    }
    if hint in simple:
        return simple[hint]
    if dataclasses.is_dataclass(hint) and isinstance(hint, type):
        return ObjectSpec(cls=hint)
    if isinstance(hint, type) and issubclass(hint, Enum):
        return ChoiceSpec(choices={member.value: member for member in hint})
    msg = f"{hint!r} is no type of the document"
    raise TypeError(msg)


def _tuple(items: tuple[Any, ...]) -> Spec:
    """Read a list or a point."""
    if len(items) == 2 and items[1] is Ellipsis:
        return ListSpec(item=spec_of(items[0]))
    return TupleSpec(items=tuple(spec_of(item) for item in items))


def _union(options: tuple[Any, ...]) -> Spec:
    """Read an optional value or a choice of kinds."""
    left = [option for option in options if option is not type(None)]
    spec = spec_of(left[0]) if len(left) == 1 else _kinds(left)
    return OptionalSpec(inner=spec) if len(left) < len(options) else spec


def _kinds(classes: list[type]) -> KindSpec:
    """Read a choice of classes that are told apart by their kind."""
    return KindSpec(kinds={kind: cls for cls in classes for kind in kinds_of(cls)})


@cache
def kinds_of(cls: type) -> tuple[str, ...]:
    """List the kinds that a class of the model goes by.

    Parameters
    ----------
    cls : type
        A dataclass of the model.

    Returns
    -------
    tuple of str
        Empty if the class has no `kind`; most have one.
    """
    kinds = [f.type for f in dataclasses.fields(cls) if f.name == "kind"]
    return get_args(kinds[0]) if kinds else ()


def _limited(spec: Spec, marks: list[object]) -> Spec:
    """Add the marks of an annotation to what the plain type allows."""
    changes = {name: value for mark in marks for name, value in _limit(mark)}
    return dataclasses.replace(spec, **changes)


def _limit(mark: object) -> list[tuple[str, Any]]:
    """Name the limit that one mark sets."""
    match mark:
        case Quantity():
            return [("quantity", mark)]
        case Gt(gt=value):
            return [("above", value)]
        case Ge(ge=value):
            return [("least", value)]
        case Le(le=value):
            return [("most", value)]
        case MinLen(min_length=value):
            return [("shortest", value)]
    msg = f"{mark!r} is no mark of the document"
    raise TypeError(msg)
