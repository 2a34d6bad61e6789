"""Everything that the room view shows, as surfaces and lines; no OpenGL here.

What an edit leaves alone is kept: the same fixture in the same room gives the same
pieces.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from core.analysis.report import Report
from core.catalogue.catalogue import Catalogue
from core.drawing.memo import Memo
from core.geometry.facets import Facets
from core.geometry.shapes import FloatArray, Mesh, Vec3
from core.model.barn import Barn
from core.model.fixtures import Fixture, Scan
from core.model.room import Wall
from core.model.runs import Run
from core.placement.scene import strands
from core.placement.solids import Group
from viewer.room3d.shell import (
    Piece,
    Surface,
    building_pieces,
    ceiling_pieces,
    chord_lines,
    wall_pieces,
)
from viewer.room3d.things import (
    RunForm,
    ghost_pieces,
    hoist_pieces,
    pull_piece,
    pulley_pieces,
    resting_pieces,
    run_form,
)

Pieces = tuple[Piece, ...]

__all__ = ["Hanging", "Pull", "RoomScene", "SceneMemo", "hanging"]

_RODS = ("insulator", "clamp")  # strands that are drawn to size, not as lines
_ROD_SIDES = 8
_OF_SUPPORTS = ("clamp", "insulator", "rope")
_SURFACES = {
    Group.ROPE: Surface.ROPE,
    Group.CABLE: Surface.CABLE,
    Group.LEAD: Surface.LEAD,
}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pull:
    """What moves at the pull point of a hoist, and its way from lift 0 to 1 [in]."""

    piece: Piece
    way: Vec3


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RoomScene:
    """What is in a room: still pieces, what fades, and runs at lift 0.

    `still` and `scans` stand; `ghosts` are spaces that moving parts of fixtures
    sweep; `walls` and `ceiling` fade where the eye is behind them.
    """

    barn: Barn
    catalogue: Catalogue
    still: Pieces
    scans: Pieces
    ghosts: Pieces
    walls: Mapping[Wall, Pieces]
    ceiling: Pieces
    chords: FloatArray
    runs: tuple[RunForm, ...]
    pulls: tuple[Pull, ...]

    @property
    def aimed_at(self) -> tuple[Piece, ...]:
        """What a click can meet and that does not move or fade."""
        return (*self.still, *self.scans)


class SceneMemo:
    """Makes scenes and keeps what the next one can use again; hence mutable."""

    def __init__(self) -> None:
        self._memo = Memo()

    def scene(
        self,
        barn: Barn,
        report: Report | None,
        meshes: Mapping[str, Mesh],
        catalogue: Catalogue,
    ) -> RoomScene:
        """Return the scene of a barn."""
        room = barn.room
        shell = self._shell(barn)
        fixtures = [
            (each, self._fixture(each, barn, meshes.get(each.id)))
            for each in barn.fixtures
        ]
        hung = self._memo.value(
            "hoist",
            "",
            (barn.hoists, barn.runs, barn.electrical, room, catalogue),
            lambda: (
                *hoist_pieces(barn, catalogue),
                *pulley_pieces(barn, catalogue),
            ),
        )
        stood = [
            piece
            for each, pieces in fixtures
            if not isinstance(each, Scan)
            for piece in pieces[0]
        ]
        return RoomScene(
            barn=barn,
            catalogue=catalogue,
            still=(*shell[0], *stood, *hung),
            scans=tuple(
                piece
                for each, pieces in fixtures
                if isinstance(each, Scan)
                for piece in pieces[0]
            ),
            ghosts=tuple(piece for _, pieces in fixtures for piece in pieces[1]),
            walls=shell[1],
            ceiling=shell[2],
            chords=shell[3],
            runs=tuple(self._run(run, barn, report, catalogue) for run in barn.runs),
            pulls=tuple(
                Pull(piece=piece, way=way)
                for piece, way in (
                    pull_piece(hoist, barn, catalogue) for hoist in barn.hoists
                )
            ),
        )

    def _run(
        self, run: Run, barn: Barn, report: Report | None, catalogue: Catalogue
    ) -> RunForm:
        found = report.runs.get(run.id) if report else None
        return self._memo.value(
            "run",
            run.id,
            (run, barn.room, catalogue, found),
            lambda: run_form(run, barn.room, catalogue, report),
        )

    def _shell(
        self, barn: Barn
    ) -> tuple[
        tuple[Piece, ...],
        Mapping[Wall, Pieces],
        tuple[Piece, ...],
        FloatArray,
    ]:
        room = barn.room
        return self._memo.value(
            "shell",
            "",
            (room,),
            lambda: (
                tuple(building_pieces(room)),
                wall_pieces(room),
                tuple(ceiling_pieces(room)),
                chord_lines(room),
            ),
        )

    def _fixture(
        self, fixture: Fixture, barn: Barn, mesh: Mesh | None
    ) -> tuple[Pieces, Pieces]:
        room = barn.room
        meshes = {} if mesh is None else {fixture.id: mesh}
        return self._memo.value(
            "fixture",
            fixture.id,
            (fixture, room, mesh),
            lambda: (
                tuple(resting_pieces(fixture, room, meshes)),
                tuple(ghost_pieces(fixture, room)),
            ),
        )


# ----- what hangs -----


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Hanging:
    """Ropes, cables and leads at one lift.

    Attributes
    ----------
    lines : tuple
        Owner, surface and points `(n, 3)` of each [in].
    rods : Facets
        Insulators and clamps, each of as many triangles.
    rod_owners : tuple
        Owner and surface of each rod.
    """

    lines: tuple[tuple[str, Surface, FloatArray], ...]
    rods: Facets
    rod_owners: tuple[tuple[str, Surface], ...]


def hanging(scene: RoomScene, lift: float) -> Hanging:
    """Return what hangs in a room at a lift [-]."""
    lines, owners, ends, radii = [], [], [], []
    for strand in strands(scene.barn, scene.catalogue, lift=lift):
        kind, _, support = strand.part.partition(" ")
        owner = support if kind in _OF_SUPPORTS else strand.owner
        if kind in _RODS:
            rust = Surface.INSULATOR if kind == "insulator" else Surface.DARK
            owners.append((owner, rust))
            ends.append((strand.points[0], strand.points[-1]))
            radii.append(strand.radius)
        else:
            lines.append((owner, _SURFACES[strand.group], np.array(strand.points)))
    rods = _rods(np.array(ends).reshape(-1, 2, 3), np.array(radii))
    return Hanging(lines=tuple(lines), rods=rods, rod_owners=tuple(owners))


def _rods(ends: FloatArray, radii: FloatArray) -> Facets:
    """Return round rods between ends `(n, 2, 3)`, all at once and without caps."""
    way = ends[:, 1] - ends[:, 0]
    length = np.maximum(np.sqrt((way * way).sum(axis=1, keepdims=True)), 1e-9)
    along = way / length
    steep = np.abs(along[:, 2:]) > 0.7
    side = np.cross(along, np.where(steep, (1.0, 0.0, 0.0), (0.0, 0.0, 1.0)))
    side /= np.maximum(np.sqrt((side * side).sum(axis=1, keepdims=True)), 1e-9)
    up = np.cross(along, side)
    turn = np.linspace(0.0, 2.0 * math.pi, _ROD_SIDES + 1)[:, None]
    around = np.cos(turn) * side[:, None] + np.sin(turn) * up[:, None]
    low = ends[:, :1] + radii[:, None, None] * around
    high = low + way[:, None]
    cells = (
        low[:, :-1],
        high[:, :-1],
        high[:, 1:],
        low[:, :-1],
        high[:, 1:],
        low[:, 1:],
    )
    near, far = around[:, :-1], around[:, 1:]
    return Facets(
        corners=np.stack(cells, axis=2).reshape(-1, 3, 3),
        normals=np.stack((near, near, far, near, far, far), axis=2).reshape(-1, 3, 3),
        edges=np.zeros((0, 2, 3)),
    )
