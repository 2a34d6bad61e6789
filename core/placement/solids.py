"""What space each fixture takes, every position of its moving parts included.

Every function here depends on its arguments alone: the same fixture in the same
room gives an equal answer.
"""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import singledispatch
from types import MappingProxyType

from core.errors import MeshFileError, ValueRangeError
from core.geometry.shapes import (
    Box,
    Capsule,
    Cylinder,
    Hull,
    Mesh,
    Shape,
    Sphere,
    Vec2,
    Vec3,
    upright_box,
)
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
    PlainBox,
    PlainCapsule,
    PlainCylinder,
    PlainHull,
    PlainSphere,
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
from core.placement.ceiling import ceiling_height
from core.placement.swept import (
    ARC_ALLOWANCE,
    Hinge,
    swept_leaf,
    swung_rod,
    upright_hinge,
)
from core.placement.walls import wall_frame

__all__ = ["SCAN_PART", "Group", "Moving", "Solid", "Strand", "fixture_solids"]

Parts = Iterator[tuple[str, Shape]]

SCAN_PART = "surface"  # what the only part of a scan is called

_NO_MESHES: Mapping[str, Mesh] = MappingProxyType({})
# A probe's cable is not surveyed; a 1/4-in cord. Common practice, no published source.
_PROBE_CABLE_RADIUS = 0.125
_SWEPT_PARTS = ("flap", "swing")


class Group(StrEnum):
    """What kind of thing a solid or a strand belongs to."""

    FIXTURE = "fixture"
    BUILDING = "building"
    RUN = "run"
    ROPE = "rope"
    CABLE = "cable"
    LEAD = "lead"


class Moving(StrEnum):
    """Whether a solid is a standing part or all the space a moving part sweeps."""

    NO = "no"
    SWEPT = "swept"


@dataclass(frozen=True, slots=True, kw_only=True)
class Solid:
    """A piece of space that is taken, by which part of what.

    `owner` is the id of the fixture, or what the building part is called.
    """

    owner: str
    part: str
    group: Group
    shape: Shape
    moving: Moving = Moving.NO


@dataclass(frozen=True, slots=True, kw_only=True)
class Strand:
    """A rope, cable, rod or lead: a line through points [in], of some radius [in]."""

    owner: str
    part: str
    group: Group
    points: tuple[Vec3, ...]
    radius: float


def fixture_solids(
    fixture: Fixture, room: Room, meshes: Mapping[str, Mesh] = _NO_MESHES
) -> tuple[Solid, ...]:
    """Return the solids of a fixture.

    Parameters
    ----------
    fixture : Fixture
        Any kind.
    room : Room
        Its room: for ceiling and walls.
    meshes : mapping of str to Mesh
        For each scan, by its id, its mesh in room coordinates [in].

    Returns
    -------
    tuple of Solid
        At least one, unless an inlet is flush with the ceiling and has no flaps.

    Raises
    ------
    MeshFileError
        If the mesh of a scan is not among `meshes`.
    ValueRangeError
        If a beam or tube heater has no length.

    Notes
    -----
    What hangs from the ceiling hangs from its height over the middle of the
    fixture. Boxes, cylinders, capsules and spheres are exact; swept spaces are
    larger than the true ones by what `core.placement.swept` says.
    """
    if isinstance(fixture, Scan):
        parts: Parts = iter(((SCAN_PART, _scan_mesh(fixture, meshes)),))
    else:
        parts = _parts(fixture, room)
    return tuple(
        Solid(
            owner=fixture.id,
            part=part,
            group=Group.FIXTURE,
            shape=shape,
            moving=Moving.SWEPT if part.startswith(_SWEPT_PARTS) else Moving.NO,
        )
        for part, shape in parts
    )


def _scan_mesh(scan: Scan, meshes: Mapping[str, Mesh]) -> Mesh:
    """Return the mesh of a scan, or say that it is missing."""
    if scan.id not in meshes:
        message = (
            f'scan "{scan.id}": its mesh "{scan.file}" is not loaded, load it first'
        )
        raise MeshFileError(message)
    return meshes[scan.id]


@singledispatch
def _parts(fixture: object, room: Room) -> Parts:
    """Yield part name and shape of a fixture."""
    message = f"{type(fixture).__name__} in {room}: no such kind of fixture"
    raise TypeError(message)


def _turned(heading: float) -> tuple[Vec3, Vec3]:
    """Return the unit vectors along and across a heading."""
    cos, sin = math.cos(heading), math.sin(heading)
    return (cos, sin, 0.0), (-sin, cos, 0.0)


def _standing_box(
    at: Vec2, plan: Vec2, heading: float, *, low: float, high: float
) -> Box:
    """Return an upright box from its middle, plan size, heading and heights."""
    along, across = _turned(heading)
    return Box(
        center=(at[0], at[1], (low + high) / 2),
        half=(plan[0] / 2, plan[1] / 2, (high - low) / 2),
        axes=(along, across, (0.0, 0.0, 1.0)),
    )


def _upright_cylinder(
    x: float, y: float, diameter: float, *, low: float, high: float
) -> Cylinder:
    """Return an upright cylinder."""
    return Cylinder(a=(x, y, low), b=(x, y, high), radius=diameter / 2)


def _corners(at: Vec2, plan: Vec2, heading: float) -> Iterator[Vec2]:
    """Yield middle and plan corners of an upright box."""
    along, across = _turned(heading)
    for i, j in ((0.0, 0.0), (-1.0, -1.0), (-1.0, 1.0), (1.0, -1.0), (1.0, 1.0)):
        u, v = i * plan[0] / 2, j * plan[1] / 2
        yield (
            at[0] + u * along[0] + v * across[0],
            at[1] + u * along[1] + v * across[1],
        )


def _highest(room: Room, at: Vec2, plan: Vec2, heading: float = 0.0) -> float:
    """Return the highest ceiling over middle and corners of an upright box."""
    return max(ceiling_height(room, x, y) for x, y in _corners(at, plan, heading))


def _bar(start: Vec3, end: Vec3, width: float, depth: float) -> Box:
    """Return a box along a centre line, its width level, its depth square to both."""
    way = [b - a for a, b in zip(start, end, strict=True)]
    length = math.hypot(*way)
    along = (way[0] / length, way[1] / length, way[2] / length)
    level = math.hypot(along[0], along[1])
    across = (-along[1] / level, along[0] / level, 0.0) if level else (0.0, 1.0, 0.0)
    return Box(
        center=_middle(start, end),
        half=(length / 2, width / 2, depth / 2),
        axes=(along, across, _cross(along, across)),
    )


def _middle(a: Vec3, b: Vec3) -> Vec3:
    """Return the point half way."""
    return ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2, (a[2] + b[2]) / 2)


def _cross(a: Vec3, b: Vec3) -> Vec3:
    """Return the vector product."""
    return (
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    )


@_parts.register
def _inlet(inlet: CeilingInlet, room: Room) -> Parts:
    """Box up to the ceiling; flaps about the outer long edges of its underside.

    At level a flap covers the box from its hinge inward; it swings down from
    there. An inlet flush with the ceiling has no box of its own.
    """
    at, plan = (inlet.x, inlet.y), (inlet.length, inlet.width)
    bottom = ceiling_height(room, *at) - inlet.drop
    if inlet.drop > 0:
        top = _highest(room, at, plan, inlet.heading)
        yield "housing", _standing_box(at, plan, inlet.heading, low=bottom, high=top)
    if inlet.flap > 0:
        for side, part in _flap_sides(inlet.flap_sides):
            for hull in _flap(inlet, side, bottom):
                yield part, hull


def _flap_sides(sides: FlapSides) -> Iterator[tuple[float, str]]:
    """Yield -1 for a flap on the side of smaller y (heading 0), 1 for the other."""
    if sides in (FlapSides.LEFT, FlapSides.BOTH):
        yield -1.0, "flap left"
    if sides in (FlapSides.RIGHT, FlapSides.BOTH):
        yield 1.0, "flap right"


def _flap(inlet: CeilingInlet, side: float, bottom: float) -> tuple[Hull, ...]:
    """Return the space of one flap; one that stays shut is a thin slab."""
    along, across = _turned(inlet.heading)
    edge = side * inlet.width / 2
    hinge = Hinge(
        at=(inlet.x + edge * across[0], inlet.y + edge * across[1], bottom),
        along=(-side * across[0], -side * across[1], 0.0),
        across=(0.0, 0.0, -1.0),
        axis=along,
        low=-inlet.length / 2,
        high=inlet.length / 2,
    )
    swing = max(inlet.opening, ARC_ALLOWANCE / inlet.flap)
    return swept_leaf(hinge, length=inlet.flap, thickness=0.0, start=0.0, swing=swing)


@_parts.register
def _light(light: Light, room: Room) -> Parts:
    """Box whose top is `drop` below the ceiling."""
    at = (light.x, light.y)
    top = ceiling_height(room, *at) - light.drop
    plan = (light.length, light.width)
    yield (
        "body",
        _standing_box(at, plan, light.heading, low=top - light.depth, high=top),
    )


@_parts.register(FeedLine)
@_parts.register(WaterLine)
@_parts.register(SoakerLine)
@_parts.register(Conduit)
def _line(line: FeedLine | WaterLine | SoakerLine | Conduit, _room: Room) -> Parts:
    """Flat-ended tubes, rounded where they bend.

    Pieces between two bends are capsules, the two end pieces cylinders; a line
    of just two pieces has a ball in its bend.
    """
    radius = line.diameter / 2
    pieces = [(a, b) for a, b in zip(line.path, line.path[1:], strict=False) if a != b]
    for number, (a, b) in enumerate(pieces, 1):
        inner = 1 < number < len(pieces)
        shape = (Capsule if inner else Cylinder)(a=a, b=b, radius=radius)
        yield f"tube {number}", shape
    if len(pieces) == 2:
        yield "bend 1", Sphere(center=pieces[0][1], radius=radius)


@_parts.register
def _feed_drop(drop: FeedDrop, _room: Room) -> Parts:
    """Upright tube."""
    low, high = sorted((drop.bottom, drop.top))
    yield "tube", _upright_cylinder(drop.x, drop.y, drop.diameter, low=low, high=high)


@_parts.register
def _feeder(feeder: Feeder, _room: Room) -> Parts:
    """Box on the floor."""
    at, plan = (feeder.x, feeder.y), (feeder.length, feeder.width)
    yield "body", _standing_box(at, plan, feeder.heading, low=0.0, high=feeder.height)


@_parts.register(TubeHeater)
@_parts.register(Beam)
def _along_line(bar: TubeHeater | Beam, _room: Room) -> Parts:
    """Box with the centre line through its middle."""
    if bar.start == bar.end:
        message = f'"{bar.id}": length = 0 in, move one end away from the other'
        raise ValueRangeError(message)
    yield "body", _bar(bar.start, bar.end, bar.width, bar.depth)


@_parts.register
def _box_heater(heater: BoxHeater, _room: Room) -> Parts:
    """Upright box from its underside."""
    at, plan = (heater.x, heater.y), (heater.length, heater.width)
    low, high = heater.z, heater.z + heater.height
    yield "cabinet", _standing_box(at, plan, heater.heading, low=low, high=high)


@_parts.register
def _wall_fan(fan: WallFan, room: Room) -> Parts:
    """Round housing square to its wall, from the wall into the room."""
    frame = wall_frame(room, fan.wall)
    near, far = frame.point(fan.offset), frame.point(fan.offset, fan.depth)
    yield (
        "housing",
        Cylinder(a=(*near, fan.z), b=(*far, fan.z), radius=fan.diameter / 2),
    )


@_parts.register
def _tunnel_fan(fan: TunnelFan, room: Room) -> Parts:
    """Square housing against its wall, `diameter` wide and high."""
    half = fan.diameter / 2
    heights = (fan.z - half, fan.z + half)
    yield "housing", _wall_box(room, fan, half, fan.depth, heights)


@_parts.register
def _controller(controller: Controller, room: Room) -> Parts:
    """Cabinet against its wall, its middle at `offset`."""
    heights = (controller.z, controller.z + controller.height)
    half = controller.width / 2
    yield "cabinet", _wall_box(room, controller, half, controller.depth, heights)


def _wall_box(
    room: Room,
    mounted: TunnelFan | Controller,
    half: float,
    depth: float,
    heights: Vec2,
) -> Box:
    """Return a box against a wall, its middle at the offset."""
    frame = wall_frame(room, mounted.wall)
    a = frame.point(mounted.offset - half)
    b = frame.point(mounted.offset + half, depth)
    low = (min(a[0], b[0]), min(a[1], b[1]), heights[0])
    high = (max(a[0], b[0]), max(a[1], b[1]), heights[1])
    return upright_box(low, high)


@_parts.register
def _chimney(fan: ChimneyFan, room: Room) -> Parts:
    """Round duct from `drop` below the ceiling up through it."""
    low = ceiling_height(room, fan.x, fan.y) - fan.drop
    high = _highest(room, (fan.x, fan.y), (fan.diameter, fan.diameter))
    yield "duct", _upright_cylinder(fan.x, fan.y, fan.diameter, low=low, high=high)


@_parts.register
def _stirring_fan(fan: StirringFan, _room: Room) -> Parts:
    """Round guard about its middle, its axis along the blow: blades included."""
    level = math.cos(fan.tilt) * fan.depth / 2
    dx, dy = math.cos(fan.heading) * level, math.sin(fan.heading) * level
    dz = math.sin(fan.tilt) * fan.depth / 2
    back = (fan.x - dx, fan.y - dy, fan.z + dz)
    front = (fan.x + dx, fan.y + dy, fan.z - dz)
    yield "guard", Cylinder(a=back, b=front, radius=fan.diameter / 2)


@_parts.register
def _probe(probe: Probe, room: Room) -> Parts:
    """Cable from the ceiling and body below it, or all the space they swing in.

    `swing` is how far the cable's end goes sideways: ``sin(angle) = swing /
    cable``, at most a right angle.
    """
    top = ceiling_height(room, probe.x, probe.y)
    end, tip = probe.cable, probe.cable + probe.body
    radius, at = probe.diameter / 2, (probe.x, probe.y, top)
    if probe.swing == 0:
        knot = (probe.x, probe.y, top - end)
        yield "cable", Cylinder(a=at, b=knot, radius=_PROBE_CABLE_RADIUS)
        bottom = (probe.x, probe.y, top - tip)
        yield "body", Cylinder(a=knot, b=bottom, radius=radius)
        return
    angle = math.asin(min(1.0, probe.swing / end))
    yield (
        "swing of cable",
        swung_rod(at, near=0.0, far=end, radius=_PROBE_CABLE_RADIUS, swing=angle),
    )
    yield (
        "swing of body",
        swung_rod(at, near=end, far=tip, radius=radius, swing=angle),
    )


@_parts.register
def _post(post: Post, room: Room) -> Parts:
    """Box from the floor to its height or to the ceiling."""
    at, plan = (post.x, post.y), (post.width, post.depth)
    high = post.height or _highest(room, at, plan, post.heading)
    yield "body", _standing_box(at, plan, post.heading, low=0.0, high=high)


@_parts.register
def _gate(gate: Gate, _room: Room) -> Parts:
    """Leaf about its hinge, or all the space that it swings through.

    Half of the thickness lies on each side of the line from the hinge.
    """
    low, high = gate.bottom, gate.bottom + gate.height
    if gate.swing == 0:
        along, _ = _turned(gate.heading)
        half = gate.length / 2
        at = (gate.x + half * along[0], gate.y + half * along[1])
        plan = (gate.length, gate.thickness)
        yield "leaf", _standing_box(at, plan, gate.heading, low=low, high=high)
        return
    hinge = upright_hinge((gate.x, gate.y), low=low, high=high)
    for hull in swept_leaf(
        hinge,
        length=gate.length,
        thickness=gate.thickness,
        start=gate.heading,
        swing=gate.swing,
    ):
        yield "swing", hull


@_parts.register
def _camera(camera: Camera, room: Room) -> Parts:
    """Round body whose top is `drop` below the ceiling."""
    high = ceiling_height(room, camera.x, camera.y) - camera.drop
    low = high - camera.depth
    yield (
        "body",
        _upright_cylinder(camera.x, camera.y, camera.diameter, low=low, high=high),
    )


@_parts.register
def _plain_box(box: PlainBox, _room: Room) -> Parts:
    """Box turned about its middle: heading, then pitch, then roll.

    A pitch > 0 lifts the end that the heading points to; a roll > 0 lifts the
    side that lies across (larger y at heading 0).
    """
    level, across = _turned(box.heading)
    cos, sin = math.cos(box.pitch), math.sin(box.pitch)
    along = (cos * level[0], cos * level[1], sin)
    up = (-sin * level[0], -sin * level[1], cos)
    cos, sin = math.cos(box.roll), math.sin(box.roll)
    yield (
        "body",
        Box(
            center=(box.x, box.y, box.z + box.height / 2),
            half=(box.length / 2, box.width / 2, box.height / 2),
            axes=(along, _blend(across, up, cos, sin), _blend(up, across, cos, -sin)),
        ),
    )


def _blend(a: Vec3, b: Vec3, share_a: float, share_b: float) -> Vec3:
    """Return a weighted sum."""
    return (
        share_a * a[0] + share_b * b[0],
        share_a * a[1] + share_b * b[1],
        share_a * a[2] + share_b * b[2],
    )


@_parts.register
def _plain_cylinder(cylinder: PlainCylinder, _room: Room) -> Parts:
    """Return the cylinder as it is."""
    radius = cylinder.diameter / 2
    yield "body", Cylinder(a=cylinder.start, b=cylinder.end, radius=radius)


@_parts.register
def _plain_capsule(capsule: PlainCapsule, _room: Room) -> Parts:
    """Return the capsule as it is: round ends beyond start and end."""
    radius = capsule.diameter / 2
    yield "body", Capsule(a=capsule.start, b=capsule.end, radius=radius)


@_parts.register
def _plain_sphere(sphere: PlainSphere, _room: Room) -> Parts:
    """Return the ball as it is."""
    center = (sphere.x, sphere.y, sphere.z)
    yield "body", Sphere(center=center, radius=sphere.diameter / 2)


@_parts.register
def _plain_hull(hull: PlainHull, _room: Room) -> Parts:
    """Return the hull as it is."""
    yield "body", Hull(points=hull.points)
