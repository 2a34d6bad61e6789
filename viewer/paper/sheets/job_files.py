"""All that leaves the desk for one job, written into a folder: whole, or not at all.

What writes DXF, GLB and workbooks takes long to import and is imported when it is
needed: the window must not wait for it.
"""

import os
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from functools import cache, partial
from pathlib import Path

from PySide6.QtGui import QGuiApplication

from core.analysis.analyse import Analysis, analyse
from core.barnfile.files import BarnFile
from core.drawing.long_section import long_section
from core.drawing.plan import plan
from core.drawing.records import Drawing, Record
from core.drawing.section import section
from core.outputs.everything import everything_bytes
from core.outputs.folder import Output, Progress, Silent, write_set
from core.outputs.holes import Hole
from core.outputs.job_tables import job_tables
from core.outputs.sheet_dimensions import plan_dimensions
from core.outputs.tables import Table
from core.quantities import LengthStyle
from viewer.paper.sheets.installers_set import pages_pdf, report_pages, set_pages
from viewer.paper.sheets.job import SheetJob, head_of
from viewer.paper.sheets.page import Paper
from viewer.paper.sheets.pictures import drawing_png, drawing_svg
from viewer.paper.sheets.scales import fitting_scale
from viewer.paper.sheets.section_pages import section_cuts

__all__ = [
    "CHECKING",
    "KINDS",
    "application",
    "drawing_outputs",
    "job_outputs",
    "sheet_job",
    "write_job",
]

CHECKING = "checking the barn"
KINDS = ("set", "report", "tables", "dxf", "pictures", "glb", "json")
_PNG_WIDTH = 3200  # [px]
_ROOM = (800.0, 560.0)  # of A1, for the scale of SVG and of the letters in DXF [mm]


def write_job(
    file: BarnFile,
    out: Path | str,
    *,
    paper: Paper = Paper.A4,
    only: Sequence[str] = KINDS,
    name: str = "",
    analysis: Analysis | None = None,
    progress: Progress | None = None,
) -> tuple[Path, ...]:
    """Write the sheets and files of a job into a folder.

    May run in any thread; it needs a QGuiApplication, and makes one without a screen
    when there is none.

    Parameters
    ----------
    file : BarnFile
        The barn with its meshes.
    out : Path or str
        The folder; made when it is not there.
    paper : Paper
        Of the PDF files.
    only : sequence of str
        Which of `KINDS` to write.
    name : str
        The barn file's own name, for the title block of a job without a number.
    analysis : Analysis, optional
        Of this very barn; made when it is not given.
    progress : Progress, optional
        Told what is done; asked whether to give up.

    Returns
    -------
    tuple of Path
        The files.

    Raises
    ------
    CancelledError
        If the work was given up; nothing is left of it.
    NotWrittenError
        If a file cannot be written; what was there before is untouched.
    """
    progress = progress or Silent()
    with application():
        progress.report(0.0, CHECKING)
        job = sheet_job(file, paper=paper, analysis=analysis)
        return write_set(out, tuple(job_outputs(job, name=name, only=only)), progress)


@contextmanager
def application() -> Iterator[None]:
    """Have an application to paint with; a new one, without a screen, if need be."""
    made = None
    if QGuiApplication.instance() is None:
        os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
        made = QGuiApplication([])
    yield
    del made  # it lives until all is painted


def sheet_job(
    file: BarnFile,
    *,
    paper: Paper = Paper.A4,
    analysis: Analysis | None = None,
    style: LengthStyle | None = None,
) -> SheetJob:
    """Return what all sheets of a barn are made from; lengths as the job says."""
    analysis = analysis or analyse(file.barn, meshes=file.meshes)
    tables = job_tables(analysis, meshes=file.meshes, style=style)
    return SheetJob(file=file, analysis=analysis, tables=tables, paper=paper)


def _kind(output: Output) -> str:
    folder, _, _ = output.name.partition("/")
    return _KIND_OF.get(folder, folder)


_KIND_OF = {
    "installers-set.pdf": "set",
    "findings-report.pdf": "report",
    "tables.xlsx": "tables",
    "room.glb": "glb",
    "job.json": "json",
}


def job_outputs(
    job: SheetJob, *, name: str = "", only: Sequence[str] = KINDS
) -> Iterator[Output]:
    """Yield the files of a job with what makes them, of some of `KINDS` alone."""
    return (output for output in _all_outputs(job, name) if _kind(output) in only)


def _all_outputs(job: SheetJob, name: str) -> Iterator[Output]:
    head = head_of(job.file, job.tables, name=name)

    def whole_set(progress: Progress) -> bytes:
        pages = set_pages(job)
        return pages_pdf(pages, paper=job.paper, head=head, progress=progress)

    def report(progress: Progress) -> bytes:
        pages = report_pages(job)
        return pages_pdf(pages, paper=job.paper, head=head, progress=progress)

    yield Output(name="installers-set.pdf", make=whole_set, weight=10.0)
    yield Output(name="findings-report.pdf", make=report)
    yield from _table_files(job)
    yield from _drawing_files(job)
    yield Output(name="room.glb", make=lambda _: _glb(job), weight=2.0)
    yield Output(name="job.json", make=lambda _: _json(job))


def _glb(job: SheetJob) -> bytes:
    from core.outputs.glb import room_glb

    return room_glb(job.analysis, meshes=job.file.meshes)


def _json(job: SheetJob) -> bytes:
    return everything_bytes(job.file, job.analysis.report, job.tables)


def _table_files(job: SheetJob) -> Iterator[Output]:
    tables, style = job.tables.all, job.tables.style
    yield Output(name="tables.xlsx", make=partial(_workbook, tables, style))
    for table in tables:
        yield Output(
            name=f"tables/{_plain(table.key)}.csv",
            make=partial(_csv, table, style),
            weight=0.05,
        )


def _workbook(
    tables: tuple[Table, ...], style: LengthStyle, _progress: Progress
) -> bytes:
    from core.outputs.table_files import workbook_bytes

    return workbook_bytes(tables, style=style)


def _csv(table: Table, style: LengthStyle, _progress: Progress) -> bytes:
    from core.outputs.table_files import csv_bytes

    return csv_bytes(table, style=style)


def _plain(key: str) -> str:
    """Return a key as a file name: letters, digits, hyphens."""
    return "".join(c if c.isalnum() or c in "-_." else "-" for c in key)


def _drawing_files(job: SheetJob) -> Iterator[Output]:
    barn, report = job.analysis.report.barn, job.analysis.report
    notes = tuple(plan_dimensions(job.analysis))
    whole = partial(plan, barn, report, job.shown(), memo=job.memo)
    yield from drawing_outputs(job, "plan", whole, notes, job.tables.holes)
    for cut in section_cuts(barn):
        across = partial(section, barn, report, job.shown(cut=cut.x))
        yield from drawing_outputs(job, f"section-{cut.letter}", across)
    for run in barn.runs:
        along = partial(long_section, barn, report, job.shown(run=run.id))
        yield from drawing_outputs(job, f"long-section-{_plain(run.id)}", along)


def drawing_outputs(
    job: SheetJob,
    name: str,
    draw: Callable[[], Drawing],
    notes: tuple[Record, ...] = (),
    holes: tuple[Hole, ...] = (),
) -> Iterator[Output]:
    """Yield one drawing as DXF, SVG and PNG.

    Parameters
    ----------
    job : SheetJob
        What it is of.
    name : str
        Its name in its folder, without a suffix.
    draw : callable
        Makes the drawing when the first of its forms is made.
    notes, holes
        What the DXF shows besides, as for `drawing_dxf`.
    """
    style, cautions = job.tables.style, job.cautions
    drawing = cache(draw)  # made when the first of its forms is

    def dxf(_: Progress) -> bytes:
        from core.outputs.dxf import drawing_dxf

        scale = _scale(drawing(), style)
        return drawing_dxf(
            drawing(), style=style, extra=notes, holes=holes, scale=scale
        )

    def svg(_: Progress) -> bytes:
        scale = _scale(drawing(), style)
        return drawing_svg(drawing(), scale=scale, style=style, cautions=cautions)

    def png(_: Progress) -> bytes:
        return drawing_png(drawing(), width=_PNG_WIDTH, style=style, cautions=cautions)

    yield Output(name=f"dxf/{name}.dxf", make=dxf, weight=0.5)
    yield Output(name=f"pictures/{name}.svg", make=svg, weight=0.5)
    yield Output(name=f"pictures/{name}.png", make=png, weight=0.5)


def _scale(drawing: Drawing, style: LengthStyle) -> float:
    (u0, v0), (u1, v1) = drawing.bounds.low, drawing.bounds.high
    return fitting_scale(u1 - u0, v1 - v0, _ROOM, style)
