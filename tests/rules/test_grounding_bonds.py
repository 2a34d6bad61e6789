"""A part whose bond is unknown stops commissioning."""

from dataclasses import replace

import pytest

from core.model.fixtures import Probe
from core.rules.finding import Outcome
from tests.rules.spoiling import GOOD, codes, goes_wrong, with_electrical

RULE = "grounding.bonds"


@pytest.mark.parametrize("place", range(6))
def test_a_bond_that_is_not_noted(place: int) -> None:
    bonds = GOOD.electrical.bonds
    fewer = (*bonds[:place], *bonds[place + 1 :])
    item = goes_wrong(with_electrical(bonds=fewer), RULE, "bond-unknown", Outcome.STOP)
    assert item.subject == bonds[place].subject


def test_a_bond_to_nobody_knows_what() -> None:
    first, *others = GOOD.electrical.bonds
    vague = (replace(first, to=None), *others)
    goes_wrong(with_electrical(bonds=vague), RULE, "bond-unknown", Outcome.STOP)


def test_a_probe_needs_a_bond_even_without_metal() -> None:
    probe = Probe(id="probe-9", x=300.0, y=100.0, cable=40.0, metal=False)
    more = replace(GOOD, fixtures=(*GOOD.fixtures, probe))
    item = goes_wrong(more, RULE, "bond-unknown", Outcome.STOP)
    assert item.subject == "probe-9"


def test_winch_and_cables_need_a_bond() -> None:
    bonds = tuple(b for b in GOOD.electrical.bonds if b.subject != "hoist-1")
    item = goes_wrong(with_electrical(bonds=bonds), RULE, "bond-unknown", Outcome.STOP)
    assert item.subject == "hoist-1"
    assert item.details["kind"] == "hoist"


def test_a_bare_room_is_not_passed() -> None:
    bare = replace(with_electrical(bonds=()), fixtures=(), hoists=())
    assert codes(bare, RULE) == {"no-metal": Outcome.NOT_CHECKED}
