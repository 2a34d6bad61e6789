"""Where each lead hangs over the whole travel, and what it comes near to."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache, partial

import numpy as np

from core.analysis.evidence import HungRun
from core.analysis.memo import Memo
from core.analysis.scans import scan_contacts
from core.analysis.scene import Scene
from core.analysis.tables import LEAD_HORIZON, StrandRow
from core.catalogue import parts
from core.catalogue.catalogue import Catalogue
from core.electrics.lead import (
    LeadReach,
    SweptLead,
    lead_reach,
    route_length,
    sweep_lead,
)
from core.errors import UnconvergedError, ValueRangeError
from core.geometry.distance import SegmentTable, segment_clearances
from core.geometry.obstacles import ObstacleSet
from core.geometry.runs import SweptRun
from core.geometry.shapes import Box, FloatArray, Vec3, as_vec3
from core.model.barn import Barn
from core.model.electrical import Jumper, Lead
from core.model.runs import Run
from core.placement.runs import point_at
from core.placement.solids import Group
from core.placement.vectors import subtracted
from core.rules.electrical_evidence import LeadFacts
from core.rules.evidence import StrandContact

__all__ = [
    "HangingLead",
    "hanging_leads",
    "lead_facts",
    "lead_rows",
    "lead_scans",
    "runs_near",
]

_RUN_HORIZON = 8.0  # [in] other runs farther than this are not looked at
_TOLERANCE = 1.0  # [in] how far the lead may be from the shapes that are measured


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HangingLead:
    """One lead or jumper over the travel; lengths [in].

    `ends` are the runs that it ends at; `row` are its shapes as still capsules, none
    where `trouble` says why, and `low` and `high` the corners of the box round them.
    Every point of the true lead, at any lift, is within `margin` of them.
    """

    id: str
    run: str
    ends: tuple[str, ...]
    lead: Lead | None
    route: float
    free_length: float
    reach: LeadReach
    row: StrandRow | None
    low: Vec3
    high: Vec3
    margin: float
    lowest: Vec3 | None
    lowest_lift: float
    rated_voltage: float
    trouble: str = ""


def hanging_leads(
    barn: Barn,
    catalogue: Catalogue,
    hung: Mapping[str, HungRun],
    held: float,
    memo: Memo,
) -> dict[str, HangingLead]:
    """Return every lead and jumper over its travel, by id.

    Parameters
    ----------
    barn, catalogue
        The barn and the parts.
    hung : mapping of str to HungRun
        How each run hangs.
    held : float
        Way round the last fixed hold that belongs to the hold [in].
    memo : Memo
        What is kept between analyses; a lead is swept again only when it, its
        terminal or its travel changes.
    """
    runs = {run.id: run for run in barn.runs}
    found = {}
    for lead in barn.electrical.leads:
        if lead.run in hung and lead.route:
            end, way = _end(lead.id, runs[lead.run], lead.terminal, hung, memo)
            found[lead.id] = memo.of(
                ("lead", lead.id),
                (lead, catalogue, end, way, held),
                partial(_lead, lead, catalogue, end, way, held),
            )
    for jumper in barn.electrical.jumpers:
        if jumper.from_run in hung and jumper.to_run in hung:
            found[jumper.id] = _kept_jumper(jumper, runs, catalogue, hung, memo)
    return found


def _kept_jumper(
    jumper: Jumper,
    runs: Mapping[str, Run],
    catalogue: Catalogue,
    hung: Mapping[str, HungRun],
    memo: Memo,
) -> HangingLead:
    ends = (
        (jumper.from_run, jumper.from_station, f"{jumper.id} from"),
        (jumper.to_run, jumper.to_station, f"{jumper.id} to"),
    )
    (a, way_a), (b, way_b) = (
        _end(key, runs[run], station, hung, memo) for run, station, key in ends
    )
    return memo.of(
        ("lead", jumper.id),
        (jumper, catalogue, a, b, way_a, way_b),
        partial(_jumper, jumper, catalogue, a, b, way_a, way_b),
    )


def _end(
    key: str,
    run: Run,
    station: float,
    hung: Mapping[str, HungRun],
    memo: Memo,
) -> tuple[Vec3, float]:
    """Return a terminal at working height and its travel, the kept ones if equal."""
    body = hung[run.id].body
    place = (*point_at(run, station), body.low)
    return (
        memo.settled(("terminal", key), place),
        memo.settled(("lead travel", key), body.travel),
    )


def _lead(
    lead: Lead, catalogue: Catalogue, end: Vec3, travel: float, held: float
) -> HangingLead:
    hold = lead.route[-1]
    swept, trouble = _swept(hold, end, travel, 0.0, lead.free_length)
    return _hanging(
        lead,
        catalogue.find(parts.HvLead, lead.part),
        run=lead.run,
        length=lead.free_length,
        reach=lead_reach(hold, end, travel=travel),
        swept=swept,
        hold=(hold, held),
        trouble=trouble,
    )


def _jumper(
    jumper: Jumper,
    catalogue: Catalogue,
    a: Vec3,
    b: Vec3,
    way_a: float,
    way_b: float,
) -> HangingLead:
    swept, trouble = _swept(a, b, way_b, way_a, jumper.length)
    apart = abs(way_b - way_a)  # as seen from the first end
    far = b if way_b >= way_a else (b[0], b[1], b[2] - apart)
    return _hanging(
        jumper,
        catalogue.find(parts.HvLead, jumper.part),
        run=jumper.from_run,
        length=jumper.length,
        reach=lead_reach(a, far, travel=apart),
        swept=swept,
        hold=(a, 0.0),
        trouble=trouble,
    )


def _swept(
    hold: Vec3, end: Vec3, travel: float, hold_travel: float, length: float
) -> tuple[SweptLead | None, str]:
    """Return the swept lead, or why there is none."""
    away = subtracted(end, hold)
    try:
        seen = _seen_from_hold(away, travel, hold_travel, length)
    except (ValueRangeError, UnconvergedError) as error:
        return None, str(error)
    return replace(seen, shapes=seen.shapes + np.array(hold)), ""


@lru_cache(maxsize=256)
def _seen_from_hold(
    away: Vec3, travel: float, hold_travel: float, length: float
) -> SweptLead:
    """Return a swept lead as seen from its hold: many leads of a barn are alike."""
    return sweep_lead(
        (0.0, 0.0, 0.0),
        away,
        travel=travel,
        hold_travel=hold_travel,
        length=length,
        tolerance=_TOLERANCE,
    )


def _hanging(
    lead: Lead | Jumper,
    part: parts.HvLead,
    *,
    run: str,
    length: float,
    reach: LeadReach,
    swept: SweptLead | None,
    hold: tuple[Vec3, float],
    trouble: str,
) -> HangingLead:
    row, lowest, lift, margin = None, None, 0.0, 0.0
    low = high = hold[0]
    if swept is not None:
        low = as_vec3(swept.shapes.min(axis=(0, 1)))
        high = as_vec3(swept.shapes.max(axis=(0, 1)))
        row = _row(swept.shapes, part.outside_diameter / 2, *hold)
        heights = swept.shapes[:, :, 2]
        shape, place = np.unravel_index(heights.argmin(), heights.shape)
        lowest = as_vec3(swept.shapes[shape, place])
        lift, margin = float(swept.lifts[shape]), swept.margin
    plain = lead if isinstance(lead, Lead) else None
    return HangingLead(
        id=lead.id,
        run=run,
        ends=(lead.from_run, lead.to_run) if isinstance(lead, Jumper) else (run,),
        lead=plain,
        route=0.0 if plain is None else route_length(plain.route),
        free_length=length,
        reach=reach,
        row=row,
        low=low,
        high=high,
        margin=margin,
        lowest=lowest,
        lowest_lift=lift,
        rated_voltage=part.rated_voltage,
        trouble=trouble,
    )


def _row(shapes: FloatArray, radius: float, hold: Vec3, held: float) -> StrandRow:
    """Return the pieces of all shapes, cut off at a way of `held` from the hold."""
    starts, ends = shapes[:, :-1].reshape(-1, 3), shapes[:, 1:].reshape(-1, 3)
    from_hold, pieces = starts - np.array(hold), ends - starts
    square = np.maximum((pieces**2).sum(axis=1), 1e-12)
    half = (from_hold * pieces).sum(axis=1)
    inside = (from_hold**2).sum(axis=1) - held**2
    # the far root of |start + t piece - hold| = held
    root = np.sqrt(np.maximum(half**2 - square * inside, 0.0))
    cut = np.where(inside < 0.0, (root - half) / square, 0.0)
    kept = cut < 1.0
    starts = (starts + cut[:, None] * pieces)[kept]
    return StrandRow(starts=starts, ends=ends[kept], radii=np.full(len(starts), radius))


def lead_rows(leads: Mapping[str, HangingLead]) -> dict[str, StrandRow]:
    """Return what is measured of each lead that hangs."""
    return {key: lead.row for key, lead in leads.items() if lead.row is not None}


def runs_near(
    hanging: HangingLead, hung: Mapping[str, HungRun]
) -> tuple[tuple[str, SweptRun], ...]:
    """Return the other runs whose swept space may be near a lead, seen in plan."""
    if hanging.row is None:
        return ()
    return tuple(
        (key, run.body)
        for key, run in hung.items()
        if key not in hanging.ends and _is_near(run.body, hanging.low, hanging.high)
    )


def _is_near(body: SweptRun, low: Vec3, high: Vec3) -> bool:
    reach = _side_reach(body) + _RUN_HORIZON
    (x0, y0), (x1, y1) = body.start, body.end
    return (
        min(y0, y1) - reach <= high[1]
        and max(y0, y1) + reach >= low[1]
        and min(x0, x1) - reach <= high[0]
        and max(x0, x1) + reach >= low[0]
    )


def _side_reach(body: SweptRun) -> float:
    """Return how far a run may reach to each side of its axis at rest [in]."""
    swing = body.swing
    rope = 0.0 if swing is None else swing.pulley_height - body.low
    return body.side + body.radius + rope


def _swept_box(body: SweptRun) -> Box:
    """Return a box round all the room that a run sweeps, sag and swing included."""
    (x0, y0), (x1, y1) = body.start, body.end
    length = math.dist(body.start, body.end)
    u = ((x1 - x0) / length, (y1 - y0) / length, 0.0)
    sag = max(body.sag.depths, default=0.0) if body.sag else 0.0
    low = body.low - body.down - body.radius - max(sag, 0.0)
    high = body.low + body.travel + body.up + body.radius
    return Box(
        center=((x0 + x1) / 2, (y0 + y1) / 2, (low + high) / 2),
        half=(length / 2 + body.radius, _side_reach(body), (high - low) / 2),
        axes=(u, (-u[1], u[0], 0.0), (0.0, 0.0, 1.0)),
    )


def _run_contacts(
    hanging: HangingLead, near: tuple[tuple[str, SweptRun], ...]
) -> Iterator[StrandContact]:
    """Yield how near the lead comes to the swept space of each other run."""
    row = hanging.row
    if row is None or not near:
        return
    table = segment_clearances(
        row.starts,
        row.ends,
        row.radii,
        ObstacleSet.of([_swept_box(body) for _, body in near]),
        horizon=_RUN_HORIZON,
    )
    for place, (key, _) in enumerate(near):
        rows = np.flatnonzero(table.obstacle == place)
        if rows.size:
            nearest = int(rows[table.clearance[rows].argmin()])
            swept = ("swept space", Group.RUN)
            yield _contact(hanging, table, nearest, other=key, part=swept)


def lead_scans(
    hanging: HangingLead, scene: Scene, memo: Memo
) -> tuple[StrandContact, ...]:
    """Return the nearest contact of a lead with each scan, a lower bound each."""
    row = hanging.row
    if row is None:
        return ()
    parts = (("lead", Group.LEAD),) * len(row.radii)
    found = scan_contacts(
        hanging.id,
        row,
        parts,
        scene,
        memo,
        horizon=LEAD_HORIZON,
        margin=hanging.margin,
    )
    return tuple(contact for group in found for contact in group)


def lead_facts(
    hanging: HangingLead,
    table: SegmentTable | None,
    near: tuple[tuple[str, SweptRun], ...],
    scans: tuple[StrandContact, ...],
    scene: Scene,
) -> LeadFacts:
    """Return a lead with what it comes near to, each clearance a lower bound."""
    contacts = {contact.other: contact for contact in scans}
    own: set[str] = set()
    if table is not None:
        for contact, mine in _contacts(hanging, table, scene):
            contacts.setdefault(contact.other, contact)
            if mine:
                own.add(contact.other)
    for contact in _run_contacts(hanging, near):
        held = contacts.get(contact.other)
        if held is None or contact.clearance < held.clearance:
            contacts[contact.other] = contact
        own.add(contact.other)
    return LeadFacts(
        id=hanging.id,
        run=hanging.run,
        lead=hanging.lead,
        route=hanging.route,
        free_length=hanging.free_length,
        reach=hanging.reach,
        spare=hanging.reach.spare(hanging.free_length),
        lowest=hanging.lowest,
        lowest_lift=hanging.lowest_lift,
        margin=hanging.margin,
        contacts=tuple(contacts.values()),
        own=frozenset(own),
        rated_voltage=hanging.rated_voltage,
        trouble=hanging.trouble,
    )


def _contacts(
    hanging: HangingLead, table: SegmentTable, scene: Scene
) -> Iterator[tuple[StrandContact, bool]]:
    """Yield the nearest row of each owner first, and whether it hangs with the run."""
    owners = scene.owner_codes[table.obstacle]
    order = np.lexsort((table.obstacle, table.clearance, owners))
    first = np.ones(order.size, dtype=np.bool_)
    first[1:] = owners[order][1:] != owners[order][:-1]
    for row in order[first].tolist():
        place = int(table.obstacle[row])
        solid = scene.solids[place]
        part = (solid.part, solid.group)
        contact = _contact(hanging, table, row, other=solid.owner, part=part)
        yield contact, scene.origins[place].run in hanging.ends


def _contact(
    hanging: HangingLead,
    table: SegmentTable,
    row: int,
    *,
    other: str,
    part: tuple[str, Group],
) -> StrandContact:
    return StrandContact(
        part="lead",
        group=Group.LEAD,
        other=other,
        other_part=part[0],
        other_group=part[1],
        clearance=float(table.clearance[row]) - hanging.margin,
        on_strand=as_vec3(table.on_segment[row]),
        on_other=as_vec3(table.on_obstacle[row]),
    )
