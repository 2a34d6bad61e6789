"""Where objects are held: each hold can be grasped by itself."""

import math

import pytest

from core.barnfile.files import load_barn
from core.drawing.handles import holds
from core.drawing.records import Grip
from core.model.barn import Barn
from tests.conftest import ROOT
from tests.specimens import plain_barn

SAMPLES = ("plain", "awkward", "tunnel", "nursery", "scan")


def gap_beside_the_hold(barn: Barn, key: str) -> float:
    """Return how far the hold of a run is from that of its nearest support [in]."""
    found = list(holds(barn, selection=frozenset({key})))
    (body,) = (hold for hold in found if hold.grip is Grip.BODY)
    supports = [hold for hold in found if hold.grip is Grip.SUPPORT]
    assert supports
    return min(math.dist(body.at, support.at) for support in supports)


@pytest.mark.parametrize("name", SAMPLES)
def test_no_support_lies_under_the_hold_of_its_run(name: str) -> None:
    barn = load_barn(ROOT / "sample_barns" / f"{name}.json")
    assert barn.runs
    for run in barn.runs:
        assert gap_beside_the_hold(barn, run.id) > 20.0, run.id


def test_the_hold_of_a_run_is_between_the_supports_nearest_its_middle() -> None:
    found = holds(plain_barn(), selection=frozenset({"run-1"}))
    (body,) = (hold for hold in found if hold.grip is Grip.BODY)
    # hand-worked: supports at 24, 168 and 312 in of 360; 240 in is half-way between
    # the last two and nearer the middle than 96 in; the run begins at (24, 60)
    assert body.at[:2] == (264.0, 60.0)
