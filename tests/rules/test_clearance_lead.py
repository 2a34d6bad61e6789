"""The lead keeps the envelope over its whole travel, not only at both ends."""

from dataclasses import replace

from core.model.fixtures import Light
from core.rules.finding import Outcome
from tests.rules.spoiling import GOOD, codes, goes_wrong, with_electrical

RULE = "clearance.lead"
LEAD = GOOD.electrical.leads[0]


def test_a_lamp_in_the_droop_is_too_near() -> None:
    lamp = Light(id="lamp", x=21.0, y=67.0, length=6.0, width=6.0, depth=3.0, drop=30.0)
    spoilt = replace(GOOD, fixtures=(*GOOD.fixtures, lamp))
    item = goes_wrong(spoilt, RULE, "too-near", Outcome.STOP)
    assert (item.subject, item.other) == ("lead-1", "lamp")


def test_a_short_lead_has_no_shape() -> None:
    short = replace(LEAD, free_length=30.0)
    leads = (short, *GOOD.electrical.leads[1:])
    goes_wrong(with_electrical(leads=leads), RULE, "shape-unknown", Outcome.NOT_CHECKED)


def test_a_barn_without_leads_says_so() -> None:
    bare = with_electrical(leads=())
    assert codes(bare, RULE) == {"no-lead": Outcome.NOT_CHECKED}
