"""Where texts stand that would lie on handles or on other texts.

The number of a finding goes beside what is in its way, with a leader back to its
place; a name gives way by a line at most and is else left out, for further off it
would name something else.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from PySide6.QtCore import QPoint, QPointF, QRect
from PySide6.QtGui import QPainterPath, QRegion

from core.drawing.records import Role
from viewer.paper.shapes import Lettering, Shape

__all__ = ["Labels", "arranged", "ink_box", "spread"]

Box = tuple[int, int, int, int]  # left, top, right, bottom [px]

_NUMBERS = (Role.DIMENSION, Role.WITNESS)  # what must be read wherever it stands
_MARGIN = 3  # of a shape's box round what is painted, less a little paper [px]
_PAD = 0.2  # round the letters, of a text's height [-]
_ASIDE = 12  # a name goes at least so far aside [px]
_LINES = 3  # up to so many lines above and below is a number tried [-]


@lru_cache(maxsize=2048)
def ink_box(shape: Shape) -> QRect:
    """Return what a text or a handle covers, about the plane's origin [px]."""
    pad = _PAD * shape.lettering.box.height() if shape.lettering else 1.0
    by = round(_MARGIN + pad)
    return shape.box.adjusted(by, by, -by, -by)


def arranged(
    texts: Iterable[Shape], handles: Iterable[Shape], *, within: QRect
) -> dict[Shape, QPoint | None]:
    """Return the texts that cannot stay in their places.

    Parameters
    ----------
    texts : iterable of Shape
        All texts, the one that matters most first.
    handles : iterable of Shape
        What no text may be under.
    within : QRect
        What is seen; no text is moved out of it [px].

    Returns
    -------
    dict of Shape to QPoint or None
        How far each is moved [px]; None for one that is left out.
    """
    held, kept = QRegion(), QRegion()
    taken = [ink_box(handle) for handle in handles]
    for box in taken:
        held += QRegion(box)
    found: dict[Shape, QPoint | None] = {}
    for text in texts:
        box = ink_box(text)
        is_held = held.intersects(box)
        if is_held or kept.intersects(box):
            ways = _ways(text, box, is_held=is_held)
            way = _free(box, ways, taken, within) if ways else None
            found[text] = way
            if way is None:
                continue
            box = box.translated(way)
        kept += QRegion(box)
        taken.append(box)
    return found


def _corners(box: QRect) -> Box:
    return box.left(), box.top(), box.right(), box.bottom()


def _free(
    box: QRect, ways: Sequence[tuple[int, int]], taken: Sequence[QRect], within: QRect
) -> QPoint | None:
    """Return the first of some ways to where a text is free, None if none is."""
    reach_u, reach_v = (max(abs(way[axis]) for way in ways) for axis in (0, 1))
    reach = box.adjusted(-reach_u, -reach_v, reach_u, reach_v)
    near = [_corners(each) for each in taken if each.intersects(reach)]
    (left, top, right, bottom), seen = _corners(box), _corners(within)
    for u, v in ways:
        place = (left + u, top + v, right + u, bottom + v)
        if _holds(seen, place) and not any(_meet(each, place) for each in near):
            return QPoint(u, v)
    return None


def _meet(a: Box, b: Box) -> bool:
    return a[0] <= b[2] and b[0] <= a[2] and a[1] <= b[3] and b[1] <= a[3]


def _holds(a: Box, b: Box) -> bool:
    return a[0] <= b[0] and b[2] <= a[2] and a[1] <= b[1] and b[3] <= a[3]


def _ways(text: Shape, box: QRect, *, is_held: bool) -> Sequence[tuple[int, int]]:
    """Return where a text may go, the shortest way first."""
    if text.role in _NUMBERS:
        return _far(box.width(), box.height())
    return _near(box.width(), box.height()) if is_held else ()


@lru_cache(maxsize=256)
def _far(width: int, height: int) -> tuple[tuple[int, int], ...]:
    """Return the ways of a number: line by line, and a half or a whole along it.

    Lines of a text that reads upwards follow each other to the right.
    """
    if height > width:
        return tuple((down, aside) for aside, down in _far(height, width))
    half = width // 2
    return tuple(
        (aside, down)
        for line in range(1, _LINES + 1)
        for aside in (0, half, -half, 2 * half, -2 * half)
        for down in (-line * height, line * height)
    )


@lru_cache(maxsize=256)
def _near(width: int, height: int) -> tuple[tuple[int, int], ...]:
    """Return the ways of a name: aside, or by one line."""
    past = width // 2 + _ASIDE
    asides = (-_ASIDE, _ASIDE, -past, past)
    return (*((aside, 0) for aside in asides), (0, -height), (0, height))


def _drawn(text: Shape, way: QPoint | None) -> Iterator[Shape]:
    """Yield a text in its other place, and the leader of a number."""
    if way is None or text.lettering is None:
        return
    at = text.lettering.at + QPointF(way)
    lettering = replace(text.lettering, at=at)
    yield replace(text, box=text.box.translated(way), lettering=lettering)
    if text.role in _NUMBERS:
        yield _leader(text, text.lettering, way)


def _leader(text: Shape, lettering: Lettering, way: QPoint) -> Shape:
    """Return the line from where a text belongs to where it is."""
    box, start = ink_box(text).translated(way), lettering.at
    u = min(max(start.x(), box.left()), box.right())
    v = min(max(start.y(), box.top()), box.bottom())
    path = QPainterPath(start)
    path.lineTo(QPointF(u, v))
    reach = path.boundingRect().adjusted(-4.0, -4.0, 4.0, 4.0).toAlignedRect()
    return replace(text, box=reach, lettering=None, line=path, is_open=True)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Aside:
    """How far a text is moved, None if it is left out, and what is painted for it."""

    way: QPoint | None
    shapes: tuple[Shape, ...]


class Labels:
    """The texts of one picture that are not in their places; mutable."""

    def __init__(self) -> None:
        self._looked_at: list[object] = []
        self._aside: dict[Shape, _Aside] = {}

    def __contains__(self, text: object) -> bool:
        """Tell whether a text is not painted in its place."""
        return text in self._aside

    @property
    def moved(self) -> Iterator[Shape]:
        """Yield what is painted of texts in other places."""
        for aside in self._aside.values():
            yield from aside.shapes

    def arrange(
        self, texts: Sequence[Shape], handles: Sequence[Shape], *, within: QRect
    ) -> tuple[set[Shape], list[Shape]]:
        """Find new places where need be, as `arranged` does.

        Returns
        -------
        set of Shape
            Texts that are in their places now and were not, or the other way round.
        list of Shape
            What is painted elsewhere now and was not, or the other way round.
        """
        looked_at = [within, *texts, *handles]
        if looked_at == self._looked_at:
            return set(), []
        self._looked_at = looked_at
        before, self._aside = self._aside, {}
        for text, way in arranged(texts, handles, within=within).items():
            aside = before.get(text)
            if aside is None or aside.way != way:
                aside = _Aside(way=way, shapes=tuple(_drawn(text, way)))
            self._aside[text] = aside
        changed = {*before.values()} ^ {*self._aside.values()}
        shapes = [shape for aside in changed for shape in aside.shapes]
        return before.keys() ^ self._aside.keys(), shapes


def spread(notes: Sequence[Shape], *, within: QRect) -> tuple[Shape, ...]:
    """Return notes with the texts of dimensions off each other and off a refusal.

    Parameters
    ----------
    notes : sequence of Shape
        What is shown over a drawing during a drag.
    within : QRect
        What is seen [px].
    """
    texts = [note for note in notes if note.lettering and note.role is Role.DIMENSION]
    frames = [note for note in notes if note.role is Role.REFUSAL and note.face]
    ways = arranged(texts, frames, within=within)
    return tuple(
        shape
        for note in notes
        for shape in (_drawn(note, ways[note]) if note in ways else (note,))
    )
