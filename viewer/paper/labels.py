"""Where texts stand that would lie on handles or on other texts.

The number of a finding goes beside what is in its way, with a leader back to its
place; a name gives way by a line at most and is else left out, for further off it
would name something else.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from PySide6.QtCore import QPoint, QPointF, QRect
from PySide6.QtGui import QPainterPath, QRegion

from core.drawing.records import Role
from viewer.paper.shapes import Lettering, Shape

__all__ = ["arranged", "ink_box", "moved"]

_MARGIN = 3  # of a shape's box round what is painted, less a little paper [px]
_PAD = 0.2  # round the letters, of a text's height [-]
_ASIDE = 12  # a name goes at least so far aside [px]
_LINES = 3  # up to so many lines above and below is a number tried [-]


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
    for handle in handles:
        held += QRegion(ink_box(handle))
    found: dict[Shape, QPoint | None] = {}
    for text in texts:
        box = ink_box(text)
        ways = _ways(text, box, held, kept)
        if ways is not None:
            way = _free(box, ways, held | kept, within)
            found[text] = way
            if way is None:
                continue
            box = box.translated(way)
        kept += QRegion(box)
    return found


def _ways(
    text: Shape, box: QRect, held: QRegion, kept: QRegion
) -> Iterable[QPoint] | None:
    """Return where a text may go; None if nothing is in its way."""
    is_held = held.intersects(box)
    if not is_held and not kept.intersects(box):
        return None
    if text.role is Role.WITNESS:
        return _far(box)
    return _near(box) if is_held else ()


def _free(
    box: QRect, ways: Iterable[QPoint], taken: QRegion, within: QRect
) -> QPoint | None:
    """Return the first way to where a text is free, None if there is none."""
    for way in ways:
        place = box.translated(way)
        if within.contains(place) and not taken.intersects(place):
            return way
    return None


def _far(box: QRect) -> Iterator[QPoint]:
    """Yield the ways of a number: line by line, and a half or a whole aside."""
    half = box.width() // 2
    for line in range(1, _LINES + 1):
        down = line * box.height()
        for aside in (0, half, -half, 2 * half, -2 * half):
            yield QPoint(aside, -down)
            yield QPoint(aside, down)


def _near(box: QRect) -> Iterator[QPoint]:
    """Yield the ways of a name: aside, or by one line."""
    past = box.width() // 2 + _ASIDE
    for aside in (-_ASIDE, _ASIDE, -past, past):
        yield QPoint(aside, 0)
    for down in (-box.height(), box.height()):
        yield QPoint(0, down)


def moved(places: Mapping[Shape, QPoint | None]) -> Iterator[Shape]:
    """Yield the texts that have been moved, and the leaders of numbers."""
    for text, way in places.items():
        if way is None or text.lettering is None:
            continue
        at = text.lettering.at + QPointF(way)
        lettering = replace(text.lettering, at=at)
        yield replace(text, box=text.box.translated(way), lettering=lettering)
        if text.role is Role.WITNESS:
            yield _leader(text, text.lettering, way)


def _leader(text: Shape, lettering: Lettering, way: QPoint) -> Shape:
    """Return the line from where a text belongs to where it is."""
    box, start = ink_box(text).translated(way), lettering.at
    u = min(max(start.x(), box.left()), box.right())
    path = QPainterPath(start)
    path.lineTo(QPointF(u, box.top() if way.y() > 0 else box.bottom()))
    reach = path.boundingRect().adjusted(-4.0, -4.0, 4.0, 4.0).toAlignedRect()
    return replace(text, box=reach, lettering=None, line=path, is_open=True)
