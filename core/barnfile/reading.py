"""JSON values to the document, with every fault on the way."""

import json
import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import Any

from core.barnfile.jsontext import RepeatedKeys
from core.barnfile.numbers import Form, form_of, number_words
from core.errors import Fault, QuantityError
from core.model.spec import (
    ChoiceSpec,
    FieldSpec,
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
    kinds_of,
)
from core.quantities import LengthUnit

__all__ = ["BROKEN", "Reader", "found_words", "nearest"]

_LONGEST_SHOWN = 60
_BEYOND = 1e300
_MOST_HINTS = 100  # looking for the nearest word takes time


class _Broken:
    """Stands for a value that could not be read."""


BROKEN = _Broken()


@dataclass(slots=True, kw_only=True)
class Reader:
    """Reads JSON values by their specs; it gathers what it meets on the way.

    It is filled while one file is read: `faults` with what is wrong, `built`
    with every object that could be built and its path, `ids` with every id that
    stands in the file, that of an object with faults included.
    """

    unit: LengthUnit
    faults: list[Fault] = field(default_factory=list)
    built: list[tuple[object, str]] = field(default_factory=list)
    ids: list[tuple[type, str, str]] = field(default_factory=list)

    def read(self, value: Any, spec: Spec, path: str) -> Any:
        """Read one value.

        Parameters
        ----------
        value : object
            What the file says.
        spec : Spec
            What it may be.
        path : str
            Where it stands.

        Returns
        -------
        object
            The value of the document, or `BROKEN` after a fault.
        """
        match spec:
            case NumberSpec():
                return self._number(value, spec, path)
            case TextSpec():
                return self._text(value, spec, path)
            case FlagSpec():
                return self._flag(value, path)
            case ChoiceSpec():
                return self._choice(value, spec, path)
            case ListSpec() | TupleSpec():
                return self._items(value, spec, path)
            case ObjectSpec(cls=cls):
                return self._object(value, cls, path)
            case KindSpec():
                return self._kind(value, spec, path)
            case OptionalSpec(inner=inner):
                return None if value is None else self.read(value, inner, path)

    def fault(
        self, path: str, found: object, expected: str, near: str | None = None
    ) -> _Broken:
        """Note a fault; return the stand-in for the value.

        Parameters
        ----------
        path : str
            Where the value stands.
        found : object
            The value.
        expected : str
            What belongs there.
        near : str or None
            The nearest right word.

        Returns
        -------
        _Broken
            `BROKEN`.
        """
        self.faults.append(
            Fault(path=path, found=found_words(found), expected=expected, nearest=near)
        )
        return BROKEN

    def _nearest(self, word: object, right: Iterable[object]) -> str | None:
        """Find the nearest right word, as long as there are few faults."""
        return nearest(word, right) if len(self.faults) < _MOST_HINTS else None

    def _number(self, value: Any, spec: NumberSpec, path: str) -> object:
        """Read a number or a text with a unit, and check its limits."""
        form = form_of(spec.quantity, self.unit)
        if isinstance(value, str) and form.parse:
            return self._quantity_text(value, form, spec, path)
        right = int if spec.whole else int | float
        if isinstance(value, bool) or not isinstance(value, right):
            words = number_words(spec, self.unit, found=math.nan)
            return self.fault(path, value, words)
        if not abs(value) < _BEYOND:  # NaN, infinity, or more digits than a double
            return self.fault(path, value, number_words(spec, self.unit, found=value))
        inside = int(value) if spec.whole else form.from_file(float(value))
        return self._limited(value, inside, spec, path)

    def _quantity_text(
        self, text: str, form: Form, spec: NumberSpec, path: str
    ) -> object:
        """Read a text such as "7 ft 3-1/2 in"."""
        try:
            number = form.parse(text) if form.parse else math.nan
        except QuantityError as error:
            why = str(error).removeprefix(f'"{text.strip()}"').lstrip(": ")
            return self.fault(path, text, f"{form.noun}: {why}")
        return self._limited(text, number, spec, path)

    def _limited(
        self, value: object, number: float, spec: NumberSpec, path: str
    ) -> object:
        """Check the limits of a number."""
        if spec.allows(number):
            return number
        return self.fault(path, value, number_words(spec, self.unit, found=number))

    def _text(self, value: object, spec: TextSpec, path: str) -> object:
        """Read a text without control characters."""
        words = "a text" if not spec.shortest else "a text that is not empty"
        if not isinstance(value, str) or len(value.strip()) < spec.shortest:
            return self.fault(path, value, words)
        if not spec.allows(value):
            return self.fault(path, value, "a text without control characters")
        return value

    def _flag(self, value: object, path: str) -> object:
        """Read yes or no."""
        return (
            value
            if isinstance(value, bool)
            else self.fault(path, value, "true or false")
        )

    def _choice(self, value: object, spec: ChoiceSpec, path: str) -> object:
        """Read a member of an enumeration."""
        if isinstance(value, str | int) and not isinstance(value, bool):
            member = spec.choices.get(value)
            if member is not None:
                return member
        near = self._nearest(value, spec.choices)
        return self.fault(path, value, _one_of(spec.choices), near)

    def _items(self, value: object, spec: ListSpec | TupleSpec, path: str) -> object:
        """Read a list or the coordinates of a point; leave broken items out."""
        if not isinstance(value, list):
            return self.fault(path, value, _list_words(spec))
        if isinstance(spec, ListSpec):
            specs, right = [spec.item] * len(value), len(value) >= spec.shortest
        else:
            specs, right = list(spec.items), len(value) == len(spec.items)
        if not right:
            return self.fault(path, value, _list_words(spec))
        read = [
            self.read(item, item_spec, f"{path}[{index}]")
            for index, (item, item_spec) in enumerate(zip(value, specs, strict=True))
        ]
        good = tuple(item for item in read if item is not BROKEN)
        keeps = isinstance(spec, ListSpec) and isinstance(
            spec.item, ObjectSpec | KindSpec
        )
        return good if keeps or len(good) == len(read) else BROKEN

    def _kind(self, value: object, spec: KindSpec, path: str) -> object:
        """Read an object whose class is told by its kind."""
        if not isinstance(value, dict):
            return self.fault(path, value, "an object in braces with a kind")
        kind = value.get("kind")
        cls = spec.kinds.get(kind) if isinstance(kind, str) else None
        if cls is not None:
            return self._object(value, cls, path)
        near = self._nearest(kind, spec.kinds)
        shown = kind if "kind" in value else None
        self.fault(f"{path}.kind", shown, _one_of(spec.kinds), near)
        if near is not None:
            self._object({**value, "kind": near}, spec.kinds[near], path)
        return BROKEN

    def _object(self, value: object, cls: type, path: str) -> object:
        """Read an object; its broken optional fields get their default."""
        if not isinstance(value, dict):
            return self.fault(path, value, "an object in braces")
        self.check_keys(value, (field.name for field in fields_of(cls)), path, cls=cls)
        self._note_id(value, cls, path)
        read = {
            field.name: self._field(value, field, _join(path, field.name))
            for field in fields_of(cls)
        }
        if any(item is BROKEN for item in read.values()):
            return BROKEN
        if len(kinds_of(cls)) > 1:
            read["kind"] = value["kind"]
        return self.note(cls(**read), path)

    def note(self, item: object, path: str) -> object:
        """Keep where an object stands, for the checks of what belongs together.

        Parameters
        ----------
        item : object
            An object of the document.
        path : str
            Where it stands.

        Returns
        -------
        object
            The same object.
        """
        self.built.append((item, path))
        return item

    def _field(self, value: "dict[str, object]", field: FieldSpec, path: str) -> object:
        """Read one field of an object; a broken optional one gets its default."""
        if field.name in value:
            read = self.read(value[field.name], field.spec, path)
            return field.default if read is BROKEN and not field.required else read
        if not field.required:
            return field.default
        return self.fault(path, _MISSING, _words(field.spec, self.unit))

    def _note_id(self, value: "dict[str, object]", cls: type, path: str) -> None:
        """Keep the id of an object, whatever else is wrong with it."""
        identity = value.get("id")
        if isinstance(identity, str) and identity:
            self.ids.append((cls, identity, path))

    def check_keys(
        self,
        value: "dict[str, object]",
        names: Iterable[str],
        path: str,
        *,
        cls: type | None = None,
    ) -> None:
        """Report keys that do not belong here and keys that stand twice.

        Parameters
        ----------
        value : dict
            An object of the file.
        names : iterable of str
            The keys that it may have.
        path : str
            Where it stands.
        cls : type or None
            Its class, where it has a kind.
        """
        known = [*names, *(["kind"] if cls and kinds_of(cls) else [])]
        for key in value:
            if key not in known:
                near = self._nearest(key, known)
                self.faults.append(
                    Fault(
                        path=_join(path, _shortened(key)),
                        found=f"the unknown key {found_words(key)}",
                        expected="one of " + ", ".join(known),
                        nearest=near,
                    )
                )
        self.check_repeats(value, path)

    def check_repeats(self, value: "dict[str, object]", path: str) -> None:
        """Report keys that stand more than once in an object.

        Parameters
        ----------
        value : dict
            An object of the file.
        path : str
            Where it stands.
        """
        for key in value.repeated if isinstance(value, RepeatedKeys) else ():
            self.fault(_join(path, _shortened(key)), _TWICE, "each key once")


class _Words:
    """Found words that are no JSON value."""

    def __init__(self, words: str) -> None:
        self.words = words


_MISSING = _Words("nothing")
_TWICE = _Words("the key more than once")


def found_words(value: object) -> str:
    """Show a value of the file, shortened.

    Parameters
    ----------
    value : object
        A JSON value.

    Returns
    -------
    str
        At most 60 characters of it.
    """
    match value:
        case _Words():
            return value.words
        case None:
            return "null"
        case dict():
            return "an object in braces"
        case list():
            return f"a list of {len(value)}"
        case int() if abs(value) > 10**15:
            return "a whole number beyond all bounds"
    return _shortened(json.dumps(value, ensure_ascii=True))


def nearest(word: object, right: Iterable[object]) -> str | None:
    """Find the right word that is most like a wrong one.

    Parameters
    ----------
    word : object
        What was found.
    right : iterable
        The right words.

    Returns
    -------
    str or None
        None if nothing is like it.
    """
    if not isinstance(word, str):
        return None
    texts = [text for text in right if isinstance(text, str)]
    by_case = {text.lower(): text for text in texts}
    close = get_close_matches(word.lower()[:_LONGEST_SHOWN], by_case, n=1, cutoff=0.6)
    return by_case[close[0]] if close else None


def _shortened(text: str) -> str:
    """Cut a text to what fits on a line."""
    return text if len(text) <= _LONGEST_SHOWN else text[: _LONGEST_SHOWN - 3] + "..."


def _join(path: str, name: str) -> str:
    """Append a key to a path."""
    return f"{path}.{name}" if path else name


def _one_of(words: Iterable[object]) -> str:
    """List the choices."""
    return "one of " + ", ".join(str(word) for word in words)


def _list_words(spec: ListSpec | TupleSpec) -> str:
    """Say which list is expected."""
    if isinstance(spec, TupleSpec):
        return f"a list of {len(spec.items)} numbers"
    return f"a list of at least {spec.shortest}" if spec.shortest else "a list"


def _words(spec: Spec, unit: LengthUnit) -> str:
    """Say what a missing field should hold."""
    match spec:
        case NumberSpec():
            return number_words(spec, unit, found=math.nan)
        case ListSpec() | TupleSpec():
            return _list_words(spec)
        case TextSpec():
            return "a text"
        case ChoiceSpec(choices=choices):
            return _one_of(choices)
        case KindSpec(kinds=kinds):
            return "an object in braces; its kind is " + _one_of(kinds)
    return "an object in braces"
