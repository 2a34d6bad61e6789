"""A report as plain JSON values; the form that other programs read."""

import math
from typing import Any

from core.analysis.report import Report, RunReport
from core.outputs.loads_json import grounding_json, loads_json
from core.outputs.loads_text import energy_words
from core.quantities import LengthStyle
from core.rules.cautions import CAUTIONS, DEFERENCE
from core.rules.evidence import Contact
from core.rules.finding import Finding
from core.rules.wording import message, remedy

__all__ = ["REPORT_SCHEMA", "report_json"]

REPORT_SCHEMA = 1
Bands = tuple[tuple[float, float], ...]


def report_json(report: Report, *, style: LengthStyle, barn: str) -> dict[str, Any]:
    """Return the report as JSON values; lengths are numbers in inches.

    Parameters
    ----------
    report : Report
        What was found.
    style : LengthStyle
        How lengths are written in messages and remedies.
    barn : str
        The name under which the barn was read, such as its file.

    Returns
    -------
    dict
        The keys are `schema`, `barn`, `name`, `cautions`, `not_checked`,
        `overrides`, `findings`, `runs`, `loads` and `grounding`.
    """
    return {
        "schema": REPORT_SCHEMA,
        "barn": barn,
        "name": report.barn.name,
        "cautions": [*CAUTIONS, *_energy(report), DEFERENCE],
        "not_checked": [_finding(item, style) for item in report.not_checked],
        "overrides": _overrides(report),
        "findings": [_finding(item, style) for item in report.findings],
        "runs": [_run(item) for item in report.runs.values()],
        "loads": loads_json(report),
        "grounding": grounding_json(report.electrical),
    }


def _energy(report: Report) -> list[str]:
    electrical = report.electrical
    return [] if electrical is None else [energy_words(electrical.charge)]


def _number(value: float | None) -> float | None:
    return None if value is None or not math.isfinite(value) else value


def _unit(unit: str) -> str:
    return "in" if unit == "gap" else unit


def _finding(item: Finding, style: LengthStyle) -> dict[str, Any]:
    return {
        "rule": item.rule,
        "code": item.code,
        "result": str(item.outcome),
        "subject": item.subject,
        "other": item.other,
        "value": _number(item.value),
        "limit": _number(item.limit),
        "unit": _unit(item.unit),
        "lift": _number(item.lift),
        "height": _number(item.height),
        "station": _number(item.station),
        "points": [list(point) for point in item.points],
        "message": message(item, style=style),
        "remedy": remedy(item, style=style),
    }


def _overrides(report: Report) -> list[dict[str, Any]]:
    known = [
        {
            "rule": item.rule.id,
            "limit": item.limit,
            "usual": item.usual,
            "value": item.value,
            "unit": _unit(item.rule.unit),
            "reason": item.reason,
        }
        for item in report.overrides
    ]
    unknown = [
        {"rule": item.override.rule, "unknown": True, "nearest": item.nearest}
        for item in report.unknown_overrides
    ]
    return [*known, *unknown]


def _run(item: RunReport) -> dict[str, Any]:
    evidence = item.evidence
    return {
        "id": item.id,
        "working_height": item.working_height,
        "stow_height": item.stow_height,
        "working_free": item.working_free,
        "stow_free": item.stow_free,
        "way_free": item.way_free,
        "usable": [list(band) for band in item.usable],
        "blocked": [
            row
            for contact in item.contacts
            for row in _blocked(contact, evidence.low, evidence.high)
        ],
    }


def _blocked(contact: Contact, low: float, high: float) -> list[dict[str, Any]]:
    return [
        {
            "other": contact.other,
            "part": contact.part,
            "lo": max(lo, low),
            "hi": min(hi, high),
            "least_clearance": contact.clearance,
            "at_height": contact.at_height,
            "stations": [list(band) for band in contact.stations],
        }
        for lo, hi in contact.bands
        if lo < high and hi > low
    ]
