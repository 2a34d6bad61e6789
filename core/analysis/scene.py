"""Everything that stands or hangs in the room, ready for the sweep.

A scene is a list of sources, each the solids of one thing. A source that was made
from the very same objects is kept from one analysis to the next.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import partial
from operator import is_
from typing import TYPE_CHECKING

import numpy as np

from core.analysis.hanging import (
    Sags,
    run_hanging,
    strand_solids,
    winch_hanging,
)
from core.analysis.memo import Memo
from core.catalogue.catalogue import Catalogue
from core.geometry.obstacles import ObstacleSet
from core.geometry.shapes import IntArray, Mesh, Shape
from core.model.barn import Barn
from core.model.hoists import Hoist, PullCable
from core.model.runs import Run
from core.placement.building import building_solids
from core.placement.hanging import pulley_solids
from core.placement.solids import Solid, fixture_solids

if TYPE_CHECKING:
    from core.geometry.surface import Surface

__all__ = ["Scene", "Source", "changes_between", "run_cables", "scene_of"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Source:
    """The solids of one thing; `run` and `hoist` name what they hang with."""

    key: str
    solids: tuple[Solid, ...]
    run: str | None = None
    hoist: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Scene:
    """All sources, their convex solids in one obstacle set, and the scans.

    `origins` are the sources of the convex solids; `owner_codes` and `run_codes`
    number the owner of each and the run it hangs with (-1 for none).
    """

    sources: tuple[Source, ...]
    solids: tuple[Solid, ...]
    origins: tuple[Source, ...]
    owner_codes: IntArray
    run_codes: IntArray
    run_names: Mapping[str, int]
    obstacles: ObstacleSet
    scans: "tuple[tuple[Solid, Surface], ...]"


def _source(
    memo: Memo,
    key: str,
    inputs: tuple[object, ...],
    make: Callable[[], tuple[Solid, ...]],
    *,
    run: str | None = None,
    hoist: str | None = None,
) -> Source:
    """Return the source of one thing, the kept one when its inputs are the same."""
    return memo.of(
        ("source", key),
        inputs,
        lambda: Source(key=key, solids=make(), run=run, hoist=hoist),
    )


def _standing(barn: Barn, meshes: Mapping[str, Mesh], memo: Memo) -> Iterator[Source]:
    room = barn.room
    yield _source(memo, "building", (room,), partial(building_solids, room))
    for fixture in barn.fixtures:
        mesh = meshes.get(fixture.id)
        own = {} if mesh is None else {fixture.id: mesh}
        yield _source(
            memo,
            fixture.id,
            (fixture, room, mesh),
            partial(fixture_solids, fixture, room, own),
        )


def run_cables(barn: Barn) -> Mapping[str, tuple[Hoist, PullCable]]:
    """Return hoist and pull cable of each run that has them."""
    return {
        cable.run: (hoist, cable) for hoist in barn.hoists for cable in hoist.cables
    }


def _hung(
    barn: Barn, catalogue: Catalogue, sags: Mapping[str, Sags], memo: Memo
) -> Iterator[Source]:
    room, cables = barn.room, run_cables(barn)
    for run in barn.runs:
        hoist, cable = cables.get(run.id, (None, None))
        yield _source(
            memo,
            f"ropes of {run.id}",
            (run, room, hoist, cable, catalogue, sags.get(run.id)),
            partial(
                _run_solids, run, hoist, cable, barn, catalogue, sags.get(run.id, ())
            ),
            run=run.id,
            hoist=None if hoist is None else hoist.id,
        )
    for hoist in barn.hoists:
        lifted = tuple(
            run for run in barn.runs if cables.get(run.id, (None,))[0] is hoist
        )
        yield _source(
            memo,
            f"winch line of {hoist.id}",
            (hoist, room, catalogue, sags.get(hoist.id), *lifted),
            partial(_winch_solids, hoist, barn, catalogue, sags.get(hoist.id, ())),
            hoist=hoist.id,
        )


def _run_solids(
    run: Run,
    hoist: Hoist | None,
    cable: PullCable | None,
    barn: Barn,
    catalogue: Catalogue,
    sags: Sags,
) -> tuple[Solid, ...]:
    hung = run_hanging(run, hoist, cable, barn, catalogue, sags)
    solids = tuple(solid for strand in hung for solid in strand_solids(strand))
    if hoist is None or cable is None:
        return solids
    mine = {turn.id for turn in cable.turns}
    wheels = tuple(s for s in pulley_solids(hoist, catalogue) if s.owner in mine)
    return solids + wheels


def _winch_solids(
    hoist: Hoist, barn: Barn, catalogue: Catalogue, sags: Sags
) -> tuple[Solid, ...]:
    hung = winch_hanging(hoist, barn, catalogue, max(sags, default=0.0))
    return tuple(solid for strand in hung for solid in strand_solids(strand))


def _by_source(sources: tuple[Source, ...]) -> Iterator[tuple[Source, Solid]]:
    for source in sources:
        for solid in source.solids:
            if not isinstance(solid.shape, Mesh):
                yield source, solid


def _scans(
    sources: tuple[Source, ...], old: Scene | None
) -> "Iterator[tuple[Solid, Surface]]":
    kept = {} if old is None else {id(s.shape): surface for s, surface in old.scans}
    for source in sources:
        for solid in source.solids:
            if isinstance(solid.shape, Mesh):
                yield solid, kept.get(id(solid.shape)) or _surface(solid.shape)


def _surface(mesh: Mesh) -> "Surface":
    from core.geometry.surface import Surface  # most rooms have no scan

    return Surface.of(mesh)


def _coded(names: Iterable[str | None]) -> tuple[IntArray, dict[str, int]]:
    """Give each name a number in order of appearance; None is -1."""
    numbers: dict[str, int] = {}
    codes = [
        -1 if name is None else numbers.setdefault(name, len(numbers)) for name in names
    ]
    return np.array(codes, dtype=np.int64), numbers


def scene_of(
    barn: Barn,
    catalogue: Catalogue,
    meshes: Mapping[str, Mesh],
    sags: Mapping[str, Sags],
    memo: Memo,
    old: Scene | None = None,
) -> Scene:
    """Return the scene of a barn, keeping what an old scene has of it.

    Parameters
    ----------
    barn, catalogue
        The barn and the parts.
    meshes : mapping of str to Mesh
        The mesh of each scan by the fixture's id, in room coordinates [in].
    sags : mapping of str to tuple of float
        How far each span of a run's pull cable may sag [in], by run, and the parts
        of a hoist's winch line, by hoist.
    memo : Memo
        What is kept between analyses.
    old : Scene, optional
        The scene before the last edit.

    Returns
    -------
    Scene
        The old scene itself when nothing in it has changed.
    """
    sources = (
        *_standing(barn, meshes, memo),
        *_hung(barn, catalogue, sags, memo),
    )
    if old is not None and _unchanged(sources, old.sources):
        return old
    pairs = list(_by_source(sources))
    solids = tuple(solid for _, solid in pairs)
    if old is not None and _same_layout(pairs, old):
        changes = _changes(old.solids, solids)
        return replace(
            old,
            sources=sources,
            solids=solids,
            origins=tuple(source for source, _ in pairs),
            obstacles=old.obstacles.replaced(changes) if changes else old.obstacles,
            scans=tuple(_scans(sources, old)),
        )
    owner_codes, _ = _coded(solid.owner for solid in solids)
    run_codes, run_names = _coded(source.run for source, _ in pairs)
    return Scene(
        sources=sources,
        solids=solids,
        origins=tuple(source for source, _ in pairs),
        owner_codes=owner_codes,
        run_codes=run_codes,
        run_names=run_names,
        obstacles=ObstacleSet.of([solid.shape for solid in solids]),
        scans=tuple(_scans(sources, old)),
    )


def _unchanged(now: tuple[Source, ...], before: tuple[Source, ...]) -> bool:
    return len(now) == len(before) and all(map(is_, now, before))


def _same_layout(pairs: list[tuple[Source, Solid]], old: Scene) -> bool:
    """Return whether the solids belong to the same owners and runs, in order."""
    return len(pairs) == len(old.solids) and all(
        solid is before or (solid.owner, solid.part) == (before.owner, before.part)
        for (_, solid), before in zip(pairs, old.solids, strict=True)
    )


def _changes(old: tuple[Solid, ...], new: tuple[Solid, ...]) -> dict[int, Shape]:
    return {
        place: after.shape
        for place, (before, after) in enumerate(zip(old, new, strict=True))
        if after is not before and after.shape != before.shape
    }


def changes_between(old: Scene, new: Scene) -> dict[int, Shape] | None:
    """Return the shapes that changed by place, None when places do not match."""
    if new is old:
        return {}
    if new.owner_codes is not old.owner_codes:
        return None
    return _changes(old.solids, new.solids)
