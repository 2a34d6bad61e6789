"""A fixture in an upright plane: cut thick, seen behind thin, further away faint."""

from collections.abc import Iterator

from core.drawing.faces import cut_face, depth_range, face_record, seen_face
from core.drawing.records import Frame, Record, Role
from core.geometry.shapes import Mesh
from core.model.fixtures import Fixture, Scan
from core.model.room import Room
from core.placement.solids import Moving, Solid, fixture_solids

__all__ = ["NEAR_DEPTH", "fixture_section"]

NEAR_DEPTH = 48.0  # up to here behind the plane things are drawn thin, then faint [in]


def fixture_section(
    fixture: Fixture,
    room: Room,
    frame: Frame,
    *,
    mesh: Mesh | None = None,
    depth: float,
    before: float = 0.0,
) -> Iterator[Record]:
    """Yield a fixture's parts in a plane.

    Parameters
    ----------
    fixture, room
        What is drawn, and its room.
    frame : Frame
        The plane.
    mesh : Mesh, optional
        The mesh of a scan in room coordinates; without it a scan is not drawn.
    depth, before : float
        How far behind and before the plane things are still drawn [in].
    """
    if isinstance(fixture, Scan) and mesh is None:
        return
    meshes = {fixture.id: mesh} if mesh is not None else {}
    for solid in fixture_solids(fixture, room, meshes):
        near, far = depth_range(solid.shape, frame)
        if near <= depth and far >= -before:
            yield _drawn(solid, frame, near=near, far=far)


def _drawn(solid: Solid, frame: Frame, *, near: float, far: float) -> Record:
    cut = cut_face(solid.shape, frame) if near <= 0.0 <= far else None
    if cut is not None:
        role = Role.MOVING if solid.moving is Moving.SWEPT else Role.FIXTURE_CUT
        return face_record(cut, role=role, owner=solid.owner, part=solid.part)
    away = near if near > 0.0 else -far
    role = Role.FIXTURE_SEEN if away <= NEAR_DEPTH else Role.FIXTURE_FAR
    if solid.moving is Moving.SWEPT:
        role = Role.MOVING
    face = seen_face(solid.shape, frame)
    return face_record(face, role=role, owner=solid.owner, part=solid.part)
