"""The plan to a true scale, over as many pages as it needs, with match lines."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial

import numpy as np

from core.drawing.plan import plan
from core.drawing.records import CUT, Align, Bounds, Polyline, Record, Role, Text
from core.model.room import Room
from core.quantities import LengthStyle, format_length
from viewer.paper.sheets.job import Page, SheetJob
from viewer.paper.sheets.page import HEAD_HEIGHT, Sheet, body_of
from viewer.paper.sheets.scales import fitting_scale, scale_words
from viewer.paper.sheets.views import Picture, View, paint_view

__all__ = ["Cut", "plan_pages"]

_LEFT, _FOOT = 30.0, 19.0  # room for the running dimensions [mm]
# a plan this small or larger stays on one page; split ones are not larger than this
_SPLIT = {LengthStyle.FEET: 128.0, LengthStyle.MILLIMETRES: 100.0}
_READ = {LengthStyle.FEET: 96.0, LengthStyle.MILLIMETRES: 100.0}
_FIGURES = 3.0  # height of running dimensions [mm]
_BEFORE, _ABOVE, _BESIDE, _BEHIND = 44.0, 30.0, 18.0, 14.0  # shown past walls [in]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """A section across the room: its letter and its place [in]."""

    letter: str
    x: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Tiles:
    """How a plan is split: the scale, and the ends of the pieces along u and v."""

    scale: float
    us: tuple[float, ...]
    vs: tuple[float, ...]

    @property
    def windows(self) -> Iterator[Bounds]:
        """Yield the window of each page, along the room first."""
        for v1, v0 in zip(self.vs, self.vs[1:], strict=False):
            for u0, u1 in zip(self.us, self.us[1:], strict=False):
                yield Bounds(low=(u0, v0), high=(u1, v1))


def plan_pages(job: SheetJob, cuts: tuple[Cut, ...], mm: float) -> list[Page]:
    """Return the pages of the plan.

    Parameters
    ----------
    job : SheetJob
        What is drawn, on which paper.
    cuts : tuple of Cut
        The sections, to be marked.
    mm : float
        Page units for a millimetre.
    """
    room = job.analysis.report.barn.room
    style = job.tables.style
    tiles = _tiles(room, job)
    drawing = plan(
        job.analysis.report.barn, job.analysis.report, job.shown(), memo=job.memo
    )
    picture = Picture.of(
        drawing,
        scale=tiles.scale,
        mm=mm,
        style=style,
        extra=tuple(_marks(room, cuts)),
        cautions=job.cautions,
    )
    windows = [*tiles.windows]
    many = len(windows) > 1
    return [
        Page(
            title=f"Plan: part {k} of {len(windows)}" if many else "Plan",
            paint=partial(_paint, job, picture, tiles, window),
        )
        for k, window in enumerate(windows, 1)
    ]


def _tiles(room: Room, job: SheetJob) -> _Tiles:
    body = body_of(job.paper)
    space = (body.width() - _LEFT, body.height() - HEAD_HEIGHT - 6.0 - _FOOT)
    thick = room.wall_thickness
    u0, u1 = -thick - _BEFORE, room.length + thick + _BEHIND
    v0, v1 = -room.width - thick - _BESIDE, thick + _ABOVE
    scale = _scale(u1 - u0, v1 - v0, space, job.tables.style)
    wide, high = (side * scale / 25.4 for side in space)
    return _Tiles(
        scale=scale,
        us=_cut_evenly(u0, u1, wide),
        vs=_cut_evenly(v1, v0, high),
    )


def _scale(
    wide: float, high: float, space: tuple[float, float], style: LengthStyle
) -> float:
    """Return the scale at which a plan fits on a page, or one that is split well.

    A plan that would be smaller than 1:128 is split along the room instead, at the
    scale at which it is a page high, or at 1:128 (1:100) over rows of pages.
    """
    whole = fitting_scale(wide, high, space, style)
    if whole <= _SPLIT[style]:
        return whole
    one_row = fitting_scale(1.0, high, space, style)
    return min(max(one_row, _READ[style]), _SPLIT[style])


def _cut_evenly(first: float, last: float, most: float) -> tuple[float, ...]:
    """Return the ends of equal parts that are no longer than `most` [in]."""
    count = max(1, math.ceil(abs(last - first) / most - 1e-9))
    return tuple(np.linspace(first, last, count + 1).tolist())


def _marks(room: Room, cuts: tuple[Cut, ...]) -> Iterator[Record]:
    """Yield a thick stroke with its letter at both ends of each section."""
    thick = room.wall_thickness
    for cut in cuts:
        for v, way in ((thick, 1.0), (-room.width - thick, -1.0)):
            ends = np.array(((cut.x, v), (cut.x, v + way * 12.0)))
            yield Polyline(role=Role.SECTION_MARK, owner=CUT, points=ends)
            tip = ((cut.x, v + way * 12.0), (cut.x + 9.0, v + way * 12.0))
            yield Polyline(role=Role.LABEL, owner=CUT, points=np.array(tip))
            yield Text(
                role=Role.DIMENSION,
                owner=CUT,
                at=(cut.x + 11.0, v + way * 12.0),
                parts=(cut.letter,),
                size=3.5,
                across=Align.START,
            )


def _paint(
    job: SheetJob, picture: Picture, tiles: _Tiles, window: Bounds, sheet: Sheet
) -> None:
    body = sheet.body
    view = View(
        window=window,
        left=body.left() + _LEFT,
        bottom=body.top()
        + HEAD_HEIGHT
        + 6.0
        + (window.high[1] - window.low[1]) * 25.4 / tiles.scale,
        scale=tiles.scale,
    )
    paint_view(sheet, picture, view)
    words = scale_words(tiles.scale, job.tables.style)
    sheet.aside(f"From above. Scale {words}")
    _match_lines(sheet, view, tiles)
    _from_left_wall(sheet, view, job)
    _from_front_wall(sheet, view, job)


def _match_lines(sheet: Sheet, view: View, tiles: _Tiles) -> None:
    """Draw the edges at which the plan goes on, each with the letter of its line."""
    box = view.box
    (u0, v0), (u1, v1) = view.window.low, view.window.high
    for number, u in enumerate(tiles.us[1:-1], 1):
        if u in (u0, u1):
            x = view.x(u)
            sheet.line(x, box.top() - 2.0, x, box.bottom() + 2.0, width=0.5)
            across = Align.END if u == u1 else Align.START
            words = f"match line M{number}"
            sheet.text(x, box.top() - 3.0, words, height=3.0, across=across)
    for number, v in enumerate(tiles.vs[1:-1], 1):
        if v in (v0, v1):
            y = view.y(v)
            sheet.line(box.left() - 2.0, y, box.right(), y, width=0.5)
            at = y - 2.0 if v == v0 else y + 5.0
            sheet.text(box.left() - 26.0, at, f"match N{number}", height=3.0)


def _from_left_wall(sheet: Sheet, view: View, job: SheetJob) -> None:
    """Write how far each run is from the left wall, on a running dimension line."""
    box = view.box
    x = box.left() - 2.0
    (u0, v0), (u1, v1) = view.window.low, view.window.high
    places = {"left wall": 0.0}
    for run in job.analysis.report.barn.runs:
        low, high = sorted((run.start, run.end))
        if high[0] > u0 and low[0] < u1:
            share = (max(u0, low[0]) - low[0]) / max(high[0] - low[0], 1e-9)
            places[run.id] = low[1] + share * (high[1] - low[1])
    seen = {name: -y for name, y in places.items() if v0 < -y < v1}
    if not seen:
        return
    ends = [view.y(v) for v in seen.values()]
    sheet.line(x, min(ends), x, max(ends), width=0.18)
    taken: list[float] = []
    for name, v in seen.items():
        y = view.y(v)
        sheet.line(x - 1.5, y, x + 1.5, y, width=0.35)
        if all(abs(y - other) >= 8.0 for other in taken):
            taken.append(y)
            words = format_length(-v, style=job.tables.style) if v else "0"
            for at, text, size in ((-0.3, words, _FIGURES), (3.3, name, 2.2)):
                sheet.fitted(
                    x - 2.5, y + at, text, _LEFT - 5.0, height=size, across=Align.END
                )


def _from_front_wall(sheet: Sheet, view: View, job: SheetJob) -> None:
    """Write how far each drilled truss and hole is from the front wall."""
    box = view.box
    y = box.bottom() + 2.0
    u0, u1 = view.window.low[0], view.window.high[0]
    stations = {0.0, *(round(hole.at[0], 4) for hole in job.tables.holes)}
    seen = sorted(x for x in stations if u0 < x < u1)
    if not seen:
        return
    sheet.line(view.x(seen[0]), y, view.x(seen[-1]), y, width=0.18)
    last = -math.inf
    for station in seen:
        x = view.x(station)
        sheet.line(x, y - 1.5, x, y + 1.5, width=0.35)
        if x - last >= 1.5 * _FIGURES:
            last = x
            style = job.tables.style
            words = format_length(station, style=style) if station else "0"
            sheet.text(
                x + _FIGURES / 2,
                y + 2.5,
                words,
                height=_FIGURES * 0.75,
                across=Align.END,
                degrees=-90.0,
            )
    left = box.left() - 4.0
    for row, words in enumerate(("from the front", "wall to each hole")):
        sheet.text(left, y + 1.2 + 3.2 * row, words, height=2.0, across=Align.END)
