"""The hoist sheet: cable route, pulley loads, clamp places, lengths to cut."""

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass

from core.analysis.analyse import Analysis
from core.catalogue.parts import Rope
from core.model.barn import Barn
from core.model.hoists import Hoist, Parts, PullCable
from core.model.runs import Run, Support
from core.outputs.tables import Cell, Column, Kind, Table
from core.placement.hanging import (
    hoist_strands,
    pull_cable_path,
    run_strands,
    winch_line,
)
from core.placement.runs import travel
from core.rules.hoist_evidence import HoistEvidence, WinchLoads

__all__ = [
    "CABLE_END",
    "KNOT",
    "RopeCut",
    "clamps_table",
    "cuts_table",
    "pulleys_table",
    "rope_cuts",
    "route_table",
    "winch_table",
]

# What a fitting or a knot takes at each end [in]; common practice, no published source.
CABLE_END = 12.0
KNOT = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class RopeCut:
    """One length of rope or cable to cut [in].

    `net` is what lies between its two ends; `allowance` is added for knots, fittings,
    dead wraps and spare.
    """

    tag: str
    what: str
    part: str
    net: float
    allowance: float
    why: str

    @property
    def cut(self) -> float:
        """Return the length to cut [in]."""
        return self.net + self.allowance


def rope_cuts(analysis: Analysis) -> tuple[RopeCut, ...]:
    """Return every drop rope, pull cable and winch rope to cut, hoist by hoist.

    Returns
    -------
    tuple of RopeCut
        Lengths at working height, where the clamps are nearest to their pulleys;
        last the drop ropes of runs without a hoist, as long as on one.
    """
    barn = analysis.report.barn
    hoisted = {cable.run for hoist in barn.hoists for cable in hoist.cables}
    free = (run for run in barn.runs if run.id not in hoisted)
    return (
        *(cut for hoist in barn.hoists for cut in _hoist_cuts(hoist, barn, analysis)),
        *(cut for run in free for cut in _free_cuts(run, barn, analysis)),
    )


def _free_cuts(run: Run, barn: Barn, analysis: Analysis) -> Iterator[RopeCut]:
    """Yield the drop ropes of a run without a hoist, on to where clamps would be."""
    held = {support.id: support for support in run.supports}
    for strand in run_strands(run, barn.room, analysis.catalogue, lift=0.0):
        kind, _, key = strand.part.partition(" ")
        if kind == "rope":
            support = held[key]
            yield _drop_rope(support, _length(strand.points) + support.clamp_gap)


def _drop_rope(support: Support, net: float) -> RopeCut:
    return RopeCut(
        tag=support.id,
        what="drop rope",
        part=support.rope,
        net=net,
        allowance=2.0 * KNOT,
        why="a knot at each end",
    )


def _hoist_cuts(hoist: Hoist, barn: Barn, analysis: Analysis) -> Iterator[RopeCut]:
    cables = {cable.id: cable.cable for cable in hoist.cables}
    held = {support.id: support for run in barn.runs for support in run.supports}
    for strand in hoist_strands(hoist, barn, analysis.catalogue, lift=0.0):
        net = _length(strand.points)
        kind, _, support = strand.part.partition(" ")
        if kind == "rope":
            yield _drop_rope(held[support], net)
        elif strand.owner in cables:
            yield RopeCut(
                tag=strand.owner,
                what="pull cable",
                part=cables[strand.owner],
                net=net,
                allowance=2.0 * CABLE_END,
                why="past the far clamp, and the fitting at the pull point",
            )
    yield _winch_rope(hoist, barn, analysis)


def _winch_rope(hoist: Hoist, barn: Barn, analysis: Analysis) -> RopeCut:
    net = _length(winch_line(hoist, barn, analysis.catalogue, lift=0.0))
    winch = analysis.report.hoists[hoist.id].winch
    rope = analysis.catalogue.find(Rope, hoist.winch.rope)
    core = winch.core if winch else 0.0
    wraps = hoist.winch.dead_wraps * math.pi * (core + rope.diameter)
    return RopeCut(
        tag=hoist.id,
        what="winch rope",
        part=hoist.winch.rope,
        net=net,
        allowance=wraps + hoist.spare_rope + CABLE_END,
        why=f"{hoist.winch.dead_wraps} dead wraps, spare rope, the end fitting",
    )


def _length(points: tuple[tuple[float, float, float], ...]) -> float:
    return sum(math.dist(a, b) for a, b in itertools.pairwise(points))


def cuts_table(analysis: Analysis) -> Table:
    """Return the lengths of rope and cable to cut."""
    return Table.of(
        "rope-cuts",
        "Rope and cable to cut",
        (
            Column(heading="Cut", kind=Kind.TICK, share=0.7),
            Column(heading="Pieces", kind=Kind.COUNT, share=0.7),
            Column(heading="Length to cut", kind=Kind.LENGTH, share=1.5),
            Column(heading="What", share=1.2),
            Column(heading="Part", share=2.0),
            Column(heading="Between its ends", kind=Kind.LENGTH, share=1.5),
            Column(heading="Allowance", kind=Kind.LENGTH, share=1.2),
            Column(heading="Allowance is for", share=2.2),
            Column(heading="For", share=3.5),
        ),
        _cut_rows(rope_cuts(analysis)),
        ("Allowances: common practice, no published source. Measure before cutting.",),
    )


def _cut_rows(cuts: tuple[RopeCut, ...]) -> Iterator[tuple[Cell, ...]]:
    """Yield one row for all pieces that are cut alike, to the sixteenth."""
    alike: dict[tuple[str, str, float], list[RopeCut]] = {}
    for cut in cuts:
        key = (cut.what, cut.part, round(cut.cut * 16.0))
        alike.setdefault(key, []).append(cut)
    for same in alike.values():
        c = max(same, key=lambda item: item.cut)
        tags = ", ".join(item.tag for item in same)
        row = (c.cut, c.what, c.part, c.net, c.allowance, c.why, tags)
        yield (None, float(len(same)), *row)


def route_table(hoist: HoistEvidence) -> Table:
    """Return the route of a hoist's cables, straight part by straight part."""
    return Table.of(
        f"route-{hoist.hoist.id}",
        f"Cable route, {hoist.hoist.id}",
        (
            Column(heading="Cable", share=1.4),
            Column(heading="From", share=1.6),
            Column(heading="To", share=1.6),
            Column(heading="Length, working height", kind=Kind.LENGTH, share=1.8),
            Column(heading="Pull lifting", kind=Kind.POUNDS, share=1.3),
            Column(heading="Pull at rest", kind=Kind.POUNDS, share=1.3),
            Column(heading="Pull lowering", kind=Kind.POUNDS, share=1.3),
        ),
        (
            (c.id, s.start, s.end, s.length, s.lifting, s.resting, s.lowering)
            for c in hoist.cables
            for s in c.segments
        ),
        tuple(f"{c.id}: not known, {c.trouble}" for c in hoist.cables if c.trouble),
    )


def pulleys_table(hoist: HoistEvidence) -> Table:
    """Return what every pulley of a hoist carries, against what it may."""
    return Table.of(
        f"pulleys-{hoist.hoist.id}",
        f"Pulley loads, {hoist.hoist.id}",
        (
            Column(heading="Pulley", share=1.4),
            Column(heading="Kind", share=1.4),
            Column(heading="Part", share=2.0),
            Column(heading="From the front wall", kind=Kind.LENGTH, share=1.6),
            Column(heading="From the left wall", kind=Kind.LENGTH, share=1.6),
            Column(heading="Load", kind=Kind.POUNDS),
            Column(heading="Rated", kind=Kind.POUNDS),
            Column(heading="Use, %", kind=Kind.COUNT, share=0.8),
        ),
        (
            (
                p.id,
                p.kind,
                p.part,
                p.at[0],
                p.at[1],
                p.load,
                p.rating,
                100.0 * p.load / p.rating,
            )
            for c in hoist.cables
            for p in c.pulleys
        ),
    )


def clamps_table(analysis: Analysis, hoist: Hoist) -> Table:
    """Return where each clamp sits at working height and how far it moves."""
    return Table.of(
        f"clamps-{hoist.id}",
        f"Clamps at working height, {hoist.id}",
        (
            Column(heading="Set", kind=Kind.TICK, share=0.7),
            Column(heading="Support", share=1.4),
            Column(heading="Cable", share=1.4),
            Column(
                heading="From its pulley along the cable", kind=Kind.LENGTH, share=2
            ),
            Column(heading="From the pull point along it", kind=Kind.LENGTH, share=2),
            Column(heading="Moves when lifted", kind=Kind.LENGTH, share=1.7),
        ),
        (row for cable in hoist.cables for row in _clamp_rows(analysis, hoist, cable)),
    )


def _clamp_rows(
    analysis: Analysis, hoist: Hoist, cable: PullCable
) -> Iterator[tuple[Cell, ...]]:
    barn, catalogue = analysis.report.barn, analysis.catalogue
    run = next((run for run in barn.runs if run.id == cable.run), None)
    if run is None or not run.supports:
        return
    path = pull_cable_path(hoist, cable, barn, catalogue, lift=0.0)
    way = travel(run, barn.room, catalogue)
    for support in run.supports:
        place = min(path.station(support.id) + support.clamp_gap, path.lengths[-1])
        left = path.lengths[-1] - place
        yield (None, support.id, cable.id, support.clamp_gap, left, way)


def winch_table(evidence: HoistEvidence) -> Table:
    """Return the facts of a hoist's winch, one a row."""
    winch = evidence.winch
    note = (f"Not known: {evidence.trouble}.",) if evidence.trouble else ()
    return Table.of(
        f"winch-{evidence.hoist.id}",
        f"Winch, {evidence.hoist.id}",
        (Column(heading="What", share=2), Column(heading="Value", share=2)),
        _winch_rows(evidence, winch) if winch else (),
        note,
    )


def _winch_rows(
    evidence: HoistEvidence, winch: WinchLoads
) -> Iterator[tuple[Cell, ...]]:
    hoist = evidence.hoist
    yield ("Winch", winch.part)
    yield ("Parts of line", str(int(hoist.parts)))
    yield ("Pull of all cables while lifting", _lb(evidence.pull))
    yield ("Pull on the winch rope", _lb(winch.pull))
    yield ("Winch pulls on the layer reached when stowed", _lb(winch.pull_at_top))
    if hoist.parts is Parts.TWO:
        yield ("Load on the snatch block", _lb(winch.block))
        yield ("Load on the dead end", _lb(winch.dead_end))
    yield ("Load on the turnbuckle", _lb(winch.turnbuckle_load))
    for row in evidence.fixings:
        held = f"{row.screws} x {row.part}, {_lb(row.load)} on the hardest pulled"
        yield (f"Screws of the {row.what}", held)
    yield ("Dead wraps kept on the drum", str(winch.dead_wraps))
    yield ("Layer reached when stowed", f"{winch.layer} of {winch.layers}")
    yield ("Turns of the drum", _number(winch.turns, ""))
    if winch.motor:
        yield ("Lift time", _number(winch.lift_time, "s"))
    else:
        yield ("Force on the handle", _lb(winch.handle_force))


def _lb(value: float | None) -> str:
    return _number(value, "lb")


def _number(value: float | None, unit: str) -> str:
    if value is None or not math.isfinite(value):
        return "not known"
    return f"{value:.1f} {unit}".rstrip()
