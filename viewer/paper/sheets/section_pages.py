"""Sections across the room at each change, and the long section of each run."""

import itertools
import math
from collections.abc import Iterator
from functools import partial
from typing import TYPE_CHECKING

from core.drawing.long_section import long_section
from core.drawing.records import Align, Bounds
from core.drawing.section import section
from core.model.barn import Barn
from core.model.room import Room
from core.model.runs import Run
from core.placement.building import truss_stations
from core.placement.ceiling import ceiling_fields, ceiling_height, ceiling_top
from core.placement.runs import point_at, run_direction, run_length, stow_height
from core.quantities import LengthStyle, format_length
from viewer.paper.sheets.job import Page, SheetJob
from viewer.paper.sheets.page import HEAD_HEIGHT, Sheet, body_of, text_width
from viewer.paper.sheets.plan_pages import Cut
from viewer.paper.sheets.scales import fitting_scale, scale_words, scales
from viewer.paper.sheets.views import Picture, View, paint_view

if TYPE_CHECKING:
    from PySide6.QtCore import QRectF

__all__ = ["long_pages", "section_cuts", "section_pages"]

_FIGURES = 3.0
_BELOW, _ABOVE, _ASIDE = 10.0, 14.0, 8.0  # shown beyond floor, ceiling, walls [in]
_LEFT, _FOOT = 30.0, 20.5  # room for running dimensions [mm]
_LARGEST = 12.0  # no long section is larger than 1:12
_READ = {LengthStyle.FEET: 96.0, LengthStyle.MILLIMETRES: 100.0}
_GAP = 16.0  # between two strips of a long section [mm]


def section_cuts(barn: Barn) -> tuple[Cut, ...]:
    """Return where the room is cut: once for each different cross section.

    A cross section changes where the ceiling steps, a bulkhead or a run begins or
    ends. Each is cut through the hanging points nearest to the middle of its longest
    stretch.
    """
    room = barn.room
    ends = {0.0, room.length}
    for field in ceiling_fields(room):
        ends |= {field.low[0], field.high[0]}
    for run in barn.runs:
        ends |= {run.start[0], run.end[0]}
    marks = sorted(x for x in ends if 0.0 <= x <= room.length)
    longest: dict[tuple[object, ...], tuple[float, float]] = {}
    for low, high in itertools.pairwise(marks):
        kind = _kind(barn, (low + high) / 2)
        a, b = longest.get(kind, (0.0, 0.0))
        if high - low > b - a:
            longest[kind] = (low, high)
    useful = {k: v for k, v in longest.items() if k[0]} or longest
    places = sorted(_hanging_place(barn, *stretch) for stretch in useful.values())
    return tuple(Cut(letter=chr(65 + k % 26), x=x) for k, x in enumerate(places))


def _kind(barn: Barn, x: float) -> tuple[object, ...]:
    """Return what makes a cross section: the runs in it, the ceiling's fields."""
    runs = tuple(
        run.id
        for run in barn.runs
        if min(run.start[0], run.end[0]) <= x <= max(run.start[0], run.end[0])
    )
    fields = tuple(
        (field.low[1], field.high[1], field.z_low, field.z_high)
        for field in ceiling_fields(barn.room)
        if field.low[0] <= x <= field.high[0]
    )
    return (runs, fields)


def _hanging_place(barn: Barn, low: float, high: float) -> float:
    """Return just before the hanging point nearest to the middle of a stretch [in]."""
    middle = (low + high) / 2
    places = [
        point_at(run, support.station)[0]
        for run in barn.runs
        for support in run.supports
    ]
    inside = [x for x in places if low < x < high]
    return min(inside, key=lambda x: abs(x - middle), default=middle + 0.5) - 0.5


def section_pages(job: SheetJob, cuts: tuple[Cut, ...], mm: float) -> list[Page]:
    """Return the sections across the room, as many on a page as it has room for."""
    window = _window(job.analysis.report.barn.room)
    body = body_of(job.paper)
    space = (body.width() - _LEFT, body.height() - HEAD_HEIGHT - _FOOT - 8.0)
    wide, high = (b - a for a, b in zip(window.low, window.high, strict=True))
    scale = fitting_scale(wide, high, space, job.tables.style)
    tall = high * 25.4 / scale + _FOOT + 8.0
    each = max(1, int((body.height() - HEAD_HEIGHT) / tall))
    groups = [cuts[k : k + each] for k in range(0, len(cuts), each)]
    return [
        Page(
            title=_section_title(group),
            paint=partial(_paint_sections, job, group, scale, tall, mm),
        )
        for group in groups
    ]


def _section_title(cuts: tuple[Cut, ...]) -> str:
    names = ", ".join(f"{cut.letter}-{cut.letter}" for cut in cuts)
    return f"Section{'s' if len(cuts) > 1 else ''} {names}"


def _window(room: Room) -> Bounds:
    past = room.wall_thickness + _ASIDE
    return Bounds(
        low=(-past, -_BELOW), high=(room.width + past, ceiling_top(room) + _ABOVE)
    )


def _paint_sections(
    job: SheetJob,
    cuts: tuple[Cut, ...],
    scale: float,
    tall: float,
    mm: float,
    sheet: Sheet,
) -> None:
    style, room = job.tables.style, job.analysis.report.barn.room
    top = format_length(ceiling_top(room), style=style)
    sheet.aside(
        f"Looking back. Ceiling {top} at most. Scale {scale_words(scale, style)}"
    )
    for number, cut in enumerate(cuts):
        bottom = sheet.body.top() + HEAD_HEIGHT + (number + 1) * tall - _FOOT
        _paint_section(job, cut, scale, bottom, mm, sheet)


def _paint_section(
    job: SheetJob, cut: Cut, scale: float, bottom: float, mm: float, sheet: Sheet
) -> None:
    barn, style = job.analysis.report.barn, job.tables.style
    drawing = section(barn, job.analysis.report, job.shown(cut=cut.x))
    picture = Picture.of(
        drawing, scale=scale, mm=mm, style=style, cautions=job.cautions
    )
    view = View(
        window=_window(barn.room),
        left=sheet.body.left() + _LEFT,
        bottom=bottom,
        scale=scale,
    )
    paint_view(sheet, picture, view)
    where = format_length(cut.x, style=style)
    words = f"{cut.letter}-{cut.letter}, {where} from the front wall"
    sheet.text(view.box.left(), view.box.top() - 1.5, words, height=3.5, bold=True)
    _from_left(sheet, view, job, cut.x)
    _heights(sheet, view, job, cut.x)


def _from_left(sheet: Sheet, view: View, job: SheetJob, x: float) -> None:
    """Write how far the runs are from the left wall, under the section."""
    barn = job.analysis.report.barn
    places = {0.0: "left wall", barn.room.width: "right wall"}
    for run in barn.runs:
        y = _crossing(run, x)
        if y is not None:
            places[y] = run.id
    line = view.box.bottom() + 2.0
    sheet.line(view.x(0.0), line, view.x(barn.room.width), line, width=0.18)
    taken: list[tuple[float, float]] = []
    for y, name in sorted(places.items(), key=lambda p: ("wall" in p[1], p[0])):
        at = view.x(y)
        sheet.line(at, line - 1.5, at, line + 1.5, width=0.35)
        words = format_length(y, style=job.tables.style) if y else "0"
        half = 0.5 + text_width(max(words, name, key=len), _FIGURES) / 2
        row = sum(abs(at - x) < half + other for x, other in taken)
        taken.append((at, half))
        below = line + 6.0 + 9.0 * row
        sheet.text(at, below, words, height=_FIGURES, across=Align.MIDDLE)
        sheet.text(at, below + 4.0, name, height=2.5, across=Align.MIDDLE)


def _crossing(run: Run, x: float) -> float | None:
    dx, dy = run_direction(run)
    if abs(dx) < 1e-6:
        return None
    station = (x - run.start[0]) / dx
    return run.start[1] + station * dy if 0.0 <= station <= run_length(run) else None


def _heights(sheet: Sheet, view: View, job: SheetJob, x: float) -> None:
    """Write the heights of floor, runs and ceiling on a line left of the section."""
    barn, catalogue = job.analysis.report.barn, job.analysis.catalogue
    marks = {0.0: "floor"}
    for run in barn.runs:
        if _crossing(run, x) is not None:
            marks.setdefault(run.working_height, "working height")
            marks.setdefault(stow_height(run, barn.room, catalogue), "stowed")
    marks.setdefault(ceiling_height(barn.room, x, 0.0), "ceiling at wall")
    marks.setdefault(ceiling_top(barn.room), "ceiling, highest")
    _upright(sheet, view, marks, job)


def _upright(sheet: Sheet, view: View, marks: dict[float, str], job: SheetJob) -> None:
    line = view.box.left() - 1.0
    ends = sorted(marks)
    sheet.line(line, view.y(ends[0]), line, view.y(ends[-1]), width=0.18)
    last = math.inf
    for z in ends:
        y = view.y(z)
        sheet.line(line - 1.5, y, line + 1.5, y, width=0.35)
        if last - y < 7.0:
            continue
        last = y
        words = format_length(z, style=job.tables.style) if z else "0"
        sheet.text(line - 2.0, y - 0.3, words, height=2.6, across=Align.END)
        sheet.text(line - 2.0, y + 2.8, marks[z], height=2.0, across=Align.END)


def long_pages(job: SheetJob, mm: float) -> list[Page]:
    """Return the long section of each run, in strips below each other."""
    return [
        page for run in job.analysis.report.barn.runs for page in _long(job, run, mm)
    ]


def _long(job: SheetJob, run: Run, mm: float) -> Iterator[Page]:
    body = body_of(job.paper)
    room = job.analysis.report.barn.room
    low, high = -6.0, run_length(run) + 6.0
    tall = ceiling_top(room) + _ABOVE + _BELOW
    space = (body.width() - _LEFT - 4.0, body.height() - HEAD_HEIGHT - 2.0)
    scale, rows = _strips(high - low, tall, space, job)
    step = (high - low) / rows
    per_page = max(1, int(space[1] / (tall * 25.4 / scale + _GAP)))
    strips = [(low + k * step, low + (k + 1) * step) for k in range(rows)]
    pages = -(-rows // per_page)
    for number in range(pages):
        part = strips[number * per_page : (number + 1) * per_page]
        title = f"Long section of {run.name or run.id}"
        yield Page(
            title=title if pages == 1 else f"{title}: part {number + 1} of {pages}",
            paint=partial(_paint_long, job, run, scale, part, mm),
        )


def _strips(
    wide: float, tall: float, space: tuple[float, float], job: SheetJob
) -> tuple[float, int]:
    """Return the scale of a long section and the number of its strips.

    The largest at which all strips share one page; one that can still be read, over
    more pages, where there is none.
    """
    style = job.tables.style
    for scale in scales(style):
        rows = math.ceil(wide * 25.4 / scale / space[0] - 1e-9)
        fits = rows * (tall * 25.4 / scale + _GAP) <= space[1]
        if fits and _LARGEST <= scale <= _READ[style]:
            return scale, max(rows, 1)
    scale = _READ[style]
    return scale, math.ceil(wide * 25.4 / scale / space[0] - 1e-9)


def _paint_long(
    job: SheetJob,
    run: Run,
    scale: float,
    strips: list[tuple[float, float]],
    mm: float,
    sheet: Sheet,
) -> None:
    barn, style = job.analysis.report.barn, job.tables.style
    drawing = long_section(barn, job.analysis.report, job.shown(run=run.id))
    picture = Picture.of(
        drawing, scale=scale, mm=mm, style=style, cautions=job.cautions
    )
    body = sheet.body
    sheet.aside(f"Scale {scale_words(scale, style)}")
    tall = ceiling_top(barn.room) + _ABOVE + _BELOW
    bottom = body.top() + HEAD_HEIGHT
    for low, high in strips:
        bottom += tall * 25.4 / scale
        view = View(
            window=Bounds(
                low=(low, -_BELOW), high=(high, ceiling_top(barn.room) + _ABOVE)
            ),
            left=body.left() + _LEFT,
            bottom=bottom,
            scale=scale,
        )
        paint_view(sheet, picture, view)
        sheet.rectangle(view.box, width=0.13)
        _stations(sheet, view, job, run)
        marks = {0.0: "floor", run.working_height: "working"}
        marks[stow_height(run, barn.room, job.analysis.catalogue)] = "stowed"
        _upright(sheet, view, marks, job)
        bottom += _GAP


def _stations(sheet: Sheet, view: View, job: SheetJob, run: Run) -> None:
    """Write each support with its truss and its station under a strip."""
    style, room = job.tables.style, job.analysis.report.barn.room
    box: QRectF = view.box
    trusses = truss_stations(room)
    last = -math.inf
    for support in sorted(run.supports, key=lambda s: s.station):
        if not view.window.low[0] <= support.station <= view.window.high[0]:
            continue
        x = view.x(support.station)
        sheet.line(x, box.bottom() - 1.5, x, box.bottom() + 1.5, width=0.35)
        place = point_at(run, support.station + support.along)[0]
        truss = min(trusses, key=lambda t: abs(t.x - place), default=None)
        name = support.id if truss is None else f"{support.id}, T{truss.number}"
        words = format_length(support.station, style=style)
        half = 1.7 * max(len(name), len(words)) * 2.6 / 4
        if x - half < last:
            continue
        at = min(max(x, box.left() + half - 8.0), box.right() - half)
        last = x + half
        sheet.text(at, box.bottom() + 4.6, words, height=2.6, across=Align.MIDDLE)
        sheet.text(at, box.bottom() + 8.4, name, height=2.6, across=Align.MIDDLE)
