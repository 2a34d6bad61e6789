"""The installer's set: all sheets in the order in which they are needed, one PDF."""

from collections.abc import Iterable, Iterator, Sequence
from functools import partial

from PySide6.QtCore import QBuffer, QIODevice, QMarginsF, QSizeF
from PySide6.QtGui import QPageLayout, QPageSize, QPainter, QPdfWriter

from core.outputs.folder import CancelledError, Progress
from core.outputs.tables import Table
from viewer.paper.sheets.cover import caution_blocks, contents_page
from viewer.paper.sheets.detail_pages import (
    close_up_pages,
    electrical_pages,
    hoist_pages,
)
from viewer.paper.sheets.flow import Block, Flow, table_blocks
from viewer.paper.sheets.job import Page, SheetJob
from viewer.paper.sheets.page import Head, Paper, Sheet, TextBox, body_of
from viewer.paper.sheets.plan_pages import plan_pages
from viewer.paper.sheets.section_pages import long_pages, section_cuts, section_pages

__all__ = [
    "RESOLUTION",
    "counted",
    "pages_pdf",
    "paint_page",
    "report_pages",
    "set_pages",
]

RESOLUTION = 1200  # dots per inch of the PDF's own grid
MM = RESOLUTION / 25.4
LADDER, BENCH, DESK = 4.0, 3.0, 2.6  # heights of capitals by where a table is read [mm]


def set_pages(job: SheetJob) -> list[Page]:
    """Return every page of the installer's set.

    Cautions, plan, sections, long sections, drilling schedule, close-ups, hoist
    sheet, lead and grounding sheet, heights, record, take-off, findings.
    """
    cuts = section_cuts(job.analysis.report.barn)
    tables = job.tables
    pages: list[Page] = []
    blocks = caution_blocks(job, body_of(job.paper).width())
    pages.append(contents_page(job, blocks, pages))
    pages += plan_pages(job, cuts, MM)
    pages += section_pages(job, cuts, MM)
    pages += long_pages(job, MM)
    pages += _table_pages(job, "Drilling schedule", [tables.drilling], LADDER)
    pages += close_up_pages(job, MM)
    pages += hoist_pages(job, MM)
    pages += _table_pages(job, "Hoist sheet, loads and lengths", tables.hoists, BENCH)
    pages += electrical_pages(job, MM)
    pages += _table_pages(
        job, "Lead and grounding sheet, register", tables.electrical, BENCH
    )
    pages += _table_pages(job, "Heights to set", [tables.heights], LADDER)
    pages += _table_pages(job, "Commissioning record", tables.record, BENCH)
    pages += _table_pages(job, "Take-off", tables.take_off, DESK)
    return pages + report_pages(job)


def report_pages(job: SheetJob) -> list[Page]:
    """Return the findings report; overrides and what was not checked come first."""
    return _table_pages(job, "Findings report", job.tables.findings, DESK)


def _table_pages(
    job: SheetJob, title: str, tables: Iterable[Table], height: float
) -> list[Page]:
    body = body_of(job.paper)
    tables = tuple(tables)
    blocks: list[Block] = []
    for table in tables:
        titled = len(tables) > 1
        blocks += table_blocks(
            table, body.width(), height=height, style=job.tables.style, titled=titled
        )
    flow = Flow.of(blocks, body)
    many = len(flow.pages)
    return [
        Page(
            title=title if many == 1 else f"{title}: page {k + 1} of {many}",
            paint=partial(flow.paint, k),
        )
        for k in range(many)
    ]


def pages_pdf(
    pages: Sequence[Page],
    *,
    paper: Paper,
    head: Head,
    progress: Progress,
    notes: list[list[TextBox]] | None = None,
) -> bytes:
    """Paint pages into one PDF.

    Parameters
    ----------
    pages : sequence of Page
        What to paint.
    paper : Paper
        On what.
    head : Head
        What the title blocks say.
    progress : Progress
        Told of each page; asked before each whether to give up.
    notes : list, optional
        Gets where the texts of each page stand.

    Returns
    -------
    bytes
        The file.

    Raises
    ------
    CancelledError
        If the work was given up.
    """
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = _writer(buffer, paper, head)
    painter = QPainter(writer)
    try:
        for number, page in counted(pages, progress):
            if number > 1:
                writer.newPage()
            place = (number, len(pages))
            boxes = paint_page(painter, page, place, paper=paper, head=head)
            if notes is not None:
                notes.append(boxes)
    finally:
        painter.end()
    return bytes(buffer.data().data())


def counted(pages: Sequence[Page], progress: Progress) -> Iterator[tuple[int, Page]]:
    """Yield pages with their numbers from 1, and say how far that is.

    Raises
    ------
    CancelledError
        If the work was given up.
    """
    for number, page in enumerate(pages, 1):
        if progress.is_cancelled:
            msg = "given up; nothing was written"
            raise CancelledError(msg)
        progress.report((number - 1) / len(pages), page.title)
        yield number, page


def paint_page(
    painter: QPainter, page: Page, place: tuple[int, int], *, paper: Paper, head: Head
) -> list[TextBox]:
    """Paint one page with its frame at `RESOLUTION`, and say where its texts stand.

    Parameters
    ----------
    painter : QPainter
        At the upper left corner of the paper.
    page : Page
        What to paint.
    place : tuple of int
        Its number, and how many there are.
    paper : Paper
        On what.
    head : Head
        What the title block says.
    """
    number, count = place
    sheet = Sheet(
        painter=painter,
        mm=MM,
        paper=paper,
        head=head,
        title=page.title,
        number=number,
        count=count,
    )
    sheet.furnish()
    page.paint(sheet)
    return sheet.boxes


def _writer(buffer: QBuffer, paper: Paper, head: Head) -> QPdfWriter:
    writer = QPdfWriter(buffer)
    writer.setResolution(RESOLUTION)
    wide, high = paper.size
    size = QPageSize(QSizeF(high, wide), QPageSize.Unit.Millimeter, paper.value)
    layout = QPageLayout(
        size, QPageLayout.Orientation.Landscape, QMarginsF(0.0, 0.0, 0.0, 0.0)
    )
    writer.setPageLayout(layout)
    writer.setTitle(f"{head.job}, {head.digest}")
    writer.setCreator("Liftlane")
    return writer
