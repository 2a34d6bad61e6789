"""One GLB file of the room, with the lift as an animation, for any glTF viewer."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import groupby

import numpy as np

from core.errors import ValueRangeError
from core.geometry.gltf_frame import gltf_points
from core.geometry.shapes import FloatArray, Mesh, Vec3
from core.model.barn import Barn
from core.model.room import Room
from core.picture.finishes import Finish
from core.picture.forms import Floats, Form, merged
from core.picture.glb import Glb, glb_bytes
from core.picture.hanging_things import moving_things, strand_thing
from core.picture.stage import still_things
from core.picture.subject import Subject, subject_of
from core.picture.things import Thing
from core.picture.watch import Silent, Watch, step
from core.placement.hanging import pull_point
from core.placement.runs import travel
from core.placement.scene import strands
from core.placement.solids import Strand
from core.rules.cautions import CAUTIONS, DEFERENCE

__all__ = ["LARGEST_FILE", "SECONDS", "phone_model"]

LARGEST_FILE = 10_000_000  # [bytes] what a phone still loads at once
SECONDS = 6.0  # length of the lift [s]
_LIFTS = (0.0, 0.25, 0.5, 0.75, 1.0)
_ALIKE = 0.03  # lines that are so near to a straight move need no steps between [in]
_SHELL = ("front wall", "back wall", "left wall", "right wall", "ceiling", "floor")
_MOST_FACES = 60_000  # of a scan
_FINEST = 1.0  # smallest cell in which the vertices of a scan are drawn together [in]
_FLOOR = 0.05  # slats lie so far above the floor [in]
_SILENT = Silent()


def phone_model(
    barn: Barn,
    *,
    meshes: Mapping[str, Mesh],
    watch: Watch = _SILENT,
) -> bytes:
    """Return a barn as a GLB file with one animation, "lift", working to stowed.

    Parameters
    ----------
    barn : Barn
        The document.
    meshes : mapping of str to Mesh
        The mesh of each scan by its fixture's id, in room coordinates [in].
    watch : Watch
        Hears of the progress and may cancel.

    Returns
    -------
    bytes
        Metres, y up. Runs are nodes named by their ids that move up; ropes, cables
        and leads change their shape by morph targets. Walls, floor and ceiling
        are seen from inside alone, so that one looks in from outside.

    Raises
    ------
    ValueRangeError
        If the file would be larger than a phone takes; scans are what is large.
    CancelledError
        If the watch says so.
    """
    step(watch, 0.0, "building the model")
    subject = subject_of(replace(barn, fixtures=()), meshes={})
    glb = Glb(name="lift")
    runs = {run.id for run in barn.runs}
    thin = {scan: _thinned(mesh) for scan, mesh in meshes.items()}
    still = still_things(barn, thin, subject.catalogue)
    for owner, things in _by_owner((*still, *_pen_floors(barn.room))):
        step(watch, 0.1, "building the model")
        parts = list(_parts(owner, things, barn.room))
        if parts:
            name = f"{owner} pulleys" if owner in runs else owner
            glb.add_node(name, glb.add_mesh(name, parts))
    step(watch, 0.6, "hanging the runs")
    _add_runs(glb, barn, subject)
    _add_pull_points(glb, barn, subject)
    step(watch, 0.7, "hanging the ropes")
    _add_strands(glb, barn, subject)
    step(watch, 0.95, "writing the model")
    content = glb_bytes(glb, title=barn.name, cautions=(*CAUTIONS, DEFERENCE))
    if len(content) > LARGEST_FILE:
        size, most = len(content) / 1e6, LARGEST_FILE / 1e6
        message = (
            f"the model has {size:.1f} MB, at most {most:.0f} MB; thin out the scans"
        )
        raise ValueRangeError(message)
    step(watch, 1.0, "done")
    return content


def _thinned(mesh: Mesh) -> Mesh:
    """Return a scan with its vertices drawn together until it is small enough."""
    size = _FINEST
    while len(mesh.faces) > _MOST_FACES:
        cells = np.floor(mesh.vertices / size).astype(np.int64)
        _, first, number = np.unique(
            cells, axis=0, return_index=True, return_inverse=True
        )
        faces = number.reshape(-1)[mesh.faces]
        a, b, c = faces.T
        faces = faces[(a != b) & (b != c) & (a != c)]
        mesh = Mesh(vertices=mesh.vertices[first], faces=faces)
        size *= 1.4
    return mesh


def _by_owner(things: Sequence[Thing]) -> Iterator[tuple[str, list[Thing]]]:
    """Yield the things of each owner, in the order in which owners come first."""
    groups: dict[str, list[Thing]] = {}
    for thing in things:
        groups.setdefault(thing.owner, []).append(thing)
    yield from groups.items()


def _parts(
    owner: str, things: Sequence[Thing], room: Room
) -> Iterator[tuple[Finish, Form]]:
    """Yield the triangles of an owner by finish; of the shell only the inside."""
    ordered = sorted(things, key=lambda thing: thing.finish)
    for finish, group in groupby(ordered, key=lambda thing: thing.finish):
        form = merged(thing.form for thing in group)
        if owner in _SHELL:
            form = _inward(form, room)
        if len(form):
            yield finish, form


def _inward(form: Form, room: Room) -> Form:
    """Return the triangles that face into the room from its bounds."""
    middle = form.corners.mean(axis=1)
    room_middle = np.array([room.length / 2, room.width / 2, 40.0])
    facing = np.einsum("ij,ij->i", form.normals[:, 0], room_middle - middle) > 0
    low = middle[:, :2] > -0.1
    high = middle[:, :2] < np.array([room.length, room.width]) + 0.1
    kept = facing & low.all(axis=1) & high.all(axis=1)
    return Form(corners=form.corners[kept], normals=form.normals[kept])


def _pen_floors(room: Room) -> Iterator[Thing]:
    """Yield a thin slatted sheet for each pen whose outline is a rectangle."""
    for pen in room.pens:
        xs, ys = zip(*pen.outline, strict=True)
        sheet = _sheet((min(xs), min(ys)), (max(xs), max(ys)))
        yield Thing(owner=pen.id, part="floor", finish=Finish.SLAT, form=sheet)


def _sheet(low: tuple[float, float], high: tuple[float, float]) -> Form:
    a, b = (low[0], low[1], _FLOOR), (high[0], low[1], _FLOOR)
    c, d = (high[0], high[1], _FLOOR), (low[0], high[1], _FLOOR)
    corners = np.array([[a, b, c], [a, c, d]], np.float32)
    up = np.broadcast_to(np.array([0.0, 0.0, 1.0], np.float32), corners.shape)
    return Form(corners=corners, normals=up.copy())


def _add_runs(glb: Glb, barn: Barn, subject: Subject) -> None:
    """Add each run with its points as a node that moves straight up."""
    low = list(moving_things(barn, subject.catalogue, subject.sags, lift=0.0))
    for run in barn.runs:
        parts = [
            (thing.finish, thing.form)
            for thing in low
            if thing.owner == run.id and thing.part in {"tube", "points"}
        ]
        node = glb.add_node(run.id, glb.add_mesh(run.id, parts))
        rise = travel(run, barn.room, subject.catalogue)
        moved = gltf_points(np.array([(0.0, 0.0, 0.0), (0.0, 0.0, rise)]))
        glb.animate(node, "translation", (0.0, SECONDS), moved)


def _add_pull_points(glb: Glb, barn: Barn, subject: Subject) -> None:
    """Add what joins cables and winch line of each hoist, moving with them."""
    low = list(moving_things(barn, subject.catalogue, subject.sags, lift=0.0))
    for hoist in barn.hoists:
        name = f"{hoist.id} pull point"
        ends = [
            pull_point(hoist, barn, subject.catalogue, lift=lift) for lift in (0.0, 1.0)
        ]
        parts = [
            (thing.finish, thing.form)
            for thing in low
            if (thing.owner, thing.part) == (hoist.id, "pull point")
        ]
        node = glb.add_node(name, glb.add_mesh(name, parts))
        moved = gltf_points(np.array(ends) - np.array(ends[0]))
        glb.animate(node, "translation", (0.0, SECONDS), moved)


def _add_strands(glb: Glb, barn: Barn, subject: Subject) -> None:
    """Add ropes, rods, cables and leads, each with its shapes at some lifts."""
    at_lifts = [
        {(s.owner, s.part): s for s in strands(barn, subject.catalogue, lift=lift)}
        for lift in _LIFTS
    ]
    for key, low in at_lifts[0].items():
        shapes = [at[key] for at in at_lifts if key in at]
        if len(shapes) == len(_LIFTS):
            _add_strand(glb, low, _same_length([s.points for s in shapes]))


def _same_length(lines: Sequence[Sequence[Vec3]]) -> list[FloatArray]:
    """Return lines with the same number of points each."""
    if len({len(line) for line in lines}) == 1:
        return [np.array(line) for line in lines]
    count = 2 * max(len(line) for line in lines) + 16
    return [_resampled(np.array(line), count) for line in lines]


def _resampled(line: FloatArray, count: int) -> FloatArray:
    steps = np.linalg.norm(np.diff(line, axis=0), axis=1)
    at = np.concatenate([[0.0], np.cumsum(steps)])
    wanted = np.linspace(0.0, at[-1], count)
    return np.stack([np.interp(wanted, at, line[:, k]) for k in range(3)], axis=-1)


def _add_strand(glb: Glb, strand: Strand, lines: list[FloatArray]) -> None:
    """Add a strand that goes from line to line as it is lifted."""
    first, last = lines[0], lines[-1]
    straight = all(
        float(np.abs(first + lift * (last - first) - line).max()) < _ALIKE
        for lift, line in zip(_LIFTS, lines, strict=True)
    )
    kept = [first, last] if straight else lines
    finish, forms = strand_thing(strand).finish, [_hose(k, strand.radius) for k in kept]
    name = f"{strand.owner} {strand.part}"
    targets = [] if float(np.abs(first - last).max()) < 1e-6 and straight else forms[1:]
    mesh = glb.add_mesh(name, [(finish, forms[0])], moved=[[form] for form in targets])
    node = glb.add_node(name, mesh)
    if targets:
        times = [SECONDS * k / (len(kept) - 1) for k in range(len(kept))]
        weights = np.eye(len(kept))[:, 1:]
        glb.animate(node, "weights", times, weights)


def _hose(line: FloatArray, radius: float) -> Form:
    """Return a round line of six sides whose triangles are the same at every lift."""
    ways = np.gradient(line, axis=0)
    ways /= np.maximum(np.linalg.norm(ways, axis=1, keepdims=True), 1e-9)
    other = np.where(np.abs(ways[:, 2:]) < 0.9, [[0.0, 0.0, 1.0]], [[1.0, 0.0, 0.0]])
    across = np.cross(ways, other)
    across /= np.linalg.norm(across, axis=1, keepdims=True)
    up = np.cross(ways, across)
    turn = (2 * np.pi * np.arange(7) / 6)[:, None, None]
    normals = np.cos(turn) * across[None] + np.sin(turn) * up[None]
    return _cells(line[None] + radius * normals, normals)


def _cells(grid: FloatArray, normals: FloatArray) -> Form:
    """Return the triangles of a net of points `(m, n, 3)`, empty ones included."""

    def pairs(net: Floats) -> Floats:
        a, b, c, d = net[:-1, :-1], net[1:, :-1], net[1:, 1:], net[:-1, 1:]
        both = np.stack([np.stack([a, b, c], 2), np.stack([a, c, d], 2)], 2)
        return both.reshape(-1, 3, 3).astype(np.float32)

    return Form(corners=pairs(grid), normals=pairs(normals))
