"""Which object is under a point of a drawing, and which are in a rectangle."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum, auto
from functools import lru_cache

import numpy as np

from core.drawing.dimensions import laid_out
from core.drawing.faces import Disc, corners_of
from core.drawing.records import (
    Arc,
    Circle,
    Dimension,
    Drawing,
    Group,
    Handle,
    Marker,
    Polygon,
    Polyline,
    Record,
    Role,
    Strokes,
    Text,
)
from core.geometry.shapes import FloatArray, Vec2

__all__ = ["Hit", "Touch", "owners_in", "picked"]

# what lies under or about an object and is not the object itself
_BACKGROUND = frozenset(
    {
        Role.BLOCKED,
        Role.DIMENSION,
        Role.ENVELOPE,
        Role.FREE_SPACE,
        Role.GUIDE,
        Role.LANE,
        Role.SWEPT,
    }
)
# faces that are taken hold of by their edge alone: so much lies on them
_GROUND = frozenset({Role.ALLEY, Role.PEN, Role.ROOM_SEEN, Role.STRIP})
# what is meant when several things lie under the pointer
_ORDER = {
    Role.HANDLE: 0,
    Role.WITNESS: 1,
    Role.SUPPORT: 2,
    Role.HOIST: 2,
    Role.ELECTRICAL: 2,
    Role.EYE: 2,
    Role.SECTION_MARK: 3,
    Role.POINT: 4,
    Role.RUN: 4,
    Role.RUN_END: 5,
    Role.FIXTURE_CUT: 6,
    Role.FIXTURE_SEEN: 6,
    Role.MOVING: 7,
    Role.ROPE: 8,
    Role.CABLE: 8,
    Role.LEAD: 8,
    Role.FIXTURE_FAR: 9,
}
_LAST = 10
_KEPT_GROUPS = 2048


class Touch(Enum):
    """Which objects a rectangle takes: those wholly inside, or all it touches."""

    INSIDE = auto()
    TOUCHED = auto()


@dataclass(frozen=True, slots=True, kw_only=True)
class Hit:
    """A record near a point, and how far from it [in]."""

    record: Record
    distance: float

    @property
    def owner(self) -> str:
        """The id that the record belongs to."""
        return self.record.owner


def picked(drawing: Drawing, at: Vec2, *, tolerance: float) -> tuple[Hit, ...]:
    """Return what is under a point, what is to be taken first.

    Handles come first, then the small things, runs, fixtures, the lines that hang
    over all of them, and last the room; of two alike the nearer comes first, then
    the smaller.

    Parameters
    ----------
    drawing : Drawing
        What is on the screen.
    at : Vec2
        The point in its plane [in].
    tolerance : float
        How far off something may be, > 0 [in].

    Returns
    -------
    tuple of Hit
        One for each record within the tolerance that belongs to something.
    """
    hits = [
        (_rank(record, distance, box), Hit(record=record, distance=distance))
        for record, box in _near(drawing, at, tolerance)
        if (distance := _distance(record, at)) <= tolerance
    ]
    return tuple(hit for _, hit in sorted(hits, key=lambda pair: pair[0]))


def _rank(record: Record, distance: float, box: FloatArray) -> tuple[int, float, float]:
    size = float((box[2] - box[0]) + (box[3] - box[1]))
    return (_ORDER.get(record.role, _LAST), distance, size)


def _is_pickable(record: Record) -> bool:
    return bool(record.owner) and record.role not in _BACKGROUND


def _near(
    drawing: Drawing, at: Vec2, tolerance: float
) -> Iterator[tuple[Record, FloatArray]]:
    """Yield the records whose box holds the point, with their boxes."""
    u, v = at
    for group in drawing.groups:
        u0, v0, u1, v1 = _extent(group)
        if not (
            u0 - tolerance <= u <= u1 + tolerance
            and v0 - tolerance <= v <= v1 + tolerance
        ):
            continue
        boxes = _boxes(group)
        hit = (
            (boxes[:, 0] <= u + tolerance)
            & (boxes[:, 1] <= v + tolerance)
            & (boxes[:, 2] >= u - tolerance)
            & (boxes[:, 3] >= v - tolerance)
        )
        for index in np.flatnonzero(hit).tolist():
            if _is_pickable(group.records[index]):
                yield group.records[index], boxes[index]


@lru_cache(maxsize=_KEPT_GROUPS)
def _boxes(group: Group) -> FloatArray:
    """Return the bounding boxes of a group's records `(n, 4)` [in]."""
    return np.array([_box(record) for record in group.records]).reshape(-1, 4)


@lru_cache(maxsize=_KEPT_GROUPS)
def _extent(group: Group) -> tuple[float, float, float, float]:
    """Return the bounding box of a group; an empty one holds no point [in]."""
    boxes = _boxes(group)
    if not len(boxes):
        return (math.inf, math.inf, -math.inf, -math.inf)
    u0, v0 = boxes[:, :2].min(axis=0).tolist()
    u1, v1 = boxes[:, 2:].max(axis=0).tolist()
    return (u0, v0, u1, v1)


def _box(record: Record) -> tuple[float, float, float, float]:
    points = _points(record)
    u0, v0 = points.min(axis=0).tolist()
    u1, v1 = points.max(axis=0).tolist()
    return (u0, v0, u1, v1)


def _points(record: Record) -> FloatArray:
    """Return points whose box is the record's; a marker counts by its size."""
    match record:
        case Polyline():
            return record.points
        case Polygon():
            return record.outline
        case Strokes():
            return record.segments.reshape(-1, 2)
        case Circle():
            return corners_of(Disc(center=record.center, radius=record.radius))
        case Arc():
            return _arc(record)
        case Marker():
            return corners_of(Disc(center=record.at, radius=record.size / 2))
        case Dimension():
            return np.array(
                [p for line in laid_out(record, mm=1.0).lines for p in line]
            )
        case Text() | Handle():
            return np.array((record.at,))


def _arc(record: Arc) -> FloatArray:
    turn = record.start + record.sweep * np.linspace(0.0, 1.0, 13)
    ring = np.stack((np.cos(turn), np.sin(turn)), axis=-1)
    return np.array(record.center) + record.radius * ring


def _distance(record: Record, at: Vec2) -> float:
    """Return how far a point is from what a record shows, 0 on a face [in]."""
    match record:
        case Polyline():
            return _to_lines(_edges(record.points, closed=record.closed), at)
        case Polygon():
            return _to_face(record, at)
        case Strokes():
            return _to_lines(record.segments, at)
        case Circle():
            return max(
                0.0, float(np.hypot(*np.subtract(at, record.center))) - record.radius
            )
        case Marker():
            return max(0.0, math.dist(at, record.at) - record.size / 2)
        case Arc():
            return _to_lines(_edges(_arc(record), closed=False), at)
        case _:
            return float(np.hypot(*(_points(record) - at).T).min())


def _edges(points: FloatArray, *, closed: bool) -> FloatArray:
    after = np.roll(points, -1, axis=0)
    edges = np.stack((points, after), axis=1)
    return edges if closed else edges[:-1]


def _to_lines(segments: FloatArray, at: Vec2) -> float:
    """Return the distance from a point to the nearest of some segments [in]."""
    if not len(segments):
        return float("inf")
    start, way = segments[:, 0], segments[:, 1] - segments[:, 0]
    offset = np.array(at) - start
    square = np.maximum((way * way).sum(axis=1), 1e-300)
    share = np.clip((offset * way).sum(axis=1) / square, 0.0, 1.0)
    return float(np.hypot(*(offset - share[:, None] * way).T).min())


def _to_face(record: Polygon, at: Vec2) -> float:
    edge = _to_lines(_edges(record.outline, closed=True), at)
    if record.role in _GROUND:
        return edge
    return 0.0 if _is_inside(record.outline, at) else edge


def _is_inside(outline: FloatArray, at: Vec2) -> bool:
    """Tell whether a point lies in a polygon, by the crossings of a ray."""
    u, v = outline.T
    after_u, after_v = np.roll(u, -1), np.roll(v, -1)
    spans = (v > at[1]) != (after_v > at[1])
    rise = np.where(spans, after_v - v, 1.0)
    crossing = u + (at[1] - v) * (after_u - u) / rise
    return bool(np.count_nonzero(spans & (crossing > at[0])) % 2)


def owners_in(
    drawing: Drawing, low: Vec2, high: Vec2, *, touch: Touch = Touch.INSIDE
) -> frozenset[str]:
    """Return the objects in a rectangle.

    Parameters
    ----------
    drawing : Drawing
        What is on the screen.
    low, high : Vec2
        Lower left and upper right corner [in].
    touch : Touch
        Whether an object must lie inside with all that is drawn of it, or need
        only be touched by the rectangle.

    Returns
    -------
    frozenset of str
        Ids; the room and the section cut are never among them.
    """
    inside: set[str] = set()
    outside: set[str] = set()
    for group in drawing.groups:
        boxes = _boxes(group)
        for record, box in zip(group.records, boxes, strict=True):
            if _is_taken(record):
                found = inside if _holds(record, box, low, high, touch) else outside
                found.add(record.owner)
    return frozenset(inside if touch is Touch.TOUCHED else inside - outside)


def _is_taken(record: Record) -> bool:
    """Tell whether a rectangle can take a record: objects, no notes and no ground."""
    notes = (Text, Handle, Dimension)
    roles = {
        Role.AXIS,
        Role.FINDING,
        Role.HIDDEN,
        Role.LABEL,
        Role.ROOM_CUT,
        Role.SECTION_MARK,
        Role.TRUSS,
        Role.WITNESS,
        *_GROUND,
    }
    return (
        _is_pickable(record)
        and record.role not in roles
        and not isinstance(record, notes)
    )


def _holds(
    record: Record, box: FloatArray, low: Vec2, high: Vec2, touch: Touch
) -> bool:
    if touch is Touch.INSIDE:
        return bool((box[:2] >= low).all() and (box[2:] <= high).all())
    if (box[:2] > high).any() or (box[2:] < low).any():
        return False
    points = _points(record)
    if isinstance(record, Polygon) and _is_inside(points, low):
        return True
    if isinstance(record, Strokes):
        return _passes(record.segments, low, high)
    is_open = isinstance(record, Polyline) and not record.closed
    return _passes(_edges(points, closed=not is_open), low, high)


def _passes(segments: FloatArray, low: Vec2, high: Vec2) -> bool:
    """Tell whether any segment passes a rectangle (Liang and Barsky)."""
    start, way = segments[:, 0], segments[:, 1] - segments[:, 0]
    flat = np.abs(way) < 1e-12
    step = np.where(flat, 1.0, way)
    near, far = (low - start) / step, (high - start) / step
    first = np.where(flat, -np.inf, np.minimum(near, far))
    last = np.where(flat, np.inf, np.maximum(near, far))
    outside = flat & ((start < low) | (start > high))
    enters = np.maximum(first.max(axis=1), 0.0)
    leaves = np.minimum(last.min(axis=1), 1.0)
    return bool(((enters <= leaves) & ~outside.any(axis=1)).any())
