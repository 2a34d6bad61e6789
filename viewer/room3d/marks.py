"""What of the findings is shown in the room: what clashes now, and what at all."""

from dataclasses import dataclass

import numpy as np

from core.analysis.report import Report
from core.geometry.shapes import FloatArray, Vec2
from core.model.barn import Barn
from core.rules.finding import Finding, Outcome
from viewer.room3d.things import RunForm

__all__ = ["Clash", "Tag", "clashes_at", "stopped", "tags"]

_APART = 30.0  # numbers of one pair nearer than this share one tag [in]


@dataclass(frozen=True, slots=True, kw_only=True)
class Clash:
    """A run that has something in its envelope at the present lift.

    `stretches` are the stations from and to [in].
    """

    run: str
    other: str
    stretches: tuple[Vec2, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Tag:
    """The numbers of findings at one place, its witness line, and how bad it is."""

    numbers: tuple[int, ...]
    points: FloatArray
    outcome: Outcome

    @property
    def words(self) -> str:
        """The numbers, not too many."""
        first, *more = self.numbers
        if not more:
            return f"{first}"
        if len(self.numbers) == 2:
            return f"{first}, {self.numbers[1]}"
        return f"{first} +{len(more)}"


def clashes_at(
    report: Report | None, runs: tuple[RunForm, ...], lift: float
) -> tuple[Clash, ...]:
    """Return what is inside the envelope of each run at a lift.

    Parameters
    ----------
    report : Report or None
        The analysis.
    runs : tuple of RunForm
        The runs.
    lift : float
        0 at working height, 1 stowed [-].
    """
    if report is None:
        return ()
    found = []
    for form in runs:
        known = report.runs.get(form.run.id)
        height = form.body.low + lift * form.body.travel
        for contact in known.contacts if known else ():
            if any(low <= height <= high for low, high in contact.bands):
                clash = Clash(
                    run=form.run.id, other=contact.other, stretches=contact.stations
                )
                found.append(clash)
    return tuple(found)


def stopped(report: Report | None) -> frozenset[str]:
    """Return the ids of everything that a finding says must stop at a place."""
    if report is None:
        return frozenset()
    placed = (finding for finding in report.stops if finding.points)
    return frozenset(
        name
        for finding in placed
        for name in (finding.subject, finding.other)
        if name is not None
    )


def tags(report: Report | None, barn: Barn, chosen: int | None) -> tuple[Tag, ...]:
    """Return the numbered places of what must stop, and of the chosen finding.

    Parameters
    ----------
    report : Report or None
        The analysis.
    barn : Barn
        What is shown; a report of another barn has no tags.
    chosen : int or None
        Number of the chosen finding.
    """
    if report is None or report.barn is not barn:
        return ()
    made: list[Tag] = []
    for number, finding in enumerate(report.findings, 1):
        if not finding.points:
            continue
        if finding.outcome is Outcome.STOP or number == chosen:
            _add(made, number, finding)
    return tuple(made)


def _add(made: list[Tag], number: int, finding: Finding) -> None:
    """Add a finding, to the tag beside it if there is one as bad."""
    points = np.array(finding.points)
    middle = points.mean(axis=0)
    for place, tag in enumerate(made):
        gap = np.abs(tag.points.mean(axis=0) - middle).max()
        if gap < _APART and tag.outcome is finding.outcome:
            made[place] = Tag(
                numbers=(*tag.numbers, number), points=tag.points, outcome=tag.outcome
            )
            return
    made.append(Tag(numbers=(number,), points=points, outcome=finding.outcome))
