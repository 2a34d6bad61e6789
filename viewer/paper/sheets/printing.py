"""The sheets of a job on a printer, or in the preview of one.

Pages are recorded once, in any thread or process, and replayed on whatever grid a
printer has; a replay takes milliseconds.
"""

from dataclasses import dataclass

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QMarginsF, QSizeF
from PySide6.QtGui import QPageLayout, QPageSize, QPainter, QPicture
from PySide6.QtPrintSupport import QPrinter

from core.errors import NotWrittenError
from core.outputs.folder import Progress, Silent
from viewer.paper.sheets.installers_set import (
    RESOLUTION,
    counted,
    paint_page,
    set_pages,
)
from viewer.paper.sheets.job import SheetJob, head_of
from viewer.paper.sheets.page import Paper

__all__ = ["PrintPages", "print_pages", "recorded_set", "set_up_printer"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PrintPages:
    """Pages for one size of paper, each as Qt stores a picture."""

    paper: Paper
    pages: tuple[bytes, ...]


def recorded_set(
    job: SheetJob, *, name: str = "", progress: Progress | None = None
) -> PrintPages:
    """Record the pages of the installer's set.

    Parameters
    ----------
    job : SheetJob
        What is printed.
    name : str
        The barn file's name.
    progress : Progress, optional
        Told of each page; asked whether to give up.

    Raises
    ------
    CancelledError
        If the work was given up.
    """
    pages = set_pages(job)
    head = head_of(job.file, job.tables, name=name)
    recorded = []
    for number, page in counted(pages, progress or Silent()):
        picture = QPicture()
        painter = QPainter(picture)
        place = (number, len(pages))
        paint_page(painter, page, place, paper=job.paper, head=head)
        painter.end()
        recorded.append(_stored(picture))
    return PrintPages(paper=job.paper, pages=tuple(recorded))


def set_up_printer(printer: QPrinter, paper: Paper) -> None:
    """Set a printer to a paper, landscape, at full size."""
    wide, high = paper.size
    size = QPageSize(QSizeF(high, wide), QPageSize.Unit.Millimeter, paper.value)
    none = QMarginsF(0.0, 0.0, 0.0, 0.0)
    printer.setFullPage(True)
    printer.setPageLayout(QPageLayout(size, QPageLayout.Orientation.Landscape, none))


def print_pages(printer: QPrinter, pages: PrintPages) -> None:
    """Print pages, those that the printer was asked for; also for a preview.

    Parameters
    ----------
    printer : QPrinter
        Set up by `set_up_printer`; its dialog may have changed it since.
    pages : PrintPages
        What is printed.

    Raises
    ------
    NotWrittenError
        If the printer, or the file that it prints to, cannot be used.
    """
    set_up_printer(printer, pages.paper)
    painter = QPainter()
    if not painter.begin(printer):
        msg = "the sheets could not be printed; choose another printer or file"
        raise NotWrittenError(msg)
    try:
        for place, page in enumerate(_asked_for(printer, pages)):
            if place:
                printer.newPage()
            _replay(painter, page)
    finally:
        painter.end()


def _asked_for(printer: QPrinter, pages: PrintPages) -> tuple[bytes, ...]:
    if printer.printRange() is not QPrinter.PrintRange.PageRange:
        return pages.pages
    last = printer.toPage() or len(pages.pages)
    return pages.pages[max(printer.fromPage() - 1, 0) : last]


def _replay(painter: QPainter, page: bytes) -> None:
    """Paint a recorded page at its true size on a painter's device."""
    picture = _restored(page)
    # a picture scales itself from its own dots per inch to those of the device
    factor = picture.logicalDpiX() / RESOLUTION
    painter.save()
    painter.scale(factor, factor)
    painter.drawPicture(0, 0, picture)
    painter.restore()


def _stored(picture: QPicture) -> bytes:
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    picture.save(buffer)
    return bytes(buffer.data().data())


def _restored(page: bytes) -> QPicture:
    buffer = QBuffer()
    buffer.setData(QByteArray(page))
    buffer.open(QIODevice.OpenModeFlag.ReadOnly)
    picture = QPicture()
    picture.load(buffer)
    return picture
