"""The installer's set: all sheets in the order in which they are needed, one PDF."""

from collections.abc import Iterable, Sequence
from functools import partial

from PySide6.QtCore import QBuffer, QIODevice, QMarginsF, QSizeF
from PySide6.QtGui import (
    QPagedPaintDevice,
    QPageLayout,
    QPageSize,
    QPainter,
    QPdfWriter,
)

from core.errors import NotWrittenError
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

__all__ = ["RESOLUTION", "pages_pdf", "paint_pages", "report_pages", "set_pages"]

RESOLUTION = 1200  # dots per inch of the PDF's own grid
MM = RESOLUTION / 25.4
LADDER, BENCH, DESK = 4.0, 3.0, 2.6  # heights of capitals by where a table is read [mm]


def set_pages(job: SheetJob, *, mm: float = MM) -> list[Page]:
    """Return every page of the installer's set.

    Cautions, plan, sections, long sections, drilling schedule, close-ups, hoist
    sheet, lead and grounding sheet, heights, record, take-off, findings.

    Parameters
    ----------
    job : SheetJob
        What is drawn, on which paper.
    mm : float
        Units of the painter for a millimetre; those of `pages_pdf` unless given.
    """
    cuts = section_cuts(job.analysis.report.barn)
    tables = job.tables
    pages: list[Page] = []
    blocks = caution_blocks(job, body_of(job.paper).width())
    pages.append(contents_page(job, blocks, pages))
    pages += plan_pages(job, cuts, mm)
    pages += section_pages(job, cuts, mm)
    pages += long_pages(job, mm)
    pages += _table_pages(job, "Drilling schedule", [tables.drilling], LADDER)
    pages += close_up_pages(job, mm)
    pages += hoist_pages(job, mm)
    pages += _table_pages(job, "Hoist sheet, loads and lengths", tables.hoists, BENCH)
    pages += electrical_pages(job, mm)
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
    paint_pages(
        writer, pages, mm=MM, paper=paper, head=head, progress=progress, notes=notes
    )
    return bytes(buffer.data().data())


def paint_pages(
    device: QPagedPaintDevice,
    pages: Sequence[Page],
    *,
    mm: float,
    paper: Paper,
    head: Head,
    progress: Progress,
    notes: list[list[TextBox]] | None = None,
) -> None:
    """Paint pages on a PDF, a printer or a preview of one.

    Parameters
    ----------
    device : QPagedPaintDevice
        Set to the paper, landscape, without margins.
    pages : sequence of Page
        Made for the same `mm`.
    mm : float
        Units of the device for a millimetre.
    paper, head, progress, notes
        As for `pages_pdf`.

    Raises
    ------
    CancelledError
        If the work was given up.
    NotWrittenError
        If the device cannot be painted on.
    """
    painter = QPainter(device)
    if not painter.isActive():
        msg = "the sheets could not be painted; choose another printer or place"
        raise NotWrittenError(msg)
    try:
        for number, page in enumerate(pages, 1):
            if progress.is_cancelled:
                msg = "given up; nothing was written"
                raise CancelledError(msg)
            progress.report((number - 1) / len(pages), page.title)
            if number > 1:
                device.newPage()
            sheet = Sheet(
                painter=painter,
                mm=mm,
                paper=paper,
                head=head,
                title=page.title,
                number=number,
                count=len(pages),
            )
            sheet.furnish()
            page.paint(sheet)
            if notes is not None:
                notes.append(sheet.boxes)
    finally:
        painter.end()


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
