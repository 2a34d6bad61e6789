"""The long section along a run: u is the station, v the height."""

from collections.abc import Iterator
from functools import partial

import numpy as np

from core.analysis.report import Report, RunReport
from core.drawing.cut_marks import cut_mark
from core.drawing.findings import finding_groups
from core.drawing.fixture_views import fixture_groups
from core.drawing.frames import long_frame
from core.drawing.hanging_views import (
    cable_of,
    equipment_records,
    hanging_groups,
    pulleys_from_side,
)
from core.drawing.memo import Memo
from core.drawing.records import (
    Align,
    Bounds,
    Drawing,
    Frame,
    Grip,
    Group,
    Handle,
    Polygon,
    Polyline,
    Record,
    Role,
    Strokes,
    Text,
)
from core.drawing.run_shapes import axis_height, body_of, sag_at
from core.drawing.seen_parts import seen_parts
from core.drawing.shown import Shown
from core.drawing.slabs import building_section, kept_building, room_span, truss_section
from core.errors import EditError
from core.geometry.runs import SweptRun
from core.geometry.shapes import FloatArray
from core.model.barn import Barn
from core.model.hoists import RunEnd
from core.model.runs import PointDirection, Run
from core.placement.ceiling import ceiling_top
from core.placement.runs import run_length
from core.rules.evidence import Contact

__all__ = ["long_section", "run_long_section"]

_REACH = 36.0  # to each side of the run things are still drawn [in]
_STEP = 12.0  # between the corners of a sagging axis [in]
_MARGIN = 24.0


def long_section(
    barn: Barn, report: Report | None, shown: Shown, *, memo: Memo | None = None
) -> Drawing:
    """Return the long section along `shown.run`, the first run without one.

    Parameters
    ----------
    barn : Barn
        The document, or a preview of it during a drag.
    report : Report or None
        Its analysis, or the one of a frame before.
    shown : Shown
        Lift, selection and run.
    memo : Memo, optional
        What this view drew last.

    Returns
    -------
    Drawing
        Plane coordinates are the station along the run and z [in].

    Raises
    ------
    EditError
        If the barn has no such run.
    """
    run = _chosen(barn, shown.run)
    memo = memo or Memo()
    frame = long_frame(run.start, run.end)
    groups = tuple(_groups(barn, report, shown, run, frame, memo))
    memo.keep_only(groups)
    room = barn.room
    span = room_span(room, frame)
    past = room.wall_thickness + _MARGIN
    low = span.low if span else 0.0
    high = span.high if span else run_length(run)
    bounds = Bounds(
        low=(low - past, -past), high=(high + past, ceiling_top(room) + past)
    )
    return Drawing(groups=groups, bounds=bounds, frame=frame)


def _chosen(barn: Barn, run_id: str | None) -> Run:
    for run in barn.runs:
        if run_id in (None, run.id):
            return run
    message = f'run "{run_id}" is not in the barn, choose another one'
    raise EditError(message)


def _groups(
    barn: Barn,
    report: Report | None,
    shown: Shown,
    run: Run,
    frame: Frame,
    memo: Memo,
) -> Iterator[Group]:
    room = barn.room
    place = (room, run.start, run.end)
    seen = seen_parts("", kept_building(room, memo.common), frame, memo)
    make = partial(building_section, room, seen, frame, depth=_REACH)
    yield memo.group("room", "", place, make)
    yield memo.group("trusses", "", place, partial(truss_section, room, frame))
    window = (-_REACH, _REACH)
    yield from fixture_groups(barn, shown, frame, memo, window=window)
    found = report.runs.get(run.id) if report else None
    body = body_of(run, room, shown.catalogue, found)
    still = (run, room, shown.catalogue, found)
    yield memo.group("travel", run.id, still, partial(_travel, run, body, found))
    yield memo.group(
        "run",
        run.id,
        (*still, shown.lift),
        partial(run_long_section, run, body, lift=shown.lift),
    )
    yield from hanging_groups(barn, shown, frame, memo, only=run.id)
    pulled = cable_of(barn, run.id)
    leaves = pulled[1].leaves if pulled else RunEnd.FRONT
    hung = (run, room, shown.catalogue, leaves)
    yield memo.group("pulleys", run.id, hung, partial(pulleys_from_side, *hung, frame))
    yield memo.group(
        "equipment",
        "",
        (barn.hoists, barn.electrical, shown.catalogue, frame),
        partial(equipment_records, barn, shown.catalogue, frame, window),
    )
    if report is not None:
        yield from finding_groups(barn, report, shown, frame, memo, window=window)
    cut = (shown.cut, room, frame)
    yield memo.group("cut", "", cut, partial(cut_mark, *cut))
    held = (*still, shown.selection, shown.lift)
    yield memo.group("handles", "", held, partial(_handles, run, body, shown))


def _stations(body: SweptRun, length: float) -> FloatArray:
    """Return the stations at which a sagging axis has a corner."""
    if body.sag is None:
        return np.array((0.0, length))
    regular = np.linspace(0.0, length, max(2, round(length / _STEP) + 1))
    inner = [s for s in body.sag.stations if 0.0 < s < length]
    return np.unique(np.concatenate((regular, inner)))


def _axis(body: SweptRun, length: float, height: float) -> FloatArray:
    stations = _stations(body, length)
    return np.stack((stations, height - sag_at(body, stations)), axis=-1)


def _raised(axis: FloatArray, by: float) -> FloatArray:
    raised = axis.copy()
    raised[:, 1] += by
    return raised


def _band(axis_low: FloatArray, axis_high: FloatArray, *, end: float) -> FloatArray:
    """Return the outline between two lines, drawn out past both ends."""
    lower, upper = axis_low.copy(), axis_high.copy()
    lower[0, 0] -= end
    upper[0, 0] -= end
    lower[-1, 0] += end
    upper[-1, 0] += end
    return np.concatenate((lower, upper[::-1]))


def _around(axis: FloatArray, body: SweptRun, *, grown: float) -> FloatArray:
    """Return the outline of the live metal along an axis, grown by a radius."""
    below, above = body.down + grown, body.up + grown
    return _band(_raised(axis, -below), _raised(axis, above), end=grown)


def _travel(run: Run, body: SweptRun, found: RunReport | None) -> Iterator[Record]:
    """Yield the whole travel, both end positions, and what is blocked where."""
    length = run_length(run)
    low = _axis(body, length, body.low)
    high = _axis(body, length, body.low + body.travel)
    below, above = body.down + body.radius, body.up + body.radius
    swept = _band(_raised(low, -below), _raised(high, above), end=body.radius)
    yield Polygon(role=Role.SWEPT, owner=run.id, outline=swept)
    for axis in (low, high):
        outline = _around(axis, body, grown=body.radius)
        yield Polyline(
            role=Role.RUN_END, owner=run.id, part="end", points=outline, closed=True
        )
    for contact in found.contacts if found else ():
        yield from _blocked(run, body, contact)


def _blocked(run: Run, body: SweptRun, contact: Contact) -> Iterator[Record]:
    """Yield the heights and stations at which one other thing blocks the run."""
    top = body.low + body.travel
    for low, high in contact.bands:
        bottom, upper = max(low, body.low), min(high, top)
        if bottom >= upper:
            continue
        for first, last in contact.stations:
            corners = (
                (first, bottom),
                (last, bottom),
                (last, upper),
                (first, upper),
            )
            yield Polygon(
                role=Role.BLOCKED,
                owner=run.id,
                part=contact.other,
                outline=np.array(corners),
            )


def run_long_section(run: Run, body: SweptRun, *, lift: float) -> Iterator[Record]:
    """Yield a run along itself at a lift: envelope, pipe, points and its name.

    Parameters
    ----------
    run : Run
        The run.
    body : SweptRun
        Its live metal, travel and sag.
    lift : float
        Where it is [-].
    """
    length = run_length(run)
    axis = _axis(body, length, axis_height(body, lift))
    envelope = _around(axis, body, grown=body.radius + body.limit)
    yield Polygon(role=Role.ENVELOPE, owner=run.id, outline=envelope)
    radius = body.radius
    pipe = _band(_raised(axis, -radius), _raised(axis, radius), end=radius)
    yield Polygon(role=Role.RUN, owner=run.id, part="pipe", outline=pipe)
    yield from _points(run, body, lift, length)
    height = float(axis[0, 1]) + body.up + body.radius + body.limit + 1.0
    yield Text(
        role=Role.LABEL,
        owner=run.id,
        at=(0.0, height),
        parts=(run.name or run.id, " at ", axis_height(body, lift)),
        across=Align.START,
        upright=Align.START,
    )


def _points(run: Run, body: SweptRun, lift: float, length: float) -> Iterator[Record]:
    """Yield the discharge points that look down or up."""
    row = run.points
    if row.direction is PointDirection.SIDES:
        return
    stations = np.arange(row.first, length + 1e-9, row.spacing)
    if not stations.size:
        return
    axis = axis_height(body, lift) - sag_at(body, stations)
    low = axis - body.radius - body.down
    high = axis + body.radius + body.up
    ends = (np.stack((stations, low), axis=-1), np.stack((stations, high), axis=-1))
    yield Strokes(
        role=Role.POINT, owner=run.id, part="points", segments=np.stack(ends, axis=1)
    )


def _handles(run: Run, body: SweptRun, shown: Shown) -> Iterator[Record]:
    """Yield the handles of the run and its supports at the present lift."""
    height = axis_height(body, shown.lift)
    length = run_length(run)
    if run.id in shown.selection:
        for grip, u in (
            (Grip.START, 0.0),
            (Grip.BODY, length / 2),
            (Grip.END, length),
        ):
            yield Handle(role=Role.HANDLE, owner=run.id, grip=grip, at=(u, height))
    for support in run.supports:
        if shown.selection & {run.id, support.id}:
            yield Handle(
                role=Role.HANDLE,
                owner=support.id,
                part=run.id,
                grip=Grip.SUPPORT,
                at=(support.station, height),
            )
