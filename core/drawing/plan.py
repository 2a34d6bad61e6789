"""The plan: the room from above with everything in it."""

import math
from collections.abc import Iterator
from functools import partial

import numpy as np

from core.analysis.report import Report, RunReport
from core.catalogue.catalogue import Catalogue
from core.catalogue.parts import Pulley
from core.drawing.findings import finding_groups
from core.drawing.fixture_views import fixture_groups
from core.drawing.frames import PLAN
from core.drawing.handles import handles
from core.drawing.hanging_views import hanging_groups
from core.drawing.memo import Memo
from core.drawing.records import (
    CUT,
    SUPPLY,
    SWITCH,
    Align,
    Bounds,
    Drawing,
    Group,
    Marker,
    MarkerKind,
    Polygon,
    Polyline,
    Record,
    Role,
    Strokes,
    Text,
)
from core.drawing.room_plan import flat, room_plan, truss_plan
from core.drawing.run_shapes import body_of, half_width, place
from core.drawing.shown import Shown
from core.geometry.runs import SweptRun
from core.geometry.shapes import Vec3
from core.model.barn import Barn
from core.model.electrical import Electrical
from core.model.hoists import Hoist
from core.model.job import EyePoint
from core.model.room import Room, Wall
from core.model.runs import PointDirection, Run
from core.placement.runs import run_direction, run_length

__all__ = ["LANE_WIDTH", "plan", "run_plan"]

LANE_WIDTH = 120.0  # [in] common practice, no published source
_MARGIN = 36.0  # sheet round the walls [in]
_PAST = 6.0  # axis lines past what they belong to [in]
_MARK_REACH = 18.0  # thick ends of a section mark past the walls [in]
_CABINET = 14.0  # width of a supply as drawn [in]
_WINCH = 12.0
_PULLEY = 2.5
# a drum lies along its wall
_WINCH_TURN = {
    Wall.FRONT: math.pi / 2,
    Wall.BACK: math.pi / 2,
    Wall.LEFT: 0.0,
    Wall.RIGHT: 0.0,
    None: 0.0,
}


def plan(
    barn: Barn, report: Report | None, shown: Shown, *, memo: Memo | None = None
) -> Drawing:
    """Return the plan of a barn.

    Parameters
    ----------
    barn : Barn
        The document, or a preview of it during a drag.
    report : Report or None
        Its analysis, or the one of a frame before.
    shown : Shown
        Lift, selection, cut and eye point.
    memo : Memo, optional
        What this view drew last: groups whose inputs are the same objects come
        back as the same objects.

    Returns
    -------
    Drawing
        Plane coordinates are x and -y [in].
    """
    memo = memo or Memo()
    groups = tuple(_groups(barn, report, shown, memo))
    memo.keep_only(groups)
    return Drawing(groups=groups, bounds=_bounds(barn.room), frame=PLAN)


def _bounds(room: Room) -> Bounds:
    past = room.wall_thickness + _MARGIN
    return Bounds(low=(-past, -room.width - past), high=(room.length + past, past))


def _groups(
    barn: Barn, report: Report | None, shown: Shown, memo: Memo
) -> Iterator[Group]:
    room = barn.room
    yield memo.group("room", "", (room,), partial(room_plan, room))
    yield memo.group("trusses", "", (room,), partial(truss_plan, room))
    yield from fixture_groups(barn, shown, PLAN, memo)
    for run in barn.runs:
        found = report.runs.get(run.id) if report else None
        inputs = (run, room, shown.catalogue, found)
        yield memo.group("run", run.id, inputs, partial(_run, *inputs))
    yield from hanging_groups(barn, shown, PLAN, memo)
    yield memo.group(
        "hoists",
        "",
        (barn.hoists, shown.catalogue),
        partial(_hoists, barn.hoists, shown.catalogue),
    )
    electrical = barn.electrical
    yield memo.group("electrical", "", (electrical,), partial(_electrical, electrical))
    marks = (shown.cut, shown.eye, room.width, room.wall_thickness)
    yield memo.group("marks", "", marks, partial(_marks, shown, room))
    if report is not None:
        yield from finding_groups(barn, report, shown, PLAN, memo)
    held = (barn, shown.selection, shown.cut, shown.eye)
    yield memo.group("handles", "", held, partial(handles, barn, shown, PLAN))


def _run(
    run: Run, room: Room, catalogue: Catalogue, found: RunReport | None
) -> Iterator[Record]:
    return run_plan(run, body_of(run, room, catalogue, found))


def run_plan(run: Run, body: SweptRun) -> Iterator[Record]:
    """Yield a run from above: lane, pipe, axis, points, supports and its name."""
    length = run_length(run)
    lane = _bar(run, 0.0, length, LANE_WIDTH / 2)
    yield Polygon(role=Role.LANE, owner=run.id, outline=lane)
    pipe = _bar(run, -body.radius, length + body.radius, body.radius)
    yield Polygon(role=Role.RUN, owner=run.id, part="pipe", outline=pipe)
    yield from _points(run, body)
    axis = flat((place(run, -_PAST), place(run, length + _PAST)))
    yield Polyline(role=Role.AXIS, owner=run.id, points=axis)
    yield from _supports(run)
    name = place(run, 0.0, _PAST)
    yield Text(
        role=Role.LABEL,
        owner=run.id,
        at=(name[0], -name[1]),
        parts=(run.name or run.id,),
        across=Align.START,
        upright=Align.END,
        angle=_text_angle(run),
    )


def _text_angle(run: Run) -> float:
    dx, dy = run_direction(run)
    angle = math.atan2(-dy, dx)
    return (
        angle
        if abs(angle) <= math.pi / 2 + 1e-9
        else angle - math.copysign(math.pi, angle)
    )


def _bar(run: Run, start: float, end: float, half: float) -> np.ndarray:
    corners = ((start, -half), (end, -half), (end, half), (start, half))
    return flat([place(run, station, across) for station, across in corners])


def _points(run: Run, body: SweptRun) -> Iterator[Record]:
    """Yield the discharge points that look sideways."""
    row = run.points
    if row.direction not in (PointDirection.SIDES, PointDirection.RING):
        return
    stations = np.arange(row.first, run_length(run) + 1e-9, row.spacing)
    half = half_width(body)
    ends = [(place(run, s, -half), place(run, s, half)) for s in stations.tolist()]
    if ends:
        segments = np.array(ends) * (1.0, -1.0)
        yield Strokes(role=Role.POINT, owner=run.id, part="points", segments=segments)


def _supports(run: Run) -> Iterator[Record]:
    angle = math.atan2(run.start[1] - run.end[1], run.end[0] - run.start[0])
    for support in run.supports:
        x, y = place(run, support.station + support.along, support.across)
        yield Marker(
            role=Role.SUPPORT,
            owner=support.id,
            part=run.id,
            kind=MarkerKind.DROP_PULLEY,
            at=(x, -y),
            size=_PULLEY,
            angle=angle,
        )


def _hoists(hoists: tuple[Hoist, ...], catalogue: Catalogue) -> Iterator[Record]:
    for hoist in hoists:
        winch = hoist.winch
        yield Marker(
            role=Role.HOIST,
            owner=hoist.id,
            part="winch",
            kind=MarkerKind.WINCH,
            at=PLAN.point(winch.at),
            size=_WINCH,
            angle=_WINCH_TURN[winch.wall],
            least_mm=3.0,
        )
        for cable in hoist.cables:
            for turn in cable.turns:
                part = catalogue.find(Pulley, turn.part)
                yield Marker(
                    role=Role.HOIST,
                    owner=turn.id,
                    part=cable.id,
                    kind=MarkerKind.TURNING_PULLEY,
                    at=PLAN.point(turn.at),
                    size=2.0 * part.outside_radius,
                    least_mm=2.0,
                )


def _electrical(electrical: Electrical) -> Iterator[Record]:
    supply, switch = electrical.supply, electrical.switch
    if supply is not None:
        yield _marker(SUPPLY, "", MarkerKind.SUPPLY, supply.at, _CABINET)
        if supply.outlet is not None:
            at = supply.outlet.at
            yield _marker(SUPPLY, "outlet", MarkerKind.OUTLET, at, 3.0)
    if switch is not None:
        yield _marker(SWITCH, "", MarkerKind.SWITCH, switch.at, 8.0)
    for rod in electrical.rods:
        at = (*rod.at, 0.0)
        yield _marker(rod.id, "", MarkerKind.GROUND_ROD, at, rod.diameter)


def _marker(owner: str, part: str, kind: MarkerKind, at: Vec3, size: float) -> Marker:
    return Marker(
        role=Role.ELECTRICAL,
        owner=owner,
        part=part,
        kind=kind,
        at=PLAN.point(at),
        size=size,
        least_mm=2.5,
    )


def _marks(shown: Shown, room: Room) -> Iterator[Record]:
    if shown.cut is not None:
        yield from _section_mark(shown.cut, room)
    if shown.eye is not None:
        yield from _eye(shown.eye)


def _section_mark(x: float, room: Room) -> Iterator[Record]:
    """Yield the cutting plane: thin chain across, thick ends, arrows, letters."""
    thick = room.wall_thickness
    ends = (-thick, room.width + thick)
    far = (ends[0] - _MARK_REACH, ends[1] + _MARK_REACH)  # as far as it can be grasped
    yield Polyline(role=Role.AXIS, owner=CUT, points=flat(((x, far[0]), (x, far[1]))))
    for end, turn, upright in (
        (ends[0], 0.0, Align.START),  # the letters stand clear of wall and line
        (ends[1], math.pi, Align.END),
    ):
        way = MarkerKind.CUT_ARROW if turn == 0.0 else MarkerKind.CUT_ARROW_BELOW
        for role, kind in ((Role.SECTION_MARK, MarkerKind.CUT_END), (Role.LABEL, way)):
            yield Marker(
                role=role,
                owner=CUT,
                kind=kind,
                at=(x, -end),
                size=_MARK_REACH,
                angle=turn,
                least_mm=7.0,
            )
        yield Text(
            role=Role.LABEL,
            owner=CUT,
            at=(x - 12.0, -end + (8.0 if turn == 0.0 else -8.0)),
            parts=("A",),
            size=5.0,
            across=Align.END,
            upright=upright,
        )


def _eye(eye: EyePoint) -> Iterator[Record]:
    at, look = PLAN.point(eye.eye), PLAN.point(eye.look)
    yield Marker(
        role=Role.EYE,
        owner=eye.id,
        kind=MarkerKind.EYE,
        at=at,
        size=24.0,
        angle=math.atan2(look[1] - at[1], look[0] - at[0]),
        least_mm=5.0,
    )
    yield Polyline(role=Role.AXIS, owner=eye.id, points=np.array((at, look)))
