"""Fixtures in a view: which are near enough, and how each part is drawn.

Cut thick, seen behind thin, further away faint; a moving part in all the space
that it takes.
"""

from collections.abc import Iterator
from functools import partial

import numpy as np

from core.drawing.faces import cut_face, face_record, seen_face
from core.drawing.memo import Memo
from core.drawing.records import Frame, Group, Record, Role
from core.drawing.seen_parts import SeenParts, seen_parts
from core.drawing.shown import Shown
from core.geometry.shapes import (
    Box,
    Capsule,
    Cylinder,
    FloatArray,
    Hull,
    Mesh,
    Shape,
    Sphere,
)
from core.model.barn import Barn
from core.model.fixtures import Fixture, Scan
from core.model.room import Room
from core.placement.solids import Moving, Solid, fixture_solids

__all__ = [
    "NEAR_DEPTH",
    "fixture_groups",
    "kept_solids",
]

NEAR_DEPTH = 48.0  # up to here from the plane things are drawn thin, then faint [in]

Solids = tuple[Solid, ...]
Ball = tuple[float, float, float, float]  # middle and radius [in]


def fixture_groups(
    barn: Barn,
    shown: Shown,
    frame: Frame,
    memo: Memo,
    *,
    window: tuple[float, float] | None = None,
) -> Iterator[Group]:
    """Yield a group for each fixture that a view shows.

    Parameters
    ----------
    barn, shown
        The document and the state of the views.
    frame : Frame
        The view's plane.
    memo : Memo
        What the view drew last.
    window : pair of float, optional
        Depths between which fixtures are drawn, cut or seen [in]; without it all
        are drawn as seen.
    """
    inputs = (barn.fixtures, barn.room, shown.meshes, frame, window)
    yield from memo.value(
        "fixtures", "", inputs, lambda: tuple(_groups(barn, shown, frame, memo, window))
    )


def _groups(
    barn: Barn,
    shown: Shown,
    frame: Frame,
    memo: Memo,
    window: tuple[float, float] | None,
) -> Iterator[Group]:
    room = barn.room
    solids = [kept_solids(each, room, shown, memo.common) for each in barn.fixtures]
    if window is None:
        for fixture, parts in zip(barn.fixtures, solids, strict=True):
            make = partial(_fixture_outlines, parts, frame)
            yield memo.group("fixture", fixture.id, (parts, frame), make)
        return
    balls = [
        memo.common.value("ball", parts[0].owner, (parts,), partial(_ball, parts))
        if parts
        else _NOWHERE
        for parts in solids
    ]
    for index in _within(np.array(balls).reshape(-1, 4), frame, window).tolist():
        parts = solids[index]
        owner = barn.fixtures[index].id
        make = partial(_fixture_section, owner, parts, frame, memo, window)
        yield memo.group("fixture", owner, (parts, frame, window), make)


_NOWHERE: Ball = (np.inf, np.inf, np.inf, 0.0)


def kept_solids(fixture: Fixture, room: Room, shown: Shown, memo: Memo) -> Solids:
    """Return a fixture's solids, the kept ones while the fixture is the same.

    A scan whose mesh is not there has none.
    """
    mesh = shown.meshes.get(fixture.id)
    make = partial(_placed, fixture, room, mesh)
    return memo.value("solids", fixture.id, (fixture, room, mesh), make)


def _placed(fixture: Fixture, room: Room, mesh: Mesh | None) -> Solids:
    if isinstance(fixture, Scan) and mesh is None:
        return ()
    return fixture_solids(fixture, room, {fixture.id: mesh} if mesh else {})


def _within(balls: FloatArray, frame: Frame, window: tuple[float, float]) -> np.ndarray:
    """Return which balls come within a window of depths."""
    finite = np.isfinite(balls[:, 0])
    depths = frame.depths(np.where(finite[:, None], balls[:, :3], 0.0))
    low, high = depths - balls[:, 3], depths + balls[:, 3]
    return np.flatnonzero(finite & (high >= window[0]) & (low <= window[1]))


def _ball(parts: Solids) -> Ball:
    """Return a ball that holds all parts."""
    bounds = [_bounds(part.shape) for part in parts]
    low = np.min([bound[0] for bound in bounds], axis=0)
    high = np.max([bound[1] for bound in bounds], axis=0)
    x, y, z = ((low + high) / 2).tolist()
    return (x, y, z, float(np.linalg.norm(high - low)) / 2)


def _bounds(shape: Shape) -> tuple[FloatArray, FloatArray]:
    """Return the lower and the upper corner of an upright box round a solid."""
    match shape:
        case Box():
            reach = np.abs(np.array(shape.axes)).T @ np.array(shape.half)
            return shape.center - reach, shape.center + reach
        case Sphere():
            return (
                np.array(shape.center) - shape.radius,
                np.array(shape.center) + shape.radius,
            )
        case Capsule() | Cylinder():
            ends = np.array((shape.a, shape.b))
            return ends.min(axis=0) - shape.radius, ends.max(axis=0) + shape.radius
        case Hull():
            points = np.array(shape.points)
            return points.min(axis=0), points.max(axis=0)
        case Mesh():
            return shape.vertices.min(axis=0), shape.vertices.max(axis=0)


def _fixture_outlines(parts: Solids, frame: Frame) -> Iterator[Record]:
    """Yield the outlines of a fixture's parts, all as seen."""
    for solid in parts:
        role = Role.MOVING if solid.moving is Moving.SWEPT else Role.FIXTURE_SEEN
        face = seen_face(solid.shape, frame)
        yield face_record(face, role=role, owner=solid.owner, part=solid.part)


def _fixture_section(
    owner: str, parts: Solids, frame: Frame, memo: Memo, window: tuple[float, float]
) -> Iterator[Record]:
    """Yield a fixture's parts in a plane, cut or seen within a window of depths.

    Parameters
    ----------
    owner : str
        Id of the fixture.
    parts : tuple of Solid
        What it is made of.
    frame : Frame
        The plane.
    memo : Memo
        What the view drew last.
    window : pair of float
        How far before (< 0) and behind the plane parts are still drawn [in].
    """
    seen = seen_parts(owner, parts, frame, memo)
    for index, (near, far) in enumerate(seen.depths(frame)):
        if near <= window[1] and far >= window[0]:
            yield _drawn(seen, index, frame, near=near, far=far)


def _drawn(
    seen: SeenParts, index: int, frame: Frame, *, near: float, far: float
) -> Record:
    solid = seen.parts[index]
    cut = cut_face(solid.shape, frame) if near <= 0.0 <= far else None
    if cut is not None:
        role = Role.MOVING if solid.moving is Moving.SWEPT else Role.FIXTURE_CUT
        return face_record(cut, role=role, owner=solid.owner, part=solid.part)
    away = near if near > 0.0 else -far
    role = Role.FIXTURE_SEEN if away <= NEAR_DEPTH else Role.FIXTURE_FAR
    if solid.moving is Moving.SWEPT:
        role = Role.MOVING
    return face_record(seen.face(index), role=role, owner=solid.owner, part=solid.part)
