"""Findings in order: outcome, urgency, then by how much of its limit each is off."""

from core.rules.finding import Finding, Outcome, rank


def _finding(name: str, outcome: Outcome, **fields: object) -> Finding:
    return Finding(
        rule="a.rule",
        code="code",
        outcome=outcome,
        subject=name,
        message="",
        **fields,
    )


def test_what_is_worst_comes_first() -> None:
    stop = Outcome.STOP
    found = [
        _finding("pass", Outcome.PASS),
        _finding("unknown", Outcome.NOT_CHECKED),
        _finding("caution", Outcome.CAUTION),
        # hand-worked: 39.3 lb over 175 lb is 22 %, 4.5 in short of 6 in are 75 %
        _finding("overloaded", stop, value=214.3, limit=175.0, unit="lb"),
        _finding("near", stop, value=1.5, limit=6.0, unit="gap"),
        _finding("urgent", stop, urgency=1),
    ]
    assert [item.subject for item in sorted(found, key=rank)] == [
        "urgent",
        "near",
        "overloaded",
        "caution",
        "unknown",
        "pass",
    ]


def test_a_limit_of_nothing_has_an_order_too() -> None:
    zero = _finding("zero", Outcome.STOP, value=0.0, limit=0.0)
    assert rank(zero)[2] == 0.0
