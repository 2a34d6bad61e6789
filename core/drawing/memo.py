"""Groups that stay the same object for as long as what they show does."""

from collections.abc import Callable, Iterable
from typing import Any, TypeVar

from core.drawing.records import Frame, Group, Record
from core.rules.finding import Finding

__all__ = ["Memo"]

T = TypeVar("T")
TURN = 20_000  # after as many questions what nobody asked for is let go
_VALUES = (bool, int, float, str, tuple, frozenset, Finding, Frame)

_Key = tuple[str, str]


def _same(old: object, new: object) -> bool:
    """Compare plain values by value, everything else by identity."""
    if old is new:
        return True
    return isinstance(old, _VALUES) and isinstance(new, _VALUES) and old == new


def _all_same(old: tuple[object, ...], new: tuple[object, ...]) -> bool:
    return len(old) == len(new) and all(map(_same, old, new))


class Memo:
    """What one view drew last, with what it was drawn from.

    Mutable and held by the view that draws: an object of the document that is
    the same object as before gives the very group of before. Views of one
    document share what is no record yet, such as the solids of a fixture, when
    they are given one common memo.

    Parameters
    ----------
    common : Memo, optional
        Where such things are kept; this memo itself without one.
    """

    def __init__(self, common: "Memo | None" = None) -> None:
        self._groups: dict[_Key, tuple[tuple[object, ...], Group]] = {}
        self._values: dict[_Key, tuple[tuple[object, ...], Any]] = {}
        self._older: dict[_Key, tuple[tuple[object, ...], Any]] = {}
        self._questions = 0
        self.common = common or self

    def group(
        self,
        kind: str,
        owner: str,
        inputs: tuple[object, ...],
        make: Callable[[], Iterable[Record]],
    ) -> Group:
        """Return the kept group of this kind and owner, or make it anew.

        Parameters
        ----------
        kind, owner : str
            The group's key.
        inputs : tuple
            All that the records depend on.
        make : callable
            Makes the records; called only when an input has changed.
        """
        kept = self._groups.get((kind, owner))
        if kept is not None and _all_same(kept[0], inputs):
            return kept[1]
        group = Group(key=(kind, owner), records=tuple(make()))
        self._groups[kind, owner] = (inputs, group)
        return group

    def value(
        self, kind: str, owner: str, inputs: tuple[object, ...], make: Callable[[], T]
    ) -> T:
        """Return the kept thing of this kind and owner, or make it anew.

        Owners come and go: what nobody asks for in two turns is let go.
        """
        self._questions += 1
        if self._questions > TURN:
            self._older, self._values, self._questions = self._values, {}, 0
        kept = self._kept(kind, owner, inputs)
        if kept is None:
            kept = (inputs, make())
        self._values[kind, owner] = kept
        found: T = kept[1]
        return found

    def holds(self, kind: str, owner: str, inputs: tuple[object, ...]) -> bool:
        """Tell whether a thing is kept that was made from the same inputs."""
        return self._kept(kind, owner, inputs) is not None

    def _kept(
        self, kind: str, owner: str, inputs: tuple[object, ...]
    ) -> tuple[tuple[object, ...], Any] | None:
        key = (kind, owner)
        kept = self._values.get(key) or self._older.get(key)
        return kept if kept is not None and _all_same(kept[0], inputs) else None

    def keep_only(self, groups: Iterable[Group]) -> None:
        """Forget every group that is not among these."""
        keys = {group.key for group in groups}
        for key in self._groups.keys() - keys:
            del self._groups[key]
