"""The envelope is wider than any spark of the job's voltage in its air."""

from dataclasses import replace

import pytest

from core.model.job import RuleOverride
from core.rules.finding import Outcome
from tests.rules.spoiling import GOOD, goes_wrong, one, with_electrical

RULE = "clearance.voltage"


def test_a_small_envelope_is_too_small() -> None:
    override = RuleOverride(rule="clearance.envelope", value=4.0, reason="low room")
    small = replace(GOOD, job=replace(GOOD.job, overrides=(override,)))
    goes_wrong(small, RULE, "envelope-too-small", Outcome.STOP)


def test_thin_air_needs_more() -> None:
    """Density 0.82 at 5000 ft and 30 degC (published trap): 4.724 / 0.82 in."""
    item = one(with_electrical(altitude=60_000.0), RULE, "kept")
    assert item.limit == pytest.approx(4.724 / 0.82, rel=0.01)


def test_a_voltage_outside_the_tables_is_not_checked() -> None:
    goes_wrong(
        with_electrical(voltage=1_000.0),
        RULE,
        "voltage-out-of-range",
        Outcome.NOT_CHECKED,
    )
