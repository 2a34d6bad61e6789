"""Every hole to drill: where, for what, what it carries, and what is near it.

Holes are in the ceiling, or in the lumber under a winch and a dead end.
"""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from core.analysis.analyse import Analysis
from core.analysis.fixings import fixings_of, on_wall
from core.catalogue.parts import AnchorScrew
from core.geometry.distance import segment_clearances
from core.geometry.obstacles import ObstacleSet
from core.geometry.shapes import FloatArray, Mesh, Vec3
from core.model.barn import Barn
from core.model.runs import Run
from core.placement.building import Truss, building_solids, nearest_truss
from core.placement.ceiling import ceiling_height
from core.placement.hanging import pulley_solids, support_points
from core.placement.solids import Solid, fixture_solids
from core.rules.hoist_evidence import AnchorLoads

__all__ = [
    "NEAR",
    "Hole",
    "Near",
    "close_ups",
    "direction_words",
    "drill_holes",
    "is_base",
]

NEAR = 12.0  # [in] what is nearer than this gets a close-up; the job's own wish
_HORIZON = 120.0  # [in] nothing further off is named
_BELOW = 0.5  # [in] less than this to the side is said to be below
_EIGHTH = math.pi / 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Near:
    """Something near a hole: whose it is, how far [in], in which direction.

    The distance is from the line of the hole, from its mouth to the middle of what
    hangs there.
    """

    owner: str
    name: str
    distance: float
    direction: str
    at: Vec3


@dataclass(frozen=True, slots=True, kw_only=True)
class Hole:
    """One hole in the ceiling, or the holes of one base in its lumber.

    `at` is its mouth, or the middle between them [in]; `holds` is the middle of what
    hangs there [in]; `off_truss` is how far it is behind the middle of its
    truss (negative before it) [in]; `load` is the greatest pull on the hardest pulled
    screw [lbf], None where it is not known; `use` is load over what is allowed [-].
    `wall` names the wall of a base, None in the ceiling and for a base on a post.
    """

    id: str
    run: str
    what: str
    at: Vec3
    holds: Vec3
    truss: Truss | None
    blocking: bool
    screw: AnchorScrew
    load: float | None
    use: float | None
    count: int = 1
    wall: str | None = None
    near: tuple[Near, ...] = ()

    @property
    def off_truss(self) -> float:
        """Return how far the hole is behind the middle of its truss [in]."""
        return 0.0 if self.truss is None else self.at[0] - self.truss.x

    @property
    def nearest(self) -> Near | None:
        """Return the nearest thing, None when nothing is within 10 ft."""
        return self.near[0] if self.near else None


def is_base(hole: Hole) -> bool:
    """Tell whether it is the holes of a winch or a dead end, not one in the ceiling."""
    return hole.what in ("winch", "dead end")


def drill_holes(
    analysis: Analysis, meshes: Mapping[str, Mesh] | None = None
) -> tuple[Hole, ...]:
    """Return every hole of a job: run by run, then turning pulleys, then the winches.

    Parameters
    ----------
    analysis : Analysis
        The barn with what every screw carries.
    meshes : mapping of str to Mesh, optional
        The mesh of each scan by its fixture's id, in room coordinates [in]; a scan
        that is not among them is not looked at.

    Returns
    -------
    tuple of Hole
        Each with what is within 10 ft of it, nearest first.
    """
    holes = [*_drop_holes(analysis), *_turn_holes(analysis), *_bases(analysis)]
    if not holes:
        return ()
    near = _neighbours(analysis, meshes or {}, holes)
    return tuple(_with_near(hole, near[hole.id]) for hole in holes)


def _with_near(hole: Hole, near: dict[str, Near]) -> Hole:
    ordered = sorted(near.values(), key=lambda item: (item.distance, item.owner))
    return replace(hole, near=tuple(ordered))


def _anchors(analysis: Analysis) -> dict[str, AnchorLoads]:
    return {
        anchor.id: anchor
        for hoist in analysis.report.hoists.values()
        for cable in hoist.cables
        for anchor in cable.anchors
    }


def _drop_holes(analysis: Analysis) -> Iterator[Hole]:
    barn, catalogue = analysis.report.barn, analysis.catalogue
    anchors = _anchors(analysis)
    for run in barn.runs:
        places = support_points(run, barn.room, catalogue, lift=0.0)
        for support, place in zip(run.supports, places, strict=True):
            load, use = _load(anchors.get(support.id), analysis, run, support.id)
            yield Hole(
                id=support.id,
                run=run.id,
                what="drop pulley",
                at=place.anchor,
                holds=place.pulley,
                truss=nearest_truss(barn.room, place.anchor[0]),
                blocking=support.blocking,
                screw=catalogue.find(AnchorScrew, support.anchor),
                load=load,
                use=use,
            )


def _load(
    anchor: AnchorLoads | None, analysis: Analysis, run: Run, support: str
) -> tuple[float | None, float | None]:
    """Return pull [lbf] and use [-]; the weight hung there where no hoist lifts it."""
    if anchor is not None:
        use = anchor.use if math.isfinite(anchor.use) else None
        return math.hypot(*anchor.force), use
    return analysis.report.runs[run.id].evidence.pipe.reactions.get(support), None


def _turn_holes(analysis: Analysis) -> Iterator[Hole]:
    barn, catalogue = analysis.report.barn, analysis.catalogue
    anchors = _anchors(analysis)
    for hoist in barn.hoists:
        for cable in hoist.cables:
            for turn in cable.turns:
                x, y, _ = turn.at
                anchor = anchors.get(turn.id)
                yield Hole(
                    id=turn.id,
                    run=cable.run,
                    what="turning pulley",
                    at=(x, y, ceiling_height(barn.room, x, y)),
                    holds=turn.at,
                    truss=nearest_truss(barn.room, x),
                    blocking=turn.blocking,
                    screw=catalogue.find(AnchorScrew, turn.anchor),
                    load=math.hypot(*anchor.force) if anchor else None,
                    use=anchor.use if anchor and math.isfinite(anchor.use) else None,
                )


def _bases(analysis: Analysis) -> Iterator[Hole]:
    """Yield the holes of each winch, and of each dead end with a place of its own."""
    barn, catalogue = analysis.report.barn, analysis.catalogue
    for hoist in barn.hoists:
        evidence = analysis.report.hoists.get(hoist.id)
        loads = {row.id: row for row in evidence.fixings} if evidence else {}
        for key, what, fixing, at in fixings_of(hoist):
            row = loads.get(key)
            wall = hoist.winch.wall
            yield Hole(
                id=key,
                run=hoist.id,
                what=what,
                at=on_wall(barn.room, wall, at),
                holds=at,
                truss=None,
                blocking=hoist.winch.on_lumber,
                screw=catalogue.find(AnchorScrew, fixing.anchor),
                load=row.load if row else None,
                use=row.use if row and math.isfinite(row.use) else None,
                count=fixing.screws,
                wall=None if wall is None else f"{wall} wall",
            )


def _neighbours(
    analysis: Analysis, meshes: Mapping[str, Mesh], holes: list[Hole]
) -> dict[str, dict[str, Near]]:
    """Return the nearest place of each owner to each hole."""
    barn = analysis.report.barn
    names = {fixture.id: fixture.name or fixture.id for fixture in barn.fixtures}
    solids = [*_obstacles(barn, meshes, analysis)]
    found: dict[str, dict[str, Near]] = {hole.id: {} for hole in holes}
    table = segment_clearances(
        np.array([hole.at for hole in holes]),
        np.array([hole.holds for hole in holes]),
        np.zeros(len(holes)),
        ObstacleSet.of([solid.shape for solid in solids]),
        horizon=_HORIZON,
    )
    rows = zip(
        table.segment.tolist(),
        table.obstacle.tolist(),
        table.clearance.tolist(),
        table.on_obstacle.tolist(),
        strict=True,
    )
    for segment, obstacle, gap, at in rows:
        hole, owner = holes[segment], solids[obstacle].owner
        if owner not in (hole.id, hole.wall):
            _keep(found[hole.id], hole, owner, names.get(owner, owner), gap, at)
    for owner, mesh in meshes.items():
        for hole in (hole for hole in holes if hole.wall is None):
            gap, at = _to_mesh(mesh, hole)
            if gap <= _HORIZON:
                _keep(found[hole.id], hole, owner, names.get(owner, owner), gap, at)
    return found


def _obstacles(
    barn: Barn, meshes: Mapping[str, Mesh], analysis: Analysis
) -> Iterator[Solid]:
    """Yield what a drill or a pulley can meet; the wood that is drilled is not."""
    for solid in building_solids(barn.room):
        if solid.owner != "ceiling" and not solid.owner.startswith("truss "):
            yield solid
    for fixture in barn.fixtures:
        if fixture.kind != "scan":
            yield from fixture_solids(fixture, barn.room, meshes)
    for hoist in barn.hoists:
        yield from pulley_solids(hoist, analysis.catalogue)


def _keep(
    near: dict[str, Near],
    hole: Hole,
    owner: str,
    name: str,
    gap: float,
    at: list[float],
) -> None:
    if owner in near and near[owner].distance <= gap:
        return
    dx, dy = at[0] - hole.at[0], at[1] - hole.at[1]
    near[owner] = Near(
        owner=owner,
        name=name,
        distance=gap,
        direction=direction_words(dx, dy),
        at=(at[0], at[1], at[2]),
    )


def _to_mesh(mesh: Mesh, hole: Hole) -> tuple[float, list[float]]:
    """Return the distance from a hole's mouth to a mesh and the place [in]."""
    import trimesh.triangles

    closest_point: Any = trimesh.triangles.closest_point  # says no types

    corners: FloatArray = mesh.vertices[mesh.faces]
    low, high = corners.min(axis=1) - _HORIZON, corners.max(axis=1) + _HORIZON
    at = np.array(hole.at)
    corners = corners[np.all((low <= at) & (at <= high), axis=1)]
    if not len(corners):
        return math.inf, [0.0, 0.0, 0.0]
    places = closest_point(corners, np.tile(at, (len(corners), 1)))
    gaps = np.linalg.norm(places - at, axis=1)
    best = int(gaps.argmin())
    return float(gaps[best]), places[best].tolist()


_COMPASS = (
    *("back", "back right", "right", "front right"),
    *("front", "front left", "left", "back left"),
)


def direction_words(dx: float, dy: float) -> str:
    """Return a direction in plan as seen from the main door.

    Parameters
    ----------
    dx, dy : float
        Towards the back wall and towards the right wall [in].

    Examples
    --------
    >>> direction_words(5.0, 0.0), direction_words(-3.0, -3.0)
    ('back', 'front left')
    >>> direction_words(0.1, 0.0)
    'below'
    """
    if math.hypot(dx, dy) < _BELOW:
        return "below"
    turn = math.atan2(dy, dx) % (2.0 * math.pi)
    return _COMPASS[int((turn + _EIGHTH) / (2.0 * _EIGHTH)) % 8]


def close_ups(holes: tuple[Hole, ...]) -> tuple[Hole, ...]:
    """Return the holes that have anything within 12 in."""
    return tuple(h for h in holes if h.nearest and h.nearest.distance <= NEAR)
