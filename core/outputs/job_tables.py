"""All tables of a job, in the order in which a person needs them."""

from collections.abc import Mapping
from dataclasses import dataclass

from core.analysis.analyse import Analysis
from core.geometry.shapes import Mesh
from core.outputs.drilling import drilling_table, heights_table
from core.outputs.findings_rows import (
    findings_table,
    not_checked_table,
    overrides_table,
)
from core.outputs.grounding import (
    bonds_table,
    leads_table,
    rods_table,
    supply_table,
)
from core.outputs.holes import Hole, drill_holes
from core.outputs.record_tables import commissioning_tables
from core.outputs.rigging import (
    clamps_table,
    cuts_table,
    pulleys_table,
    route_table,
    winch_table,
)
from core.outputs.tables import Table, length_style
from core.outputs.takeoff import (
    Item,
    items_table,
    pieces_table,
    sticks_table,
    take_off,
    tools_table,
)
from core.quantities import LengthStyle

__all__ = ["JobTables", "job_tables"]


@dataclass(frozen=True, slots=True, kw_only=True)
class JobTables:
    """The tables of a job by the sheet that they are printed on."""

    style: LengthStyle
    holes: tuple[Hole, ...]
    items: tuple[Item, ...]
    drilling: Table
    heights: Table
    hoists: tuple[Table, ...]
    electrical: tuple[Table, ...]
    record: tuple[Table, ...]
    take_off: tuple[Table, ...]
    findings: tuple[Table, ...]

    @property
    def all(self) -> tuple[Table, ...]:
        """Return every table once."""
        return (
            self.drilling,
            self.heights,
            *self.hoists,
            *self.electrical,
            *self.record,
            *self.take_off,
            *self.findings,
        )


def job_tables(
    analysis: Analysis,
    *,
    meshes: Mapping[str, Mesh] | None = None,
    style: LengthStyle | None = None,
) -> JobTables:
    """Return every table of a job.

    Parameters
    ----------
    analysis : Analysis
        The barn and its report.
    meshes : mapping of str to Mesh, optional
        The mesh of each scan, in room coordinates [in].
    style : LengthStyle, optional
        How lengths are written; left out, as the job says.
    """
    report = analysis.report
    style = style or length_style(report.barn.job.display)
    holes = drill_holes(analysis, meshes)
    items = take_off(analysis)
    return JobTables(
        style=style,
        holes=holes,
        items=items,
        drilling=drilling_table(holes, style=style),
        heights=heights_table(analysis),
        hoists=tuple(_hoist_tables(analysis)),
        electrical=(
            supply_table(analysis),
            leads_table(analysis, style=style),
            rods_table(analysis),
            bonds_table(analysis),
        ),
        record=commissioning_tables(analysis),
        take_off=(
            items_table(items),
            sticks_table(analysis, style=style),
            pieces_table(analysis),
            tools_table(holes),
        ),
        findings=(
            not_checked_table(report, style=style),
            overrides_table(report, style=style),
            findings_table(report, style=style),
        ),
    )


def _hoist_tables(analysis: Analysis) -> list[Table]:
    found: list[Table] = []
    for evidence in analysis.report.hoists.values():
        found += [
            winch_table(evidence),
            route_table(evidence),
            pulleys_table(evidence),
            clamps_table(analysis, evidence.hoist),
        ]
    return [*found, cuts_table(analysis)]
