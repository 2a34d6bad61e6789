"""Large drawings of small places: holes with something near, hoist, electrical side."""

import math
from collections.abc import Iterator, Sequence
from functools import partial

from PySide6.QtCore import QRectF

from core.drawing.frames import PLAN
from core.drawing.plan import plan
from core.drawing.records import (
    Align,
    Bounds,
    Dimension,
    Marker,
    MarkerKind,
    Record,
    Role,
    Text,
)
from core.geometry.shapes import Vec2, Vec3
from core.model.electrical import Electrical
from core.model.hoists import Hoist
from core.outputs.holes import NEAR, Hole, close_ups
from core.quantities import LengthStyle, format_length
from viewer.paper.sheets.job import Page, SheetJob
from viewer.paper.sheets.page import HEAD_HEIGHT, Sheet, body_of, text_width
from viewer.paper.sheets.scales import fitting_scale, scale_words
from viewer.paper.sheets.views import Picture, View, paint_view

__all__ = ["close_up_pages", "electrical_pages", "hoist_pages"]

Place = tuple[str, Vec3]  # a name and where it is [in]

_CELL_WIDTH, _CELL_HEIGHT = 84.0, 74.0  # least size of a close-up [mm]
_TEXT = 22.0  # room for the words of a close-up [mm]
_SCALES = {LengthStyle.FEET: 12.0, LengthStyle.MILLIMETRES: 10.0}
_MARGIN = 18.0  # round what a detail shows [in]
_REACH = 60.0  # what is so near to the pull point is drawn once more, larger [in]
_NAMED = 2  # distances drawn in a close-up
_WORDS = 4.0  # height of what is read on a ladder [mm]


def close_up_pages(job: SheetJob, mm: float) -> list[Page]:
    """Return close-ups of every hole that has anything within 12 in, from above."""
    holes = close_ups(job.tables.holes)
    body = body_of(job.paper)
    across = max(1, int(body.width() / _CELL_WIDTH))
    down = max(1, int((body.height() - HEAD_HEIGHT) / _CELL_HEIGHT))
    each = across * down
    parts = [holes[k : k + each] for k in range(0, len(holes), each)]
    if not parts:
        return []
    picture = _plan_picture(job, _SCALES[job.tables.style], mm, iter(()))
    return [
        Page(
            title="Close-ups" if len(parts) == 1 else f"Close-ups: part {k}",
            paint=partial(_paint_close_ups, job, picture, part, (across, down)),
        )
        for k, part in enumerate(parts, 1)
    ]


def _plan_picture(
    job: SheetJob, scale: float, mm: float, notes: Iterator[Record]
) -> Picture:
    barn = job.analysis.report.barn
    drawing = plan(barn, None, job.shown(), memo=job.memo)
    return Picture.of(
        drawing, scale=scale, mm=mm, style=job.tables.style, extra=tuple(notes)
    )


def _hole_notes(hole: Hole) -> Iterator[Record]:
    """Yield a hole's centre lines and its distances to what is nearest."""
    at = PLAN.point(hole.at)
    yield Marker(
        role=Role.WITNESS,
        owner=hole.id,
        kind=MarkerKind.HOLE,
        at=at,
        size=hole.screw.pilot_hole,
        least_mm=7.0,
    )
    for near in hole.near[:_NAMED]:
        end = PLAN.point(near.at)
        if near.distance <= NEAR and math.dist(at, end) > 0.5:
            yield _gap(hole, at, end, near.distance)


def _gap(hole: Hole, at: Vec2, end: Vec2, value: float) -> Dimension:
    return Dimension(
        role=Role.DIMENSION, owner=hole.id, a=at, b=end, through=at, value=value
    )


def _paint_close_ups(
    job: SheetJob,
    picture: Picture,
    holes: Sequence[Hole],
    grid: tuple[int, int],
    sheet: Sheet,
) -> None:
    body = sheet.body
    across, down = grid
    scale = _SCALES[job.tables.style]
    words = scale_words(scale, job.tables.style)
    sheet.aside(f"From above, front wall to the left. Scale {words}")
    wide = body.width() / across
    high = (body.height() - HEAD_HEIGHT) / down
    for k, hole in enumerate(holes):
        cell = QRectF(
            body.left() + (k % across) * wide,
            body.top() + HEAD_HEIGHT + (k // across) * high,
            wide - 3.0,
            high - 3.0,
        )
        _paint_close_up(sheet, job, picture, hole, cell)


def _paint_close_up(
    sheet: Sheet, job: SheetJob, picture: Picture, hole: Hole, cell: QRectF
) -> None:
    scale, style = _SCALES[job.tables.style], job.tables.style
    seen = cell.adjusted(0.0, 0.0, 0.0, -_TEXT)
    u, v = PLAN.point(hole.at)
    half = (seen.width() * scale / 50.8, seen.height() * scale / 50.8)
    view = View(
        window=Bounds(low=(u - half[0], v - half[1]), high=(u + half[0], v + half[1])),
        left=seen.left(),
        bottom=seen.bottom(),
        scale=scale,
    )
    paint_view(sheet, picture.with_notes(_hole_notes(hole)), view)
    sheet.rectangle(cell, width=0.35)
    sheet.rectangle(seen, width=0.18)
    x, y = cell.left() + 2.0, seen.bottom() + 5.6
    truss = hole.wall or (f"T{hole.truss.number}" if hole.truss else "no truss")
    room = cell.width() - 4.0
    sheet.fitted(x, y, f"{hole.id}  {truss}", room, height=_WORDS, bold=True)
    front, left = (format_length(hole.at[k], style=style) for k in (0, 1))
    sheet.fitted(x, y + 6.6, f"front {front}, left {left}", room, height=_WORDS)
    near = hole.nearest
    if near is not None:
        gap = format_length(max(near.distance, 0.0), style=style)
        words = f"{near.name}, {gap} {near.direction}"
        sheet.fitted(x, y + 13.2, words, room, height=_WORDS)


def hoist_pages(job: SheetJob, mm: float) -> list[Page]:
    """Return the drawing of each hoist: winch, pulleys and cables from above."""
    pages = []
    for hoist in job.analysis.report.barn.hoists:
        places = [*_hoist_places(hoist)]
        near = [p for p in places if math.dist(p[1][:2], hoist.pull_point[:2]) < _REACH]
        title = f"Hoist sheet, {hoist.name or hoist.id}"
        crowded = 1 < len(near) < len(places)
        unmarked = frozenset(name for name, _ in near[1:]) if crowded else frozenset()
        whole = partial(_paint_detail, job, places, mm, unmarked=unmarked)
        pages.append(Page(title=title, paint=whole))
        if crowded:
            close = partial(_paint_detail, job, near, mm)
            pages.append(Page(title=f"{title}: at the winch", paint=close))
    return pages


def _hoist_places(hoist: Hoist) -> Iterator[Place]:
    yield "winch", hoist.winch.at
    yield "pull point", hoist.pull_point
    if hoist.dead_end is not None:
        yield "dead end", hoist.dead_end
    for cable in hoist.cables:
        for turn in cable.turns:
            yield turn.id, turn.at


def electrical_pages(job: SheetJob, mm: float) -> list[Page]:
    """Return the drawing of supply, switch, leads and rods from above."""
    places = [*_electrical_places(job.analysis.report.barn.electrical)]
    if not places:
        return []
    return [
        Page(
            title="Lead and grounding sheet",
            paint=partial(_paint_detail, job, places, mm),
        )
    ]


def _electrical_places(electrical: Electrical) -> Iterator[Place]:
    if electrical.supply is not None:
        yield "supply", electrical.supply.at
        if electrical.supply.outlet is not None:
            yield "outlet", electrical.supply.outlet.at
    if electrical.switch is not None:
        yield "isolating switch", electrical.switch.at
    for lead in electrical.leads:
        for number, at in enumerate(lead.route[1:], 1):
            yield f"{lead.id}, hold {number}", at
    for rod in electrical.rods:
        yield rod.id, (*rod.at, 0.0)


def _paint_detail(
    job: SheetJob,
    places: Sequence[Place],
    mm: float,
    sheet: Sheet,
    *,
    unmarked: frozenset[str] = frozenset(),
) -> None:
    """Paint the plan round some places with their numbers, and list where they are.

    What is `unmarked` is too crowded here and has its number on a drawing of its own.
    """
    style, body = job.tables.style, sheet.body
    listed = min(0.38 * body.width(), 120.0)
    space = (body.width() - listed - 4.0, body.height() - HEAD_HEIGHT)
    points = [PLAN.point(at) for _, at in places]
    low = tuple(min(p[k] for p in points) - _MARGIN for k in (0, 1))
    high = tuple(max(p[k] for p in points) + _MARGIN for k in (0, 1))
    scale = fitting_scale(high[0] - low[0], high[1] - low[1], space, style)
    middle = ((low[0] + high[0]) / 2, (low[1] + high[1]) / 2)
    half = tuple(side * scale / 50.8 for side in space)
    view = View(
        window=Bounds(
            low=(middle[0] - half[0], middle[1] - half[1]),
            high=(middle[0] + half[0], middle[1] + half[1]),
        ),
        left=body.left(),
        bottom=body.bottom(),
        scale=scale,
    )
    picture = _plan_picture(job, scale, mm, _numbered(places, unmarked))
    paint_view(sheet, picture, view)
    sheet.rectangle(view.box, width=0.18)
    sheet.aside(f"From above. Scale {scale_words(scale, style)}")
    _list_places(sheet, body.right() - listed, places, style)


def _numbered(places: Sequence[Place], unmarked: frozenset[str]) -> Iterator[Record]:
    for number, (name, at) in enumerate(places, 1):
        if name in unmarked:
            continue
        u, v = PLAN.point(at)
        yield Text(
            role=Role.DIMENSION,
            at=(u + 2.0, v),
            parts=(str(number),),
            size=3.5,
            across=Align.START,
            upright=Align.START,
        )


def _list_places(
    sheet: Sheet, x: float, places: Sequence[Place], style: LengthStyle
) -> None:
    """Write name, distance from the front and the left wall, and height."""
    y = sheet.body.top() + HEAD_HEIGHT + 4.0
    room = sheet.body.right() - x
    pitch = min(13.0, (sheet.body.bottom() - y) / max(len(places), 1))
    letters = min(3.2, pitch / 3.4)
    for number, (name, at) in enumerate(places, 1):
        words = f"{number}  {name}"
        sheet.fitted(x, y, words, room, height=letters, bold=True)
        front, left, up = (format_length(value, style=style) for value in at)
        before = "outside " if at[0] < 0.0 else ""
        words = f"front {before}{front.removeprefix('-')}, left {left}, up {up}"
        if text_width(words, letters) > room:
            sheet.fitted(x, y + 1.55 * letters, words, room, height=letters)
        else:
            sheet.text(x, y + 1.55 * letters, words, height=letters)
        y += pitch
