"""From pair tables, scans and other runs to the contacts of one run."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import fields
from typing import TYPE_CHECKING

import numpy as np

from core.analysis.scene import Scene, Source
from core.geometry.bands import union_bands
from core.geometry.distance import RunClearance, SegmentTable
from core.geometry.runs import SweptRun
from core.geometry.shapes import FloatArray, IntArray, as_vec3
from core.geometry.sweep import PairTable
from core.placement.solids import Group, Solid
from core.rules.evidence import Contact, StrandContact

if TYPE_CHECKING:
    from core.geometry.sweep_surface import SurfaceBands

__all__ = [
    "REACH",
    "nearest_first",
    "run_contact",
    "scan_contact",
    "strand_contacts",
    "table_contacts",
]

REACH = 18.0  # [in] contacts farther than this are not listed
Bands = tuple[tuple[float, float], ...]


def _by_owner(owners: IntArray, lo: FloatArray, hi: FloatArray) -> dict[int, Bands]:
    """Return the united intervals of each owner."""
    found: dict[int, list[tuple[float, float]]] = {}
    for owner, a, b in zip(
        *(x.tolist() for x in union_bands(owners, lo, hi)), strict=True
    ):
        found.setdefault(owner, []).append((a, b))
    return {owner: tuple(bands) for owner, bands in found.items()}


def table_contacts(table: PairTable, scene: Scene) -> tuple[Contact, ...]:
    """Return one contact for each owner that comes within reach of the run."""
    kept = np.flatnonzero(table.clearance < REACH)
    if not kept.size:
        return ()
    rows = PairTable(**{f.name: getattr(table, f.name)[kept] for f in fields(table)})
    owners = scene.owner_codes[rows.obstacle]
    bands = _by_owner(owners, rows.lo, rows.hi)
    stations = _by_owner(owners, rows.station_lo, rows.station_hi)
    order = np.lexsort((rows.obstacle, rows.clearance, owners))
    first = np.ones(order.size, dtype=np.bool_)
    first[1:] = owners[order][1:] != owners[order][:-1]
    return tuple(
        _contact(rows, int(row), scene, bands, stations, int(owners[row]))
        for row in order[first]
    )


def _contact(
    rows: PairTable,
    row: int,
    scene: Scene,
    bands: dict[int, Bands],
    stations: dict[int, Bands],
    owner: int,
) -> Contact:
    solid = scene.solids[int(rows.obstacle[row])]
    return Contact(
        other=solid.owner,
        part=solid.part,
        group=solid.group,
        bands=bands.get(owner, ()),
        clearance=float(rows.clearance[row]),
        at_height=float(rows.at_height[row]),
        on_run=as_vec3(rows.on_run[row]),
        on_other=as_vec3(rows.on_obstacle[row]),
        stations=stations.get(owner, ()),
    )


def scan_contact(found: "SurfaceBands", solid: Solid) -> Contact | None:
    """Return the contact with a scan, None when it is out of reach."""
    if found.clearance >= REACH or found.at_height is None:
        return None
    if found.on_run is None or found.on_surface is None:
        return None
    return Contact(
        other=solid.owner,
        part=solid.part,
        group=solid.group,
        bands=found.bands,
        clearance=found.clearance,
        at_height=found.at_height,
        on_run=found.on_run,
        on_other=found.on_surface,
        stations=found.stations,
    )


def run_contact(found: RunClearance, body: SweptRun, other: str) -> Contact | None:
    """Return the contact with another run, None when it is out of reach."""
    if found.clearance >= REACH:
        return None
    return Contact(
        other=other,
        part="pipe",
        group=Group.RUN,
        bands=(),
        clearance=found.clearance,
        at_height=body.low + found.lift_a * body.travel,
        on_run=found.on_a,
        on_other=found.on_b,
        stations=(),
    )


def nearest_first(
    groups: Iterable[Sequence[Contact] | Contact | None],
) -> tuple[Contact, ...]:
    """Return all contacts in one tuple, the nearest first."""
    return tuple(
        sorted(_flat(groups), key=lambda contact: (contact.clearance, contact.other))
    )


def _flat(groups: Iterable[Sequence[Contact] | Contact | None]) -> Iterator[Contact]:
    for group in groups:
        if isinstance(group, Contact):
            yield group
        elif group is not None:
            yield from group


def _may_touch(solid: Solid, mine: Source, other: Solid, origin: Source) -> bool:
    """Return whether parts of two runs, or of a run and a hoist, belong together."""
    joined = origin.hoist is not None and origin.hoist == mine.hoist
    cables = solid.group is Group.CABLE and other.group is Group.CABLE
    return joined and cables and other.part != "turning pulley"


def strand_contacts(
    table: SegmentTable, segments: Sequence[Solid], mine: Source, scene: Scene
) -> tuple[StrandContact, ...]:
    """Return the nearest contact of each strand with each other owner."""
    best: dict[tuple[str, str], StrandContact] = {}
    for row in np.lexsort((table.obstacle, table.segment, table.clearance)).tolist():
        solid = segments[int(table.segment[row])]
        place = int(table.obstacle[row])
        other = scene.solids[place]
        key = (solid.part, other.owner)
        if key in best or _may_touch(solid, mine, other, scene.origins[place]):
            continue
        best[key] = StrandContact(
            part=solid.part,
            group=solid.group,
            other=other.owner,
            other_part=other.part,
            other_group=other.group,
            clearance=float(table.clearance[row]),
            on_strand=as_vec3(table.on_segment[row]),
            on_other=as_vec3(table.on_obstacle[row]),
        )
    return tuple(best.values())
