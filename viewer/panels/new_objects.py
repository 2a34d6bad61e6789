"""New objects of every kind, in common sizes that the surveyor then corrects."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from itertools import count, pairwise
from math import radians
from typing import Any

from core.drawing.records import SUPPLY, SWITCH
from core.errors import EditError
from core.model import edits
from core.model.barn import Barn, object_ids
from core.model.edits import Edited
from core.model.electrical import GroundRod, IsolatingSwitch, Jumper, Lead, Supply
from core.model.fixtures import (
    Beam,
    BoxHeater,
    Camera,
    CeilingInlet,
    ChimneyFan,
    Conduit,
    Controller,
    FeedDrop,
    Feeder,
    FeedLine,
    FlapSides,
    Gate,
    Light,
    PlainBox,
    PlainCapsule,
    PlainCylinder,
    PlainHull,
    PlainSphere,
    Post,
    Probe,
    SoakerLine,
    StirringFan,
    TubeHeater,
    TunnelFan,
    WallFan,
    WaterLine,
)
from core.model.hoists import Hoist, PullCable, TurningPulley, Winch
from core.model.job import EyePoint
from core.model.room import Alley, Bulkhead, Door, Pen, Room, Strip, Wall
from core.model.runs import Run, Support
from core.placement.building import nearest_truss
from core.placement.ceiling import ceiling_height
from viewer.panels.changing import with_value
from viewer.panels.first_runs import run_between, run_over
from viewer.panels.words import class_words

__all__ = ["FIXTURES", "GROUPS", "Place", "add", "label_of"]

_HANG = 2.5  # from the ceiling to a pulley's centre [in]


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where something new goes: the barn, a point in plan [in], what is chosen."""

    barn: Barn
    x: float
    y: float
    chosen: tuple[str, ...] = ()

    @property
    def room(self) -> Room:
        """The room."""
        return self.barn.room

    @property
    def top(self) -> float:
        """Height of the ceiling there [in]."""
        return ceiling_height(self.room, self.x, self.y)

    @property
    def fresh(self) -> Callable[[str], str]:
        """A maker of ids that nothing has yet; it counts on from one it is given."""
        used = set(object_ids(self.barn))

        def fresh(like: str) -> str:
            stem = like.rstrip("0123456789")
            made = next(f"{stem}{k}" for k in count(1) if f"{stem}{k}" not in used)
            used.add(made)
            return made

        return fresh

    def id(self, kind: str) -> str:
        """Return an id for something of a kind."""
        return self.fresh(f"{kind}-1")


Maker = Callable[[Place], Any]


def _at(place: Place, kind: str) -> dict[str, Any]:
    return {"id": place.id(kind), "x": place.x, "y": place.y}


def _line(place: Place, kind: str, *, below: float) -> dict[str, Any]:
    """Return id and path of a line along the middle half of the room."""
    z = place.top - below
    ends = (place.room.length * 0.25, place.room.length * 0.75)
    return {
        "id": place.id(kind),
        "path": tuple((x, place.y, z) for x in ends),
    }


def _beam(place: Place, kind: str, *, below: float, length: float) -> dict[str, Any]:
    z = place.top - below
    return {
        "id": place.id(kind),
        "start": (place.x - length / 2, place.y, z),
        "end": (place.x + length / 2, place.y, z),
    }


def _on_wall(place: Place, kind: str) -> dict[str, Any]:
    return {"id": place.id(kind), "wall": Wall.LEFT, "offset": max(place.x, 0.0)}


def _hull(place: Place) -> PlainHull:
    low = ((-6.0, -6.0, 0.0), (6.0, -6.0, 0.0), (0.0, 6.0, 0.0), (0.0, 0.0, 12.0))
    points = tuple((place.x + x, place.y + y, 60.0 + z) for x, y, z in low)
    return PlainHull(id=place.id("hull"), points=points)


# Common sizes [in]; common practice, no published source.
FIXTURES: Mapping[type, Maker] = {
    CeilingInlet: lambda p: CeilingInlet(
        **_at(p, "inlet"),
        length=24.0,
        width=16.0,
        drop=2.5,
        flap=8.0,
        flap_sides=FlapSides.BOTH,
        opening=radians(50.0),
    ),
    Light: lambda p: Light(**_at(p, "light"), length=48.0, width=6.0, depth=4.0),
    FeedLine: lambda p: FeedLine(**_line(p, "feed-line", below=12.0), diameter=3.5),
    FeedDrop: lambda p: FeedDrop(
        **_at(p, "feed-drop"), top=p.top - 12.0, bottom=40.0, diameter=3.0
    ),
    Feeder: lambda p: Feeder(**_at(p, "feeder"), length=60.0, width=24.0, height=36.0),
    WaterLine: lambda p: WaterLine(**_line(p, "water-line", below=6.0), diameter=1.3),
    SoakerLine: lambda p: SoakerLine(
        **_line(p, "soaker-line", below=8.0), diameter=1.0
    ),
    Conduit: lambda p: Conduit(**_line(p, "conduit", below=1.0), diameter=0.9),
    TubeHeater: lambda p: TubeHeater(
        **_beam(p, "tube-heater", below=24.0, length=240.0), width=20.0, depth=8.0
    ),
    BoxHeater: lambda p: BoxHeater(
        **_at(p, "box-heater"), z=p.top - 36.0, length=36.0, width=24.0, height=24.0
    ),
    WallFan: lambda p: WallFan(
        **_on_wall(p, "wall-fan"), z=60.0, diameter=24.0, depth=12.0
    ),
    TunnelFan: lambda p: TunnelFan(
        **(_on_wall(p, "tunnel-fan") | {"wall": Wall.BACK, "offset": p.y}),
        z=48.0,
        diameter=52.0,
        depth=24.0,
    ),
    ChimneyFan: lambda p: ChimneyFan(**_at(p, "chimney-fan"), diameter=24.0, drop=12.0),
    StirringFan: lambda p: StirringFan(
        **_at(p, "stirring-fan"), z=p.top - 18.0, diameter=24.0, depth=10.0
    ),
    Probe: lambda p: Probe(**_at(p, "probe"), cable=max(p.top - 60.0, 12.0)),
    Controller: lambda p: Controller(
        **_on_wall(p, "controller"), z=48.0, width=16.0, height=20.0, depth=8.0
    ),
    Post: lambda p: Post(**_at(p, "post"), width=6.0, depth=6.0),
    Beam: lambda p: Beam(
        **_beam(p, "beam", below=6.0, length=120.0), width=3.5, depth=11.25
    ),
    Gate: lambda p: Gate(**_at(p, "gate"), length=36.0, height=36.0),
    Camera: lambda p: Camera(**_at(p, "camera")),
    PlainBox: lambda p: PlainBox(
        **_at(p, "box"), z=p.top - 24.0, length=24.0, width=12.0, height=12.0
    ),
    PlainCylinder: lambda p: PlainCylinder(
        **_beam(p, "cylinder", below=24.0, length=48.0), diameter=6.0
    ),
    PlainCapsule: lambda p: PlainCapsule(
        **_beam(p, "capsule", below=24.0, length=48.0), diameter=6.0
    ),
    PlainSphere: lambda p: PlainSphere(**_at(p, "ball"), z=p.top - 24.0, diameter=12.0),
    PlainHull: _hull,
}


def _rectangle(place: Place, kind: str, length: float, width: float) -> dict[str, Any]:
    x = min(max(place.x - length / 2, 0.0), max(place.room.length - length, 0.0))
    y = min(max(place.y - width / 2, 0.0), max(place.room.width - width, 0.0))
    return {"id": place.id(kind), "x": x, "y": y, "length": length, "width": width}


def _pen(place: Place) -> Pen:
    box = _rectangle(place, "pen", 120.0, 120.0)
    x, y = box["x"], box["y"]
    corners = ((x, y), (x + 120.0, y), (x + 120.0, y + 120.0), (x, y + 120.0))
    return Pen(id=box["id"], outline=corners)


def _door(place: Place) -> Door:
    has_main = any(door.main for door in place.room.doors)
    return Door(
        id=place.id("door"),
        wall=Wall.FRONT,
        offset=max(place.y - 18.0, 0.0),
        width=36.0,
        main=not has_main,
    )


def _run(place: Place) -> Run:
    """Return a run over the chosen strip, or one without a run, or along y."""
    served = {run.strip for run in place.barn.runs}
    strips = [s for s in place.room.strips if s.id in place.chosen] or [
        s for s in place.room.strips if s.id not in served
    ]
    if strips:
        return run_over(place.room, strips[0], place.fresh)
    end = max(place.room.length - 12.0, 24.0)
    return run_between(place.room, 12.0, end, place.y, place.fresh)


def _owner(place: Place, cls: type, items: tuple[Any, ...], inner: str) -> Any:
    """Return the chosen object of a class, or the one that holds what is chosen."""
    for item in items:
        within = {each.id for each in getattr(item, inner)}
        if item.id in place.chosen or within & set(place.chosen):
            return item
    if items:
        return items[0]
    msg = f"there is no {class_words(cls).lower()} yet; add one first"
    raise EditError(msg)


def _support(place: Place) -> tuple[Support, str]:
    """Return a support in the middle of the widest gap of a run, on a truss."""
    run = _owner(place, Run, place.barn.runs, "supports")
    length = sum((b - a) ** 2 for a, b in zip(run.start, run.end, strict=True)) ** 0.5
    stations = sorted(support.station for support in run.supports)
    edges = [0.0, *stations, length]
    gaps = [(b - a, (a + b) / 2) for a, b in pairwise(edges)]
    station = max(gaps)[1]
    truss = nearest_truss(place.room, run.start[0] + station)
    if truss is not None and run.start[1] == run.end[1]:
        on_truss = truss.x - run.start[0]
        station = on_truss if 0.0 <= on_truss <= length else station
    if station in stations:
        station = max(gaps)[1]
    return Support(id=place.fresh(f"{run.id}-s1"), station=station), run.id


def _hoist(place: Place) -> Hoist:
    """Return a hoist beside the main door, its pull point out in the room."""
    door = next((d for d in place.room.doors if d.main), None)
    y = door.offset if door is not None and door.wall is Wall.FRONT else place.y
    z = ceiling_height(place.room, 12.0, y) - _HANG
    return Hoist(
        id=place.id("hoist"),
        winch=Winch(at=(6.0, max(y - 12.0, 0.0), 48.0)),
        pull_point=(place.room.length / 2, y, z),
        pull_towards=(12.0, y, z),
    )


def _cable(place: Place) -> tuple[PullCable, str]:
    hoist = _owner(place, Hoist, place.barn.hoists, "cables")
    pulled = {cable.run for each in place.barn.hoists for cable in each.cables}
    free = [run.id for run in place.barn.runs if run.id not in pulled]
    if not free:
        msg = "every run has a pull cable already; add a run first"
        raise EditError(msg)
    return PullCable(id=place.id("cable"), run=free[0]), hoist.id


def _turn(place: Place) -> tuple[TurningPulley, str]:
    cables = tuple(cable for hoist in place.barn.hoists for cable in hoist.cables)
    cable = _owner(place, PullCable, cables, "turns")
    at = (place.x, place.y, place.top - _HANG)
    return TurningPulley(id=place.id("turn"), at=at), cable.id


def _lead(place: Place) -> Lead:
    run = _owner(place, Run, place.barn.runs, "supports")
    supply = place.barn.electrical.supply
    start = supply.at if supply is not None else (6.0, run.start[1], 80.0)
    top = ceiling_height(place.room, *run.start)
    hold = (run.start[0], run.start[1], top - 2.0)
    return Lead(id=place.id("lead"), run=run.id, route=(start, hold), free_length=60.0)


def _jumper(place: Place) -> Jumper:
    runs = place.barn.runs
    if len(runs) < 2:
        msg = "a jumper goes from one run to another; add a second run first"
        raise EditError(msg)
    return Jumper(
        id=place.id("jumper"),
        from_run=runs[0].id,
        from_station=0.0,
        to_run=runs[1].id,
        to_station=0.0,
        length=240.0,
    )


def _eye(place: Place) -> EyePoint:
    room = place.room
    look = (room.length / 2, room.width / 2, 50.0)
    return EyePoint(id=place.id("eye"), eye=(12.0, place.y, 66.0), look=look)


_ROOM: Mapping[type, Maker] = {
    Strip: lambda p: Strip(**_rectangle(p, "strip", p.room.length, 120.0)),
    Pen: _pen,
    Alley: lambda p: Alley(**_rectangle(p, "alley", p.room.length, 36.0)),
    Door: _door,
    Bulkhead: lambda p: Bulkhead(**_rectangle(p, "bulkhead", 48.0, 48.0), depth=12.0),
}
_HUNG: Mapping[type, Maker] = {
    Run: _run,
    Support: _support,
    Hoist: _hoist,
    PullCable: _cable,
    TurningPulley: _turn,
}
_ELECTRICAL: Mapping[type, Maker] = {
    Supply: lambda p: Supply(at=(6.0, p.y, 80.0)),
    IsolatingSwitch: lambda p: IsolatingSwitch(at=(-8.0, p.y, 60.0)),
    Lead: _lead,
    Jumper: _jumper,
    GroundRod: lambda p: GroundRod(id=p.id("rod"), at=(-24.0, p.y), length=96.0),
    EyePoint: _eye,
}

GROUPS: Mapping[str, Mapping[type, Maker]] = {
    "Fixture": FIXTURES,
    "Part of the room": _ROOM,
    "Run or hoist": _HUNG,
    "Electrical, or eye point": _ELECTRICAL,
}


def label_of(cls: type) -> str:
    """Return what is added, as a menu says it."""
    return class_words(cls)


def add(
    barn: Barn, cls: type, *, x: float, y: float, chosen: tuple[str, ...]
) -> Edited:
    """Add a new object of a class.

    Parameters
    ----------
    barn : Barn
        The document.
    cls : type
        A class of the model that `GROUPS` lists.
    x, y : float
        Where it goes in plan, if it has a place of its own [in].
    chosen : tuple of str
        What is chosen: a support goes onto a chosen run, a run over a chosen strip.

    Returns
    -------
    Edited
        The new barn and what changed.

    Raises
    ------
    EditError
        If there is nothing that it could belong to.
    """
    makers = {c: maker for group in GROUPS.values() for c, maker in group.items()}
    made = makers[cls](Place(barn=barn, x=x, y=y, chosen=chosen))
    if isinstance(made, Supply | IsolatingSwitch):
        name = SUPPLY if isinstance(made, Supply) else SWITCH
        if getattr(barn.electrical, name) is not None:
            msg = f"there is a {name} already; one room has one"
            raise EditError(msg)
        electrical = with_value(barn.electrical, (name,), made)
        return edits.set_electrical(barn, electrical)
    item, owner = made if isinstance(made, tuple) else (made, None)
    return edits.add_objects(barn, [item], owner=owner)
