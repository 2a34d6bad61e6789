"""The dimensions to the neighbours that matter while an object is dragged."""

import math
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from core.drawing.faces import Disc, corners_of
from core.drawing.records import (
    CUT,
    Circle,
    Dimension,
    Drawing,
    Frame,
    Measure,
    Polygon,
    Polyline,
    Record,
    Role,
    Text,
)
from core.drawing.run_shapes import place
from core.geometry.shapes import FloatArray, Vec2, Vec3
from core.model.room import Room
from core.model.runs import Run
from core.placement.building import nearest_truss
from core.placement.ceiling import ceiling_height
from core.placement.runs import run_direction, run_length

__all__ = [
    "Neighbours",
    "cut_dimensions",
    "guide",
    "neighbour_dimensions",
    "neighbours_in",
    "run_dimensions",
    "side_dimensions",
    "signed_area",
    "spacing_dimensions",
    "upright_dimensions",
    "wall_dimensions",
]

_FAR = 240.0  # fixtures further off are no neighbours [in]
_FIXTURES = (Role.FIXTURE_SEEN, Role.MOVING)
_PARALLEL = 0.5  # runs whose ends are so much nearer at one end count as parallel [in]
_ACROSS = (0.0, 1.0, 0.0)
_BESIDE = 10.0  # spacing lines from the run that they belong to [in]
_POINT = 1e-6  # a run that looks shorter is seen from its end [in]


@dataclass(frozen=True, slots=True, kw_only=True)
class Neighbours:
    """The edges of all fixtures in plan: `(n, 2, 2)` [in], and whose each is."""

    edges: FloatArray
    owners: tuple[str, ...]


def neighbours_in(
    drawing: Drawing,
    *,
    without: Collection[str] = (),
    roles: Collection[Role] = _FIXTURES,
) -> Neighbours:
    """Return the fixtures of a plan, those left out that are being dragged.

    `roles` names other things to be measured to.
    """
    edges: list[FloatArray] = []
    owners: list[str] = []
    for record in drawing.records:
        if record.role not in roles or record.owner in without:
            continue
        outline = _outline(record)
        edges.append(np.stack((outline, np.roll(outline, -1, axis=0)), axis=1))
        owners += [record.owner] * len(outline)
    joined = np.concatenate(edges) if edges else np.zeros((0, 2, 2))
    return Neighbours(edges=joined, owners=tuple(owners))


def _outline(record: Record) -> FloatArray:
    match record:
        case Polygon():
            return record.outline
        case Circle():
            return corners_of(Disc(center=record.center, radius=record.radius))
    return np.zeros((0, 2))


def _dimension(
    a: Vec2, b: Vec2, owner: str, *, through: Vec2 | None = None
) -> Dimension:
    return Dimension(
        role=Role.DIMENSION,
        owner=owner,
        a=a,
        b=b,
        through=a if through is None else through,
        value=math.dist(a, b),
        measure=Measure.ALIGNED,
    )


def wall_dimensions(at: Vec2, owner: str) -> Iterator[Record]:
    """Yield the distances of a plan place [in] from the front and the left wall."""
    x, y = at
    for foot in ((0.0, y), (x, 0.0)):
        if foot != at:
            yield _dimension((foot[0], -foot[1]), (x, -y), owner)


def side_dimensions(
    corners: Sequence[Vec2], sides: Iterable[int], owner: str, *, clear: float
) -> Iterator[Record]:
    """Yield the lengths of some sides of an outline in plan, outside of it.

    Parameters
    ----------
    corners : sequence of Vec2
        The corners [in].
    sides : iterable of int
        Which sides, each by the index of its first corner.
    owner : str
        Whose outline it is.
    clear : float
        How far from the side the line is [in].
    """
    off = clear if signed_area(corners) > 0.0 else -clear
    for index in sorted({side % len(corners) for side in sides}):
        (ax, ay), (bx, by) = corners[index], corners[(index + 1) % len(corners)]
        length = math.dist((ax, ay), (bx, by))
        through = (ax + off * (by - ay) / length, ay - off * (bx - ax) / length)
        ends = ((ax, -ay), (bx, -by))
        yield _dimension(*ends, owner, through=(through[0], -through[1]))


def signed_area(corners: Sequence[Vec2]) -> float:
    """Return the area within an outline, > 0 if its corners go from x to y [in2]."""
    after = (*corners[1:], corners[0])
    pairs = zip(corners, after, strict=True)
    return math.fsum(a[0] * b[1] - a[1] * b[0] for a, b in pairs) / 2.0


def neighbour_dimensions(
    at: Vec2, neighbours: Neighbours, owner: str, *, count: int = 2
) -> Iterator[Record]:
    """Yield the distances of a plan place [in] to the nearest fixtures."""
    here = np.array((at[0], -at[1]))
    feet, distances = _feet(neighbours.edges, here)
    shown: set[str] = set()
    for index in np.argsort(distances, kind="stable").tolist():
        if len(shown) == count or distances[index] > _FAR:
            return
        name = neighbours.owners[index]
        if name not in shown and distances[index] > 0.0:
            shown.add(name)
            u, v = feet[index].tolist()
            yield _dimension((at[0], -at[1]), (u, v), owner)


def _feet(edges: FloatArray, here: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the nearest point of each edge to a point, and how far it is [in]."""
    start, way = edges[:, 0], edges[:, 1] - edges[:, 0]
    square = np.maximum((way * way).sum(axis=1), 1e-300)
    share = np.clip(((here - start) * way).sum(axis=1) / square, 0.0, 1.0)
    feet = start + share[:, None] * way
    return feet, np.hypot(*(feet - here).T)


def run_dimensions(
    run: Run, room: Room, neighbours: Neighbours, *, others: Iterable[Run] = ()
) -> Iterator[Record]:
    """Yield a run's distances from the walls, and to what is nearest on each side.

    Parameters
    ----------
    run : Run
        The run.
    room : Room
        The room.
    neighbours : Neighbours
        The fixtures.
    others : iterable of Run
        The other runs; those beside it count from axis to axis.
    """
    yield from wall_dimensions(run.start, run.id)
    x, y = run.end
    yield _dimension((x, -y), (room.length, -y), run.id)
    yield _dimension((x, -y), (x, -room.width), run.id)
    for side in (1.0, -1.0):
        found = _nearest_beside(run, neighbours, side)
        if found is not None:
            station, across = found
            yield _across(run, station, across)
    yield from _run_spacings(run, others)


def _across(run: Run, station: float, across: float) -> Dimension:
    a, b = place(run, station), place(run, station, across)
    return _dimension((a[0], -a[1]), (b[0], -b[1]), run.id)


def _run_spacings(run: Run, others: Iterable[Run]) -> Iterator[Record]:
    """Yield the distance to the next parallel run on each side, at its middle."""
    (x, y), (dx, dy) = run.start, run_direction(run)
    nearest: dict[bool, tuple[float, float]] = {}
    for other in others:
        ends = [
            ((u - x) * dx + (v - y) * dy, (v - y) * dx - (u - x) * dy)
            for u, v in (other.start, other.end)
        ]
        (low, _), (high, _) = sorted(ends)
        low, high = max(low, 0.0), min(high, run_length(run))
        across = ends[0][1]
        if high <= low or abs(across - ends[1][1]) > _PARALLEL or across == 0.0:
            continue
        side = across > 0.0
        if side not in nearest or abs(across) < abs(nearest[side][1]):
            nearest[side] = ((low + high) / 2, across)
    for station, across in nearest.values():
        yield _across(run, station, across)


def _nearest_beside(
    run: Run, neighbours: Neighbours, side: float
) -> tuple[float, float] | None:
    """Return where along a run the nearest corner of a fixture beside it lies."""
    if not len(neighbours.edges):
        return None
    corners = neighbours.edges[:, 0] * (1.0, -1.0)
    (x0, y0), length = run.start, run_length(run)
    dx, dy = (run.end[0] - x0) / length, (run.end[1] - y0) / length
    along = (corners[:, 0] - x0) * dx + (corners[:, 1] - y0) * dy
    across = (corners[:, 1] - y0) * dx - (corners[:, 0] - x0) * dy
    beside = (along >= 0.0) & (along <= length) & (across * side > 0.0)
    beside &= np.abs(across) <= _FAR
    if not beside.any():
        return None
    index = int(np.argmin(np.where(beside, np.abs(across), np.inf)))
    return float(along[index]), float(across[index])


def spacing_dimensions(
    run: Run,
    support: str,
    station: float,
    room: Room,
    frame: Frame,
    *,
    clear: float = 0.0,
) -> Iterator[Record]:
    """Yield the spacing of a support from its neighbours or the run's ends.

    The two are on either side of the run, where their texts do not meet.

    Parameters
    ----------
    run : Run
        The run.
    support : str
        Which of its supports is dragged.
    station : float
        Where it is now [in].
    room : Room
        The room, for the truss above.
    frame : Frame
        The plan or the run's long section.
    clear : float
        How far from the run the lines are at least [in].

    Notes
    -----
    None where the run is seen from its end: its stations are one point there.
    """
    if math.dist(*_seen(run, frame)) < _POINT:
        return
    others = [s.station for s in run.supports if s.id != support]
    before = max((s for s in others if s < station), default=0.0)
    after = min((s for s in others if s > station), default=run_length(run))
    off = max(clear, _BESIDE)
    here = frame.point((*place(run, station), run.working_height))
    for other, side in ((before, 1.0), (after, -1.0)):
        if other != station:
            there = frame.point((*place(run, other), run.working_height))
            yield _dimension(
                here, there, support, through=_off(run, here, frame, side * off)
            )
    truss = nearest_truss(room, place(run, station)[0])
    if truss is not None and math.isclose(truss.x, place(run, station)[0]):
        yield Text(
            role=Role.DIMENSION,
            owner=support,
            at=_off(run, here, frame, -1.5 * off),
            parts=(f"truss {truss.number}",),
        )


def _seen(run: Run, frame: Frame) -> tuple[Vec2, Vec2]:
    """Return where the ends of a run are seen [in]."""
    return frame.point((*run.start, 0.0)), frame.point((*run.end, 0.0))


def _off(run: Run, at: Vec2, frame: Frame, by: float) -> Vec2:
    """Return a point moved at a right angle to a run as it is seen [in]."""
    (au, av), (bu, bv) = _seen(run, frame)
    length = math.hypot(bu - au, bv - av)
    return (at[0] - by * (bv - av) / length, at[1] + by * (bu - au) / length)


def upright_dimensions(
    at: Vec3, room: Room, frame: Frame, owner: str
) -> Iterator[Record]:
    """Yield the height of a place [in] above the floor and below the ceiling.

    In a section across the room its distances from the side walls as well.
    """
    x, y, z = at
    here = frame.point(at)
    for other in (0.0, ceiling_height(room, x, y)):
        if other != z:
            yield _dimension(here, frame.point((x, y, other)), owner)
    for wall in (0.0, room.width) if frame.right == _ACROSS else ():
        if wall != y:
            yield _dimension(frame.point((x, wall, z)), here, owner)


def cut_dimensions(cut: float, room: Room, frame: Frame, at: Vec2) -> Iterator[Record]:
    """Yield how far a cut across the room is from the front wall and the back wall.

    Parameters
    ----------
    cut : float
        Where the room is cut (room x) [in].
    room : Room
        The room.
    frame : Frame
        The plan, or a long section that the cut crosses.
    at : Vec2
        Where the pointer is in its plane [in].
    """
    here, *walls = (
        ((x - frame.origin[0]) / frame.right[0], at[1]) for x in (cut, 0.0, room.length)
    )
    for there, away in zip(walls, (cut, room.length - cut), strict=True):
        if away:
            yield replace(_dimension(here, there, CUT), value=away)


def guide(a: Vec2, b: Vec2, *, name: str) -> Polyline:
    """Return the line that a dragged object keeps to, in a view's plane [in]."""
    return Polyline(role=Role.GUIDE, part=name, points=np.array((a, b)))
