"""The findings report as one table: not checked, values of the job, findings."""

from dataclasses import replace

from core.analysis.analyse import analyse
from core.model import edits
from core.model.barn import Barn
from core.model.job import RuleOverride
from core.outputs.findings_rows import report_table
from core.quantities import LengthStyle
from core.rules.finding import Outcome
from tests.specimens import plain_barn


def odd_barn() -> Barn:
    """Return a barn without hoists: a value of its own, an unknown one, a stop."""
    barn = replace(plain_barn(), hoists=())
    overrides = (
        RuleOverride(rule="clearance.envelope", value=7.0, reason="dusty"),
        RuleOverride(rule="clearance.envelop", value=9.0, reason="typed"),
    )
    job = replace(barn.job, overrides=overrides)
    barn = edits.set_job(barn, job).barn
    return edits.move_objects(barn, ids=["light-1"], by=(0.0, -78.0, 0.0)).barn


def test_what_was_not_checked_and_values_of_the_job_come_first() -> None:
    report = analyse(odd_barn()).report
    table = report_table(report, style=LengthStyle.FEET)
    assert report.not_checked
    results = [row[1] for row in table.rows]
    kinds = [
        *["not checked"] * len(report.not_checked),
        *["VALUE OF THIS JOB"] * 2,
    ]
    assert results[: len(kinds)] == kinds
    assert "STOP" in results[len(kinds) :]
    rest = [f for f in report.findings if f.outcome is not Outcome.NOT_CHECKED]
    assert len(table.rows) == len(kinds) + len(rest)
    # the number is that of the drawings: the place in the report
    assert [row[0] for row in table.rows[len(kinds) :]] == [
        float(n)
        for n, f in enumerate(report.findings, 1)
        if f.outcome is not Outcome.NOT_CHECKED
    ]


def test_a_value_of_the_job_says_what_is_usual_and_why() -> None:
    table = report_table(analyse(odd_barn()).report, style=LengthStyle.FEET)
    known, unknown = (row for row in table.rows if row[1] == "VALUE OF THIS JOB")
    assert known[2] == "clearance.envelope"
    assert "7" in str(known[5])
    assert known[6] == "least, usually 6.00 in: dusty"
    assert unknown[2] == "clearance.envelop"
    assert "no rule has this name" in str(unknown[6])
