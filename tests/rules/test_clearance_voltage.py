"""The envelope is wider than any spark of the job's voltage in its air."""

from dataclasses import replace

import pytest

from core.model.job import RuleOverride
from core.quantities import LengthStyle
from core.rules.finding import Outcome
from core.rules.wording import message
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


@pytest.mark.parametrize(
    ("style", "words"),
    # hand-worked: 60,000 in are 5000 ft, times 0.0254 are 1524 m
    [
        (LengthStyle.FEET, "30 kV at 5,000 ft needs"),
        (LengthStyle.INCHES, "30 kV at 5,000 ft needs"),
        (LengthStyle.MILLIMETRES, "30 kV at 1,524 m needs"),
    ],
)
def test_altitudes_are_feet_or_metres(style: LengthStyle, words: str) -> None:
    item = one(with_electrical(altitude=60_000.0), RULE, "kept")
    assert words in message(item, style=style)


def test_a_voltage_outside_the_tables_is_not_checked() -> None:
    goes_wrong(
        with_electrical(voltage=1_000.0),
        RULE,
        "voltage-out-of-range",
        Outcome.NOT_CHECKED,
    )
