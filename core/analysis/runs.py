"""The measured facts of one run: body, contacts, supports; and its report."""

from collections.abc import Sequence

import numpy as np

from core.analysis.report import RunReport
from core.geometry.bands import clip_bands, free_gaps, union_bands
from core.rules.evidence import Contact, RunEvidence

__all__ = ["run_report"]

Bands = tuple[tuple[float, float], ...]


def run_report(evidence: RunEvidence) -> RunReport:
    """Return the run's blocked and usable heights over its travel."""
    blocked = _blocked(evidence.contacts, evidence.low, evidence.high)
    usable = _usable(blocked, evidence.low, evidence.high)
    bands = _bands(evidence.contacts)
    return RunReport(
        usable=usable,
        blocked=blocked,
        working_free=not evidence.is_blocked(bands, evidence.low),
        stow_free=not evidence.is_blocked(bands, evidence.high),
        way_free=not blocked,
        evidence=evidence,
    )


def _bands(contacts: Sequence[Contact]) -> list[tuple[float, float]]:
    return [band for contact in contacts for band in contact.bands]


def _pairs(lo: np.ndarray, hi: np.ndarray) -> Bands:
    return tuple(zip(lo.tolist(), hi.tolist(), strict=True))


def _blocked(contacts: Sequence[Contact], low: float, high: float) -> Bands:
    """Unite all bands and clip them to the travel; a mere touch is no block."""
    rows = [(lo, hi) for lo, hi in _bands(contacts) if lo < high and hi > low]
    if not rows:
        return ()
    ends = np.array(rows)
    group = np.zeros(len(rows), dtype=np.int64)
    _, lo, hi = union_bands(group, ends[:, 0], ends[:, 1])
    return _pairs(*clip_bands(lo, hi, low=low, high=high))


def _usable(blocked: Bands, low: float, high: float) -> Bands:
    ends = np.array(blocked).reshape(-1, 2)
    return _pairs(*free_gaps(ends[:, 0], ends[:, 1], low=low, high=high))
