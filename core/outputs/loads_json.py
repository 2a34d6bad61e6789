"""The loads and the grounding register of a report as plain JSON values.

Weights and tensions are pounds-force, lengths inches, angles degrees.
"""

import math
from dataclasses import fields
from typing import Any

from core.analysis.report import Report
from core.rules.electrical_evidence import ElectricalEvidence, LeadFacts
from core.rules.evidence import RunEvidence
from core.rules.grounding import MEASURED_AFTER, MEASURED_BEFORE
from core.rules.hoist_evidence import (
    LIGHT_SHARE,
    STIFF_DRAG,
    STIFF_SHARE,
    AnchorLoads,
    CableLoads,
    HoistEvidence,
    PulleyLoads,
)

__all__ = ["grounding_json", "loads_json"]


def loads_json(report: Report) -> dict[str, Any]:
    """Return every support, pulley, screw, cable, winch and truss with its load.

    Parameters
    ----------
    report : Report
        What was found.

    Returns
    -------
    dict
        The keys are `light_case`, `runs`, `hoists` and `trusses`.
    """
    return {
        "light_case": {
            "load_share": LIGHT_SHARE,
            "friction_share": STIFF_SHARE,
            "drag": STIFF_DRAG,
            "source": "common practice, no published source",
        },
        "runs": [_run(item.evidence) for item in report.runs.values()],
        "hoists": [_hoist(item) for item in report.hoists.values()],
        "trusses": [_plain(truss) for truss in report.trusses],
    }


def _plain(item: Any) -> dict[str, Any]:
    """Return the fields of a record, with None for what is not finite."""
    return {field.name: _value(getattr(item, field.name)) for field in fields(item)}


def _value(value: Any) -> Any:
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if isinstance(value, tuple):
        return [_value(each) for each in value]
    return value


def _run(evidence: RunEvidence) -> dict[str, Any]:
    pipe = evidence.pipe
    return {
        "id": evidence.run.id,
        "trouble": pipe.trouble,
        "weight_per_foot": 12.0 * pipe.unit_weight,
        "supports": [
            {
                "id": support.id,
                "station": support.station,
                "load": pipe.reactions.get(support.id),
                "slack": support.id in pipe.slack,
                "truss": evidence.truss_names[support.id],
            }
            for support in evidence.run.supports
        ],
        "sags": [{"from": a, "to": b, "sag": sag} for a, b, sag in pipe.spans],
        "joints": [
            {"station": station, "nearest_support": support, "away": away}
            for station, support, away in pipe.joints
        ],
    }


def _hoist(evidence: HoistEvidence) -> dict[str, Any]:
    winch = evidence.winch
    return {
        "id": evidence.hoist.id,
        "trouble": evidence.trouble,
        "pull": evidence.pull,
        "travels": dict(evidence.travels),
        "cables": [_cable(cable) for cable in evidence.cables],
        "winch": None if winch is None else _plain(winch),
        "ropes": [_plain(row) for row in evidence.strengths],
        "fixings": [_plain(row) for row in evidence.fixings],
        "trusses": [_plain(truss) for truss in evidence.trusses],
    }


def _cable(cable: CableLoads) -> dict[str, Any]:
    return {
        "id": cable.id,
        "run": cable.run,
        "part": cable.part,
        "trouble": cable.trouble,
        "length": cable.length,
        "lag": cable.lag,
        "pull": {
            "lifting": cable.lifting,
            "resting": cable.resting,
            "lowering": cable.lowering,
            "light": cable.light,
        },
        "slack": list(cable.slack),
        "drops": dict(cable.drops),
        "clamp_travel": dict(cable.clamp_travel),
        "pulleys": [_pulley(pulley) for pulley in cable.pulleys],
        "anchors": [_anchor(anchor) for anchor in cable.anchors],
        "segments": [_plain(segment) for segment in cable.segments],
        "ropes": [_plain(row) for row in cable.strengths],
    }


def _pulley(pulley: PulleyLoads) -> dict[str, Any]:
    return {**_plain(pulley), "wrap": math.degrees(pulley.wrap)}


def _anchor(anchor: AnchorLoads) -> dict[str, Any]:
    return {**_plain(anchor), "angle": math.degrees(anchor.angle)}


def grounding_json(evidence: ElectricalEvidence | None) -> dict[str, Any]:
    """Return the register of bonds, the rods, the charge and what to measure.

    Parameters
    ----------
    evidence : ElectricalEvidence or None
        The electrical evidence of the report.

    Returns
    -------
    dict
        Empty without evidence; resistances in ohm, energy in joule.
    """
    if evidence is None:
        return {}
    return {
        "bonds": [
            {**_plain(row), "to": row.to, "known": bool(row.to)}
            for row in evidence.bonds
        ],
        "rods": [_plain(row) for row in evidence.rods],
        "rods_together": evidence.together,
        "building_electrode": str(evidence.electrical.building_electrode),
        "stored": _plain(evidence.charge),
        "leads": [_lead(lead) for lead in evidence.leads],
        "measure_before": list(MEASURED_BEFORE),
        "measure_after": list(MEASURED_AFTER),
    }


def _lead(lead: LeadFacts) -> dict[str, Any]:
    return {
        "id": lead.id,
        "run": lead.run,
        "route": lead.route,
        "free_length": lead.free_length,
        "shortest": lead.reach.shortest,
        "longest": lead.reach.longest,
        "spare": lead.spare,
        "lowest": None if lead.lowest is None else list(lead.lowest),
        "lowest_lift": lead.lowest_lift,
        "trouble": lead.trouble,
    }
