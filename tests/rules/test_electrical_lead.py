"""Leads are long enough, sleeved, joined in from the end, and rated."""

from dataclasses import replace
from typing import Any

import pytest

from core.model.barn import Barn
from core.rules.finding import Outcome
from tests.rules.spoiling import GOOD, goes_wrong, with_electrical, with_part

RULE = "electrical.lead"


def with_lead(**changes: Any) -> Barn:
    first, *others = GOOD.electrical.leads
    return with_electrical(leads=(replace(first, **changes), *others))


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"free_length": 48.0}, "too-short"),
        ({"sleeve": 36.0}, "short-sleeve"),
        ({"terminal": 2.0}, "terminal-at-end"),
    ],
)
def test_one_wrong_length(changes: dict[str, float], code: str) -> None:
    item = goes_wrong(with_lead(**changes), RULE, code, Outcome.STOP)
    assert item.subject == "lead-1"


def test_the_spare_is_taken_where_the_lead_is_stretched_most() -> None:
    """Hand-worked: hold (12, 60, 95) to (30, 60, 50): sqrt(18^2 + 45^2) = 48.466."""
    item = goes_wrong(with_lead(free_length=49.0), RULE, "too-short", Outcome.STOP)
    assert item.value == pytest.approx(49.0 - 48.4665, abs=1e-3)


def test_a_lead_rated_too_low() -> None:
    weak = with_part("lead-40kv", rated_voltage=20_000.0)
    goes_wrong(weak, RULE, "rated-too-low", Outcome.STOP)


def test_a_run_without_a_lead() -> None:
    fewer = with_electrical(leads=GOOD.electrical.leads[:1])
    item = goes_wrong(fewer, RULE, "no-lead", Outcome.NOT_CHECKED)
    assert item.subject == "run-2"


def test_a_lead_without_a_route() -> None:
    item = goes_wrong(with_lead(route=()), RULE, "no-route", Outcome.NOT_CHECKED)
    assert item.subject == "lead-1"
