"""What each fixture looks like: its solids, dressed as the thing that they stand for.

Nothing reaches outside of the solids of `core.placement`, and what spans them
(corners, ends, rims) stays where it is. Moving parts are shown in one position:
flaps wide open, gates and doors shut, probes plumb.
"""

import math
from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import singledispatch
from itertools import pairwise

import numpy as np

from core.geometry.shapes import Box, Capsule, Cylinder, Mesh, Sphere, Vec3
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
    Fixture,
    FlapSides,
    Gate,
    Light,
    Post,
    Probe,
    Scan,
    SoakerLine,
    StirringFan,
    TubeHeater,
    TunnelFan,
    WallFan,
    WaterLine,
)
from core.model.room import Room
from core.picture.finishes import Finish
from core.picture.forms import Form, disc, merged, ring, shape_form, tube
from core.picture.things import Thing, bar, solid, thing
from core.placement.ceiling import ceiling_height
from core.placement.solids import Moving, Solid, fixture_solids
from core.placement.vectors import added, scaled, subtracted, unit

__all__ = ["fixture_things"]

Things = Iterator[Thing]

_FLAP = 0.5  # thickness of a flap's board [in]
_SLACK = 0.02  # keeps faces that would coincide apart [in]


def fixture_things(
    fixture: Fixture, room: Room, meshes: Mapping[str, Mesh]
) -> tuple[Thing, ...]:
    """Return a fixture as it is seen.

    Parameters
    ----------
    fixture, room, meshes
        The fixture, its room, and the mesh of each scan by its id.

    Returns
    -------
    tuple of Thing
        Its parts, owned by the fixture.
    """
    still = _at_rest(fixture)
    solids = fixture_solids(still, room, meshes)
    return tuple(_dressed(fixture, room, solids))


def _at_rest(fixture: Fixture) -> Fixture:
    """Return a fixture whose swinging parts stand still."""
    if isinstance(fixture, Gate):
        return replace(fixture, swing=0.0)
    if isinstance(fixture, Probe):
        return replace(fixture, swing=0.0)
    return fixture


@singledispatch
def _dressed(_fixture: object, _room: Room, solids: tuple[Solid, ...]) -> Things:
    """Yield the solids of a plain body, in grey."""
    return _plainly(solids, Finish.CABINET)


def _plainly(solids: tuple[Solid, ...], finish: Finish) -> Things:
    for part in solids:
        if part.moving is Moving.NO:
            yield solid(part.owner, part.part, finish, (part.shape,))


def _boxes(solids: tuple[Solid, ...]) -> Iterator[tuple[Solid, Box]]:
    for part in solids:
        if isinstance(part.shape, Box):
            yield part, part.shape


def _bars(solids: tuple[Solid, ...]) -> Iterator[tuple[Solid, Cylinder]]:
    for part in solids:
        if isinstance(part.shape, Cylinder):
            yield part, part.shape


@_dressed.register
def _light(light: Light, _room: Room, solids: tuple[Solid, ...]) -> Things:
    """Yield a body with a diffuser below and end caps."""
    for part, box in _boxes(solids):
        body = bar(box, (-1, -0.72, 0.2), (1, 0.72, 1))
        lens = bar(box, (-0.97, -1, -1), (0.97, 1, 0.2))
        ends = [
            bar(box, (s - 0.015, -1, -1), (s + 0.015, 1, 0.4)) for s in (-0.985, 0.985)
        ]
        yield solid(light.id, part.part, Finish.LAMP_BODY, (body, *ends))
        yield solid(light.id, "diffuser", Finish.LAMP, (lens,))


@_dressed.register
def _inlet(inlet: CeilingInlet, room: Room, solids: tuple[Solid, ...]) -> Things:
    """Yield a frame with a bright throat, and its flaps wide open."""
    for part, box in _boxes(solids):
        rims = (
            bar(box, (-1, -1, -1), (1, -0.88, 1)),
            bar(box, (-1, 0.88, -1), (1, 1, 1)),
            bar(box, (-1, -0.88, -1), (-0.92, 0.88, 1)),
            bar(box, (0.92, -0.88, -1), (1, 0.88, 1)),
        )
        yield solid(inlet.id, part.part, Finish.LAMP_BODY, rims)
        throat = bar(box, (-0.92, -0.88, 0.2), (0.92, 0.88, 0.9))
        yield solid(inlet.id, "throat", Finish.DAYLIGHT, (throat,))
    flaps = [shape_form(flap) for flap in _flaps(inlet, room)]
    if flaps:
        yield thing(inlet.id, "flap", Finish.LAMP_BODY, *flaps)


def _flaps(inlet: CeilingInlet, room: Room) -> Iterator[Box]:
    """Yield the boards of an inlet's flaps, hanging at their widest."""
    if inlet.flap <= 0 or inlet.flap_sides is FlapSides.NONE:
        return
    cos, sin = math.cos(inlet.heading), math.sin(inlet.heading)
    bottom = ceiling_height(room, inlet.x, inlet.y) - inlet.drop
    sides = {
        FlapSides.LEFT: (-1.0,),
        FlapSides.RIGHT: (1.0,),
        FlapSides.BOTH: (-1.0, 1.0),
    }
    for side in sides[inlet.flap_sides]:
        swing = inlet.opening
        out = side * (inlet.width / 2 - inlet.flap / 2 * math.cos(swing))
        center = (
            inlet.x - out * sin,
            inlet.y + out * cos,
            bottom - inlet.flap / 2 * math.sin(swing) - _FLAP / 2 * math.cos(swing),
        )
        inward = -side * math.cos(swing)
        along = (-inward * sin, inward * cos, -math.sin(swing))
        axes = ((cos, sin, 0.0), along, _square((cos, sin, 0.0), along))
        half = (inlet.length / 2, inlet.flap / 2, _FLAP / 2)
        yield Box(center=center, half=half, axes=axes)


def _square(a: Vec3, b: Vec3) -> Vec3:
    x, y, z = np.cross(a, b).tolist()
    return (x, y, z)


@_dressed.register(FeedLine)
@_dressed.register(FeedDrop)
def _feed(_line: FeedLine | FeedDrop, _room: Room, solids: tuple[Solid, ...]) -> Things:
    return _tubes(solids, Finish.PLASTIC_TUBE)


@_dressed.register
def _water(_line: WaterLine, _room: Room, solids: tuple[Solid, ...]) -> Things:
    return _tubes(solids, Finish.WATER_TUBE)


@_dressed.register
def _soaker(_line: SoakerLine, _room: Room, solids: tuple[Solid, ...]) -> Things:
    return _tubes(solids, Finish.RUBBER)


@_dressed.register
def _conduit(_line: Conduit, _room: Room, solids: tuple[Solid, ...]) -> Things:
    return _tubes(solids, Finish.CONDUIT)


def _tubes(solids: tuple[Solid, ...], finish: Finish) -> Things:
    """Yield tubes, as one thing for each line."""
    if solids:
        shapes = [part.shape for part in solids]
        yield solid(solids[0].owner, solids[0].part, finish, shapes)


@_dressed.register
def _feeder(feeder: Feeder, _room: Room, solids: tuple[Solid, ...]) -> Things:
    """Yield a hopper over a trough."""
    for part, box in _boxes(solids):
        trough = (
            bar(box, (-1, -1, -1), (1, 1, -0.86)),
            bar(box, (-1, -1, -0.86), (1, -0.93, -0.62)),
            bar(box, (-1, 0.93, -0.86), (1, 1, -0.62)),
        )
        hopper = (
            bar(box, (-0.97, -0.55, -0.62), (0.97, 0.55, -0.05)),
            bar(box, (-0.97, -0.8, -0.05), (0.97, 0.8, 0.92)),
            bar(box, (-1, -1, 0.92), (1, 1, 1)),
        )
        ends = [
            bar(box, (a, -0.9, -1), (b, 0.9, 0.92)) for a, b in ((-1, -0.97), (0.97, 1))
        ]
        yield solid(feeder.id, part.part, Finish.STAINLESS, (*trough, *hopper, *ends))
        yield solid(
            feeder.id,
            "feed",
            Finish.WOOD,
            (bar(box, (-0.95, -0.9, -0.86), (0.95, 0.9, -0.8)),),
        )


@_dressed.register
def _tube_heater(heater: TubeHeater, _room: Room, solids: tuple[Solid, ...]) -> Things:
    """Yield a reflector over a dark tube."""
    for part, box in _boxes(solids):
        top = bar(box, (-1, -0.6, 0.85), (1, 0.6, 1))
        skirts = [
            bar(box, (-1, a, -1), (1, b, 0.85)) for a, b in ((-1, -0.94), (0.94, 1))
        ]
        lips = [
            bar(box, (-1, a, 0.75), (1, b, 0.85)) for a, b in ((-1, -0.6), (0.6, 1))
        ]
        yield solid(heater.id, part.part, Finish.GALVANISED, (top, *skirts, *lips))
        start, end = (
            added(box.center, box.axes[0], share * box.half[0]) for share in (-1.0, 1.0)
        )
        radius = 0.55 * min(box.half[1], box.half[2])
        yield thing(heater.id, "tube", Finish.DARK, tube(start, end, radius))


@_dressed.register
def _box_heater(heater: BoxHeater, _room: Room, solids: tuple[Solid, ...]) -> Things:
    """Yield a cabinet with a louvred outlet at the end it heads to."""
    for part, box in _boxes(solids):
        yield solid(
            heater.id,
            part.part,
            Finish.GALVANISED,
            (bar(box, (-1, -1, -1), (0.97, 1, 1)),),
        )
        blades = [
            bar(box, (0.97, -0.85, z - 0.05), (1, 0.85, z + 0.05))
            for z in np.linspace(-0.75, 0.75, 7).tolist()
        ]
        frame = [
            bar(box, (0.97, a, -1), (1, b, 1)) for a, b in ((-1, -0.85), (0.85, 1))
        ]
        yield solid(heater.id, "louvre", Finish.DARK, (*blades, *frame))


@_dressed.register(WallFan)
@_dressed.register(TunnelFan)
def _mounted_fan(
    fan: WallFan | TunnelFan, _room: Room, solids: tuple[Solid, ...]
) -> Things:
    """Yield a housing with blades before daylight, behind a guard."""
    for part in solids:
        if isinstance(part.shape, Cylinder):
            back, front, radius = part.shape.a, part.shape.b, part.shape.radius
            shell = [_shell(back, front, radius, 0.93 * radius)]
        elif isinstance(part.shape, Box):
            back, front, radius, shell = _square_housing(part.shape, fan)
        else:
            continue
        yield thing(fan.id, part.part, Finish.GALVANISED, *shell)
        yield from _rotor(fan.id, back, front, 0.92 * radius)


def _shell(back: Vec3, front: Vec3, outer: float, inner: float) -> Form:
    """Return a round housing, open in front, shut behind."""
    way = np.subtract(front, back)
    hole = tube(front, back, inner, capped=0)
    inside = Form(corners=hole.corners[:, ::-1], normals=-hole.normals[:, ::-1])
    return merged(
        (
            tube(back, front, outer, capped=0),
            inside,
            ring(front, way, inner, outer),
            ring(back, -way, 0.0, outer),
        )
    )


def _square_housing(
    box: Box, fan: WallFan | TunnelFan
) -> tuple[Vec3, Vec3, float, list[Form]]:
    """Return a square housing round its fan: its axis, radius and sides."""
    deep = (
        0 if abs(box.half[0] - fan.depth / 2) < abs(box.half[1] - fan.depth / 2) else 1
    )
    wide = 1 - deep
    towards = 1.0 if str(fan.wall) in {"front", "left"} else -1.0
    axis = tuple(towards * part for part in box.axes[deep])
    far = (axis[0], axis[1], axis[2])
    back = added(box.center, far, -box.half[deep])
    front = added(box.center, far, box.half[deep])
    sides = []
    for place, sign in ((wide, -1), (wide, 1), (2, -1), (2, 1)):
        low, high = [-1.0, -1.0, -1.0], [1.0, 1.0, 1.0]
        low[place], high[place] = sorted((0.93 * sign, 1.0 * sign))
        sides.append(shape_form(bar(box, low, high)))
    return back, front, 0.93 * box.half[2], sides


def _rotor(owner: str, back: Vec3, front: Vec3, radius: float) -> Things:
    """Yield daylight behind louvres, blades, a hub and a guard of rings."""
    way = unit(subtracted(front, back))
    depth = math.dist(back, front)
    behind = added(back, way, 0.12 * depth)
    yield thing(owner, "shutter", Finish.DAYLIGHT, disc(behind, way, radius))
    louvres = []
    for z in np.arange(-radius, radius, max(radius / 5, 3.0)).tolist():
        half = math.sqrt(max(radius**2 - z**2, 0.0))
        louvres.append(_louvre(behind, way, z, half))
    yield thing(owner, "louvres", Finish.CONDUIT, *louvres)
    middle = added(back, way, 0.5 * depth)
    yield thing(owner, "blades", Finish.DARK, *_blades(middle, way, radius))
    hub = tube(middle, added(middle, way, 0.3 * depth), 0.16 * radius)
    yield thing(owner, "motor", Finish.DARK, hub)
    face = added(back, way, 0.97 * depth)
    wires = [_hoop(face, way, radius * share) for share in (0.35, 0.6, 0.85)]
    yield thing(owner, "guard", Finish.GALVANISED, *wires, *_spokes(face, way, radius))


def _across(way: Vec3) -> tuple[Vec3, Vec3]:
    """Return the level unit vector across an axis, and the one square to both."""
    level = unit((-way[1], way[0], 0.0)) if abs(way[2]) < 0.9 else (1.0, 0.0, 0.0)
    return level, _square(way, level)


def _louvre(center: Vec3, way: Vec3, z: float, half: float) -> Form:
    level, up = _across(way)
    at = added(added(center, up, z), way, 0.6)
    return shape_form(
        Box(center=at, half=(0.5, max(half, 0.1), 0.35), axes=(way, level, up))
    )


def _blades(middle: Vec3, way: Vec3, radius: float) -> Iterator[Form]:
    level, up = _across(way)
    for turn in np.linspace(0.0, 2 * np.pi, 6)[:-1].tolist():
        out = added(scaled(level, math.cos(turn)), up, math.sin(turn))
        side = _square(way, out)
        lean = unit(added(side, way, 0.45))
        at = added(middle, out, 0.54 * radius)
        yield shape_form(
            Box(
                center=at,
                half=(0.40 * radius, 0.17 * radius, 0.12),
                axes=(out, lean, _square(out, lean)),
            )
        )


def _hoop(center: Vec3, way: Vec3, radius: float) -> Form:
    level, up = _across(way)
    turns = np.linspace(0.0, 2 * np.pi, 25).tolist()
    points = [
        added(added(center, level, radius * math.cos(t)), up, radius * math.sin(t))
        for t in turns
    ]
    return merged(tube(a, b, 0.11, capped=0) for a, b in pairwise(points))


def _spokes(center: Vec3, way: Vec3, radius: float) -> Iterator[Form]:
    level, up = _across(way)
    for turn in (0.0, np.pi / 4, np.pi / 2, 3 * np.pi / 4):
        out = added(scaled(level, math.cos(turn)), up, math.sin(turn))
        yield tube(
            added(center, out, -radius), added(center, out, radius), 0.13, capped=0
        )


@_dressed.register
def _chimney(fan: ChimneyFan, _room: Room, solids: tuple[Solid, ...]) -> Things:
    """Yield a duct, open below, with daylight high up in it."""
    for part, duct in _bars(solids):
        low, high = sorted((duct.a, duct.b), key=lambda end: end[2])
        inner = duct.radius - 1.0
        throat = (low[0], low[1], min(low[2] + 10.0, high[2] - 0.5))
        hole = tube(low, throat, inner, capped=0)
        inside = Form(corners=hole.corners[:, ::-1], normals=-hole.normals[:, ::-1])
        yield thing(
            fan.id,
            part.part,
            Finish.LAMP_BODY,
            tube(low, high, duct.radius, capped=0),
            ring(low, (0.0, 0.0, -1.0), inner, duct.radius),
            inside,
        )
        yield thing(fan.id, "throat", Finish.DAYLIGHT, disc(throat, (0, 0, -1), inner))
        middle = (low[0], low[1], low[2] + 3.0)
        yield thing(
            fan.id, "blades", Finish.DARK, *_blades(middle, (0.0, 0.0, 1.0), inner)
        )


@_dressed.register
def _stirring(fan: StirringFan, _room: Room, solids: tuple[Solid, ...]) -> Things:
    """Yield a guard of hoops round blades."""
    for part, guard in _bars(solids):
        way = unit(subtracted(guard.b, guard.a))
        radius = guard.radius
        hoops = [_thick_hoop(end, way, radius - 0.2) for end in (guard.a, guard.b)]
        wires = [
            _hoop(end, way, radius * share)
            for end in (guard.a, guard.b)
            for share in (0.3, 0.5, 0.7, 0.85)
        ]
        spokes = [s for end in (guard.a, guard.b) for s in _spokes(end, way, radius)]
        yield thing(fan.id, part.part, Finish.GALVANISED, *hoops, *wires, *spokes)
        middle = (fan.x, fan.y, fan.z)
        yield thing(fan.id, "blades", Finish.DARK, *_blades(middle, way, 0.92 * radius))
        motor = tube(guard.a, middle, 0.17 * radius)
        yield thing(fan.id, "motor", Finish.PAINTED, motor)


def _thick_hoop(center: Vec3, way: Vec3, radius: float) -> Form:
    level, up = _across(way)
    turns = np.linspace(0.0, 2 * np.pi, 41).tolist()
    points = [
        added(added(center, level, radius * math.cos(t)), up, radius * math.sin(t))
        for t in turns
    ]
    return merged(tube(a, b, 0.2, capped=0) for a, b in pairwise(points))


@_dressed.register
def _probe(probe: Probe, _room: Room, solids: tuple[Solid, ...]) -> Things:
    for part, body in _bars(solids):
        cable = part.part == "cable"
        finish = Finish.RUBBER if cable else Finish.STAINLESS
        yield solid(probe.id, part.part, finish, (body,))


@_dressed.register
def _controller(
    controller: Controller, _room: Room, solids: tuple[Solid, ...]
) -> Things:
    """Yield a cabinet with a dark window on its face."""
    for part, box in _boxes(solids):
        yield solid(controller.id, part.part, Finish.CABINET, (box,))
        low, high = _face(str(controller.wall))
        window = bar(box, low, high, grown=0.0)
        yield solid(controller.id, "window", Finish.DARK, (window,))


def _face(wall: str) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
    """Return the shares of a window in the face of a box on a wall."""
    out = 1.002 if wall in {"front", "left"} else -1.002
    near, far = sorted((out * 0.9, out))
    if wall in {"front", "back"}:
        return (near, -0.7, 0.15), (far, 0.7, 0.75)
    return (-0.7, near, 0.15), (0.7, far, 0.75)


@_dressed.register(Post)
@_dressed.register(Beam)
def _timber(_part: Post | Beam, _room: Room, solids: tuple[Solid, ...]) -> Things:
    return _plainly(solids, Finish.WOOD)


@_dressed.register
def _gate(gate: Gate, _room: Room, solids: tuple[Solid, ...]) -> Things:
    """Yield a frame of tubes with upright bars."""
    for part, box in _boxes(solids):
        round_ = box.half[1]
        yield thing(gate.id, part.part, Finish.GALVANISED, *_rails(box, round_))


def _rails(box: Box, radius: float) -> Iterator[Form]:
    """Yield the tubes of a gate: four sides, and bars about 5 in apart."""
    along, up = box.axes[0], box.axes[2]
    half, high = box.half[0] - radius, box.half[2] - radius

    def at(u: float, w: float) -> Vec3:
        return added(added(box.center, along, u), up, w)

    for w in (-high, 0.0, high):
        yield tube(at(-half - radius, w), at(half + radius, w), radius)
    count = max(2, round(2 * half / 5.0)) + 1
    for number, u in enumerate(np.linspace(-half, half, count).tolist()):
        thick = radius if number in {0, count - 1} else 0.45 * radius
        yield tube(at(u, -high), at(u, high), thick, capped=0)


@_dressed.register
def _camera(camera: Camera, _room: Room, solids: tuple[Solid, ...]) -> Things:
    for part, body in _bars(solids):
        low, high = sorted((body.a, body.b), key=lambda end: end[2])
        split = (low[0], low[1], low[2] + 0.55 * (high[2] - low[2]))
        yield thing(
            camera.id, part.part, Finish.LAMP_BODY, tube(split, high, body.radius)
        )
        lens = Capsule(
            a=(low[0], low[1], low[2] + 0.8 * body.radius),
            b=split,
            radius=0.8 * body.radius,
        )
        fits = split[2] > low[2] + 0.8 * body.radius
        dome = lens if fits else Sphere(center=split, radius=0.5 * (split[2] - low[2]))
        yield solid(camera.id, "dome", Finish.DARK, (dome,))


@_dressed.register
def _scan(_scan: Scan, _room: Room, solids: tuple[Solid, ...]) -> Things:
    return _plainly(solids, Finish.SCAN)
