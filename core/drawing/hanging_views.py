"""Ropes, cables, clamps, leads, pulleys and cabinets on a view's plane."""

import math
from collections.abc import Callable, Iterator
from functools import partial
from itertools import accumulate, chain, pairwise

import numpy as np

from core.catalogue.catalogue import Catalogue
from core.catalogue.parts import Pulley, Rope
from core.drawing.faces import depth_range, face_record, seen_face
from core.drawing.memo import Memo
from core.drawing.records import (
    SUPPLY,
    SWITCH,
    Circle,
    Frame,
    Group,
    Marker,
    MarkerKind,
    Polyline,
    Record,
    Role,
)
from core.drawing.shown import Shown
from core.geometry.shapes import Cylinder, FloatArray, Shape, Vec3, upright_box
from core.model.barn import Barn
from core.model.hoists import Hoist, PullCable, RunEnd
from core.model.room import Room
from core.model.runs import Run
from core.placement.hanging import (
    clamp_point,
    hoist_strands,
    hoist_travel,
    pull_cable_path,
    run_strands,
    support_points,
    winch_line,
)
from core.placement.leads import jumper_strand, lead_strands
from core.placement.runs import travel
from core.placement.solids import Group as Kind
from core.placement.solids import Strand

__all__ = [
    "cable_of",
    "equipment",
    "equipment_records",
    "hanging_groups",
    "pulleys_from_side",
]

# sizes as drawn where the job names none: width, depth, height [in]; common practice
_WINCH = (12.0, 10.0, 10.0)
_SUPPLY = (14.0, 8.0, 18.0)
_SWITCH = (8.0, 5.0, 12.0)
_WHEEL = 0.75  # thickness of a turning pulley's wheel [in]

Strands = tuple[Strand, ...]

_FEW = 3  # up to here runs are hung one by one, beyond all of a hoist at once
_OF_SUPPORTS = ("clamp", "insulator", "rope")
_ROLES = {Kind.ROPE: Role.ROPE, Kind.CABLE: Role.CABLE, Kind.LEAD: Role.LEAD}


def cable_of(barn: Barn, run: str) -> tuple[Hoist, PullCable] | None:
    """Return the hoist and the pull cable of a run, None for one without."""
    for hoist in barn.hoists:
        for cable in hoist.cables:
            if cable.run == run:
                return hoist, cable
    return None


def _hung_alone(barn: Barn, run: Run, catalogue: Catalogue, lift: float) -> Strands:
    """Return a run's ropes, insulators and clamps, and its pull cable."""
    pulled = cable_of(barn, run.id)
    if pulled is None or not run.supports:
        return run_strands(run, barn.room, catalogue, lift=lift)
    hoist, cable = pulled
    path = pull_cable_path(hoist, cable, barn, catalogue, lift=lift)
    moved = lift * travel(run, barn.room, catalogue)
    first = min(clamp_point(path, s, moved=moved)[1] for s in run.supports)
    line = Strand(
        owner=cable.id,
        part="pull cable",
        group=Kind.CABLE,
        points=path.part(first, path.lengths[-1]),
        radius=catalogue.find(Rope, cable.cable).diameter / 2,
    )
    hung = run_strands(run, barn.room, catalogue, lift=lift, cable=cable, path=path)
    return (*hung, line)


def _hung_together(barn: Barn, catalogue: Catalogue, lift: float) -> dict[str, Strands]:
    """Return what hangs on each run, the hoists gone through once."""
    runs = {run.id: run.id for run in barn.runs}
    runs |= {cable.id: cable.run for h in barn.hoists for cable in h.cables}
    found: dict[str, list[Strand]] = {run.id: [] for run in barn.runs}
    for hoist in barn.hoists:
        for strand in hoist_strands(hoist, barn, catalogue, lift=lift):
            if runs.get(strand.owner) in found:
                found[runs[strand.owner]].append(strand)
    return {
        run.id: tuple(found[run.id]) or _hung_alone(barn, run, catalogue, lift)
        for run in barn.runs
    }


def _leads(barn: Barn, shown: Shown, only: str | None, memo: Memo) -> Iterator[Strands]:
    """Yield leads and jumpers; those of one run where only one is asked for."""
    runs = {run.id: run for run in barn.runs}
    place = (barn.room, shown.catalogue)
    for lead in barn.electrical.leads:
        if lead.run in runs and only in (None, lead.run):
            inputs = (lead, runs[lead.run], *place)
            make = partial(lead_strands, *inputs, lift=shown.lift)
            yield memo.value("lead", lead.id, (*inputs, shown.lift), make)
    for jumper in barn.electrical.jumpers:
        joined = {jumper.from_run, jumper.to_run}
        if joined <= runs.keys() and (only is None or only in joined):
            ends = (runs[jumper.from_run], runs[jumper.to_run])
            hung = (jumper, *ends, *place)
            line = partial(jumper_strand, *hung, lift=shown.lift)
            yield memo.value(
                "jumper", jumper.id, (*hung, shown.lift), partial(_alone, line)
            )


def _alone(make: Callable[[], Strand]) -> Strands:
    return (make(),)


def hanging_groups(
    barn: Barn,
    shown: Shown,
    frame: Frame,
    memo: Memo,
    *,
    only: str | None = None,
    window: tuple[float, float] | None = None,
) -> Iterator[Group]:
    """Yield what hangs, a group for each run, each winch line, and the leads.

    Parameters
    ----------
    barn, shown
        The document and the state of the views.
    frame : Frame
        The view's plane.
    memo : Memo
        What the view drew last.
    only : str, optional
        Draw only what belongs to this run; no winch lines then.
    window : pair of float, optional
        Depths between which things are drawn [in]; lines that pass the plane
        are drawn where they pass it. Without it everything is drawn.
    """
    runs = [run for run in barn.runs if only in (None, run.id)]
    for run, strands in _hung(barn, runs, shown, memo.common):
        make = partial(_records, strands, frame, window)
        yield memo.group("hanging", run.id, (strands, frame, window), make)
    for hoist in barn.hoists if only is None else ():
        strands = _winch_strands(barn, hoist, shown, memo.common)
        make = partial(_records, strands, frame, window)
        inputs = (strands, frame, window)
        yield memo.group("winch-line", hoist.id, inputs, make)
    leads = tuple(_leads(barn, shown, only, memo.common))
    make = partial(_records, tuple(chain(*leads)), frame, window)
    yield memo.group("leads", "", (leads, frame, window), make)


def _hung(
    barn: Barn, runs: list[Run], shown: Shown, memo: Memo
) -> Iterator[tuple[Run, Strands]]:
    """Yield each run with what hangs on it, made anew only where it must be."""
    lift, catalogue = shown.lift, shown.catalogue
    moves: dict[str, tuple[Hoist, float]] = {}
    for hoist in barn.hoists:
        move = (hoist, _travel_of(barn, hoist, catalogue, memo))
        moves |= {cable.run: move for cable in hoist.cables}
    inputs = {
        run.id: (run, *moves.get(run.id, ()), barn.room, catalogue, lift)
        for run in runs
    }
    stale = [run for run in runs if not memo.holds("strands", run.id, inputs[run.id])]
    together = _hung_together(barn, catalogue, lift) if len(stale) > _FEW else None
    for run in runs:
        make = (
            partial(_hung_alone, barn, run, catalogue, lift)
            if together is None
            else partial(together.__getitem__, run.id)
        )
        yield run, memo.value("strands", run.id, inputs[run.id], make)


def _winch_strands(barn: Barn, hoist: Hoist, shown: Shown, memo: Memo) -> Strands:
    """Return the line from the winch to the pull point, kept while neither moves."""
    lift, catalogue = shown.lift, shown.catalogue
    moved = lift * _travel_of(barn, hoist, catalogue, memo)
    make = partial(_winch_line, barn, hoist, catalogue, lift)
    return memo.value("winch-line", hoist.id, (hoist, moved, catalogue), make)


def _travel_of(barn: Barn, hoist: Hoist, catalogue: Catalogue, memo: Memo) -> float:
    """Return how far the pull point of a hoist moves, found once a frame [in]."""
    inputs = (hoist, barn.runs, barn.room, catalogue)
    make = partial(hoist_travel, hoist, barn, catalogue)
    return memo.value("travel", hoist.id, inputs, make)


def _winch_line(barn: Barn, hoist: Hoist, catalogue: Catalogue, lift: float) -> Strands:
    strand = Strand(
        owner=hoist.id,
        part="winch line",
        group=Kind.CABLE,
        points=winch_line(hoist, barn, catalogue, lift=lift),
        radius=catalogue.find(Rope, hoist.winch.rope).diameter / 2,
    )
    return (strand,)


def _records(
    strands: Strands, frame: Frame, window: tuple[float, float] | None
) -> Iterator[Record]:
    """Yield strands on a plane; all points are projected at once."""
    if not strands:
        return
    points = np.array([point for strand in strands for point in strand.points])
    ends = list(accumulate((len(strand.points) for strand in strands), initial=0))
    own = [slice(a, b) for a, b in pairwise(ends)]
    flat = frame.to_plane(points)
    if window is None:
        for strand, part in zip(strands, own, strict=True):
            yield _seen(strand, flat[part])
        return
    depths = frame.depths(points)
    least = np.minimum.reduceat(depths, ends[:-1])
    most = np.maximum.reduceat(depths, ends[:-1])
    whole = (window[0] <= least) & (most <= window[1])
    for index in np.flatnonzero(whole | (least * most < 0.0)).tolist():
        strand, part = strands[index], own[index]
        if whole[index]:
            yield _seen(strand, flat[part])
        else:
            yield from _passing(strand, flat[part], depths[part])


def _seen(strand: Strand, points: FloatArray) -> Record:
    """Return a strand as seen; a clamp as what it looks like."""
    kind = strand.part.partition(" ")[0]
    if kind == "clamp":
        return _clamp(strand, points)
    return Polyline(
        role=Role.SUPPORT if kind == "insulator" else _ROLES[strand.group],
        owner=_owner(strand),
        part=strand.part,
        points=points,
    )


def _owner(strand: Strand) -> str:
    """Return the support of a rope, insulator or clamp; else whose a strand is."""
    kind, _, support = strand.part.partition(" ")
    return support if kind in _OF_SUPPORTS else strand.owner


def _clamp(strand: Strand, points: FloatArray) -> Marker:
    (u0, v0), (u1, v1) = points[0].tolist(), points[-1].tolist()
    return Marker(
        role=Role.HOIST,
        owner=_owner(strand),
        part=strand.part,
        kind=MarkerKind.CLAMP,
        at=((u0 + u1) / 2, (v0 + v1) / 2),
        size=max(2.0 * strand.radius, math.hypot(u1 - u0, v1 - v0)),
        angle=math.atan2(v1 - v0, u1 - u0),
        least_mm=1.0,
    )


def _passing(
    strand: Strand, points: FloatArray, depths: FloatArray
) -> Iterator[Record]:
    """Yield a round cut wherever a strand passes the plane."""
    for k in np.flatnonzero(depths[:-1] * depths[1:] < 0.0).tolist():
        share = depths[k] / (depths[k] - depths[k + 1])
        u, v = (points[k] + share * (points[k + 1] - points[k])).tolist()
        yield Circle(
            role=_ROLES[strand.group],
            owner=_owner(strand),
            part=strand.part,
            center=(u, v),
            radius=strand.radius,
        )


def pulleys_from_side(
    run: Run, room: Room, catalogue: Catalogue, leaves: RunEnd, frame: Frame
) -> Iterator[Record]:
    """Yield a run's drop pulleys with their screws, seen along their pins."""
    hung = support_points(run, room, catalogue, lift=0.0, leaves=leaves)
    for place in hung:
        u, v = frame.point(place.pulley)
        top = frame.point(place.anchor)
        yield Circle(
            role=Role.HOIST,
            owner=place.support,
            part=run.id,
            center=(u, v),
            radius=place.radius,
        )
        yield Polyline(
            role=Role.SUPPORT,
            owner=place.support,
            part="anchor",
            points=np.array(((u, v), top)),
        )


def equipment(barn: Barn, catalogue: Catalogue) -> Iterator[tuple[str, Role, Shape]]:
    """Yield winches, turning pulleys and cabinets as solids: owner, role, shape.

    Cabinets and winches have a usual size: the job names none.
    """
    for hoist in barn.hoists:
        yield hoist.id, Role.HOIST, _cabinet(hoist.winch.at, _WINCH)
        for cable in hoist.cables:
            for turn in cable.turns:
                part = catalogue.find(Pulley, turn.part)
                x, y, z = turn.at
                wheel = Cylinder(
                    a=(x, y, z - _WHEEL / 2),
                    b=(x, y, z + _WHEEL / 2),
                    radius=part.outside_radius,
                )
                yield turn.id, Role.HOIST, wheel
    electrical = barn.electrical
    if electrical.supply is not None:
        yield SUPPLY, Role.ELECTRICAL, _cabinet(electrical.supply.at, _SUPPLY)
    if electrical.switch is not None:
        yield SWITCH, Role.ELECTRICAL, _cabinet(electrical.switch.at, _SWITCH)


def _cabinet(at: Vec3, size: Vec3) -> Shape:
    x, y, z = at
    half, deep, high = (s / 2 for s in size)
    return upright_box((x - deep, y - half, z - high), (x + deep, y + half, z + high))


def equipment_records(
    barn: Barn, catalogue: Catalogue, frame: Frame, window: tuple[float, float]
) -> Iterator[Record]:
    """Yield the outlines of winches, pulleys and cabinets within some depths [in]."""
    low, high = window
    for owner, role, shape in equipment(barn, catalogue):
        near, far = depth_range(shape, frame)
        if far >= low and near <= high:
            yield face_record(seen_face(shape, frame), role=role, owner=owner)
