"""The first sheet: cautions, what was not checked, and what the set holds.

Signal words after ANSI Z535.4, the sign for electricity after ISO 7010 W012 (drawn
here: a yellow triangle with a black edge and a flash), both from memory.
"""

from collections.abc import Sequence

from PySide6.QtCore import QRectF

from core.analysis.report import Report
from core.drawing.records import Align
from core.rules.cautions import CAUTIONS, DEFERENCE
from core.rules.finding import Outcome
from viewer.paper.sheets.flow import Block, text_block, wrapped
from viewer.paper.sheets.job import Page, SheetJob
from viewer.paper.sheets.page import HEAD_HEIGHT, Sheet

__all__ = ["caution_blocks", "contents_page", "electricity_sign"]

_LETTERS = 4.2  # of the cautions [mm]
_LISTED = 10  # what was not checked, by name; the report has all
_PANEL = 46.0  # width of a signal word's panel [mm]
# panel, letters; ANSI Z535.1 safety red, orange, blue, from memory
_SIGNALS = {
    "DANGER": ("#C8102E", "#FFFFFF"),
    "WARNING": ("#FF8200", "#000000"),
    "NOTICE": ("#0033A0", "#FFFFFF"),
}
_WORDS = ("DANGER", "WARNING", "WARNING", "NOTICE")
_YELLOW = "#F9A800"  # RAL 1003 signal yellow of ISO 3864-4, from memory


def electricity_sign(sheet: Sheet, x: float, y: float, side: float) -> None:
    """Draw the sign for electricity with its lower left corner at (x, y) [mm]."""
    high = side * 3.0**0.5 / 2
    sheet.polygon([(x, y), (x + side, y), (x + side / 2, y - high)], fill="#000000")
    inset = 0.09 * side
    low, wide = y - 0.052 * side, side - 2.0 * inset
    top = low - wide * 3.0**0.5 / 2
    corners = [(x + inset, low), (x + side - inset, low), (x + side / 2, top)]
    sheet.polygon(corners, fill=_YELLOW)
    flash = (
        *((0.055, -0.58), (-0.10, -0.30), (0.005, -0.32), (-0.06, -0.165)),
        *((-0.105, -0.185), (-0.055, -0.06), (0.045, -0.155), (0.0, -0.155)),
        *((0.115, -0.39), (0.01, -0.37), (0.10, -0.555)),
    )
    middle = x + side / 2
    points = [(middle + u * side, y + v * side) for u, v in flash]
    sheet.polygon(points, fill="#000000")


def caution_blocks(job: SheetJob, width: float) -> list[Block]:
    """Return the cautions, each with its signal word, and what was not checked."""
    report = job.analysis.report
    texts = [*CAUTIONS]
    texts[0] += _energy(report)
    blocks = [
        _signal(word, text, width) for word, text in zip(_WORDS, texts, strict=True)
    ]
    blocks.append(text_block(DEFERENCE, width, height=3.2, after=2.0))
    blocks += _results(report, width)
    return blocks


def _energy(report: Report) -> str:
    if report.electrical is None:
        return ""
    charge = report.electrical.charge
    bleed = charge.bleed_time
    words = "" if bleed is None else f" They bleed below 50 V in {bleed:.3g} s at best."
    return f" Runs and leads store {charge.energy:.3g} J.{words}"


def _signal(word: str, text: str, width: float) -> Block:
    room = width - _PANEL - 6.0
    lines = wrapped(text, room, _LETTERS)
    pitch = 1.6 * _LETTERS
    high = max(len(lines) * pitch + 4.0, 17.0)

    def paint(sheet: Sheet, x: float, y: float) -> None:
        fill, ink = _SIGNALS[word]
        box = QRectF(x, y, _PANEL, high)
        sheet.rectangle(box, width=0.0, fill=fill)
        sheet.rectangle(QRectF(x, y, width, high), width=0.5)
        middle = y + high / 2
        sheet.text(
            box.center().x(),
            middle + 2.6,
            word,
            height=5.2,
            bold=True,
            across=Align.MIDDLE,
            colour=ink,
        )
        left = x + _PANEL + 3.0
        first = middle - (len(lines) - 1) * pitch / 2 + _LETTERS / 2
        for number, line in enumerate(lines):
            sheet.text(left, first + number * pitch, line, height=_LETTERS)

    return Block(height=high + 2.5, paint=paint)


def _results(report: Report, width: float) -> list[Block]:
    count = dict.fromkeys(Outcome, 0)
    for finding in report.findings:
        count[finding.outcome] += 1
    words = (
        f"Findings: {count[Outcome.STOP]} to stop for, {count[Outcome.CAUTION]} "
        f"cautions, {count[Outcome.NOT_CHECKED]} not checked, "
        f"{count[Outcome.PASS]} kept. Rule values of this job: "
        f"{len(report.overrides)}. The findings report says which."
    )
    blocks = [text_block(words, width, height=3.2, bold=True, after=2.0)]
    unknown = [f"{item.rule} of {item.subject}" for item in report.not_checked]
    if unknown:
        more = f" and {len(unknown) - _LISTED} more" if len(unknown) > _LISTED else ""
        listed = f"Not checked: {', '.join(unknown[:_LISTED])}{more}."
        blocks.insert(0, text_block(listed, width, height=3.2, after=2.0))
    return blocks


def contents_page(job: SheetJob, blocks: Sequence[Block], pages: list[Page]) -> Page:
    """Return the page with the sign, the cautions and the list of sheets.

    `pages` is read when the page is painted: it may be filled until then.
    """

    def paint(sheet: Sheet) -> None:
        body = sheet.body
        y = body.top() + HEAD_HEIGHT
        sign = 24.0
        electricity_sign(sheet, body.right() - sign, body.top() + 21.0, sign)
        room = job.analysis.report.barn.name
        sheet.fitted(body.left(), y + 8.0, room, body.width() - 30.0, height=6.0)
        y += 14.0
        for block in blocks:
            block.paint(sheet, body.left(), y)
            y += block.height
        _list_sheets(sheet, y, pages)

    return Page(title="Cautions", paint=paint)


def _list_sheets(sheet: Sheet, y: float, pages: list[Page]) -> None:
    """Write the titles with their first page, in columns to the end of the body."""
    body = sheet.body
    firsts: dict[str, int] = {}
    for number, page in enumerate(pages, 1):
        firsts.setdefault(page.title.partition(":")[0], number)
    pitch, height = 5.2, 2.8
    rows = max(int((body.bottom() - y) / pitch), 1)
    columns = -(-len(firsts) // rows)
    room = body.width() / max(columns, 3)
    for k, (title, number) in enumerate(firsts.items()):
        x, line = body.left() + (k // rows) * room, y + (k % rows) * pitch + height
        sheet.text(x + 7.0, line, str(number), height=height, across=Align.END)
        sheet.fitted(x + 9.0, line, title, room - 11.0, height=height)
