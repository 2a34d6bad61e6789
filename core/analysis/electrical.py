"""The evidence of the electrical side: air, charge, leads, distances, ground."""

import math
from collections.abc import Iterator, Mapping
from functools import partial

import numpy as np

from core.analysis.evidence import HungRun
from core.analysis.leads import HangingLead, lead_facts, lead_scans, runs_near
from core.analysis.memo import Memo
from core.analysis.scene import Scene
from core.analysis.winches import door_distance
from core.catalogue import parts
from core.catalogue.catalogue import Catalogue
from core.electrics.air import AirGap, air_pressure, relative_air_density, required_gap
from core.electrics.ground import rod_resistance, two_rod_resistance
from core.electrics.stored_energy import (
    bleed_time,
    lead_capacitance,
    run_capacitance,
    stored_energy,
)
from core.electrics.working_space import WorkingCondition, working_depth
from core.errors import ValueRangeError
from core.geometry.distance import SegmentTable
from core.geometry.shapes import Box, FloatArray, Shape, Vec3
from core.model.barn import Barn
from core.model.electrical import Electrical, GroundRod, Jumper, Lead
from core.model.fixtures import Controller, Fixture, Probe
from core.model.hoists import Hoist
from core.model.room import Room, Wall
from core.placement.runs import run_length
from core.placement.solids import Group
from core.placement.walls import wall_frame
from core.rules.electrical_evidence import (
    Bonding,
    ElectricalEvidence,
    LeadFacts,
    RodFacts,
    StoredCharge,
    WorkingSpace,
)

__all__ = ["bond_register", "electrical_evidence"]

# Clear width and height of a working space [in]; NEC (NFPA 70) 110.32 and 110.34(A),
# from memory, a design target.
_SPACE_WIDTH, _SPACE_HEIGHT = 36.0, 78.0


def electrical_evidence(
    barn: Barn,
    catalogue: Catalogue,
    scene: Scene,
    hung: Mapping[str, HungRun],
    leads: Mapping[str, HangingLead],
    tables: Mapping[str, SegmentTable],
    envelope: float,
    memo: Memo,
) -> ElectricalEvidence:
    """Return the electrical evidence, the kept one when nothing of it has changed."""
    electrical = barn.electrical
    facts = memo.settled("lead facts", tuple(_facts(leads, tables, hung, scene, memo)))
    charge = memo.settled("charge", _charge(barn, catalogue, hung, leads))
    space = memo.settled("working space", _working_space(barn, scene, memo))
    runs = memo.settled("run names", tuple(run.id for run in barn.runs))
    controllers = memo.settled("controllers", dict(_controllers(barn, scene)))
    bonds = memo.of(
        "bonds",
        (barn.fixtures, barn.hoists, electrical.bonds),
        partial(bond_register, barn.fixtures, barn.hoists, electrical),
    )
    return memo.of(
        "electrical evidence",
        (
            *(electrical, barn.room, envelope, facts, charge, space),
            *(runs, controllers, bonds),
        ),
        lambda: _evidence(
            electrical,
            barn.room,
            envelope,
            leads=facts,
            charge=charge,
            space=space,
            runs=runs,
            controllers=controllers,
            bonds=bonds,
        ),
    )


def _evidence(
    electrical: Electrical,
    room: Room,
    envelope: float,
    *,
    leads: tuple[LeadFacts, ...],
    charge: StoredCharge,
    space: WorkingSpace | None,
    runs: tuple[str, ...],
    controllers: Mapping[str, float],
    bonds: tuple[Bonding, ...],
) -> ElectricalEvidence:
    density, gap, trouble = _air(electrical)
    rods = tuple(_rod(rod, electrical.soil_resistivity) for rod in electrical.rods)
    switch, supply = electrical.switch, electrical.supply
    outlet = None if supply is None else supply.outlet
    return ElectricalEvidence(
        electrical=electrical,
        runs=runs,
        envelope=envelope,
        density=density,
        gap=gap,
        gap_trouble=trouble,
        charge=charge,
        leads=leads,
        fed=_fed(electrical),
        controllers=controllers,
        switch_to_door=None if switch is None else door_distance(room, switch.at[:2]),
        supply_to_outlet=None
        if supply is None or outlet is None
        else math.dist(supply.at, outlet.at),
        working_space=space,
        bonds=bonds,
        rods=rods,
        together=_together(electrical),
    )


def _facts(
    leads: Mapping[str, HangingLead],
    tables: Mapping[str, SegmentTable],
    hung: Mapping[str, HungRun],
    scene: Scene,
    memo: Memo,
) -> Iterator[LeadFacts]:
    for key, lead in leads.items():
        table, near = tables.get(key), runs_near(lead, hung)
        scans = lead_scans(lead, scene, memo)
        yield memo.of(
            ("lead facts", key),
            (lead, table, scene.owner_codes, *scans, *(body for _, body in near)),
            partial(lead_facts, lead, table, near, scans, scene),
        )


def _air(electrical: Electrical) -> tuple[float, AirGap | None, str]:
    """Return the density of the air and the gap that the voltage needs."""
    density = math.nan
    try:
        density = relative_air_density(
            pressure=air_pressure(electrical.altitude),
            temperature=electrical.temperature,
        )
        return density, required_gap(abs(electrical.voltage), density=density), ""
    except ValueRangeError as error:
        return density, None, str(error)


def _charge(
    barn: Barn,
    catalogue: Catalogue,
    hung: Mapping[str, HungRun],
    leads: Mapping[str, HangingLead],
) -> StoredCharge:
    """Return what stays on all runs and leads when the supply is switched off."""
    pipes = (
        run_capacitance(
            run_length(run),
            radius=hung[run.id].body.radius,
            height=hung[run.id].body.low,
        )
        for run in barn.runs
        if hung[run.id].body.low > hung[run.id].body.radius
    )
    total = math.fsum([*pipes, *_lead_capacitances(barn, catalogue, leads)])
    voltage = abs(barn.electrical.voltage)
    supply = barn.electrical.supply
    bleed = None if supply is None else supply.bleed_resistance
    return StoredCharge(
        capacitance=total,
        energy=stored_energy(total, voltage),
        bleed_time=None
        if bleed is None
        else bleed_time(total, resistance=bleed, voltage=voltage),
    )


def _lead_capacitances(
    barn: Barn, catalogue: Catalogue, leads: Mapping[str, HangingLead]
) -> Iterator[float]:
    both: tuple[Lead | Jumper, ...] = (
        *barn.electrical.leads,
        *barn.electrical.jumpers,
    )
    for lead in both:
        if lead.id in leads:
            part = catalogue.find(parts.HvLead, lead.part)
            yield lead_capacitance(
                leads[lead.id].route + leads[lead.id].free_length,
                capacitance_per_foot=part.capacitance_per_foot,
            )


def _fed(electrical: Electrical) -> frozenset[str]:
    """Return the runs that a lead or a jumper reaches."""
    leads = (lead.run for lead in electrical.leads)
    jumpers = (
        run for jumper in electrical.jumpers for run in (jumper.from_run, jumper.to_run)
    )
    return frozenset((*leads, *jumpers))


def _controllers(barn: Barn, scene: Scene) -> Iterator[tuple[str, float]]:
    """Yield how far the isolating switch is from each controller [in]."""
    switch = barn.electrical.switch
    if switch is None:
        return
    ids = {f.id for f in barn.fixtures if isinstance(f, Controller)}
    for source in scene.sources:
        if source.key in ids:
            gaps = [_gap(switch.at, solid.shape) for solid in source.solids]
            yield source.key, min(gaps, default=math.inf)


def _gap(place: Vec3, shape: Shape) -> float:
    """Return how far a point is from a box [in]."""
    if not isinstance(shape, Box):
        return math.inf
    away = [p - c for p, c in zip(place, shape.center, strict=True)]
    gaps = (
        abs(sum(a * u for a, u in zip(away, axis, strict=True))) - half
        for axis, half in zip(shape.axes, shape.half, strict=True)
    )
    return math.hypot(*(max(gap, 0.0) for gap in gaps))


def _working_space(barn: Barn, scene: Scene, memo: Memo) -> WorkingSpace | None:
    """Return the clear depth in front of the supply; None where it is not known.

    Everything that stands counts by the box round it.
    """
    supply, room = barn.electrical.supply, barn.room
    if supply is None or not _inside(room, supply.at):
        return None
    condition = WorkingCondition.GROUNDED_PARTS  # pens and walls count as grounded
    try:
        target = working_depth(abs(barn.electrical.voltage), condition)
    except ValueRangeError:
        return None
    standing = memo.of(
        "standing",
        (scene.owner_codes,),
        lambda: np.array(
            [s.group in (Group.FIXTURE, Group.BUILDING) for s in scene.solids]
        ),
    )
    depth, place = _clear_depth(supply.at, room, scene, standing)
    by = "the far wall" if place is None else scene.solids[place].owner
    return WorkingSpace(depth=depth, blocked_by=by, target=target, condition=condition)


def _inside(room: Room, place: Vec3) -> bool:
    return 0.0 <= place[0] <= room.length and 0.0 <= place[1] <= room.width


def _clear_depth(
    place: Vec3, room: Room, scene: Scene, standing: FloatArray
) -> tuple[float, int | None]:
    """Return how far it is clear in front of a place on a wall, and up to what."""
    ways = {
        Wall.FRONT: place[0],
        Wall.BACK: room.length - place[0],
        Wall.LEFT: place[1],
        Wall.RIGHT: room.width - place[1],
    }
    wall = wall_frame(room, min(ways, key=lambda w: ways[w]))
    center, half = scene.obstacles.center, scene.obstacles.half
    inward, along = np.array(wall.inward), np.array(wall.along)
    away = center[:2] - np.array(place[:2])[:, None]
    depths = inward @ away - np.abs(inward) @ half[:2]
    aside = np.abs(along @ away) - np.abs(along) @ half[:2]
    bottom = center[2] - half[2]
    met = standing & (depths > 0.0) & (aside < _SPACE_WIDTH / 2)
    met &= (bottom < _SPACE_HEIGHT) & (center[2] + half[2] > 0.0)
    if not met.any():
        across = room.length if wall.inward[0] else room.width
        return across - min(ways.values()), None
    first = int(np.where(met, depths, np.inf).argmin())
    return float(depths[first]), first


def bond_register(
    fixtures: tuple[Fixture, ...],
    hoists: tuple[Hoist, ...],
    electrical: Electrical,
) -> tuple[Bonding, ...]:
    """Return every part that needs a bond, with the bond that is noted for it.

    Parameters
    ----------
    fixtures : tuple of Fixture
        Probes, controllers and metal fixtures need one.
    hoists : tuple of Hoist
        Each needs one for its winch, winch line and pull cables, which are metal
        that hangs by live pipes and that people take hold of.
    electrical : Electrical
        Its bonds; those of other things are listed last.

    Returns
    -------
    tuple of Bonding
        In the order of the fixtures, then of the hoists.
    """
    noted = {bond.subject: bond for bond in electrical.bonds}
    needed = [
        fixture
        for fixture in fixtures
        if fixture.metal or isinstance(fixture, Probe | Controller)
    ]
    kinds: dict[str, str] = {fixture.id: fixture.kind for fixture in needed}
    kinds |= {hoist.id: "hoist" for hoist in hoists}
    kinds |= {subject: "other" for subject in noted if subject not in kinds}
    rows = []
    for subject, kind in kinds.items():
        bond = noted.get(subject)
        rows.append(
            Bonding(
                subject=subject,
                kind=kind,
                to=None if bond is None else bond.to,
                conductor="" if bond is None else bond.conductor,
                resistance=None if bond is None else bond.resistance,
            )
        )
    return tuple(rows)


def _rod(rod: GroundRod, resistivity: float | None) -> RodFacts:
    ohms = None
    if resistivity is not None:
        try:
            ohms = rod_resistance(resistivity, length=rod.length, diameter=rod.diameter)
        except ValueRangeError:
            ohms = None
    return RodFacts(
        id=rod.id, length=rod.length, diameter=rod.diameter, resistance=ohms
    )


def _together(electrical: Electrical) -> float | None:
    """Return the resistance of two equal rods bonded together [ohm]."""
    if len(electrical.rods) != 2 or electrical.soil_resistivity is None:
        return None
    first, second = electrical.rods
    if (first.length, first.diameter) != (second.length, second.diameter):
        return None
    try:
        return two_rod_resistance(
            electrical.soil_resistivity,
            length=first.length,
            diameter=first.diameter,
            spacing=math.dist(first.at, second.at),
        )
    except ValueRangeError:
        return None
