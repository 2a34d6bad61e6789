"""What must hold between the fields of an object and between objects of a barn.

A barn that breaks one of these has no shape to check: a run of no length, a pen
whose outline crosses itself, a cable over a run that is not there. Whether a
layout is good is another question; `core.rules` answers it.
"""

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, is_dataclass
from difflib import get_close_matches
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from core.catalogue.parts import (
    AnchorScrew,
    Clamp,
    DischargePoint,
    HandWinch,
    HvLead,
    Insulator,
    Joint,
    MotorWinch,
    Part,
    Pulley,
    Rope,
    SnatchBlock,
    Tube,
    Turnbuckle,
    Wood,
)
from core.model.electrical import PLACES, Bond, Jumper, Lead
from core.model.fields import Point2, Point3
from core.model.fixtures import (
    Beam,
    Conduit,
    FeedDrop,
    FeedLine,
    PlainCapsule,
    PlainCylinder,
    PlainHull,
    Scan,
    SoakerLine,
    TubeHeater,
    WaterLine,
)
from core.model.hoists import Fixing, Hoist, PullCable, TurningPulley, Winch
from core.model.job import HeightReading
from core.model.room import (
    GableCeiling,
    Pen,
    Room,
    StepAxis,
    SteppedCeiling,
    Strip,
    Trusses,
)
from core.model.runs import PointRow, Run, Support
from core.model.spec import fields_of

__all__ = [
    "Inconsistency",
    "link_faults",
    "link_targets",
    "links_of",
    "objects_within",
    "own_faults",
]

SHORTEST_RUN = 1.0  # [in]
SAME_PLACE = 1e-6  # [in], closer points count as one
MOST_TRUSSES = 2_000
MOST_POINTS = 10_000
MOST_CORNERS = 300
MOST_HINTS = 20  # looking for the nearest id takes time

ANY_OBJECT = (object,)


@dataclass(frozen=True, slots=True, kw_only=True)
class Inconsistency:
    """A field of an object that does not fit the rest."""

    subject: object
    field: str
    found: str
    expected: str
    nearest: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """A field that names another object or a part: its field, classes and id."""

    field: str
    targets: tuple[type, ...]
    id: str


_LINKS: Mapping[type, Mapping[str, tuple[type, ...]]] = {
    Run: {"strip": (Strip,), "tube": (Tube,), "joint": (Joint,)},
    PointRow: {"part": (DischargePoint,)},
    Support: {
        "anchor": (AnchorScrew,),
        "pulley": (Pulley,),
        "rope": (Rope,),
        "insulator": (Insulator,),
        "clamp": (Clamp,),
    },
    Pen: {"strip": (Strip,)},
    Trusses: {"wood": (Wood,)},
    PullCable: {"run": (Run,), "cable": (Rope,)},
    TurningPulley: {"part": (Pulley,), "anchor": (AnchorScrew,)},
    Winch: {"part": (HandWinch, MotorWinch), "rope": (Rope,)},
    Fixing: {"anchor": (AnchorScrew,)},
    Hoist: {"block": (SnatchBlock,), "turnbuckle": (Turnbuckle,)},
    Lead: {"run": (Run,), "part": (HvLead,)},
    Jumper: {"from_run": (Run,), "to_run": (Run,), "part": (HvLead,)},
    Bond: {"subject": ANY_OBJECT},
    HeightReading: {"run": (Run,), "support": (Support,)},
}


def objects_within(value: object) -> Iterator[Any]:
    """Yield an object of the document and everything in it, outermost first.

    Parameters
    ----------
    value : object
        A barn or any object or tuple of it.

    Yields
    ------
    object
        Every dataclass instance within.
    """
    if isinstance(value, tuple):
        for item in value:
            yield from objects_within(item)
    elif is_dataclass(value) and not isinstance(value, type):
        yield value
        for field in fields_of(type(value)):
            yield from objects_within(getattr(value, field.name))


def links_of(item: object) -> Iterator[Link]:
    """Yield the fields of one object that name another object or a part.

    Parameters
    ----------
    item : object
        Any object of the document.

    Yields
    ------
    Link
        Fields that are None are left out.
    """
    for field, targets in _LINKS.get(type(item), {}).items():
        identity = getattr(item, field)
        if identity is not None:
            yield Link(field=field, targets=targets, id=identity)


def link_targets(cls: type) -> Mapping[str, tuple[type, ...]]:
    """Return the fields of a class that name another object or a part.

    Parameters
    ----------
    cls : type
        A class of the model.

    Returns
    -------
    mapping of str to tuple of type
        For each such field the classes of what it may name; `object` is anything
        in the barn that has an id.
    """
    return _LINKS.get(cls, {})


def link_faults(
    items: Iterable[object], *, ids: Mapping[str, type], parts: Mapping[str, type]
) -> Iterator[Inconsistency]:
    """Find fields that name something that is not there or of another kind.

    Parameters
    ----------
    items : iterable of object
        Objects of the document.
    ids : mapping of str to type
        Every id of the document, with the class of what has it.
    parts : mapping of str to type
        Every part that it may name, with its class.

    Yields
    ------
    Inconsistency
        One for each dangling link.
    """
    count = 0
    for item in items:
        for link in links_of(item):
            known = parts if issubclass(link.targets[0], Part) else ids
            if not _is_there(link, known):
                count += 1
                yield _dangling(item, link, known, hinted=count <= MOST_HINTS)


def _is_there(link: Link, known: Mapping[str, type]) -> bool:
    """Tell whether a link leads to something of the right class."""
    if link.targets is ANY_OBJECT and link.id in PLACES:
        return True
    return link.id in known and issubclass(known[link.id], link.targets)


def _dangling(
    item: object, link: Link, known: Mapping[str, type], *, hinted: bool
) -> Inconsistency:
    """Word a link that leads nowhere, with the nearest id of the right class."""
    right = [key for key, cls in known.items() if issubclass(cls, link.targets)]
    near = get_close_matches(link.id[:100], right if hinted else [], n=1, cutoff=0.5)
    name = " or ".join(_noun(cls) for cls in link.targets)
    other = known.get(link.id)
    found = f'"{link.id[:60]}"' + (f", the id of {_noun(other)}" if other else "")
    return Inconsistency(
        subject=item,
        field=link.field,
        found=found,
        expected=f"the id of {name}" + ("" if right else "; there is none"),
        nearest=near[0] if near else None,
    )


def _noun(cls: type) -> str:
    """Name a class in words, with its article."""
    if cls is object:
        return "a thing in this barn"
    letters = [f" {c.lower()}" if c.isupper() else c for c in cls.__name__]
    name = "".join(letters).strip()
    return f"an {name}" if name[0] in "aeio" else f"a {name}"


def own_faults(item: object) -> Iterator[Inconsistency]:
    """Find what does not fit within one object, its direct parts included.

    Parameters
    ----------
    item : object
        Any object of the document.

    Yields
    ------
    Inconsistency
        Nothing for a sound object.
    """
    check = _OWN.get(type(item))
    if check is not None:
        yield from check(item)


def _pen(pen: Pen) -> Iterator[Inconsistency]:
    """Check that an outline goes round an area without crossing itself."""
    corners = pen.outline
    wrong = None
    if len(corners) > MOST_CORNERS:
        wrong = f"{len(corners)} corners", f"at most {MOST_CORNERS} corners"
    elif any(math.dist(a, b) < SAME_PLACE for a, b in _sides(corners)):
        wrong = "two neighbouring corners in one place", "corners apart from each other"
    elif _crosses_itself(corners):
        wrong = "an outline that crosses itself", "a simple polygon"
    if wrong:
        yield Inconsistency(
            subject=pen, field="outline", found=wrong[0], expected=wrong[1]
        )


def _sides(corners: Sequence[Point2]) -> list[tuple[Point2, Point2]]:
    """Pair every corner with the next, the last with the first."""
    return list(zip(corners, [*corners[1:], corners[0]], strict=True))


def _crosses_itself(corners: Sequence[Point2]) -> bool:
    """Tell whether sides of a closed outline meet other than at their corners."""
    here = np.asarray(corners, dtype=float)
    (x, y), (dx, dy) = here.T, (np.roll(here, -1, axis=0) - here).T
    # on which side of the line through side i is corner j
    turn = np.sign(dx[:, None] * (y - y[:, None]) - dy[:, None] * (x - x[:, None]))
    parted = turn * np.roll(turn, -1, axis=1) < 0
    crossing = parted & parted.T
    own = np.eye(len(here), dtype=bool)
    touching = (turn == 0) & _in_boxes(here) & ~own & ~np.roll(own, 1, axis=1)
    return bool(crossing.any() or touching.any())


def _in_boxes(here: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Tell for side i and corner j whether the corner is in the side's rectangle."""
    after = np.roll(here, -1, axis=0)
    low, high = np.minimum(here, after), np.maximum(here, after)
    inside = (low[:, None] <= here) & (here <= high[:, None])
    return np.asarray(inside.all(axis=2))


def _run(run: Run) -> Iterator[Inconsistency]:
    """Check that a run has a length and its supports are on it."""
    length = math.dist(run.start, run.end)
    if length < SHORTEST_RUN:
        yield Inconsistency(
            subject=run,
            field="end",
            found=f"a run of {length:.6g} in",
            expected=f"an end at least {SHORTEST_RUN:g} in away from the start",
        )
        return
    if length / run.stick_length > MOST_POINTS:
        yield _too_many(run, "stick_length", length / run.stick_length)
    if length / run.points.spacing > MOST_POINTS:
        yield _too_many(run, "points.spacing", length / run.points.spacing)
    yield from _supports(run, length)


def _supports(run: Run, length: float) -> Iterator[Inconsistency]:
    """Check that the supports of a run are on it, each at a place of its own."""
    for support in run.supports:
        if support.station > length + SAME_PLACE:
            yield Inconsistency(
                subject=support,
                field="station",
                found=f"{support.station:.6g} in, off the run",
                expected=f"a station of at most {length:.6g} in, the run's length",
            )
    in_order = sorted(run.supports, key=lambda support: support.station)
    for before, support in pairwise(in_order):
        if support.station - before.station < SAME_PLACE:
            yield Inconsistency(
                subject=support,
                field="station",
                found=f"{support.station:.6g} in, where another support is",
                expected="a station of its own",
            )


def _too_many(item: object, field: str, count: float) -> Inconsistency:
    """Word a spacing that would make more pieces than any barn has."""
    return Inconsistency(
        subject=item,
        field=field,
        found=f"a value that makes {count:.3g} pieces",
        expected=f"at most {MOST_POINTS} of them",
    )


def _room(room: Room) -> Iterator[Inconsistency]:
    """Check the ceiling against the room, the trusses and the main door."""
    yield from _ceiling(room)
    yield from _trusses(room)
    main = [door for door in room.doors if door.main]
    for door in main[1:]:
        yield Inconsistency(
            subject=door,
            field="main",
            found=f'true, as for door "{main[0].id}"',
            expected="one main door",
        )


def _ceiling(room: Room) -> Iterator[Inconsistency]:
    """Check that ridge and steps are in the room."""
    ceiling = room.ceiling
    if isinstance(ceiling, GableCeiling):
        if ceiling.ridge_y >= room.width:
            yield Inconsistency(
                subject=room,
                field="ceiling.ridge_y",
                found=f"{ceiling.ridge_y:.6g} in, outside the room",
                expected=f"less than the room's width of {room.width:.6g} in",
            )
        if ceiling.ridge < ceiling.eave:
            yield Inconsistency(
                subject=room,
                field="ceiling.ridge",
                found=f"{ceiling.ridge:.6g} in, below the eave",
                expected=f"at least the eave's {ceiling.eave:.6g} in",
            )
    if isinstance(ceiling, SteppedCeiling):
        along = ceiling.axis is StepAxis.ALONG
        extent = room.length if along else room.width
        yield from _steps(room, ceiling, extent=extent)


def _steps(
    room: Room, ceiling: SteppedCeiling, *, extent: float
) -> Iterator[Inconsistency]:
    """Check that steps are as many as heights, and rise from 0 within the room."""
    starts = ceiling.starts
    if len(starts) != len(ceiling.heights):
        yield Inconsistency(
            subject=room,
            field="ceiling.heights",
            found=f"{len(ceiling.heights)} heights",
            expected=f"as many as there are starts, {len(starts)}",
        )
    rising = all(a < b for a, b in pairwise(starts))
    if starts[0] != 0 or not rising or starts[-1] >= extent:
        yield Inconsistency(
            subject=room,
            field="ceiling.starts",
            found=_listed(starts),
            expected=f"a first start of 0, then rising to less than {extent:.6g} in",
        )


def _trusses(room: Room) -> Iterator[Inconsistency]:
    """Check that trusses follow each other, and are not without number."""
    trusses = room.trusses
    if not all(a < b for a, b in pairwise(trusses.stations)):
        yield Inconsistency(
            subject=room,
            field="trusses.stations",
            found=_listed(trusses.stations),
            expected="stations in rising order, each one once",
        )
    count = room.length / trusses.spacing
    if not trusses.stations and count > MOST_TRUSSES:
        yield Inconsistency(
            subject=room,
            field="trusses.spacing",
            found=f"{trusses.spacing:.6g} in, which makes {count:.3g} trusses",
            expected=f"at most {MOST_TRUSSES} trusses",
        )


def _listed(values: Sequence[float]) -> str:
    """Show the first values of a list."""
    shown = ", ".join(f"{value:.6g}" for value in values[:6])
    return f"[{shown}{', ...' if len(values) > 6 else ''}] in"


def _line(line: Any) -> Iterator[Inconsistency]:
    """Check that a line goes from point to point."""
    yield from _points_apart(line, "path", line.path)


def _route(lead: Lead) -> Iterator[Inconsistency]:
    """Check that a lead goes from point to point."""
    yield from _points_apart(lead, "route", lead.route)


def _points_apart(
    item: object, field: str, points: Sequence[Point3]
) -> Iterator[Inconsistency]:
    """Check that no two neighbouring points are in one place."""
    for index, (a, b) in enumerate(pairwise(points)):
        if math.dist(a, b) < SAME_PLACE:
            yield Inconsistency(
                subject=item,
                field=f"{field}[{index + 1}]",
                found="the same point as before it, a piece of no length",
                expected="a point of its own",
            )


def _ends(item: Any) -> Iterator[Inconsistency]:
    """Check that a straight thing has a length."""
    if math.dist(item.start, item.end) < SAME_PLACE:
        yield Inconsistency(
            subject=item,
            field="end",
            found="the same point as the start",
            expected="an end away from the start",
        )


def _feed_drop(drop: FeedDrop) -> Iterator[Inconsistency]:
    """Check that a drop goes down."""
    if drop.top <= drop.bottom:
        yield Inconsistency(
            subject=drop,
            field="top",
            found=f"{drop.top:.6g} in",
            expected=f"more than the bottom's {drop.bottom:.6g} in",
        )


def _hull(hull: PlainHull) -> Iterator[Inconsistency]:
    """Check that the points of a hull enclose a space."""
    points = np.asarray(hull.points)
    spread = np.linalg.svd(points - points.mean(axis=0), compute_uv=False)
    if spread[-1] < SAME_PLACE:
        yield Inconsistency(
            subject=hull,
            field="points",
            found="points in one plane",
            expected="at least four points that enclose a space",
        )


def _scan(scan: Scan) -> Iterator[Inconsistency]:
    """Check that the file of a scan stays beside the barn file."""
    outside = scan.file.startswith(("/", "\\")) or scan.file[1:2] == ":"
    if outside or ".." in scan.file.replace("\\", "/").split("/"):
        yield Inconsistency(
            subject=scan,
            field="file",
            found=f'"{scan.file[:60]}"',
            expected="a path relative to the barn file, in its folder or below",
        )


def _jumper(jumper: Jumper) -> Iterator[Inconsistency]:
    """Check that a jumper joins two runs."""
    if jumper.from_run == jumper.to_run:
        yield Inconsistency(
            subject=jumper,
            field="to_run",
            found=f'"{jumper.to_run}", where it starts',
            expected="another run",
        )


def _hoist(hoist: Hoist) -> Iterator[Inconsistency]:
    """Check that the pull point has somewhere to go."""
    if math.dist(hoist.pull_point, hoist.pull_towards) < SAME_PLACE:
        yield Inconsistency(
            subject=hoist,
            field="pull_towards",
            found="the pull point itself",
            expected="a point away from the pull point",
        )


_OWN: Mapping[type, Callable[[Any], Iterator[Inconsistency]]] = {
    Pen: _pen,
    Run: _run,
    Room: _room,
    FeedLine: _line,
    WaterLine: _line,
    SoakerLine: _line,
    Conduit: _line,
    Lead: _route,
    TubeHeater: _ends,
    Beam: _ends,
    PlainCylinder: _ends,
    PlainCapsule: _ends,
    FeedDrop: _feed_drop,
    PlainHull: _hull,
    Scan: _scan,
    Jumper: _jumper,
    Hoist: _hoist,
}
