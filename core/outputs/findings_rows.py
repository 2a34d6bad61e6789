"""The findings report as rows: what was not checked and overrides come first."""

from collections.abc import Iterator

from core.analysis.report import Report
from core.outputs.tables import Cell, Column, Kind, Table
from core.quantities import LengthStyle
from core.rules.finding import Finding, Outcome
from core.rules.wording import measure, message, remedy

__all__ = ["findings_table", "not_checked_table", "overrides_table", "report_table"]

_WORDS = {
    Outcome.STOP: "STOP",
    Outcome.CAUTION: "CAUTION",
    Outcome.NOT_CHECKED: "not checked",
    Outcome.PASS: "kept",
}
_COLUMNS = (
    Column(heading="No.", kind=Kind.COUNT, share=0.5),
    Column(heading="Result", share=1.0),
    Column(heading="Rule", share=1.6),
    Column(heading="Of", share=1.1),
    Column(heading="Value", share=1.1),
    Column(heading="Limit", share=1.1),
    Column(heading="Finding and remedy", share=5),
)


def not_checked_table(report: Report, *, style: LengthStyle) -> Table:
    """Return what was not checked, and why."""
    return Table.of(
        "not-checked",
        "Not checked",
        (
            Column(heading="Rule", share=1.5),
            Column(heading="Of", share=1.1),
            Column(heading="Why not, and what to give", share=5),
        ),
        (
            (item.rule, item.subject, _sentence(item, style))
            for item in report.not_checked
        ),
        () if report.not_checked else ("Every rule had what it needs.",),
    )


def overrides_table(report: Report, *, style: LengthStyle) -> Table:
    """Return the rule values that this job has set, with their reasons."""
    return Table.of(
        "overrides",
        "Rule values of this job",
        (
            Column(heading="Rule", share=1.6),
            Column(heading="Limit", share=1.0),
            Column(heading="Usual", share=1.1),
            Column(heading="Here", share=1.1),
            Column(heading="Reason", share=4),
        ),
        _override_rows(report, style),
        ()
        if report.overrides or report.unknown_overrides
        else ("None: every rule has its usual value.",),
    )


def _override_rows(report: Report, style: LengthStyle) -> Iterator[tuple[Cell, ...]]:
    for item in report.overrides:
        usual = measure(item.usual, item.rule.unit, style=style)
        value = measure(item.value, item.rule.unit, style=style)
        yield (item.rule.id, item.limit, usual, value, item.reason)
    for entry in report.unknown_overrides:
        hint = f'did you mean "{entry.nearest}"?' if entry.nearest else ""
        words = f"no rule has this name; {hint}"
        yield (entry.override.rule, "", "", f"{entry.override.value:g}", words)


def findings_table(report: Report, *, style: LengthStyle) -> Table:
    """Return every finding, worst first, under the number that the drawings show."""
    return Table.of("findings", "Findings", _COLUMNS, _finding_rows(report, style))


def report_table(report: Report, *, style: LengthStyle) -> Table:
    """Return the whole report in one table: not checked, values of this job, findings.

    A value of this job has its limit's name and its usual value among the words.
    """
    not_checked = not_checked_table(report, style=style).rows
    overrides = overrides_table(report, style=style).rows
    rows: tuple[tuple[Cell, ...], ...] = (
        *(
            (None, _WORDS[Outcome.NOT_CHECKED], rule, of, None, None, words)
            for rule, of, words in not_checked
        ),
        *(
            (
                None,
                "VALUE OF THIS JOB",
                rule,
                "",
                None,
                here,
                _changed(name, usual, why),
            )
            for rule, name, usual, here, why in overrides
        ),
        *_finding_rows(report, style),
    )
    return Table.of("findings-report", "Findings report", _COLUMNS, rows)


def _changed(name: Cell, usual: Cell, reason: Cell) -> str:
    return f"{name}, usually {usual}: {reason}" if usual else f"{reason}"


def _finding_rows(report: Report, style: LengthStyle) -> Iterator[tuple[Cell, ...]]:
    for number, item in enumerate(report.findings, 1):
        if item.outcome is not Outcome.NOT_CHECKED:
            yield _row(number, item, style)


def _row(number: int, item: Finding, style: LengthStyle) -> tuple[Cell, ...]:
    value, limit = (
        None if x is None else measure(x, item.unit, style=style)
        for x in (item.value, item.limit)
    )
    subject = f"{item.subject} / {item.other}" if item.other else item.subject
    return (
        float(number),
        _WORDS[item.outcome],
        item.rule,
        subject,
        value,
        limit,
        _sentence(item, style),
    )


def _sentence(item: Finding, style: LengthStyle) -> str:
    return f"{message(item, style=style)} {remedy(item, style=style)}".strip()
