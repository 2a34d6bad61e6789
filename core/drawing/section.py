"""The section across the room at a cut: u is y, v the height."""

from collections import Counter
from collections.abc import Iterator
from functools import partial

import numpy as np

from core.analysis.report import Report, RunReport
from core.catalogue.catalogue import Catalogue
from core.drawing.findings import finding_groups
from core.drawing.fixture_views import NEAR_DEPTH, fixture_groups
from core.drawing.frames import section_frame
from core.drawing.hanging_views import equipment_records, hanging_groups
from core.drawing.memo import Memo
from core.drawing.records import (
    Align,
    Bounds,
    Circle,
    Drawing,
    Frame,
    Grip,
    Group,
    Handle,
    Polygon,
    Polyline,
    Record,
    Role,
    Text,
)
from core.drawing.run_shapes import (
    axis_height,
    body_of,
    half_width,
    rounded_box,
    sag_at,
    swing_reach,
)
from core.drawing.seen_parts import seen_parts
from core.drawing.shown import Shown
from core.drawing.slabs import building_section, kept_building
from core.geometry.free_space import FreeSpaceMap
from core.geometry.runs import SweptRun
from core.geometry.shapes import FloatArray, IntArray
from core.model.barn import Barn
from core.model.room import Room
from core.model.runs import Run
from core.placement.ceiling import ceiling_top
from core.placement.runs import run_direction, run_length

__all__ = ["SEEN_DEPTH", "free_space_records", "run_section", "section"]

SEEN_DEPTH = 120.0  # how far behind the cut things are still drawn [in]
_BEFORE = 6.0  # how far before the cut clashes are still marked [in]
_MARGIN = 24.0
_ALONG = 0.1  # runs within about 6 degrees of the cut are not crossed by it [-]


def section(
    barn: Barn,
    report: Report | None,
    shown: Shown,
    *,
    free_space: FreeSpaceMap | None = None,
    memo: Memo | None = None,
) -> Drawing:
    """Return the section across the room at `shown.cut`.

    Parameters
    ----------
    barn : Barn
        The document, or a preview of it during a drag.
    report : Report or None
        Its analysis, or the one of a frame before.
    shown : Shown
        Lift, selection and cut; without a cut it goes through the room's middle.
    free_space : FreeSpaceMap, optional
        Drawn behind everything: where the chosen run cannot go.
    memo : Memo, optional
        What this view drew last.

    Returns
    -------
    Drawing
        Plane coordinates are y and z [in].
    """
    memo = memo or Memo()
    groups = tuple(_groups(barn, report, shown, free_space, memo))
    memo.keep_only(groups)
    room = barn.room
    past = room.wall_thickness + _MARGIN
    bounds = Bounds(
        low=(-past, -past), high=(room.width + past, ceiling_top(room) + past)
    )
    return Drawing(groups=groups, bounds=bounds, frame=_frame(barn.room, shown))


def _frame(room: Room, shown: Shown) -> Frame:
    return section_frame(room.length / 2 if shown.cut is None else shown.cut)


def _groups(
    barn: Barn,
    report: Report | None,
    shown: Shown,
    free_space: FreeSpaceMap | None,
    memo: Memo,
) -> Iterator[Group]:
    room, frame = barn.room, _frame(barn.room, shown)
    x = frame.origin[0]
    if free_space is not None:
        yield memo.group(
            "free-space",
            "",
            (free_space, x, room),
            partial(free_space_records, free_space, x, ceiling=ceiling_top(room)),
        )
    seen = seen_parts("", kept_building(room, memo.common), frame, memo)
    make = partial(building_section, room, seen, frame, depth=SEEN_DEPTH)
    yield memo.group("room", "", (room, x), make)
    yield from fixture_groups(barn, shown, frame, memo, window=(0.0, SEEN_DEPTH))
    for run in barn.runs:
        found = report.runs.get(run.id) if report else None
        inputs = (run, room, shown.catalogue, found, shown.lift, x)
        yield memo.group("run", run.id, inputs, partial(_run, *inputs))
    window = (0.0, NEAR_DEPTH)
    yield from hanging_groups(barn, shown, frame, memo, window=window)
    yield memo.group(
        "equipment",
        "",
        (barn.hoists, barn.electrical, shown.catalogue, x),
        partial(equipment_records, barn, shown.catalogue, frame, window),
    )
    if report is not None:
        near = (-_BEFORE, NEAR_DEPTH)
        yield from finding_groups(barn, report, shown, frame, memo, window=near)
    held = (barn, report, shown.catalogue, shown.selection, shown.lift, x)
    yield memo.group("handles", "", held, partial(_handles, barn, report, shown, x))


def _crossed(run: Run, x: float) -> float | None:
    """Return the station at which a cut crosses a run, None where it does not."""
    dx = run_direction(run)[0]
    if abs(dx) < _ALONG:
        return None
    station = (x - run.start[0]) / dx
    return station if 0.0 <= station <= run_length(run) else None


def _handles(
    barn: Barn, report: Report | None, shown: Shown, x: float
) -> Iterator[Record]:
    """Yield a handle on each chosen run that the cut crosses."""
    for run in barn.runs:
        station = _crossed(run, x)
        if run.id not in shown.selection or station is None:
            continue
        found = report.runs.get(run.id) if report else None
        body = body_of(run, barn.room, shown.catalogue, found)
        height = axis_height(body, shown.lift) - float(sag_at(body, np.array(station)))
        at = (run.start[1] + station * run_direction(run)[1], height)
        yield Handle(role=Role.HANDLE, owner=run.id, grip=Grip.BODY, at=at)


def _run(
    run: Run,
    room: Room,
    catalogue: Catalogue,
    found: RunReport | None,
    lift: float,
    x: float,
) -> Iterator[Record]:
    body = body_of(run, room, catalogue, found)
    blocked = found.blocked if found else ()
    return run_section(run, body, x=x, lift=lift, blocked=blocked)


def run_section(
    run: Run,
    body: SweptRun,
    *,
    x: float,
    lift: float,
    blocked: tuple[tuple[float, float], ...] = (),
) -> Iterator[Record]:
    """Yield a run where the cut meets it.

    Travel, both end positions, the blocked heights, the envelope and the pipe at
    the present lift. A run that the cut does not cross is not drawn.

    Parameters
    ----------
    run : Run
        The run.
    body : SweptRun
        Its live metal and travel.
    x : float
        Where the cut is [in].
    lift : float
        Where the run is [-].
    blocked : pairs of float
        Heights of the axis at the supports that are blocked [in].
    """
    station = _crossed(run, x)
    if station is None:
        return
    dx, dy = run_direction(run)
    at = run.start[1] + station * dy
    sag = float(sag_at(body, np.array(station)))
    half = half_width(body) / abs(dx)
    low, high = body.low - sag, body.low + body.travel - sag
    yield _travel(run, body, at=at, half=half, sag=sag)
    for end in (low, high):
        outline = _live(body, at, end, dx)
        yield Polyline(
            role=Role.RUN_END, owner=run.id, part="end", points=outline, closed=True
        )
    for bottom, top in blocked:
        wide = half + body.limit / abs(dx)
        box = rounded_box((at - wide, bottom - sag), (at + wide, top - sag), grown=0.0)
        yield Polygon(role=Role.BLOCKED, owner=run.id, part="heights", outline=box)
        yield Text(
            role=Role.LABEL,
            owner=run.id,
            part="heights",
            at=(at + wide + 1.0, (bottom + top) / 2 - sag),
            parts=(bottom, " to ", top),
            across=Align.START,
        )
    yield from _present(run, body, at=at, sag=sag, lift=lift, dx=dx)


def _travel(run: Run, body: SweptRun, *, at: float, half: float, sag: float) -> Polygon:
    """Return what the run passes through in its whole travel, a swing included."""
    low, high = body.low, body.low + body.travel
    wide0, wide1 = (half + swing_reach(body, height) for height in (low, high))
    bottom = low - sag - body.down - body.radius
    top = high - sag + body.up + body.radius
    corners = (
        (at - wide0, bottom),
        (at + wide0, bottom),
        (at + wide1, top),
        (at - wide1, top),
    )
    return Polygon(role=Role.SWEPT, owner=run.id, outline=np.array(corners))


def _live(body: SweptRun, at: float, height: float, dx: float) -> np.ndarray:
    """Return the outline of the live metal."""
    return _grown(body, at, height, dx, by=body.radius)


def _grown(
    body: SweptRun, at: float, height: float, dx: float, *, by: float
) -> np.ndarray:
    """Return the outline of the reach of the points, grown by a radius."""
    outline = rounded_box(
        (-body.side, height - body.down), (body.side, height + body.up), grown=by
    )
    outline[:, 0] = at + outline[:, 0] / abs(dx)
    return outline


def _present(
    run: Run, body: SweptRun, *, at: float, sag: float, lift: float, dx: float
) -> Iterator[Record]:
    """Yield envelope, points, pipe and name at the present lift."""
    height = axis_height(body, lift) - sag
    envelope = _grown(body, at, height, dx, by=body.radius + body.limit)
    yield Polygon(role=Role.ENVELOPE, owner=run.id, outline=envelope)
    if body.down or body.up or body.side:
        live = _live(body, at, height, dx)
        yield Polyline(
            role=Role.POINT, owner=run.id, part="points", points=live, closed=True
        )
    yield Circle(
        role=Role.RUN,
        owner=run.id,
        part="pipe",
        center=(at, height),
        radius=body.radius,
    )
    name_at = (at, height - body.down - body.radius - body.limit - 1.0)
    yield Text(
        role=Role.LABEL,
        owner=run.id,
        at=name_at,
        parts=(run.name or run.id, " at ", axis_height(body, lift)),
        upright=Align.END,
    )


def free_space_records(
    found: FreeSpaceMap, x: float, *, ceiling: float
) -> Iterator[Record]:
    """Yield the blocked cells of a free-space map where a cut meets its columns.

    Parameters
    ----------
    found : FreeSpaceMap
        Blocked heights of every column.
    x : float
        Where the cut is [in].
    ceiling : float
        Height up to which the map is drawn [in].
    """
    frame = found.frame
    dx, dy = frame.direction
    if abs(dx) < _ALONG:
        return
    # a column moved by v across meets the cut v / dx further along y
    at = frame.origin[1] + (x - frame.origin[0]) * dy / dx + found.columns / dx
    column = np.repeat(np.arange(len(at)), np.diff(found.first))
    low, high = np.maximum(found.lo, 0.0), np.minimum(found.hi, ceiling)
    seen = low < high
    column, low, high = column[seen], low[seen], high[seen]
    for chain in _chains(column, low, high):
        u = at[column[chain]]
        outline = _staircase(u, low[chain], high[chain], half=frame.step / dx / 2)
        yield Polygon(role=Role.FREE_SPACE, part="blocked", outline=outline)


def _chains(column: IntArray, low: FloatArray, high: FloatArray) -> Iterator[list[int]]:
    """Yield what is blocked in neighbouring columns as long as it meets one to one.

    Parameters
    ----------
    column, low, high : arrays, shape (n,)
        Blocked heights [in] by column, in the order of the columns.
    """
    begin = np.searchsorted(column, column + 1, side="left").tolist()
    end = np.searchsorted(column, column + 1, side="right").tolist()
    lows, highs = low.tolist(), high.tolist()
    ahead = [
        [
            j
            for j in range(begin[i], end[i])
            if lows[j] < highs[i] and lows[i] < highs[j]
        ]
        for i in range(len(lows))
    ]
    behind = Counter(j for found in ahead for j in found)
    chain: dict[int, list[int]] = {}
    for i, found in enumerate(ahead):
        pieces = chain.pop(i, [])
        pieces.append(i)
        if len(found) == 1 and behind[found[0]] == 1:
            chain[found[0]] = pieces
        else:
            yield pieces


def _staircase(
    u: FloatArray, low: FloatArray, high: FloatArray, *, half: float
) -> FloatArray:
    """Return the outline of upright bars side by side, without needless corners."""
    bottom, top = _steps(u, low, half), _steps(u, high, half)
    return np.concatenate((bottom, top[::-1]))


def _steps(u: FloatArray, v: FloatArray, half: float) -> FloatArray:
    """Return the corners of a line of steps, two where the height changes."""
    change = np.nonzero(np.diff(v))[0]
    starts = np.concatenate(((0,), change + 1))
    ends = np.concatenate((change, (len(v) - 1,)))
    corners = np.stack((u[starts] - half, v[starts], u[ends] + half, v[ends]), axis=-1)
    return corners.reshape(-1, 2)
