"""The sheets of a job on a printer, or in the preview that a print dialog shows."""

from PySide6.QtCore import QMarginsF, QSizeF
from PySide6.QtGui import QPageLayout, QPageSize
from PySide6.QtPrintSupport import QPrinter

from core.outputs.folder import Progress, Silent
from viewer.paper.sheets.installers_set import paint_pages, set_pages
from viewer.paper.sheets.job import SheetJob, head_of

__all__ = ["print_set", "set_up_printer"]


def set_up_printer(printer: QPrinter, job: SheetJob) -> None:
    """Set a printer to the job's paper, landscape, at full size."""
    wide, high = job.paper.size
    size = QPageSize(QSizeF(high, wide), QPageSize.Unit.Millimeter, job.paper.value)
    none = QMarginsF(0.0, 0.0, 0.0, 0.0)
    printer.setFullPage(True)
    printer.setPageLayout(QPageLayout(size, QPageLayout.Orientation.Landscape, none))


def print_set(
    printer: QPrinter,
    job: SheetJob,
    *,
    name: str = "",
    progress: Progress | None = None,
) -> None:
    """Print the installer's set; also for a preview's request to paint.

    Parameters
    ----------
    printer : QPrinter
        Set up by `set_up_printer` before its dialog was shown.
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
    NotWrittenError
        If the printer cannot be used.
    """
    mm = printer.resolution() / 25.4
    paint_pages(
        printer,
        set_pages(job, mm=mm),
        mm=mm,
        paper=job.paper,
        head=head_of(job.file, job.tables, name=name),
        progress=progress or Silent(),
    )
