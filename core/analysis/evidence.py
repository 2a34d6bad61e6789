"""The evidence of every run and of the room, kept where nothing has touched it."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

import numpy as np

from core.analysis.contacts import (
    REACH,
    nearest_first,
    run_contact,
    strand_contacts,
    table_contacts,
)
from core.analysis.gather import (
    fan_distances,
    inside_hits,
    next_pulleys,
    truss_places,
)
from core.analysis.memo import Memo
from core.analysis.pipes import (
    HungPipe,
    hang_pipe,
    pipe_facts,
    sag_profile,
    swing_of,
)
from core.analysis.scans import inside_scans, scan_contacts, swept_contact
from core.analysis.scene import Scene, Source, run_cables
from core.analysis.tables import RUB_HORIZON, StrandRow
from core.catalogue.catalogue import Catalogue
from core.geometry.coverage import Coverage, floor_coverage, lane_outline
from core.geometry.distance import Motion, SegmentTable, run_clearance
from core.geometry.runs import SweptRun
from core.geometry.shapes import Capsule
from core.geometry.sweep import PairTable
from core.model.barn import Barn
from core.model.fixtures import TunnelFan
from core.model.hoists import Hoist, PullCable, RunEnd
from core.model.room import Ventilation
from core.model.runs import Run
from core.placement.building import Truss, truss_stations
from core.placement.hanging import HungSupport, pull_cable_path, support_points
from core.placement.runs import run_body
from core.placement.solids import Solid
from core.rules.evidence import (
    Contact,
    InsideHit,
    RoomEvidence,
    RunEvidence,
    StrandContact,
)
from core.rules.hoist_evidence import CableLoads
from core.rules.registry import Limits

__all__ = [
    "HungRun",
    "Measured",
    "hung_runs",
    "room_evidence",
    "run_evidence",
    "source_strands",
    "strand_rows",
]

LANE_WIDTH = 120.0  # [in] common practice, no published source


def _strand_segments(source: Source) -> tuple[Solid, ...]:
    """Return the straight pieces of what hangs with a run."""
    return tuple(solid for solid in source.solids if isinstance(solid.shape, Capsule))


def strand_rows(scene: Scene, memo: Memo) -> dict[str, StrandRow]:
    """Return what hangs with each run, and each winch line, as still capsules.

    The keys are the run's id, or the key of a hoist's source.
    """
    return {
        source.run or source.key: _kept_row(source, memo)
        for source in scene.sources
        if source.run is not None or source.hoist is not None
    }


def _kept_row(source: Source, memo: Memo) -> StrandRow:
    """Return the row of a source, the kept one where it lies as it did before."""
    made = memo.of(("row made", source.key), (source,), partial(_row, source))
    lies = tuple(x.tobytes() for x in (made.starts, made.ends, made.radii))
    lies = memo.settled(("row lies", source.key), lies)
    return memo.of(("strand row", source.key), (lies,), lambda: made)


def _row(source: Source) -> StrandRow:
    shapes = [s.shape for s in _strand_segments(source) if isinstance(s.shape, Capsule)]
    return StrandRow(
        starts=np.array([shape.a for shape in shapes]).reshape(-1, 3),
        ends=np.array([shape.b for shape in shapes]).reshape(-1, 3),
        radii=np.array([shape.radius for shape in shapes], dtype=np.float64),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HungRun:
    """A run on its ropes: supports at working height, pipe, and swept body."""

    supports: tuple[HungSupport, ...]
    pipe: HungPipe
    body: SweptRun


def hung_runs(
    barn: Barn, catalogue: Catalogue, limits: Mapping[str, Limits], memo: Memo
) -> dict[str, HungRun]:
    """Return how each run hangs and what it sweeps."""
    envelope = limits["clearance.envelope"]
    leaves = dict.fromkeys((run.id for run in barn.runs), RunEnd.FRONT)
    leaves |= {key: cable.leaves for key, (_, cable) in run_cables(barn).items()}
    return {
        run.id: memo.of(
            ("hung", run.id),
            (
                run,
                barn.room,
                catalogue,
                barn.job.side_air,
                barn.job.side_allowance,
                envelope,
                leaves[run.id],
            ),
            partial(_hung_run, run, barn, catalogue, envelope["least"], leaves[run.id]),
        )
        for run in barn.runs
    }


def _hung_run(
    run: Run, barn: Barn, catalogue: Catalogue, limit: float, leaves: RunEnd
) -> HungRun:
    supports = support_points(run, barn.room, catalogue, lift=0.0, leaves=leaves)
    pipe = hang_pipe(run, catalogue, supports)
    body = run_body(
        run,
        barn.room,
        catalogue,
        sag=sag_profile(pipe),
        side_allowance=barn.job.side_allowance,
        limit=limit,
    )
    swing = swing_of(run, barn.job.side_air, catalogue, pipe, supports)
    if swing is not None:
        top = max(swing.pulley_height, body.low + body.travel)
        body = replace(body, swing=replace(swing, pulley_height=top))
    return HungRun(supports=supports, pipe=pipe, body=body)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Measured:
    """What has been measured of all runs of one analysis."""

    barn: Barn
    catalogue: Catalogue
    scene: Scene
    hung: Mapping[str, HungRun]
    pairs: Mapping[str, PairTable]
    rubs: Mapping[str, SegmentTable]
    cables: Mapping[str, CableLoads]


def run_evidence(run: Run, measured: Measured, memo: Memo) -> RunEvidence:
    """Return the evidence of a run, the kept one when nothing of it has changed."""
    barn, catalogue = measured.barn, measured.catalogue
    hoist, cable = run_cables(barn).get(run.id, (None, None))
    strip = next((s for s in barn.room.strips if s.id == run.strip), None)
    fans = memo.of("fans", (barn.fixtures, barn.room), partial(_fans, barn))
    trusses = memo.of("trusses", (barn.room,), partial(truss_stations, barn.room))
    contacts = _contacts(run, measured, memo)
    strands = _strands(run, measured, memo)
    inside = _inside(run, measured, memo)
    hung = measured.hung[run.id]
    limit = barn.job.sag_limit
    inputs = (run, barn.room, strip, hoist, cable, catalogue, hung, fans, limit)
    return memo.of(
        ("evidence", run.id),
        (*inputs, contacts, strands, inside),
        lambda: RunEvidence(
            run=run,
            room=barn.room,
            strip=strip,
            hoist=hoist,
            cable=cable,
            catalogue=catalogue,
            body=hung.body,
            contacts=contacts,
            strands=strands,
            inside=inside[0],
            open_scans=inside[1],
            pipe=pipe_facts(run, hung.pipe),
            sag_limit=limit,
            **_support_facts(run, hoist, cable, measured, fans, trusses),
        ),
    )


def _support_facts(
    run: Run,
    hoist: Hoist | None,
    cable: PullCable | None,
    measured: Measured,
    fans: tuple[TunnelFan, ...],
    trusses: tuple[Truss, ...],
) -> dict[str, Any]:
    """Return the facts of a run's supports, by their names in the evidence."""
    barn, catalogue, hung = measured.barn, measured.catalogue, measured.hung[run.id]
    offsets, names = truss_places(trusses, hung.supports)
    following: dict[str, float] = {}
    if hoist is not None and cable is not None and run.supports:
        path = pull_cable_path(hoist, cable, barn, catalogue, lift=0.0)
        following = next_pulleys(run, cable, path, catalogue)
    return {
        "insulator_gaps": {
            place.support: place.pulley[2] - place.insulator_high[2] - hung.body.travel
            for place in hung.supports
        },
        "next_pulleys": following,
        "truss_offsets": offsets,
        "truss_names": names,
        "fan_distances": fan_distances(fans, barn.room, hung.supports),
    }


def _fans(barn: Barn) -> tuple[TunnelFan, ...]:
    """Return the fans that insulators keep away from."""
    if barn.room.ventilation is not Ventilation.TUNNEL:
        return ()
    return tuple(f for f in barn.fixtures if isinstance(f, TunnelFan))


def _contacts(run: Run, measured: Measured, memo: Memo) -> tuple[Contact, ...]:
    """Return the contacts of a run with solids, scans and other runs."""
    table, scene = measured.pairs[run.id], measured.scene
    groups = [
        memo.of(
            ("contacts", run.id),
            (table, scene.owner_codes),
            lambda: table_contacts(table, scene),
        ),
        *_scan_contacts(run, measured, memo),
        *_run_contacts(run, measured, memo),
    ]
    return memo.of(
        ("all contacts", run.id), tuple(groups), lambda: nearest_first(groups)
    )


def _scan_contacts(
    run: Run, measured: Measured, memo: Memo
) -> Iterator[Contact | None]:
    body = measured.hung[run.id].body
    for solid, surface in measured.scene.scans:
        yield memo.of(
            ("scan contact", run.id, solid.owner),
            (body, surface),
            partial(swept_contact, body, solid, surface),
        )


def _run_contacts(run: Run, measured: Measured, memo: Memo) -> Iterator[Contact | None]:
    cables = run_cables(measured.barn)
    body = measured.hung[run.id].body
    for other in measured.barn.runs:
        if other.id == run.id:
            continue
        theirs = measured.hung[other.id].body
        mine, its = cables.get(run.id), cables.get(other.id)
        linked = mine is not None and its is not None and mine[0] is its[0]
        motion = Motion.LINKED if linked else Motion.INDEPENDENT
        yield memo.of(
            ("run contact", run.id, other.id),
            (body, theirs, motion),
            partial(_run_contact, body, theirs, motion, other.id),
        )


def _run_contact(
    body: SweptRun, other: SweptRun, motion: Motion, name: str
) -> Contact | None:
    """Return the contact with another run, measured only where it may be near."""
    if _plan_gap(body, other) > REACH + body.radius + other.radius + _reach(
        body, other
    ):
        return None
    return run_contact(run_clearance(body, other, motion=motion), body, name)


def _reach(body: SweptRun, other: SweptRun) -> float:
    """Return how far two runs may reach sideways beyond their axes [in]."""
    return sum(
        one.side + (0.0 if one.swing is None else one.swing.pulley_height - one.low)
        for one in (body, other)
    )


def _plan_gap(a: SweptRun, b: SweptRun) -> float:
    """Return a lower bound of the plan distance of two axes [in]."""
    gaps = []
    for axis in (0, 1):
        low_a, high_a = sorted((a.start[axis], a.end[axis]))
        low_b, high_b = sorted((b.start[axis], b.end[axis]))
        gaps.append(max(low_b - high_a, low_a - high_b, 0.0))
    return math.hypot(*gaps)


def _strands(run: Run, measured: Measured, memo: Memo) -> tuple[StrandContact, ...]:
    """Return the contacts of a run's ropes, clamps and cable."""
    source = next(s for s in measured.scene.sources if s.run == run.id)
    return source_strands(source, measured.scene, measured.rubs, memo)


def source_strands(
    source: Source, scene: Scene, rubs: Mapping[str, SegmentTable], memo: Memo
) -> tuple[StrandContact, ...]:
    """Return the contacts of what hangs with a run or of a winch line."""
    table = rubs[source.run or source.key]
    segments = _strand_segments(source)
    solids = memo.of(
        ("strands", source.key),
        (table, source, scene.owner_codes),
        lambda: strand_contacts(table, segments, source, scene),
    )
    parts = tuple((solid.part, solid.group) for solid in segments)
    row = _kept_row(source, memo)
    scans = scan_contacts(source.key, row, parts, scene, memo, horizon=RUB_HORIZON)
    groups = (solids, *scans)
    return memo.of(("all strands", source.key), groups, lambda: sum(groups, ()))


def _inside(
    run: Run, measured: Measured, memo: Memo
) -> tuple[tuple[InsideHit, ...], tuple[str, ...]]:
    """Return what holds the run, and the scans for which that is unknown."""
    scene, table = measured.scene, measured.pairs[run.id]
    body = measured.hung[run.id].body
    surfaces = tuple(surface for _, surface in scene.scans)
    return memo.of(
        ("inside", run.id),
        (table, body, scene.owner_codes, *surfaces),
        lambda: (
            (*inside_hits(body, table, scene), *inside_scans(body, scene)),
            tuple(solid.owner for solid, s in scene.scans if not s.closed),
        ),
    )


def room_evidence(barn: Barn, memo: Memo) -> RoomEvidence:
    """Return the evidence of the room as a whole."""
    room, runs = barn.room, barn.runs
    return memo.of(
        "room evidence",
        (room, runs, barn.fixtures, barn.job),
        lambda: RoomEvidence(
            room=room,
            runs=runs,
            fixtures=barn.fixtures,
            job=barn.job,
            covered=memo.of("coverage", (room, runs), partial(_covered, barn)),
        ),
    )


def _covered(barn: Barn) -> Coverage | None:
    """Return how much of the pens the lanes cover."""
    if not barn.room.pens:
        return None
    lanes = [lane_outline(run.start, run.end, width=LANE_WIDTH) for run in barn.runs]
    return floor_coverage(lanes, [pen.outline for pen in barn.room.pens])
