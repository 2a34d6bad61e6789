"""support.truss: anchors in the middle third of a 1-1/2 in chord, or on blocking.

Hand-worked: a third of 1.5 in is 0.5 in, a quarter inch to each side of the middle.
"""

from dataclasses import replace

import pytest

from core.model.room import Trusses
from core.rules.finding import Outcome
from core.rules.wording import message
from tests.rules.judging import breaches, only, passed
from tests.rules.spoiling import with_support
from tests.specimens import plain_barn

RULE = "support.truss"


def test_anchors_in_the_middle_pass() -> None:
    first, _ = passed(plain_barn(), RULE)
    assert (first.value, first.limit) == (0.0, 0.25)


@pytest.mark.parametrize(
    ("along", "code"), [(0.5, "near-edge"), (-0.5, "near-edge"), (1.0, "off-truss")]
)
def test_an_anchor_off_the_middle_is_a_stop(along: float, code: str) -> None:
    finding = only(with_support(1, along=along), RULE, code)

    assert finding.outcome is Outcome.STOP
    assert (finding.subject, finding.other) == ("run-1", "support-1-2")
    assert (finding.value, finding.limit) == (abs(along), 0.25)
    # x = 24 + 168 = 192 in is the fifth truss of those 4 ft apart from the front wall
    assert "from the middle of truss 5" in message(finding)

    passed(with_support(1, along=0.25), RULE)


def test_blocking_holds_an_anchor_off_the_truss() -> None:
    barn = with_support(1, along=20.0, blocking=True)
    first, _ = passed(barn, RULE)
    assert first.value == 0.0


def test_a_room_without_trusses_is_not_checked() -> None:
    barn = plain_barn()
    room = replace(barn.room, trusses=Trusses(first=1000.0))
    found = breaches(replace(barn, room=room), RULE)
    assert [item.code for item in found] == ["no-trusses", "no-trusses"]
    assert found[0].outcome is Outcome.NOT_CHECKED
