"""The findings of a report as rows in groups: first what was not checked, overrides."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

import core.rules.book  # declares every rule
from core.analysis.report import OverrideInForce, Report
from core.model.barn import Barn
from core.quantities import LengthStyle
from core.rules.finding import Finding, Outcome
from core.rules.registry import UnknownOverride
from core.rules.wording import measure, message, remedy
from viewer.panels.colours import OUTCOME_WORDS
from viewer.panels.tree_model import Branch

__all__ = ["COLUMNS", "Group", "Row", "branches", "cell", "sort_key", "source_of"]

COLUMNS = (
    "No.",
    "Outcome",
    "Subject",
    "Other",
    "Finding",
    "Value",
    "Limit",
    "Height",
    "Lift",
    "Station",
    "Rule",
    "Remedy",
    "Source",
)
NOT_CHECKED = "Not checked"
OVERRIDES = "Values of this job's own"
_ROOM = "Room, hoists and electrical"


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """The title of a group of rows, and how many of which outcome are in it."""

    title: str
    counts: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One finding with its number in the report, or one override."""

    number: int
    finding: Finding | None = None
    override: OverrideInForce | UnknownOverride | None = None


def branches(report: Report) -> tuple[Branch, ...]:
    """Group the findings of a report.

    Parameters
    ----------
    report : Report
        The report.

    Returns
    -------
    tuple of Branch
        Groups of rows, in an order that stays as long as the barn has the same
        runs: only the rows that differ change.
    """
    homes = _homes(report.barn)
    rows: Mapping[str, list[Row]] = defaultdict(list)
    for number, finding in enumerate(report.findings, 1):
        home = (
            NOT_CHECKED
            if finding.outcome is Outcome.NOT_CHECKED
            else homes.get(finding.subject, _ROOM)
        )
        rows[home].append(Row(number=number, finding=finding))
    groups = [_group(NOT_CHECKED, rows[NOT_CHECKED])] if rows[NOT_CHECKED] else []
    overrides = tuple(_override_rows(report))
    if overrides:
        groups.append(_branch(OVERRIDES, OVERRIDES, overrides))
    titles = {run.id: _run_title(run.id, run.name) for run in report.barn.runs}
    titles[_ROOM] = _ROOM
    groups += [_group(key, rows[key], titles[key]) for key in titles if rows[key]]
    return tuple(groups)


def _run_title(key: str, name: str) -> str:
    return f"{key}: {name}" if name and name != key else key


def _group(key: str, rows: Iterable[Row], title: str = "") -> Branch:
    """Return a group whose rows stand in an order that edits do not turn over."""
    counts: dict[object, int] = defaultdict(int)
    keyed = []
    for row in rows:
        if row.finding is not None:
            found = row.finding
            of = (found.rule, found.subject, found.other or "", found.code)
            counts[of] += 1
            keyed.append(((*of, counts[of]), row))
    ordered = sorted(keyed, key=lambda pair: pair[0])
    return _branch(
        key, title or key, tuple(Branch(key=of, what=row) for of, row in ordered)
    )


def _branch(key: str, title: str, rows: tuple[Branch, ...]) -> Branch:
    return Branch(key=key, what=Group(title=title, counts=_counts(rows)), rows=rows)


def _counts(rows: tuple[Branch, ...]) -> str:
    found = [
        row.what.finding.outcome
        for row in rows
        if isinstance(row.what, Row) and row.what.finding is not None
    ]
    words = [
        f"{found.count(outcome)} {OUTCOME_WORDS[outcome].lower()}"
        for outcome in Outcome
        if outcome in found
    ]
    return ", ".join(words) or str(len(rows))


def _override_rows(report: Report) -> Iterator[Branch]:
    for each in report.overrides:
        key = f"{each.rule.id}/{each.limit}"
        yield Branch(key=key, what=Row(number=0, override=each))
    for unknown in report.unknown_overrides:
        yield Branch(key=unknown.override.rule, what=Row(number=0, override=unknown))


def _homes(barn: Barn) -> dict[str, str]:
    """Tell the run that each run, support, cable and lead belongs to."""
    homes = {run.id: run.id for run in barn.runs}
    for run in barn.runs:
        homes |= {support.id: run.id for support in run.supports}
    homes |= {lead.id: lead.run for lead in barn.electrical.leads}
    for hoist in barn.hoists:
        homes |= {cable.id: cable.run for cable in hoist.cables}
    return homes


def source_of(finding: Finding) -> str:
    """Return where the rule of a finding comes from."""
    return next(
        (rule.source for rule in core.rules.book.rules() if rule.id == finding.rule), ""
    )


def cell(row: Row, column: int, *, style: LengthStyle) -> str:
    """Return the text of a cell.

    Parameters
    ----------
    row : Row
        A finding or an override.
    column : int
        Place in `COLUMNS`.
    style : LengthStyle
        How lengths are written.

    Returns
    -------
    str
        Empty where the row has no such value.
    """
    if row.finding is not None:
        return _finding_cell(row.finding, row.number, COLUMNS[column], style)
    if row.override is not None:
        return _override_cell(row.override, COLUMNS[column], style)
    return ""


def _finding_cell(found: Finding, number: int, name: str, style: LengthStyle) -> str:
    match name:
        case "No.":
            return str(number)
        case "Outcome":
            return OUTCOME_WORDS[found.outcome]
        case "Subject":
            return found.subject
        case "Other":
            return found.other or ""
        case "Finding":
            return message(found, style=style)
        case "Rule":
            return found.rule
        case "Remedy":
            return remedy(found, style=style)
        case "Source":
            return source_of(found)
    return _measured(found, name, style)


def _measured(found: Finding, name: str, style: LengthStyle) -> str:
    value, unit = {
        "Value": (found.value, found.unit),
        "Limit": (found.limit, found.unit),
        "Height": (found.height, "in"),
        "Station": (found.station, "in"),
        "Lift": (None if found.lift is None else found.lift * 100, "%"),
    }[name]
    return "" if value is None else measure(value, unit, style=style)


def _override_cell(
    each: OverrideInForce | UnknownOverride, name: str, style: LengthStyle
) -> str:
    if isinstance(each, UnknownOverride):
        near = f'; did you mean "{each.nearest}"?' if each.nearest else ""
        words = {
            "Outcome": "Not used",
            "Rule": each.override.rule,
            "Finding": f"No rule has this value{near}",
            "Remedy": each.override.reason,
        }
        return words.get(name, "")
    unit = each.rule.unit
    value, usual = (measure(v, unit, style=style) for v in (each.value, each.usual))
    words = {
        "Outcome": "Own value",
        "Rule": each.rule.id,
        "Finding": f"{each.limit}: {value} in place of {usual}: {each.reason}",
        "Value": value,
        "Limit": usual,
        "Source": each.rule.source,
    }
    return words.get(name, "")


_RANK = {outcome: place for place, outcome in enumerate(Outcome)}


def sort_key(row: Row, column: int, *, style: LengthStyle) -> tuple[float, str]:
    """Return what a row is sorted by: numbers by size, texts by their letters."""
    found = row.finding
    if found is None:
        return (-1.0, cell(row, column, style=style).casefold())
    number = {
        "No.": float(row.number),
        "Outcome": float(_RANK[found.outcome]),
        "Value": found.value,
        "Limit": found.limit,
        "Height": found.height,
        "Lift": found.lift,
        "Station": found.station,
    }
    name = COLUMNS[column]
    if name in number:
        value = number[name]
        return (float("inf") if value is None else value, "")
    return (0.0, cell(row, column, style=style).casefold())
