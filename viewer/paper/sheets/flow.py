"""Tables and words that flow over pages: wrapped cells, headings on each page."""

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial

from PySide6.QtCore import QRectF

from core.drawing.records import Align
from core.outputs.tables import Cell, Column, Kind, Table, cell_text
from core.quantities import LengthStyle
from viewer.paper.sheets.page import HEAD_HEIGHT, Sheet, text_width
from viewer.paper.theme import PRINT

__all__ = ["Block", "Flow", "table_blocks", "text_block", "wrapped"]

Paint = Callable[[Sheet, float, float], None]  # the sheet, left edge, top [mm]

_PITCH = 1.6  # of lines, to the height of capitals [-]
_PAD, _CLOSE = 0.55, 0.35  # over and under a cell's text, to the height of capitals [-]
_LARGE = 3.5  # smaller letters that nobody writes beside stand closer [mm]
_GAP = 2.5  # between two columns [mm]
_RIGHT = (Kind.COUNT, Kind.NUMBER, Kind.POUNDS, Kind.GAP)
_ALARMS = ("STOP", "OUT OF TOLERANCE", "UNKNOWN")
_BREAKS = "-/_,"
_UNIT = re.compile(r"(?<=\d) (?=(?:in|ft|mm|lb|ohm|kV|%)\b)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """Something that stays together: its height [mm] and how it is painted.

    `paint` gets the sheet, the left edge and the top [mm]. `head` is repeated at the
    top of a page that the block is the first of; `keep` is the height of what follows
    that must not be parted from it.
    """

    height: float
    paint: Paint
    head: "Block | None" = None
    keep: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Flow:
    """Blocks laid out over pages, each page a tuple of placed blocks."""

    pages: tuple[tuple[tuple[float, Block], ...], ...]

    @classmethod
    def of(cls, blocks: Sequence[Block], body: QRectF) -> "Flow":
        """Lay blocks out below each other in a body [mm]."""
        pages: list[list[tuple[float, Block]]] = [[]]
        top, y = body.top() + HEAD_HEIGHT, body.top() + HEAD_HEIGHT
        for block in blocks:
            if y + block.height + block.keep > body.bottom() and pages[-1]:
                pages.append([])
                y = top
                if block.head is not None:
                    pages[-1].append((y, block.head))
                    y += block.head.height
            pages[-1].append((y, block))
            y += block.height
        return cls(pages=tuple(tuple(page) for page in pages if page))

    def paint(self, number: int, sheet: Sheet) -> None:
        """Paint one of the pages, from 0."""
        for y, block in self.pages[number]:
            block.paint(sheet, sheet.body.left(), y)


def wrapped(words: str, room: float, height: float, *, bold: bool = False) -> list[str]:
    """Return a text as lines that are no wider than a room [mm]."""
    lines: list[str] = []
    for paragraph in words.split("\n"):
        line = ""
        for word in _words(paragraph, room, height, bold=bold):
            longer = line + word
            if line and text_width(longer.rstrip(), height, bold=bold) > room:
                lines.append(line.rstrip())
                line = word.lstrip()
            else:
                line = longer
        lines.append(line.rstrip())
    return lines


def _words(text: str, room: float, height: float, *, bold: bool) -> Iterator[str]:
    """Yield pieces between which a line may break, each with its own blanks."""
    for place, word in enumerate(text.split(" ")):
        piece = word if place == 0 else f" {word}"
        if text_width(word, height, bold=bold) <= room:
            yield piece
        else:
            yield from _broken(piece, room, height, bold=bold)


def _broken(word: str, room: float, height: float, *, bold: bool) -> Iterator[str]:
    """Yield parts of a word that is too long: at its hyphens, else anywhere."""
    part = ""
    for letter in word:
        if part and text_width((part + letter).strip(), height, bold=bold) > room:
            cut = max((part.rfind(b) for b in _BREAKS), default=-1) + 1
            cut = cut if cut > len(part) // 3 else len(part)
            yield part[:cut]
            part = part[cut:]
        part += letter
    yield part


def text_block(
    words: str, width: float, *, height: float, bold: bool = False, after: float = 1.0
) -> Block:
    """Return a paragraph."""
    lines = wrapped(words, width, height, bold=bold)
    pitch = _PITCH * height

    def paint(sheet: Sheet, x: float, y: float) -> None:
        for number, line in enumerate(lines):
            at = y + number * pitch + height
            sheet.text(x, at, line, height=height, bold=bold)

    return Block(height=len(lines) * pitch + after, paint=paint)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Layout:
    """How a table's columns stand: left edges and widths [mm], height of capitals."""

    table: Table
    style: LengthStyle
    height: float
    lefts: tuple[float, ...]
    widths: tuple[float, ...]
    is_form: bool

    @property
    def pad(self) -> float:
        """Room over and under a cell's text, to the height of capitals [-]."""
        return _PAD if self.is_form or self.height >= _LARGE else _CLOSE


def table_blocks(
    table: Table,
    width: float,
    *,
    height: float,
    style: LengthStyle,
    titled: bool = True,
) -> list[Block]:
    """Return a table as blocks: title, heading, rows, notes.

    Parameters
    ----------
    table : Table
        The table.
    width : float
        Room for it [mm].
    height : float
        Height of capitals in its cells [mm].
    style : LengthStyle
        How lengths are written.
    titled : bool
        Whether its title stands above it.
    """
    layout = _laid_out(table, width, height, style)
    head = _row_block(layout, tuple(c.heading for c in table.columns), head=None)
    rows = [_row_block(layout, row, head=head) for row in table.rows]
    blocks = []
    first = head.height + (rows[0].height if rows else 0.0)
    if titled:
        title = text_block(table.title, width, height=4.0, bold=True, after=1.5)
        blocks.append(Block(height=title.height, paint=title.paint, keep=first))
    if rows:
        keep = rows[0].height
        blocks.append(Block(height=head.height, paint=head.paint, keep=keep))
    notes = _notes(table, width, max(2.2, min(height, 3.0)))
    if rows:
        rows[-1] = replace(rows[-1], keep=sum(block.height for block in notes))
    return [*blocks, *rows, *notes, Block(height=3.0, paint=_nothing)]


def _notes(table: Table, width: float, height: float) -> list[Block]:
    """Return a table's notes; the last row stays with them."""
    if not table.notes:
        return []
    gap = Block(height=1.5, paint=_nothing)
    return [gap, *(text_block(n, width, height=height) for n in table.notes)]


def _nothing(_sheet: Sheet, _x: float, _y: float) -> None:
    """Leave some room."""


def _laid_out(table: Table, width: float, height: float, style: LengthStyle) -> _Layout:
    shares = [column.share for column in table.columns]
    least = [
        _least_width(column, [row[k] for row in table.rows], height, style)
        for k, column in enumerate(table.columns)
    ]
    widths = _widths(shares, least, width - _GAP * (len(shares) - 1))
    lefts = [sum(widths[:k]) + _GAP * k for k in range(len(widths))]
    return _Layout(
        table=table,
        style=style,
        height=height,
        lefts=tuple(lefts),
        widths=widths,
        is_form=_has_blanks(table),
    )


def _has_blanks(table: Table) -> bool:
    """Tell whether a table has cells to write in: these are ruled."""
    return any(
        cell is None and column.kind is not Kind.TICK
        for row in table.rows
        for cell, column in zip(row, table.columns, strict=True)
    )


def _least_width(
    column: Column, cells: Sequence[Cell], height: float, style: LengthStyle
) -> float:
    """Return the width of the longest word of a column [mm]."""
    words = {w for w in column.heading.split() if w}
    widest = max((text_width(w, 0.8 * height, bold=True) for w in words), default=0.0)
    found = {_held(cell_text(cell, column.kind, style=style)) for cell in cells}
    if column.kind in _RIGHT:
        inner = found
    else:
        inner = {word for text in found for word in text.split(" ")}
    return max([widest, *(text_width(w, height) for w in inner)])


def _widths(
    shares: Sequence[float], least: Sequence[float], room: float
) -> tuple[float, ...]:
    """Share a room out so that each gets its least where that is possible."""
    if sum(least) >= room:
        return tuple(x * room / sum(least) for x in least)
    fixed: dict[int, float] = {}
    while True:
        free = room - sum(fixed.values())
        total = sum(s for k, s in enumerate(shares) if k not in fixed)
        short = {
            k: least[k]
            for k, s in enumerate(shares)
            if k not in fixed and s * free / total < least[k]
        }
        if not short:
            break
        fixed |= short
    return tuple(
        fixed[k] if k in fixed else s * free / total for k, s in enumerate(shares)
    )


def _row_block(layout: _Layout, row: tuple[Cell, ...], *, head: Block | None) -> Block:
    """Return one row; the heading itself is the row without a head."""
    is_head = head is None
    height = 0.8 * layout.height if is_head else layout.height
    lines = [
        wrapped(
            _held(cell_text(cell, c.kind, style=layout.style)),
            width,
            height,
            bold=is_head,
        )
        for cell, c, width in zip(row, layout.table.columns, layout.widths, strict=True)
    ]
    most = max(len(cell) for cell in lines)
    deep = ((most - 1) * _PITCH + 1.25 + 2.0 * layout.pad) * height
    return Block(
        height=deep,
        paint=partial(_paint_row, layout, lines, deep, is_head=is_head),
        head=head,
    )


def _held(text: str) -> str:
    """Tie numbers to their units, so that no line breaks between them."""
    return _UNIT.sub("\u00a0", text)


def _paint_row(
    layout: _Layout,
    lines: list[list[str]],
    deep: float,
    sheet: Sheet,
    x: float,
    y: float,
    *,
    is_head: bool,
) -> None:
    height = 0.8 * layout.height if is_head else layout.height
    right = x + layout.lefts[-1] + layout.widths[-1]
    sheet.line(x, y + deep, right, y + deep, width=0.35 if is_head else 0.13)
    if layout.is_form:
        for left in layout.lefts[1:]:
            at = x + left - _GAP / 2
            sheet.line(at, y, at, y + deep, width=0.13)
    for column, left, width, cell in zip(
        layout.table.columns, layout.lefts, layout.widths, lines, strict=True
    ):
        if not is_head and column.kind is Kind.TICK:
            side = min(1.3 * height, deep - 1.0)
            top = y + layout.pad * height - 0.2 * height
            sheet.rectangle(QRectF(x + left + 0.5, top, side, side), width=0.35)
        ends = column.kind in _RIGHT
        for number, line in enumerate(cell):
            sheet.text(
                x + left + (width if ends else 0.0),
                y + (layout.pad + 1.0 + number * _PITCH) * height,
                line.replace("\u00a0", " "),
                height=height,
                bold=is_head or line in _ALARMS,
                across=Align.END if ends else Align.START,
                colour=PRINT.stop if line in _ALARMS else PRINT.strong,
            )
