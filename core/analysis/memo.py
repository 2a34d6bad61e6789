"""Results kept from one analysis to the next while their inputs are the same."""

from collections.abc import Callable, Hashable, Mapping
from typing import Any, TypeVar, cast

__all__ = ["Memo"]

T = TypeVar("T")
_Kept = tuple[tuple[object, ...], object]


class Memo:
    """Results by key, each with the objects that it was made from.

    A memo is filled during one analysis and handed to the next one, which takes
    from it what was made from the very same objects. Mutable, since it fills.
    """

    def __init__(self, old: "Memo | None" = None) -> None:
        self._old: Mapping[Hashable, _Kept] = {} if old is None else old.kept
        self.kept: dict[Hashable, _Kept] = {}

    def of(self, key: Hashable, inputs: tuple[object, ...], make: Callable[[], T]) -> T:
        """Return what `make` gives, or gave for the same objects before."""
        before = self.kept.get(key) or self._old.get(key)
        if before is not None and _same(before[0], inputs):
            self.kept[key] = before
            return cast("T", before[1])
        made = make()
        self.kept[key] = (inputs, made)
        return made

    def settled(self, key: Hashable, value: T) -> T:
        """Return the object that was kept before where it is equal, else `value`.

        So that what depends on it alone is not made again.
        """
        before = self.kept.get(key) or self._old.get(key)
        if before is not None and before[1] == value:
            self.kept[key] = before
            kept: Any = before[1]
            return cast("T", kept)
        self.kept[key] = ((), value)
        return value


def _same(a: tuple[object, ...], b: tuple[object, ...]) -> bool:
    return len(a) == len(b) and all(x is y for x, y in zip(a, b, strict=True))
