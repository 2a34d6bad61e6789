"""The finding of a rule that lacks a value: which one, and where to get it."""

from core.rules.finding import Finding, Outcome

__all__ = ["no_hoist", "not_checked"]


def not_checked(
    rule_id: str,
    subject: str,
    *,
    code: str,
    why: str,
    remedy: str,
    other: str | None = None,
    unit: str = "-",
    details: dict[str, float | str] | None = None,
) -> Finding:
    """Return the finding that a rule was not checked.

    Parameters
    ----------
    rule_id, subject, other, unit, details
        As of any finding.
    code : str
        What is missing, for programs.
    why : str
        What is missing, as a sentence with gaps.
    remedy : str
        Where the value comes from.

    Returns
    -------
    Finding
        With the outcome NOT_CHECKED.
    """
    return Finding(
        rule=rule_id,
        code=code,
        outcome=Outcome.NOT_CHECKED,
        subject=subject,
        other=other,
        unit=unit,
        message=why,
        remedy=remedy,
        details=details or {},
    )


def no_hoist(rule_id: str, run: str) -> Finding:
    """Return the finding that a rule on hoists has no hoist to look at."""
    return not_checked(
        rule_id,
        run,
        code="no-hoist",
        why="{subject} has no hoist, so what lifts and holds it was not looked at.",
        remedy="Give {subject} a pull cable on a hoist.",
    )
