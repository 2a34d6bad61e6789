"""JSON text to values and back: every fault with its place, one fixed layout."""

import json
from collections import Counter
from collections.abc import Iterator
from typing import Any

from core.errors import Fault

__all__ = ["RepeatedKeys", "json_text", "parse_json"]

_WIDTH = 88
_INDENT = "  "

_EXPECTED = {
    "Expecting ',' delimiter": "a comma or a closing bracket",
    "Expecting ':' delimiter": "a colon after the key",
    "Expecting property name enclosed in double quotes": "a key in double quotes",
    "Illegal trailing comma before end of object": "another key after the comma",
    "Illegal trailing comma before end of array": "another value after the comma",
    "Expecting value": "a value",
    "Extra data": "the end of the file",
    "Unterminated string starting at": "a text with a closing quote",
    "Invalid control character at": "a text without line breaks in it",
    "Invalid \\escape": "one of the escapes of JSON",
    "Invalid \\uXXXX escape": "four hexadecimal digits",
}


class RepeatedKeys(dict[str, Any]):
    """An object of the file in which some keys stand more than once."""

    def __init__(self, pairs: list[tuple[str, Any]]) -> None:
        super().__init__(pairs)
        counts = Counter(key for key, _ in pairs)
        self.repeated = tuple(key for key, count in counts.items() if count > 1)


def parse_json(text: str) -> tuple[Any, tuple[Fault, ...]]:
    """Parse a JSON text.

    NaN and Infinity come through as numbers, so that they are reported with
    their path; objects with repeated keys come as `RepeatedKeys`.

    Parameters
    ----------
    text : str
        The text of a file.

    Returns
    -------
    value : object
        What the text says; None if it cannot be parsed.
    faults : tuple[Fault, ...]
        Where it stops being JSON; empty if it is.
    """
    try:
        return json.loads(text, object_pairs_hook=_object), ()
    except json.JSONDecodeError as error:
        return None, (_syntax_fault(text, error),)
    except RecursionError:
        found = "brackets within brackets without end"
    except ValueError:  # an integer of thousands of digits
        found = "a number of thousands of digits"
    return None, (Fault(path="file", found=found, expected="a barn file"),)


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """Build an object and keep note of repeated keys."""
    plain = dict(pairs)
    return plain if len(plain) == len(pairs) else RepeatedKeys(pairs)


def _syntax_fault(text: str, error: json.JSONDecodeError) -> Fault:
    """Word a syntax error with its line and column."""
    rest = text[error.pos : error.pos + 20].split("\n")[0]
    return Fault(
        path=f"line {error.lineno}, column {error.colno}",
        found=repr(rest) if text[error.pos :].strip() else "the end of the file",
        expected=_EXPECTED.get(error.msg, error.msg.lower()),
    )


def json_text(value: object) -> str:
    """Write a JSON value, short things on one line and long ones broken up.

    Parameters
    ----------
    value : object
        Dicts, lists, texts, finite numbers, true, false, null.

    Returns
    -------
    str
        The same text for the same value, with a line break at the end.

    Raises
    ------
    ValueError
        If a number is NaN or infinite.
    """
    return "".join(_lines(value, depth=0, lead=0)) + "\n"


def _lines(value: object, *, depth: int, lead: int) -> Iterator[str]:
    """Yield the pieces of a value that starts `lead` characters into its line."""
    short = json.dumps(value, ensure_ascii=False, allow_nan=False)
    fits = depth > 0 and lead + len(short) < _WIDTH
    if fits or not value or not isinstance(value, dict | list):
        yield short
    else:
        yield from _broken(value, depth=depth)


def _broken(value: "dict[str, Any] | list[Any]", *, depth: int) -> Iterator[str]:
    """Yield an object or a list with one item on each line."""
    items = (
        [(f"{json.dumps(key, ensure_ascii=False)}: ", v) for key, v in value.items()]
        if isinstance(value, dict)
        else [("", item) for item in value]
    )
    start, end = "{}" if isinstance(value, dict) else "[]"
    indent = _INDENT * (depth + 1)
    for index, (key, item) in enumerate(items):
        yield f"{',' if index else start}\n{indent}{key}"
        yield from _lines(item, depth=depth + 1, lead=len(indent) + len(key))
    yield f"\n{_INDENT * depth}{end}"
