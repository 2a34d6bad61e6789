"""The lead keeps the envelope over its whole travel, not only at both ends."""

from dataclasses import replace

import numpy as np
import pytest

from core.geometry.shapes import Mesh
from core.model.electrical import Electrical, Jumper
from core.model.fixtures import Light
from core.rules.finding import Finding, Outcome
from core.rules.wording import message
from tests.rules.judging import SCANNED, breaches, report
from tests.rules.spoiling import GOOD, codes, goes_wrong, with_electrical
from tests.surface_specimens import box_mesh

RULE = "clearance.lead"
LEAD = GOOD.electrical.leads[0]
JUMPER = Jumper(
    id="jumper-1",
    from_run="run-1",
    from_station=6.0,
    to_run="run-2",
    to_station=6.0,
    length=170.0,
)


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


@pytest.mark.parametrize(
    "electrical",
    [
        replace(GOOD.electrical, leads=(LEAD,)),
        replace(GOOD.electrical, leads=(), jumpers=(JUMPER,)),
    ],
    ids=["lead", "jumper"],
)
def test_a_scan_below_the_droop_is_too_near(electrical: Electrical) -> None:
    """Hand-worked: a level plate 3 in below the lowest point of a lead 0.28 in thick
    leaves 3 in less what is allowed for positions between."""
    barn = replace(SCANNED, electrical=electrical)
    evidence = report(replace(GOOD, electrical=electrical)).electrical
    assert evidence is not None
    (lead,) = evidence.leads
    assert lead.lowest is not None
    x, y, z = lead.lowest

    def plate(gap: float) -> dict[str, Mesh]:
        top = z - 0.14 - gap
        low, high = np.array([x - 9, y - 9, top - 1]), np.array([x + 9, y + 9, top])
        return {"scan-9": box_mesh(low, high)}

    def against(gap: float) -> list[Finding]:
        found = breaches(barn, RULE, plate(gap))
        return [item for item in found if item.other == "scan-9"]

    (item,) = against(3.0)
    assert item.code == "too-near"
    assert item.outcome is Outcome.STOP
    assert (item.subject, item.other, item.limit) == (lead.id, "scan-9", 6.0)
    assert item.value == pytest.approx(3.0 - lead.margin, abs=1e-9)
    assert "{" not in message(item)

    assert against(6.001 + lead.margin) == []
