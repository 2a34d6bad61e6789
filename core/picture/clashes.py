"""The clashes of a picture: which ones, and their air."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from core.analysis.report import Report
from core.geometry.runs import SweptRun
from core.geometry.shapes import FloatArray, Vec3
from core.model.runs import Run
from core.picture.forms import Form, merged
from core.placement.runs import point_at, run_direction, run_length
from core.rules.evidence import Contact
from core.rules.finding import Finding, Outcome

__all__ = ["Clash", "clashes_of", "envelope_form", "worst_clash"]

_MARKED = (Outcome.STOP, Outcome.CAUTION)
_ARC = 8  # chords of a quarter of the envelope's outline
_MARGIN = 18.0  # the envelope is shown so far beyond a contact [in]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Clash:
    """A finding with two places, its number in the report, and what was measured."""

    number: int
    finding: Finding
    contact: Contact | None
    run: Run | None
    body: SweptRun | None

    @property
    def middle(self) -> Vec3:
        """The place half way between its points [in]."""
        x, y, z = np.mean(self.finding.points, axis=0).tolist()
        return (x, y, z)

    @property
    def lift(self) -> float:
        """The lift at which it is met [-]."""
        return min(1.0, max(0.0, self.finding.lift or 0.0))


def clashes_of(report: Report) -> tuple[Clash, ...]:
    """Return the breaches of clearance in a report, worst first.

    Known by their place in the report, from 1, as everywhere.
    """
    found = enumerate(report.findings, 1)
    return tuple(
        _clash(report, number, finding)
        for number, finding in found
        if finding.outcome in _MARKED
        and finding.points
        and finding.rule.startswith("clearance.")
    )


def worst_clash(report: Report) -> Clash | None:
    """Return the first clash between a run and one other thing, if there is any."""
    return next((clash for clash in clashes_of(report) if clash.finding.other), None)


def _clash(report: Report, number: int, finding: Finding) -> Clash:
    run = report.runs.get(finding.subject)
    near = run.contacts if run else ()
    contact = next((c for c in near if c.other == finding.other), None)
    return Clash(
        number=number,
        finding=finding,
        contact=contact,
        run=run.evidence.run if run else None,
        body=run.evidence.body if run else None,
    )


def envelope_form(clash: Clash) -> Form:
    """Return the air that must stay free round the run where it clashes.

    It is drawn with the run at the height at which the clash is met.
    """
    run, body, height = clash.run, clash.body, clash.finding.height
    if run is None or body is None or height is None:
        return merged(())
    outline = _outline(body)
    parts = [
        _prism(run, body, outline, height, low, high)
        for low, high in _stations(clash, run_length(run))
    ]
    return merged(parts)


def _stations(clash: Clash, length: float) -> Iterator[tuple[float, float]]:
    """Yield the parts of the run whose envelope is shown."""
    spans = clash.contact.stations if clash.contact else ()
    if not spans and clash.finding.station is not None:
        spans = ((clash.finding.station, clash.finding.station),)
    for low, high in spans:
        yield max(0.0, low - _MARGIN), min(length, high + _MARGIN)


def _outline(body: SweptRun) -> FloatArray:
    """Return the envelope's outline across the run: (to the right, up) `(n, 2)`."""
    reach = body.radius + body.limit
    turns = np.linspace(0.0, np.pi / 2, _ARC + 1)
    corners = (
        (body.side, body.up, 0.0),
        (-body.side, body.up, np.pi / 2),
        (-body.side, -body.down, np.pi),
        (body.side, -body.down, 1.5 * np.pi),
    )
    rows = [
        (side + reach * math.cos(start + t), up + reach * math.sin(start + t))
        for side, up, start in corners
        for t in turns
    ]
    return np.array([*rows, rows[0]])


def _prism(
    run: Run,
    body: SweptRun,
    outline: FloatArray,
    height: float,
    low: float,
    high: float,
) -> Form:
    """Return the outline drawn along a part of the run, its ends open."""
    stations = np.linspace(low, high, max(2, math.ceil((high - low) / 12.0) + 1))
    depths = np.zeros_like(stations)
    if body.sag is not None:
        depths = np.interp(stations, body.sag.stations, body.sag.depths)
    x, y = run_direction(run)
    right = np.array([-y, x, 0.0])
    middle = np.array([(*point_at(run, s), height) for s in stations.tolist()])
    middle[:, 2] -= depths
    ring = outline[:, :1] * right + outline[:, 1:] * np.array([0.0, 0.0, 1.0])
    return _net(middle[:, None] + ring[None])


def _net(grid: FloatArray) -> Form:
    """Return the triangles of a net of points; its normals do not matter."""
    a, b, c, d = grid[:-1, :-1], grid[1:, :-1], grid[1:, 1:], grid[:-1, 1:]
    pairs = np.stack([np.stack([a, b, c], 2), np.stack([a, c, d], 2)], 2)
    corners = pairs.reshape(-1, 3, 3).astype(np.float32)
    return Form(corners=corners, normals=np.zeros_like(corners))
