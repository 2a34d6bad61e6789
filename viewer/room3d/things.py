"""The surfaces of what stands and hangs in a room; what moves, at working height."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np

from core.analysis.report import Report
from core.catalogue.catalogue import Catalogue
from core.catalogue.parts import SnatchBlock
from core.drawing.hanging_views import equipment
from core.drawing.run_shapes import body_of, rounded_box, sag_at
from core.geometry.facets import Facets, facets, joined, tube
from core.geometry.runs import SweptRun
from core.geometry.shapes import Cylinder, FloatArray, Mesh, Sphere, Vec2, Vec3
from core.model.barn import Barn
from core.model.fixtures import (
    Beam,
    BoxHeater,
    Camera,
    CeilingInlet,
    ChimneyFan,
    Conduit,
    Controller,
    Feeder,
    FeedLine,
    Fixture,
    Gate,
    Light,
    Post,
    Probe,
    Scan,
    StirringFan,
    TubeHeater,
    TunnelFan,
    WallFan,
)
from core.model.hoists import Hoist, RunEnd
from core.model.room import Room
from core.model.runs import PointDirection, Run
from core.placement.hanging import hoist_travel, pull_point, support_points
from core.placement.runs import run_direction, run_length, tube_radius
from core.placement.solids import Moving, fixture_solids
from core.placement.vectors import scaled, subtracted, unit
from viewer.room3d.shell import Piece, Surface

__all__ = [
    "RunForm",
    "ghost_pieces",
    "hoist_pieces",
    "pull_piece",
    "pulley_pieces",
    "resting_pieces",
    "run_form",
    "sleeve",
    "thinned",
]

_SURFACES: Mapping[type, Surface] = {
    Beam: Surface.WOOD,
    BoxHeater: Surface.CABINET,
    Camera: Surface.DARK,
    CeilingInlet: Surface.PLASTIC,
    ChimneyFan: Surface.CABINET,
    Conduit: Surface.STEEL,
    Controller: Surface.CABINET,
    FeedLine: Surface.STEEL,
    Feeder: Surface.STEEL,
    Gate: Surface.STEEL,
    Light: Surface.LAMP,
    Post: Surface.WOOD,
    Probe: Surface.DARK,
    Scan: Surface.SCAN,
    StirringFan: Surface.CABINET,
    TubeHeater: Surface.STEEL,
    TunnelFan: Surface.CABINET,
    WallFan: Surface.CABINET,
}
_CELL = 0.75  # of the finest grid in which the points of a scan are drawn as one [in]
_PROUD = 0.5  # what keeps a gate apart from a partition in one plane [in]
_FAN = 0.86  # the dark opening of a fan as a share of its housing [-]
_WHEEL = 0.75  # thickness of a pulley's wheel [in]
_ROD = 0.3  # radius of the ring at the pull point without a block [in]
_SIDES = 10  # chords of a run's tube
_POINT = 0.09  # radius of a discharge point at the tube [in]
_COUPLING = 0.12  # how much thicker than the tube a joint is drawn [in]
_UP = (0.0, 0.0, 1.0)
_ENDS = np.linspace(0.0, math.pi / 2, 6)[1:]


def resting_pieces(
    fixture: Fixture, room: Room, meshes: Mapping[str, Mesh]
) -> Iterator[Piece]:
    """Yield a fixture with its moving parts at rest."""
    surface = _SURFACES.get(type(fixture), Surface.PLASTIC)
    for solid in fixture_solids(_at_rest(fixture), room, meshes):
        shape = solid.shape
        part = facets(thinned(shape) if isinstance(shape, Mesh) else shape)
        if surface is Surface.LAMP:  # gives light, has no shade
            part = replace(part, normals=np.broadcast_to(_UP, part.normals.shape))
        yield Piece(owner=fixture.id, surface=surface, facets=part)
    if isinstance(fixture, WallFan | TunnelFan):
        yield _opening(fixture, room)


def _at_rest(fixture: Fixture) -> Fixture:
    if isinstance(fixture, CeilingInlet):
        return replace(fixture, opening=0.0)
    if isinstance(fixture, Probe):
        return replace(fixture, swing=0.0)
    if isinstance(fixture, Gate):  # a little more than it is: often in a partition
        thick, high = fixture.thickness + _PROUD, fixture.height + _PROUD
        return replace(fixture, swing=0.0, thickness=thick, height=high)
    return fixture


def thinned(mesh: Mesh, *, most: int = 80_000) -> Mesh:
    """Return a mesh of fewer triangles, to be looked at and not to be measured.

    Parameters
    ----------
    mesh : Mesh
        A scan.
    most : int
        So many triangles are left as they are.

    Returns
    -------
    Mesh
        Vertices in one cell of a grid become one, in their middle; the cells are
        made larger until few enough triangles are left.
    """
    cell = _CELL
    made = mesh
    while len(made.faces) > most:
        made = _clustered(mesh, cell)
        cell *= math.sqrt(2.0)
    return made


def _clustered(mesh: Mesh, cell: float) -> Mesh:
    steps = np.floor((mesh.vertices - mesh.vertices.min(axis=0)) / cell)
    x, y, z = steps.astype(np.int64).T
    sides = (int(y.max()) + 1, int(z.max()) + 1)
    _, own = np.unique((x * sides[0] + y) * sides[1] + z, return_inverse=True)
    count = np.bincount(own)
    middles = [np.bincount(own, axis) / count for axis in mesh.vertices.T]
    faces = own[mesh.faces]
    a, b, c = faces.T
    return Mesh(
        vertices=np.stack(middles, axis=-1),
        faces=faces[(a != b) & (b != c) & (c != a)],
    )


def _opening(fan: WallFan | TunnelFan, room: Room) -> Piece:
    """Return the round opening in the face of a fan's housing."""
    disc = WallFan(
        id=fan.id,
        wall=fan.wall,
        offset=fan.offset,
        z=fan.z,
        diameter=fan.diameter * _FAN,
        depth=fan.depth + 0.4,
    )
    (solid,) = fixture_solids(disc, room)
    return Piece(owner=fan.id, surface=Surface.DARK, facets=facets(solid.shape))


def ghost_pieces(fixture: Fixture, room: Room) -> Iterator[Piece]:
    """Yield the space that the moving parts of a fixture sweep."""
    if not isinstance(fixture, CeilingInlet | Gate | Probe):
        return
    for solid in fixture_solids(fixture, room):
        if solid.moving is Moving.SWEPT:
            part = facets(solid.shape)
            yield Piece(owner=fixture.id, surface=Surface.PLASTIC, facets=part)


# ----- hoists -----


def hoist_pieces(barn: Barn, catalogue: Catalogue) -> Iterator[Piece]:
    """Yield winches, turning pulleys, supply, switch and ground rods."""
    for owner, _role, shape in equipment(barn, catalogue):
        surface = Surface.DARK if isinstance(shape, Cylinder) else Surface.CABINET
        yield Piece(owner=owner, surface=surface, facets=facets(shape))
    for rod in barn.electrical.rods:
        x, y = rod.at
        stub = Cylinder(a=(x, y, 0.0), b=(x, y, 4.0), radius=rod.diameter / 2)
        yield Piece(owner=rod.id, surface=Surface.STEEL, facets=facets(stub))


def pulley_pieces(barn: Barn, catalogue: Catalogue) -> Iterator[Piece]:
    """Yield the drop pulleys with their screws."""
    leaves = {c.run: c.leaves for hoist in barn.hoists for c in hoist.cables}
    for run in barn.runs:
        end = leaves.get(run.id, RunEnd.FRONT)
        dx, dy = run_direction(run)
        pin = (-dy * _WHEEL / 2, dx * _WHEEL / 2)
        hung = support_points(run, barn.room, catalogue, lift=0.0, leaves=end)
        for place in hung:
            x, y, z = place.pulley
            wheel = Cylinder(
                a=(x - pin[0], y - pin[1], z),
                b=(x + pin[0], y + pin[1], z),
                radius=place.radius,
            )
            screw = Cylinder(a=place.pulley, b=place.anchor, radius=0.2)
            both = joined(facets(wheel), facets(screw))
            yield Piece(owner=place.support, surface=Surface.DARK, facets=both)


def pull_piece(hoist: Hoist, barn: Barn, catalogue: Catalogue) -> tuple[Piece, Vec3]:
    """Return what moves at a hoist's pull point, and its way from lift 0 to 1 [in]."""
    at = pull_point(hoist, barn, catalogue, lift=0.0)
    ahead = unit(subtracted(hoist.pull_towards, hoist.pull_point))
    if int(hoist.parts) == 1:
        shape: Sphere | Cylinder = Sphere(center=at, radius=4 * _ROD)
    else:
        radius = catalogue.find(SnatchBlock, hoist.block).pitch_radius
        x, y, z = at
        low, high = (x, y, z - _WHEEL), (x, y, z + _WHEEL)
        shape = Cylinder(a=low, b=high, radius=radius)
    way = scaled(ahead, hoist_travel(hoist, barn, catalogue))
    return Piece(owner=hoist.id, surface=Surface.DARK, facets=facets(shape)), way


# ----- runs -----


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RunForm:
    """A run at lift 0: its metal, its body with sag, the stations of its axis [in]."""

    run: Run
    body: SweptRun
    piece: Piece
    axis: FloatArray

    def way(self, lift: float) -> Vec3:
        """Return how far the run has moved from lift 0 [in]."""
        return (0.0, 0.0, lift * self.body.travel)


def run_form(
    run: Run, room: Room, catalogue: Catalogue, report: Report | None
) -> RunForm:
    """Return a run at lift 0, with sag where the report knows it."""
    body = body_of(run, room, catalogue, report.runs.get(run.id) if report else None)
    stations = _stations(run)
    axis = _axis(run, body, stations)
    radius = tube_radius(run, catalogue)
    parts = [tube(axis, radius, sides=_SIDES)]
    parts += [_point(run, body, radius, station) for station in _point_stations(run)]
    parts += [_joint(run, body, radius, station) for station in _joints(run)]
    piece = Piece(owner=run.id, surface=Surface.RUN, facets=joined(*parts))
    return RunForm(run=run, body=body, piece=piece, axis=axis)


def _stations(run: Run) -> FloatArray:
    """Return stations between which the sagging axis is drawn straight.

    Two feet apart at most: between supports 12 ft apart that is off by a thirty-sixth
    of the sag.
    """
    length = run_length(run)
    even = np.linspace(0.0, length, max(2, math.ceil(length / 24.0) + 1))
    held = [s.station for s in run.supports if 0.0 < s.station < length]
    stations: FloatArray = np.unique(np.concatenate((even, held)).round(3))
    return stations


def _axis(run: Run, body: SweptRun, stations: FloatArray) -> FloatArray:
    """Return points of the axis at lift 0, beyond the ends on the line drawn on."""
    dx, dy = run_direction(run)
    depth = sag_at(body, stations)
    x, y = run.start[0] + stations * dx, run.start[1] + stations * dy
    axis: FloatArray = np.stack((x, y, body.low - depth), axis=-1)
    return axis


def _point_stations(run: Run) -> FloatArray:
    row = run.points
    if row.reach <= 0.0:
        return np.zeros(0)
    stations: FloatArray = np.arange(row.first, run_length(run) + 1e-9, row.spacing)
    return stations


def _ways(run: Run) -> tuple[Vec3, ...]:
    """Return the directions in which the points of a run look."""
    dx, dy = run_direction(run)
    down, up, left, right = (0.0, 0.0, -1.0), (0.0, 0.0, 1.0), (dy, -dx, 0.0), None
    right = (-dy, dx, 0.0)
    return {
        PointDirection.DOWN: (down,),
        PointDirection.UP: (up,),
        PointDirection.SIDES: (left, right),
        PointDirection.RING: (down, left, up, right),
    }[run.points.direction]


def _point(run: Run, body: SweptRun, radius: float, station: float) -> Facets:
    """Return the points at one station as slender cones."""
    (foot,) = _axis(run, body, np.array([station]))
    dx, dy = run_direction(run)
    along = np.array((dx, dy, 0.0))
    cones = []
    for way in map(np.array, _ways(run)):
        side = np.cross(along, way)
        base = [foot + radius * way + _POINT * s for s in (along, side, -along, -side)]
        tip = foot + run.points.reach * way
        corners = np.array([(base[k], base[(k + 1) % 4], tip) for k in range(4)])
        out = np.array([along + side, side - along, -along - side, along - side]) / 2
        out /= np.sqrt((out * out).sum(axis=1, keepdims=True))
        normals = np.repeat(out[:, None, :], 3, axis=1)
        edges = np.array([(foot + radius * way, tip)])
        cones.append(Facets(corners=corners, normals=normals, edges=edges))
    return joined(*cones)


def _joints(run: Run) -> FloatArray:
    first = run.first_joint or run.stick_length
    joints: FloatArray = np.arange(first, run_length(run) - 1e-9, run.stick_length)
    return joints


def _joint(run: Run, body: SweptRun, radius: float, station: float) -> Facets:
    ends = _axis(run, body, np.array([station - 1.25, station + 1.25]))
    thick = radius + _COUPLING
    a, b = (tuple(end.tolist()) for end in ends)
    return replace(facets(Cylinder(a=a, b=b, radius=thick)), edges=np.zeros((0, 2, 3)))


def sleeve(form: RunForm, stretch: Vec2 | None = None) -> Facets:
    """Return the surface of a run's envelope at lift 0, or of a stretch of it.

    Parameters
    ----------
    form : RunForm
        The run.
    stretch : Vec2, optional
        From one station to another [in]; without it all, with its rounded ends.
    """
    body, length = form.body, run_length(form.run)
    grown = body.radius + body.limit
    low, high = stretch if stretch is not None else (0.0, length)
    inner = np.linspace(low, high, max(2, math.ceil((high - low) / 24.0) + 1))
    rings = [(station, grown) for station in inner.tolist()]
    if stretch is None:
        shut = [(grown * math.sin(t), grown * math.cos(t)) for t in _ENDS.tolist()]
        rings = (
            [(-way, size) for way, size in shut[::-1]]
            + rings
            + [(length + way, size) for way, size in shut]
        )
    return _loft(form, rings)


def _loft(form: RunForm, rings: list[Vec2]) -> Facets:
    """Return the surface through outlines of the body, grown by so much each."""
    body, run = form.body, form.run
    dx, dy = run_direction(run)
    stations = np.array([station for station, _ in rings])
    axis = _axis(run, body, stations)
    outlines = [
        rounded_box((-body.side, -body.down), (body.side, body.up), grown=max(g, 1e-3))
        for _, g in rings
    ]
    plane = np.stack(outlines)
    across = plane[..., :1] * np.array((-dy, dx, 0.0))
    grid = axis[:, None, :] + across + plane[..., 1:] * np.array((0.0, 0.0, 1.0))
    middle = np.array((0.0, (body.up - body.down) / 2))
    out = plane - middle
    out /= np.maximum(np.sqrt((out * out).sum(axis=-1, keepdims=True)), 1e-9)
    normals = out[..., :1] * np.array((-dy, dx, 0.0)) + out[..., 1:] * np.array(
        (0.0, 0.0, 1.0)
    )
    return _net(grid, normals)


def _net(grid: FloatArray, normals: FloatArray) -> Facets:
    def cells(values: FloatArray) -> FloatArray:
        after = np.roll(values, -1, axis=1)
        a, b, c, d = values[:-1], values[1:], after[1:], after[:-1]
        return np.asarray(np.stack((a, b, c, a, c, d), axis=2).reshape(-1, 3, 3))

    ends = grid[[0, -1]]
    rims = np.stack((ends, np.roll(ends, -1, axis=1)), axis=2).reshape(-1, 2, 3)
    return Facets(corners=cells(grid), normals=cells(normals), edges=rims)
