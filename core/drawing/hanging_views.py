"""Ropes, cables, clamps, leads, pulleys and cabinets on a view's plane."""

from collections.abc import Callable, Iterable, Iterator
from functools import partial

import numpy as np

from core.catalogue.catalogue import Catalogue
from core.catalogue.parts import Pulley
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
from core.geometry.shapes import Cylinder, Shape, Vec3, upright_box
from core.model.barn import Barn
from core.model.hoists import Hoist, PullCable, RunEnd
from core.model.room import Room
from core.model.runs import Run
from core.placement.hanging import (
    clamp_point,
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
    "strand_records",
    "strands_near",
]

# sizes as drawn where the job names none: width, depth, height [in]; common practice
_WINCH = (12.0, 10.0, 10.0)
_SUPPLY = (14.0, 8.0, 18.0)
_SWITCH = (8.0, 5.0, 12.0)
_WHEEL = 0.75  # thickness of a turning pulley's wheel [in]

_OF_SUPPORTS = ("clamp", "insulator", "rope")
_ROLES = {Kind.ROPE: Role.ROPE, Kind.CABLE: Role.CABLE, Kind.LEAD: Role.LEAD}


def cable_of(barn: Barn, run: str) -> tuple[Hoist, PullCable] | None:
    """Return the hoist and the pull cable of a run, None for one without."""
    for hoist in barn.hoists:
        for cable in hoist.cables:
            if cable.run == run:
                return hoist, cable
    return None


def _run_hanging(
    barn: Barn, run: Run, catalogue: Catalogue, lift: float
) -> tuple[Strand, ...]:
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
        radius=0.1,
    )
    hung = run_strands(run, barn.room, catalogue, lift=lift, cable=cable, path=path)
    return (*hung, line)


def _leads(
    barn: Barn, catalogue: Catalogue, lift: float, only: str | None
) -> tuple[Strand, ...]:
    """Return leads and jumpers; those of one run where only one is asked for."""
    runs, room = {run.id: run for run in barn.runs}, barn.room
    found: list[Strand] = []
    for lead in barn.electrical.leads:
        if lead.run in runs and only in (None, lead.run):
            found += lead_strands(lead, runs[lead.run], room, catalogue, lift=lift)
    for jumper in barn.electrical.jumpers:
        joined = {jumper.from_run, jumper.to_run}
        if joined <= runs.keys() and (only is None or only in joined):
            ends = (runs[jumper.from_run], runs[jumper.to_run])
            found.append(jumper_strand(jumper, *ends, room, catalogue, lift=lift))
    return tuple(found)


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
    lift, catalogue, room = shown.lift, shown.catalogue, barn.room
    moves = {h.id: hoist_travel(h, barn, catalogue) for h in barn.hoists}
    view = (lift, catalogue, room, frame, window)
    for run in barn.runs:
        if only not in (None, run.id):
            continue
        pulled = cable_of(barn, run.id)
        hoist = pulled[0] if pulled else None
        inputs = (run, hoist, moves[hoist.id] if hoist else 0.0, *view)
        strands = partial(_run_hanging, barn, run, catalogue, lift)
        make = partial(_records, strands, frame, window)
        yield memo.group("hanging", run.id, inputs, make)
    for hoist in barn.hoists if only is None else ():
        strands = partial(_winch_strand, barn, hoist, catalogue, lift)
        make = partial(_records, strands, frame, window)
        yield memo.group("winch-line", hoist.id, (hoist, moves[hoist.id], *view), make)
    strands = partial(_leads, barn, catalogue, lift, only)
    make = partial(_records, strands, frame, window)
    yield memo.group("leads", "", (barn.electrical, barn.runs, *view), make)


def _records(
    strands: Callable[[], Iterable[Strand]],
    frame: Frame,
    window: tuple[float, float] | None,
) -> Iterator[Record]:
    if window is not None:
        yield from strands_near(strands(), frame, window)
        return
    for strand in strands():
        yield from strand_records(strand, frame)


def _winch_strand(
    barn: Barn, hoist: Hoist, catalogue: Catalogue, lift: float
) -> tuple[Strand, ...]:
    """Return the line from the winch to the pull point."""
    line = winch_line(hoist, barn, catalogue, lift=lift)
    strand = Strand(
        owner=hoist.id, part="winch line", group=Kind.CABLE, points=line, radius=0.1
    )
    return (strand,)


def strand_records(strand: Strand, frame: Frame) -> Iterator[Record]:
    """Yield a strand seen on a plane; a clamp as what it looks like."""
    points = frame.to_plane(np.array(strand.points))
    if strand.part.startswith("clamp "):
        yield _clamp(strand, points)
        return
    insulator = strand.part.startswith("insulator ")
    yield Polyline(
        role=Role.SUPPORT if insulator else _ROLES[strand.group],
        owner=_owner(strand),
        part=strand.part,
        points=points,
    )


def _owner(strand: Strand) -> str:
    """Return the support of a rope, insulator or clamp; else whose a strand is."""
    kind, _, support = strand.part.partition(" ")
    return support if kind in _OF_SUPPORTS else strand.owner


def _clamp(strand: Strand, points: np.ndarray) -> Marker:
    middle = points.mean(axis=0).tolist()
    along = points[-1] - points[0]
    return Marker(
        role=Role.HOIST,
        owner=_owner(strand),
        part=strand.part,
        kind=MarkerKind.CLAMP,
        at=(middle[0], middle[1]),
        size=max(2.0 * strand.radius, float(np.linalg.norm(along))),
        angle=float(np.arctan2(along[1], along[0])),
        least_mm=1.0,
    )


def strands_near(
    strands: Iterable[Strand], frame: Frame, window: tuple[float, float]
) -> Iterator[Record]:
    """Yield strands within a window of depths; long ones where they pass the plane."""
    low, high = window
    for strand in strands:
        points = np.array(strand.points)
        depths = frame.depths(points)
        if low <= depths.min() and depths.max() <= high:
            yield from strand_records(strand, frame)
        elif depths.min() < 0.0 < depths.max():
            yield from _passing(strand, frame.to_plane(points), depths)


def _passing(
    strand: Strand, points: np.ndarray, depths: np.ndarray
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
                    radius=part.pitch_radius + part.largest_rope,
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
