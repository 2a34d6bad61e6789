"""The outlet of the supply, and spare lead beside it."""

from dataclasses import replace
from typing import Any

import pytest

from core.model.barn import Barn
from core.model.electrical import Known
from core.rules.finding import Outcome
from tests.rules.spoiling import GOOD, goes_wrong, with_electrical

RULE = "electrical.supply"


def with_outlet(**changes: Any) -> Barn:
    supply = GOOD.electrical.supply
    assert supply is not None
    assert supply.outlet is not None
    outlet = replace(supply.outlet, **changes)
    return with_electrical(supply=replace(supply, outlet=outlet))


def test_little_spare_lead() -> None:
    supply = GOOD.electrical.supply
    assert supply is not None
    short = with_electrical(supply=replace(supply, spare_lead=12.0))
    item = goes_wrong(short, RULE, "short-spare", Outcome.STOP)
    assert (item.value, item.limit) == (12.0, 24.0)


@pytest.mark.parametrize(
    ("field", "wrong", "code"),
    [
        ("ground_fault_protected", Known.YES, "ground-fault-protected"),
        ("out_of_reach", Known.NO, "in-reach"),
        ("beside_ground", Known.NO, "no-ground-beside"),
    ],
)
def test_a_wrong_outlet(field: str, wrong: Known, code: str) -> None:
    goes_wrong(with_outlet(**{field: wrong}), RULE, code, Outcome.STOP)
    unknown = with_outlet(**{field: Known.UNKNOWN})
    goes_wrong(unknown, RULE, f"{code}-unknown", Outcome.NOT_CHECKED)


def test_no_supply_and_no_outlet() -> None:
    supply = GOOD.electrical.supply
    assert supply is not None
    goes_wrong(with_electrical(supply=None), RULE, "no-supply", Outcome.NOT_CHECKED)
    bare = with_electrical(supply=replace(supply, outlet=None))
    goes_wrong(bare, RULE, "no-outlet", Outcome.NOT_CHECKED)
