"""Groups that stay the same object for as long as what they show does."""

from collections.abc import Callable, Iterable

from core.drawing.records import Frame, Group, Record

__all__ = ["Memo"]

_VALUES = (bool, int, float, str, tuple, frozenset, Frame)


def _same(old: object, new: object) -> bool:
    """Compare plain values by value, everything else by identity."""
    if old is new:
        return True
    return isinstance(old, _VALUES) and isinstance(new, _VALUES) and old == new


class Memo:
    """What one view drew last, with what it was drawn from.

    Mutable and held by the view that draws: an object of the document that is
    the same object as before gives the very group of before.
    """

    def __init__(self) -> None:
        self._kept: dict[tuple[str, str], tuple[tuple[object, ...], Group]] = {}

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
        kept = self._kept.get((kind, owner))
        if kept is not None and all(map(_same, kept[0], inputs)):
            return kept[1]
        group = Group(key=(kind, owner), records=tuple(make()))
        self._kept[kind, owner] = (inputs, group)
        return group

    def keep_only(self, groups: Iterable[Group]) -> None:
        """Forget what is not among these groups."""
        keys = {group.key for group in groups}
        for key in self._kept.keys() - keys:
            del self._kept[key]
