"""What a window has made of its barn: functions that run in a process of their own.

Each takes a barn file and, last, the progress; everything else is given by keyword,
so that a `functools.partial` of it can be sent to another process.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import partial

from core.analysis.analyse import analyse
from core.analysis.report import Report
from core.barnfile.files import BarnFile
from core.drawing.long_section import long_section
from core.drawing.plan import plan
from core.drawing.records import Drawing
from core.drawing.section import section
from core.drawing.shown import Shown
from core.model.barn import Barn
from core.outputs.everything import everything_bytes
from core.outputs.findings_rows import report_table
from core.outputs.folder import Output, Progress, made_set
from core.outputs.sheet_dimensions import plan_dimensions
from core.outputs.tables import length_style
from core.quantities import LengthStyle
from viewer.paper.sheets.installers_set import pages_pdf, report_pages
from viewer.paper.sheets.job import SheetJob, head_of
from viewer.paper.sheets.job_files import (
    CHECKING,
    application,
    drawing_outputs,
    job_outputs,
    sheet_job,
)
from viewer.paper.sheets.page import Paper
from viewer.paper.sheets.printing import PrintPages, recorded_set

__all__ = [
    "Seen",
    "ViewKind",
    "data_made",
    "pages_made",
    "report_made",
    "report_rows_made",
    "sheets_made",
    "view_made",
]


class ViewKind(StrEnum):
    """The drawings of a window."""

    PLAN = "plan"
    SECTION = "section"
    LONG_SECTION = "long section"


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """A view as it is seen: which, the lift [-], the cut [in], the run, the lengths."""

    kind: ViewKind
    lift: float
    cut: float
    run: str | None
    style: LengthStyle


def sheets_made(
    file: BarnFile,
    progress: Progress,
    *,
    paper: Paper,
    kinds: Sequence[str],
    name: str,
) -> dict[str, bytes]:
    """Return the job's sheets and files by their names; `kinds` of `KINDS`."""
    with application():
        progress.report(0.0, CHECKING)
        job = sheet_job(file, paper=paper)
        return made_set(job_outputs(job, name=name, only=kinds), progress)


def pages_made(
    file: BarnFile, progress: Progress, *, paper: Paper, name: str
) -> PrintPages:
    """Return the installer's set, recorded for a printer."""
    with application():
        progress.report(0.0, CHECKING)
        job = sheet_job(file, paper=paper)
        return recorded_set(job, name=name, progress=progress)


def report_made(
    file: BarnFile, progress: Progress, *, paper: Paper, name: str
) -> bytes:
    """Return the findings report as PDF."""
    with application():
        progress.report(0.0, CHECKING)
        job = sheet_job(file, paper=paper)
        head = head_of(file, job.tables, name=name)
        pages = report_pages(job)
        return pages_pdf(pages, paper=paper, head=head, progress=progress)


def report_rows_made(file: BarnFile, progress: Progress) -> bytes:
    """Return the findings report as CSV, what was not checked first."""
    from core.outputs.table_files import csv_bytes  # slow to import

    progress.report(0.0, CHECKING)
    report = analyse(file.barn, meshes=file.meshes).report
    style = length_style(file.barn.job.display)
    return csv_bytes(report_table(report, style=style), style=style)


def data_made(file: BarnFile, progress: Progress) -> bytes:
    """Return barn, report and tables as JSON."""
    progress.report(0.0, CHECKING)
    job = sheet_job(file)
    progress.report(0.5, "writing down everything")
    return everything_bytes(file, job.analysis.report, job.tables)


def view_made(file: BarnFile, progress: Progress, *, seen: Seen, suffix: str) -> bytes:
    """Return a view as it is seen; `suffix` is that of SVG, PNG or DXF files."""
    with application():
        progress.report(0.0, CHECKING)
        job = sheet_job(file, style=seen.style)
        progress.report(0.5, f"drawing the {seen.kind}")
        forms = {
            "." + output.name.rpartition(".")[2]: output
            for output in _drawing(job, seen)
        }
        return forms[suffix].make(progress)


def _drawing(job: SheetJob, seen: Seen) -> Iterator[Output]:
    barn, report = job.analysis.report.barn, job.analysis.report
    shown = replace(job.shown(cut=seen.cut, run=seen.run), lift=seen.lift)
    draw = partial(_DRAW[seen.kind], barn, report, shown)
    if seen.kind is ViewKind.PLAN:
        notes = tuple(plan_dimensions(job.analysis))
        return drawing_outputs(job, seen.kind, draw, notes, job.tables.holes)
    return drawing_outputs(job, seen.kind, draw)


_DRAW: Mapping[ViewKind, Callable[[Barn, Report, Shown], Drawing]] = {
    ViewKind.PLAN: plan,
    ViewKind.SECTION: section,
    ViewKind.LONG_SECTION: long_section,
}
