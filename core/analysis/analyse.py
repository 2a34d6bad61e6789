"""The one call: barn to report, with everything that the next call can keep."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import partial
from types import MappingProxyType

from core.analysis.electrical import electrical_evidence
from core.analysis.evidence import (
    Measured,
    hung_runs,
    room_evidence,
    run_evidence,
    strand_rows,
)
from core.analysis.hoist import (
    all_cable_loads,
    all_sags,
    hoist_evidence,
    truss_sums,
)
from core.analysis.leads import hanging_leads, lead_rows
from core.analysis.limits import JobLimits, job_limits
from core.analysis.memo import Memo
from core.analysis.report import Report
from core.analysis.runs import run_report
from core.analysis.scene import Scene, changes_between, scene_of
from core.analysis.tables import (
    Kinship,
    StrandRow,
    Tables,
    body_tables,
    lead_tables,
    strand_tables,
)
from core.catalogue.catalogue import Catalogue
from core.catalogue.standard import standard_catalogue
from core.geometry.distance import SegmentTable
from core.geometry.runs import SweptRun
from core.geometry.shapes import Mesh
from core.geometry.sweep import PairTable
from core.model.barn import Barn
from core.rules.book import rules_in
from core.rules.electrical_evidence import ElectricalEvidence
from core.rules.finding import Finding, rank
from core.rules.loads import edges_once
from core.rules.registry import Scope
from core.rules.unknown import no_hoist

__all__ = ["Analysis", "analyse"]

_NO_MESHES: Mapping[str, Mesh] = MappingProxyType({})


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Analysis:
    """A report with all that the analysis after the next edit can keep."""

    report: Report
    catalogue: Catalogue
    scene: Scene
    pairs: Tables[SweptRun, PairTable]
    rubs: Tables[StrandRow, SegmentTable]
    leads: Tables[StrandRow, SegmentTable]
    memo: Memo


_NO_PAIRS: Tables[SweptRun, PairTable] = Tables(subjects={}, by_id={})
_NO_RUBS: Tables[StrandRow, SegmentTable] = Tables(subjects={}, by_id={})


def analyse(
    barn: Barn,
    *,
    meshes: Mapping[str, Mesh] = _NO_MESHES,
    previous: Analysis | None = None,
) -> Analysis:
    """Check a whole barn.

    Parameters
    ----------
    barn : Barn
        The document.
    meshes : mapping of str to Mesh
        The mesh of each scan by the fixture's id, in room coordinates [in].
    previous : Analysis, optional
        The analysis before an edit. What it shares with `barn` is kept; the
        report is, to the last bit, what it would be without.

    Returns
    -------
    Analysis
        The report and what the next call can keep.
    """
    memo = Memo(previous.memo if previous else None)
    catalogue = memo.of("catalogue", (barn.parts,), partial(_catalogue, barn))
    limits = memo.of(
        "limits", (barn.job.overrides,), partial(job_limits, barn.job.overrides)
    )
    hung = hung_runs(barn, catalogue, limits.by_rule, memo)
    loads = all_cable_loads(barn, catalogue, hung, memo)
    sags = all_sags(barn, catalogue, loads, memo)
    scene = scene_of(
        barn, catalogue, meshes, sags, memo, previous.scene if previous else None
    )
    changes = changes_between(previous.scene, scene) if previous else None
    own = Kinship(subjects=scene.run_names, obstacles=scene.run_codes)
    nobody = replace(own, subjects={})
    pairs = (previous.pairs if previous else _NO_PAIRS).renewed(
        {key: run.body for key, run in hung.items()},
        scene.obstacles,
        changes,
        body_tables,
        own,
    )
    rubs = (previous.rubs if previous else _NO_RUBS).renewed(
        strand_rows(scene, memo), scene.obstacles, changes, strand_tables, own
    )
    held = limits.by_rule["clearance.envelope"]["least"]
    hanging = hanging_leads(barn, catalogue, hung, held, memo)
    leads = (previous.leads if previous else _NO_RUBS).renewed(
        lead_rows(hanging), scene.obstacles, changes, lead_tables, nobody
    )
    electrical = electrical_evidence(
        barn, catalogue, scene, hung, hanging, leads.by_id, held, memo
    )
    measured = Measured(
        barn=barn,
        catalogue=catalogue,
        scene=scene,
        hung=hung,
        pairs=pairs.by_id,
        rubs=rubs.by_id,
        cables=loads,
    )
    return Analysis(
        report=_report(measured, electrical, limits, memo),
        catalogue=catalogue,
        scene=scene,
        pairs=pairs,
        rubs=rubs,
        leads=leads,
        memo=memo,
    )


def _catalogue(barn: Barn) -> Catalogue:
    standard = standard_catalogue()
    return standard.with_parts(barn.parts) if barn.parts else standard


def _report(
    measured: Measured,
    electrical: ElectricalEvidence,
    limits: JobLimits,
    memo: Memo,
) -> Report:
    barn = measured.barn
    runs = {run.id: run_evidence(run, measured, memo) for run in barn.runs}
    hoists = {hoist.id: hoist_evidence(hoist, measured, memo) for hoist in barn.hoists}
    found = _all_judged("run", runs, limits, Scope.RUN, memo)
    found += edges_once(_all_judged("hoist", hoists, limits, Scope.HOIST, memo))
    found += _unhoisted(measured, memo)
    room = room_evidence(barn, memo)
    found += _judged(("room",), room, limits, Scope.ROOM, memo)
    found += _judged(("electrical",), electrical, limits, Scope.ELECTRICAL, memo)
    return Report(
        barn=barn,
        findings=tuple(sorted(found, key=rank)),
        runs={
            key: memo.of(("report", key), (evidence,), partial(run_report, evidence))
            for key, evidence in runs.items()
        },
        overrides=limits.in_force,
        unknown_overrides=limits.unknown,
        hoists=hoists,
        electrical=electrical,
        trusses=memo.of(
            "truss sums",
            tuple(hoists.values()),
            lambda: truss_sums([c for h in hoists.values() for c in h.cables]),
        ),
    )


def _unhoisted(measured: Measured, memo: Memo) -> Iterator[Finding]:
    """Yield what was not looked at of runs that no hoist lifts."""
    for run in measured.barn.runs:
        if run.id not in measured.cables:
            yield from memo.of(
                ("unhoisted", run.id),
                (run.id,),
                partial(_no_hoist, run.id),
            )


def _no_hoist(run: str) -> tuple[Finding, ...]:
    return tuple(no_hoist(rule.id, run) for rule in rules_in(Scope.HOIST))


def _all_judged(
    name: str,
    evidences: Mapping[str, object],
    limits: JobLimits,
    scope: Scope,
    memo: Memo,
) -> list[Finding]:
    return [
        finding
        for key, evidence in evidences.items()
        for finding in _judged((name, key), evidence, limits, scope, memo)
    ]


def _judged(
    key: tuple[str, ...], evidence: object, limits: JobLimits, scope: Scope, memo: Memo
) -> tuple[Finding, ...]:
    """Return what the rules of a scope say of one piece of evidence."""
    return memo.of(
        ("findings", *key),
        (evidence, limits),
        lambda: tuple(
            finding
            for rule in rules_in(scope)
            for finding in rule.check(evidence, limits.by_rule[rule.id])
        ),
    )
