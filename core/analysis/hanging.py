"""What hangs with a run, with all the way that it moves, as still strands.

A drop rope is longest at working height and holds every shorter one. A clamp is
drawn out along the cable from its place at working height to that stowed. Cable
and clamps take all the space down to the cable's sag.
"""

import math
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

from core.catalogue.catalogue import Catalogue
from core.catalogue.parts import Clamp, Rope
from core.geometry.shapes import Capsule, Vec3
from core.model.barn import Barn
from core.model.hoists import Hoist, PullCable
from core.model.runs import Run
from core.placement.hanging import (
    clamp_point,
    pull_cable_path,
    pull_point,
    run_strands,
    winch_line,
)
from core.placement.rope_lines import RopeLine
from core.placement.runs import travel
from core.placement.solids import Group, Moving, Solid, Strand
from core.placement.vectors import added, subtracted

__all__ = ["Sags", "run_hanging", "strand_solids", "winch_hanging"]

Sags = tuple[float, ...]
_WINCH_LIFTS = (0.0, 0.25, 0.5, 0.75, 1.0)
_WINCH_LAYERS = 3
_LAST_SPAN_LIFTS = (0.5, 1.0)  # where the moving end of a pull cable is looked at
_SHORT = 24.0  # [in] shorter parts of the winch line are taken as straight


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
    sags: Sags = (),
) -> tuple[Strand, ...]:
    """Return ropes, insulators, clamps and pull cable of one run over its travel.

    Parameters
    ----------
    run, hoist, cable, barn, catalogue
        The run, what lifts it, its barn, and the parts.
    sags : tuple of float
        How far each span of the cable may hang below its straight line [in], from
        the far one on; none is a straight cable.

    Returns
    -------
    tuple of Strand
        All space that they take on the way.
    """
    room = barn.room
    if hoist is None or cable is None or not run.supports:
        return run_strands(run, room, catalogue, lift=0.0)
    path = pull_cable_path(hoist, cable, barn, catalogue, lift=0.0)
    way = travel(run, room, catalogue)
    hung = run_strands(run, room, catalogue, lift=0.0, cable=cable, path=path)
    ropes = tuple(strand for strand in hung if strand.group is Group.ROPE)
    depths = sags or (0.0,) * (len(path.bends) - 1)
    clamps = tuple(_clamp_ways(run, path, way, catalogue, depths))
    radius = catalogue.find(Rope, cable.cable).diameter / 2
    spans = tuple(_cable_spans(cable.id, path, depths, radius))
    last = [
        strand
        for lift in _LAST_SPAN_LIFTS
        for strand in _layers(
            cable.id,
            path.points[-2],
            pull_point(hoist, barn, catalogue, lift=lift),
            depths[-1],
            _levels(len(depths)),
            radius,
        )
    ]
    return (*ropes, *clamps, *spans, *last)


def winch_hanging(
    hoist: Hoist, barn: Barn, catalogue: Catalogue, sag: float
) -> tuple[Strand, ...]:
    """Return the winch line at several lifts, with all the space down to its sag.

    Parameters
    ----------
    hoist, barn, catalogue
        The hoist, its barn, and the parts.
    sag : float
        How far a straight part may hang below its straight line [in].
    """
    radius = catalogue.find(Rope, hoist.winch.rope).diameter / 2
    strands: list[Strand] = []
    for lift in _WINCH_LIFTS:
        line = winch_line(hoist, barn, catalogue, lift=lift)
        for a, b in pairwise(line):
            long = math.dist(a, b) > _SHORT
            depth, count = (sag, _WINCH_LAYERS) if long else (0.0, 1)
            strands += _layers(hoist.id, a, b, depth, count, radius)
    return tuple(replace(strand, part="winch line") for strand in strands)


def _levels(span: int) -> int:
    """Return in how many layers a span's sag is drawn, more where it is slack.

    The number depends on nothing but the span's place, so that a drag keeps it.
    """
    return max(2, math.ceil(6 / (span + 1)))


def _cable_spans(
    owner: str, path: RopeLine, depths: Sags, radius: float
) -> Iterator[Strand]:
    """Yield the pull cable with all the space down to its sag, and its arcs."""
    long_ones = _long_pieces(path)
    for place, (a, b) in enumerate(pairwise(path.points)):
        if place not in long_ones:
            yield _piece(owner, (a, b), radius)
            continue
        span = long_ones[place]
        yield from _layers(owner, a, b, depths[span], _levels(span), radius)


def _long_pieces(path: RopeLine) -> dict[int, int]:
    """Return which pieces of the line are the straight parts, each with its span."""
    best: dict[int, int] = {}
    for place, (start, end) in enumerate(pairwise(path.lengths)):
        span = bisect_right(path.stations, (start + end) / 2) - 1
        span = min(max(span, 0), len(path.bends) - 2)
        held = best.get(span)
        if held is None or end - start > path.lengths[held + 1] - path.lengths[held]:
            best[span] = place
    return {place: span for span, place in best.items()}


def _layers(
    owner: str, a: Vec3, b: Vec3, depth: float, count: int, radius: float
) -> Iterator[Strand]:
    """Yield rods that together hold everything between a straight rope and its sag.

    A layer of height h is a level rod of that height in the middle of it, as long as
    the parabola is at least as deep as the layer's top; it is h / 2 wider to each
    side than the rope.
    """
    step = depth / count
    for layer in range(count):
        edge = (1.0 - math.sqrt(1.0 - layer / count)) / 2.0 if depth > 0.0 else 0.0
        down = (layer + 0.5) * step
        ends = (_between(a, b, edge, down), _between(a, b, 1.0 - edge, down))
        yield _piece(owner, ends, radius + step / 2)


def _between(a: Vec3, b: Vec3, share: float, down: float) -> Vec3:
    x, y, z = added(a, subtracted(b, a), share)
    return x, y, z - down


def _piece(owner: str, points: tuple[Vec3, Vec3], radius: float) -> Strand:
    return Strand(
        owner=owner, part="pull cable", group=Group.CABLE, points=points, radius=radius
    )


def _clamp_ways(
    run: Run, path: RopeLine, way: float, catalogue: Catalogue, depths: Sags
) -> Iterator[Strand]:
    """Yield each clamp's way along the cable, down to the cable's sag."""
    names = [bend.name for bend in path.bends]
    for support in run.supports:
        part = catalogue.find(Clamp, support.clamp)
        _, start = clamp_point(path, support, moved=0.0)
        _, end = clamp_point(path, support, moved=way)
        half, last = part.length / 2, path.lengths[-1]
        points = path.part(max(start - half, 0.0), min(end + half, last))
        span = names.index(support.id)
        pulley, after = path.stations[span : span + 2]
        depth = _deepest(depths[span], after - pulley, start - pulley, end - pulley)
        count = _levels(span)
        for layer in range(count):
            down = (layer + 0.5) * depth / count
            yield Strand(
                owner=run.id,
                part=f"clamp {support.id}",
                group=Group.CABLE,
                points=tuple((x, y, z - down) for x, y, z in points),
                radius=part.radius + depth / count / 2,
            )


def _deepest(sag: float, length: float, start: float, end: float) -> float:
    """Return the greatest depth of a sagging span between two places on it [in]."""
    if length <= 0.0:
        return 0.0
    share = min(max(0.5, start / length), end / length, 1.0)
    return 4.0 * sag * share * (1.0 - share)
