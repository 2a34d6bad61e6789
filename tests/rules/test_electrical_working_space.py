"""Clear depth in front of the supply, a design target."""

from dataclasses import replace

import pytest

from core.model.fixtures import PlainBox
from core.rules.finding import Outcome
from core.rules.wording import message
from tests.rules.spoiling import GOOD, goes_wrong, with_electrical

RULE = "electrical.working-space"


def test_a_box_before_the_supply() -> None:
    box = PlainBox(
        id="box", x=62.0, y=96.0, z=0.0, length=20.0, width=20.0, height=30.0
    )
    spoilt = replace(GOOD, fixtures=(*GOOD.fixtures, box))
    item = goes_wrong(spoilt, RULE, "too-shallow", Outcome.CAUTION)
    # hand-worked: the box begins at 52, the supply is at 2
    assert item.value == pytest.approx(50.0)
    assert item.limit == 96.0  # published: NEC Table 110.34(A), condition 2, 30 kV
    # published: condition 2 is grounded parts; concrete, brick and tile count as such
    assert "condition 2 of NEC Table 110.34(A): grounded metal" in message(item)


def test_no_supply() -> None:
    goes_wrong(with_electrical(supply=None), RULE, "space-unknown", Outcome.NOT_CHECKED)
