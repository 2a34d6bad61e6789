"""Dragging runs, their ends and their supports."""

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from functools import partial

from core.drawing.frames import PLAN
from core.drawing.live_dimensions import (
    guide,
    neighbours_in,
    run_dimensions,
    spacing_dimensions,
    upright_dimensions,
)
from core.drawing.records import Frame, Grip, Record
from core.drawing.snap import (
    Keep,
    Line,
    middle_lines,
    on_grid,
    snapped,
    truss_marks,
)
from core.geometry.shapes import Vec2, Vec3
from core.model import edits
from core.model.barn import Barn
from core.model.edits import Edited
from core.model.hoists import RunEnd
from core.model.runs import Run, Support
from core.placement.ceiling import ceiling_height
from core.placement.runs import point_at, run_direction, run_length
from viewer.tools.events import Modifier
from viewer.tools.movers import Kept, Mover, drawn_to
from viewer.tools.steps import Request, Stage

__all__ = ["run_end_mover", "run_mover", "support_mover"]

Notes = Callable[[Barn, Kept], Iterable[Record]]

_ALONG = 0.1  # a run within about 6 degrees of a plane lies along it [-]
_ROUNDING = 1e-6  # [in]


def run_mover(stage: Stage, run: Run) -> Mover:
    """Return the mover of a whole run.

    From above it keeps to the middles of strips and to the ends of other runs. In
    an upright view it goes either sideways or up and down, whichever way it is
    dragged further; up and down changes its working height.
    """
    room, frame = stage.barn.room, stage.drawing.frame
    start = (*run.start, run.working_height)
    others = [each for each in stage.barn.runs if each.id != run.id]
    ends = tuple(
        Line(at=each.start[0], keep=Keep.ALIGNED, name=f"end of {each.id}")
        for each in others
    )

    def keep(at: Vec3, modifiers: Modifier) -> Kept:
        if frame != PLAN:
            at = _one_way(start, at)
        y_lines = middle_lines(room) if abs(run_direction(run)[0]) > 0.5 else ()
        return drawn_to(
            at, modifiers, room=room, frame=frame, x_lines=ends, y_lines=y_lines
        )

    def ask(kept: Kept) -> Request:
        x, y, z = (a - b for a, b in zip(kept.at, start, strict=True))
        edit = partial(edits.move_objects, ids={run.id}, by=(x, y, z))
        return Request(name=f"Move {run.id}", edit=edit)

    def why(kept: Kept) -> str:
        if kept.at[2] > 0.0:
            return ""
        return f"{run.id} would be on the floor or below it; keep it above"

    notes = _run_notes(stage, run)
    return Mover(start=start, keep=keep, ask=ask, notes=notes, why=why)


def _one_way(start: Vec3, at: Vec3) -> Vec3:
    """Return a place that differs from the start in plan or in height, not in both."""
    if math.dist(start[:2], at[:2]) >= abs(at[2] - start[2]):
        return (at[0], at[1], start[2])
    return (start[0], start[1], at[2])


def _run_notes(stage: Stage, run: Run) -> Notes:
    """Return the live dimensions of a run: to walls and neighbours, or its height."""
    frame = stage.drawing.frame
    neighbours = neighbours_in(stage.drawing)

    def notes(preview: Barn, kept: Kept) -> Iterator[Record]:
        moved = next(each for each in preview.runs if each.id == run.id)
        if frame == PLAN:
            others = [each for each in preview.runs if each.id != run.id]
            yield from run_dimensions(moved, preview.room, neighbours, others=others)
            return
        x, y = point_at(moved, _seen_station(moved, frame))
        at = (x, y, moved.working_height)
        yield from upright_dimensions(at, preview.room, frame, run.id)
        del kept

    return notes


def _seen_station(run: Run, frame: Frame) -> float:
    """Return where an upright plane meets a run, its middle for one along it."""
    slope = (
        run_direction(run)[0] * frame.away[0] + run_direction(run)[1] * frame.away[1]
    )
    if abs(slope) < _ALONG:
        return run_length(run) / 2
    depth = (run.start[0] - frame.origin[0]) * frame.away[0]
    depth += (run.start[1] - frame.origin[1]) * frame.away[1]
    return min(max(-depth / slope, 0.0), run_length(run))


def run_end_mover(stage: Stage, run: Run, grip: Grip) -> Mover:
    """Return the mover of one end of a run.

    The end stays on the run's line, unless it is dragged freely; supports stay as
    far from the other end as they are.
    """
    at_start, far = run.start, run.end
    if grip is Grip.END:
        at_start, far = far, at_start
    dx, dy = run_direction(run)

    def keep(at: Vec3, modifiers: Modifier) -> Kept:
        if Modifier.FREE in modifiers:
            return Kept(at=on_grid(at))
        along = (at[0] - at_start[0]) * dx + (at[1] - at_start[1]) * dy
        step = snapped(along, (), reach=0.0).value
        place = (at_start[0] + step * dx, at_start[1] + step * dy)
        return Kept(at=(*place, run.working_height))

    def ask(kept: Kept) -> Request:
        to = (kept.at[0], kept.at[1])
        edit = partial(edits.move_run_end, run=run.id, end=RunEnd.BACK, to=to)
        if grip is Grip.START:
            edit = partial(_move_start, run=run, to=to)
        return Request(name=f"Move end of {run.id}", edit=edit)

    def why(kept: Kept) -> str:
        lost = run_length(run) - math.dist(kept.at[:2], far)
        off = [s.id for s in run.supports if _from_far(run, s, grip) < lost - _ROUNDING]
        return _why_lost(run, off) if off else ""

    start = (*at_start, run.working_height)
    notes = _run_notes(stage, run)
    return Mover(start=start, keep=keep, ask=ask, notes=notes, why=why)


def _why_lost(run: Run, off: list[str]) -> str:
    names = off[0] if len(off) == 1 else f"{off[0]} and {len(off) - 1} more"
    what = "it" if len(off) == 1 else "them"
    return f"{names} would hang past the end of {run.id}; drag {what} first"


def _from_far(run: Run, support: Support, grip: Grip) -> float:
    """Return how far a support is from the end that is dragged [in]."""
    if grip is Grip.START:
        return support.station
    return run_length(run) - support.station


def _move_start(barn: Barn, *, run: Run, to: Vec2) -> Edited:
    """Move the front end of a run; supports stay where they hang."""
    by = run_length(run) - math.dist(to, run.end)
    supports = (replace(s, station=s.station - by) for s in run.supports)
    item = replace(run, start=to, supports=tuple(supports))
    return edits.replace_object(barn, item=item)


def support_mover(stage: Stage, run: Run, support: Support) -> Mover:
    """Return the mover of a support along its run.

    It goes from truss to truss; freely, or where no truss crosses the run, to the
    sixteenth.
    """
    room, frame = stage.barn.room, stage.drawing.frame
    marks = truss_marks(run, room)
    dx, dy = run_direction(run)

    def keep(at: Vec3, modifiers: Modifier) -> Kept:
        along = (at[0] - run.start[0]) * dx + (at[1] - run.start[1]) * dy
        along = min(max(along, 0.0), run_length(run))
        reach = 0.0 if Modifier.FREE in modifiers else math.inf
        found = snapped(along, marks, reach=reach)
        x, y = point_at(run, found.value)
        place = (x, y, run.working_height)
        if found.line is None:
            return Kept(at=place)
        top = ceiling_height(room, x, y)
        ends = ((x, 0.0, 0.0), (x, room.width, 0.0))
        if frame != PLAN:
            ends = ((x, y, 0.0), (x, y, top))
        line = guide(frame.point(ends[0]), frame.point(ends[1]), name=found.line.name)
        return Kept(at=place, guides=(line,))

    def station(kept: Kept) -> float:
        way = (kept.at[0] - run.start[0]) * dx + (kept.at[1] - run.start[1]) * dy
        return snapped(way, marks, reach=_ROUNDING).value

    def ask(kept: Kept) -> Request:
        edit = partial(edits.move_support, support=support.id, station=station(kept))
        return Request(name=f"Move {support.id}", edit=edit)

    def why(kept: Kept) -> str:
        at = station(kept)
        others = (s for s in run.supports if s.id != support.id)
        other = next((s for s in others if _is_at(s, at)), None)
        if other is None:
            return ""
        mark = next((f" at {m.name}" for m in marks if m.at == at), "")
        return (
            f"{other.id} hangs{mark}; drag it away first, or hold Shift to hang "
            f"{support.id} beside it"
        )

    def notes(preview: Barn, kept: Kept) -> Iterator[Record]:
        at = station(kept)
        clear = 4.0 * stage.reach
        return spacing_dimensions(run, support.id, at, preview.room, frame, clear=clear)

    start = (*point_at(run, support.station), run.working_height)
    return Mover(start=start, keep=keep, ask=ask, notes=notes, why=why)


def _is_at(support: Support, station: float) -> bool:
    return abs(support.station - station) < _ROUNDING
