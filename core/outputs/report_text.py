"""A report in words for people, worst first."""

import math
from collections.abc import Iterator

from core.analysis.report import Report, RunReport
from core.model.barn import Barn
from core.model.room import Wall
from core.outputs.loads_text import energy_words, grounding_text, loads_text
from core.outputs.places import place_words
from core.quantities import LengthStyle
from core.rules.cautions import CAUTIONS, DEFERENCE
from core.rules.finding import Finding, Outcome
from core.rules.wording import measure, message, remedy

__all__ = ["report_text"]

_TITLES = {
    Outcome.STOP: "Stop",
    Outcome.CAUTION: "Caution",
}


def report_text(report: Report, *, style: LengthStyle, barn: str) -> str:
    """Write a report for people: what was not checked first, then worst first."""
    return "\n".join(_lines(report, style, barn)) + "\n"


def _lines(report: Report, style: LengthStyle, barn: str) -> Iterator[str]:
    yield f"{report.barn.name} ({barn})"
    yield f"  {_front_words(report.barn)}"
    yield from (f"  ! {line}" for line in CAUTIONS)
    if report.electrical is not None:
        yield f"  ! {energy_words(report.electrical.charge)}"
    yield from _not_checked(report, style)
    yield from _overrides(report, style)
    for outcome, title in _TITLES.items():
        chosen = [item for item in report.findings if item.outcome is outcome]
        if chosen:
            yield ""
            yield f"{title}: {len(chosen)}"
            for item in chosen:
                yield from _finding(item, report.barn, style)
    yield from _kept(report, style)
    if report.runs:
        yield ""
        yield "Runs"
        for run in report.runs.values():
            yield from _run(run, style)
    yield from loads_text(report, style=style)
    yield from grounding_text(report.electrical, style=style)
    yield ""
    yield DEFERENCE


def _front_words(barn: Barn) -> str:
    """Say which wall is the front one, and from where left and right are seen."""
    main = next((door.wall for door in barn.room.doors if door.main), None)
    if main is Wall.FRONT:
        return (
            "The front wall is the one with the main door; left and right as one "
            "walks in."
        )
    return "Left and right as one looks from the front wall to the back wall."


def _not_checked(report: Report, style: LengthStyle) -> Iterator[str]:
    if report.not_checked:
        yield ""
        yield f"Not checked: {len(report.not_checked)}"
        for item in report.not_checked:
            yield from _finding(item, report.barn, style)


def _overrides(report: Report, style: LengthStyle) -> Iterator[str]:
    if report.overrides or report.unknown_overrides:
        yield ""
        yield "Rule values of this job"
    for item in report.overrides:
        value = measure(item.value, item.rule.unit, style=style)
        usual = measure(item.usual, item.rule.unit, style=style)
        name = f"{item.rule.id} ({item.limit})"
        yield f"  {name}: {value}, usually {usual}; {item.reason}"
    for entry in report.unknown_overrides:
        hint = f'; did you mean "{entry.nearest}"?' if entry.nearest else ""
        yield f"  {entry.override.rule}: no rule has this name{hint}"


def _finding(item: Finding, barn: Barn, style: LengthStyle) -> Iterator[str]:
    yield f"  {item.rule}: {message(item, style=style)}"
    place = place_words(item, barn, style=style)
    if place:
        yield (
            f"      At {place}." if place[0].isdigit() else f"      {_capital(place)}."
        )
    advice = remedy(item, style=style)
    if advice:
        yield f"      {advice}"


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def _kept(report: Report, style: LengthStyle) -> Iterator[str]:
    """Yield one line for each rule with passes: how many, and the closest of them."""
    passes: dict[str, list[Finding]] = {}
    for item in report.findings:
        if item.outcome is Outcome.PASS:
            passes.setdefault(item.rule, []).append(item)
    if passes:
        yield ""
        yield f"Kept: {sum(map(len, passes.values()))}; the closest of each rule:"
    for rule in sorted(passes):
        closest = min(passes[rule], key=_margin)
        yield f"  {rule} ({len(passes[rule])}): {message(closest, style=style)}"


def _margin(item: Finding) -> float:
    """Return how far a value is from its limit, as a share of the limit [-]."""
    if item.value is None or item.limit is None:
        return math.inf
    return abs(item.value - item.limit) / max(abs(item.limit), 1e-9)


def _bands(bands: tuple[tuple[float, float], ...], style: LengthStyle) -> str:
    if not bands:
        return "none"
    return ", ".join(
        f"{measure(lo, 'in', style=style)} to {measure(hi, 'in', style=style)}"
        for lo, hi in bands
    )


def _run(run: RunReport, style: LengthStyle) -> Iterator[str]:
    work = measure(run.working_height, "in", style=style)
    stow = measure(run.stow_height, "in", style=style)
    yield f"  {run.id}: works at {work}, stows at {stow}"
    yield f"      free heights: {_bands(run.usable, style)}"
    if run.blocked:
        yield f"      blocked: {_bands(run.blocked, style)}"
