"""A whole barn: everything that stands in it, everything that hangs at a lift."""

from collections.abc import Mapping

from core.catalogue.catalogue import Catalogue
from core.geometry.shapes import Mesh
from core.model.barn import Barn
from core.placement.building import building_solids
from core.placement.hanging import hoist_strands, pulley_solids, run_strands
from core.placement.leads import jumper_strand, lead_strands
from core.placement.solids import Solid, Strand, fixture_solids

__all__ = ["placed_solids", "strands"]


def placed_solids(
    barn: Barn, meshes: Mapping[str, Mesh], catalogue: Catalogue
) -> tuple[Solid, ...]:
    """Return everything that stands still in a barn.

    Parameters
    ----------
    barn : Barn
        The barn.
    meshes : mapping of str to Mesh
        The mesh of each scan, by its fixture's id, in room coordinates [in].
    catalogue : Catalogue
        The parts.

    Returns
    -------
    tuple of Solid
        Building, fixtures, turning pulleys.

    Raises
    ------
    MeshFileError
        If the mesh of a scan is not among `meshes`.
    """
    return (
        *building_solids(barn.room),
        *(
            solid
            for fixture in barn.fixtures
            for solid in fixture_solids(fixture, barn.room, meshes)
        ),
        *(solid for hoist in barn.hoists for solid in pulley_solids(hoist, catalogue)),
    )


def strands(barn: Barn, catalogue: Catalogue, *, lift: float) -> tuple[Strand, ...]:
    """Return everything that hangs in a barn at a lift.

    Parameters
    ----------
    barn, catalogue
        The barn, and the parts.
    lift : float
        0 at working height, 1 stowed [-].

    Returns
    -------
    tuple of Strand
        Ropes, insulators, clamps, pull cables, winch lines, leads and jumpers;
        the ropes of a run without a hoist end on their pulleys.
    """
    room, runs = barn.room, {run.id: run for run in barn.runs}
    hoisted = {cable.run for hoist in barn.hoists for cable in hoist.cables}
    hung: list[Strand] = []
    for hoist in barn.hoists:
        hung += hoist_strands(hoist, barn, catalogue, lift=lift)
    for run in barn.runs:
        if run.id not in hoisted:
            hung += run_strands(run, room, catalogue, lift=lift)
    for lead in barn.electrical.leads:
        hung += lead_strands(lead, runs[lead.run], room, catalogue, lift=lift)
    for jumper in barn.electrical.jumpers:
        ends = runs[jumper.from_run], runs[jumper.to_run]
        hung.append(jumper_strand(jumper, *ends, room, catalogue, lift=lift))
    return tuple(hung)
