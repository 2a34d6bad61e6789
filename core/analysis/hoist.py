"""The evidence of every hoist: its cables one by one, the winch, the trusses."""

import math
from collections.abc import Mapping, Sequence
from functools import partial
from typing import Any

from core.analysis.cable_loads import cable_loads, groove, rope_strength, span_sag
from core.analysis.evidence import HungRun, Measured, source_strands
from core.analysis.fixings import fixing_loads
from core.analysis.memo import Memo
from core.analysis.winches import winch_loads
from core.catalogue import parts
from core.catalogue.catalogue import Catalogue
from core.mechanics.anchor import TrussLoad, truss_loads
from core.model.barn import Barn
from core.model.hoists import Hoist, Parts, PullCable
from core.model.room import Room
from core.placement.building import Truss, truss_stations
from core.rules.hoist_evidence import (
    CableLoads,
    FixingLoads,
    HoistEvidence,
    RopeStrength,
    WinchLoads,
)

__all__ = ["all_cable_loads", "all_sags", "hoist_evidence", "sags_of", "truss_sums"]

Sags = tuple[float, ...]


def sags_of(loads: CableLoads) -> Sags:
    """Return how far each span of a cable may hang below its straight line [in].

    While lowering, when it is slackest; at rest where lowering leaves no tension.
    """
    return tuple(
        segment.sag_lowering
        if segment.sag_lowering < segment.length
        else min(segment.sag_resting, segment.length)
        for segment in loads.segments
    )


def all_sags(
    barn: Barn, catalogue: Catalogue, loads: Mapping[str, CableLoads], memo: Memo
) -> dict[str, Sags]:
    """Return the sags of every pull cable by run, and of winch lines by hoist [in]."""
    sags = {
        key: memo.settled(("sags", key), sags_of(cable)) for key, cable in loads.items()
    }
    for hoist in barn.hoists:
        mine = [loads[c.run] for c in hoist.cables if c.run in loads]
        sag = _winch_sag(hoist, catalogue, mine)
        sags[hoist.id] = memo.settled(("sags", hoist.id), (sag,))
    return sags


def _winch_sag(hoist: Hoist, catalogue: Catalogue, loads: list[CableLoads]) -> float:
    """Return how far the winch line may sag: lowering, or at rest if slack then."""
    rope = catalogue.find(parts.Rope, hoist.winch.rope)
    place, point = hoist.winch.at, hoist.pull_point
    length, rise = math.dist(place, point), abs(place[2] - point[2])
    for pull in (
        sum(cable.lowering for cable in loads),
        sum(cable.resting for cable in loads),
    ):
        sag = span_sag(rope.unit_weight, length, rise, pull / hoist.parts)
        if sag < length:
            return sag
    return 0.0


def _travels(
    hoist: Hoist, hung: Mapping[str, HungRun], memo: Memo
) -> tuple[dict[str, float], float]:
    """Return the travel of each run of a hoist and that of its pull point [in]."""
    travels = {
        cable.run: memo.settled(("travel", cable.run), hung[cable.run].body.travel)
        for cable in hoist.cables
        if cable.run in hung
    }
    most = max(travels.values(), default=0.0)
    return travels, memo.settled(("pull travel", hoist.id), most)


def all_cable_loads(
    barn: Barn, catalogue: Catalogue, hung: Mapping[str, HungRun], memo: Memo
) -> dict[str, CableLoads]:
    """Return the loads of every pull cable by the id of its run.

    Parameters
    ----------
    barn, catalogue
        The barn and the parts.
    hung : mapping of str to HungRun
        How each run hangs.
    memo : Memo
        What is kept between analyses; a cable is walked again only when its own
        run, pulleys or pull point change.
    """
    trusses = memo.of("trusses", (barn.room,), partial(truss_stations, barn.room))
    found = {}
    for hoist in barn.hoists:
        _, most = _travels(hoist, hung, memo)
        for cable in hoist.cables:
            if cable.run in hung:
                found[cable.run] = _one(
                    hoist, cable, barn, catalogue, hung, trusses, most, memo
                )
    return found


def _one(
    hoist: Hoist,
    cable: PullCable,
    barn: Barn,
    catalogue: Catalogue,
    hung: Mapping[str, HungRun],
    trusses: tuple[Truss, ...],
    most: float,
    memo: Memo,
) -> CableLoads:
    run = next(run for run in barn.runs if run.id == cable.run)
    mine = hung[cable.run]
    point, towards = hoist.pull_point, hoist.pull_towards
    return memo.of(
        ("cable loads", cable.id),
        (cable, run, barn.room, catalogue, mine, trusses, point, towards, most),
        lambda: cable_loads(
            cable,
            run,
            barn.room,
            catalogue,
            mine.pipe,
            mine.supports,
            trusses,
            run_travel=mine.body.travel,
            pull_point=point,
            pull_towards=towards,
            pull_travel=most,
        ),
    )


def hoist_evidence(hoist: Hoist, measured: Measured, memo: Memo) -> HoistEvidence:
    """Return the evidence of a hoist, the kept one when nothing of it has changed."""
    barn, catalogue, loads = measured.barn, measured.catalogue, measured.cables
    travels, most = _travels(hoist, measured.hung, memo)
    scene = measured.scene
    line = next(s for s in scene.sources if s.hoist == hoist.id and s.run is None)
    strands = source_strands(line, scene, measured.rubs, memo)
    cables = tuple(loads[cable.run] for cable in hoist.cables if cable.run in loads)
    runs = tuple(run for run in barn.runs if run.id in travels)
    return memo.of(
        ("hoist evidence", hoist.id),
        (hoist, barn.room, catalogue, most, strands, *runs, *cables),
        lambda: HoistEvidence(
            hoist=hoist,
            runs={run.id: run for run in runs},
            chord_width=barn.room.trusses.chord_width,
            travels=travels,
            cables=cables,
            strands=strands,
            **_sums(hoist, barn.room, catalogue, cables, most),
        ),
    )


def _sums(
    hoist: Hoist,
    room: Room,
    catalogue: Catalogue,
    cables: tuple[CableLoads, ...],
    travel: float,
) -> dict[str, Any]:
    """Return what the cables carry together, by its names in the evidence."""
    unknown = [f"{c.run}: {c.trouble}" for c in cables if c.trouble]
    if not cables:
        unknown = ["it has no pull cable"]
    pull = sum(cable.lifting for cable in cables)
    winch = None
    strengths: tuple[RopeStrength, ...] = ()
    fixings: tuple[FixingLoads, ...] = ()
    if not unknown:
        winch = winch_loads(hoist, room, catalogue, pull=pull, travel=travel)
        known = math.isfinite(winch.pull)
        strengths = (_winch_rope(hoist, catalogue, winch),) if known else ()
        fixings = fixing_loads(hoist, room, catalogue, winch, travel)
    return {
        "pull": pull,
        "winch": winch,
        "strengths": strengths,
        "trusses": truss_sums(cables),
        "fixings": fixings,
        "trouble": "; ".join(unknown),
    }


def _winch_rope(hoist: Hoist, catalogue: Catalogue, winch: WinchLoads) -> RopeStrength:
    """Return how strong the winch rope is on its drum and round its block."""
    rope = catalogue.find(parts.Rope, hoist.winch.rope)
    wheels = [winch.core]
    if hoist.parts is Parts.TWO:
        wheels.append(groove(catalogue.find(parts.SnatchBlock, hoist.block), rope))
    tension = max(winch.pull, winch.dead_end or 0.0)
    return rope_strength(hoist.id, "winch rope", rope, tension, wheels=wheels)


def truss_sums(cables: Sequence[CableLoads]) -> tuple[TrussLoad, ...]:
    """Return the sum of the screws on each truss, blocking counted on the nearest."""
    pulls = [(a.truss, a.force) for cable in cables for a in cable.anchors]
    return truss_loads(pulls)
