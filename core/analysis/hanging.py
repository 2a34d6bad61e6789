"""What hangs with a run, with all the way that it moves, as still strands.

A drop rope is longest at working height and holds every shorter one. A clamp is
drawn out along the cable from its place at working height to that stowed.
"""

from collections.abc import Iterator
from itertools import pairwise

from core.catalogue.catalogue import Catalogue
from core.catalogue.parts import Clamp, Rope
from core.geometry.shapes import Capsule
from core.model.barn import Barn
from core.model.hoists import Hoist, PullCable
from core.model.runs import Run
from core.placement.hanging import clamp_point, pull_cable_path, run_strands
from core.placement.rope_lines import RopeLine
from core.placement.runs import travel
from core.placement.solids import Group, Moving, Solid, Strand

__all__ = ["run_hanging", "strand_solids"]


def strand_solids(strand: Strand) -> Iterator[Solid]:
    """Yield one capsule for each straight piece of a strand."""
    for a, b in pairwise(strand.points):
        yield Solid(
            owner=strand.owner,
            part=strand.part,
            group=strand.group,
            shape=Capsule(a=a, b=b, radius=strand.radius),
            moving=Moving.SWEPT,
        )


def run_hanging(
    run: Run,
    hoist: Hoist | None,
    cable: PullCable | None,
    barn: Barn,
    catalogue: Catalogue,
) -> tuple[Strand, ...]:
    """Return ropes, insulators, clamps and pull cable of one run over its travel."""
    room = barn.room
    if hoist is None or cable is None or not run.supports:
        return run_strands(run, room, catalogue, lift=0.0)
    path = pull_cable_path(hoist, cable, barn, catalogue, lift=0.0)
    way = travel(run, room, catalogue)
    hung = run_strands(run, room, catalogue, lift=0.0, cable=cable, path=path)
    ropes = tuple(strand for strand in hung if strand.group is Group.ROPE)
    clamps = tuple(_clamp_ways(run, path, way, catalogue))
    first = min(clamp_point(path, s, moved=0.0)[1] for s in run.supports)
    whole = Strand(
        owner=cable.id,
        part="pull cable",
        group=Group.CABLE,
        points=path.part(first, path.lengths[-1]),
        radius=catalogue.find(Rope, cable.cable).diameter / 2,
    )
    return (*ropes, *clamps, whole)


def _clamp_ways(
    run: Run, path: RopeLine, way: float, catalogue: Catalogue
) -> Iterator[Strand]:
    """Yield each clamp's way along the cable."""
    for support in run.supports:
        part = catalogue.find(Clamp, support.clamp)
        _, start = clamp_point(path, support, moved=0.0)
        _, end = clamp_point(path, support, moved=way)
        half = part.length / 2
        last = path.lengths[-1]
        yield Strand(
            owner=run.id,
            part=f"clamp {support.id}",
            group=Group.CABLE,
            points=path.part(max(start - half, 0.0), min(end + half, last)),
            radius=part.radius,
        )
