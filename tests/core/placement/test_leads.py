import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.catalogue.standard import standard_catalogue
from core.electrics.lead import route_length
from core.model.electrical import Jumper, Lead
from core.model.runs import Run
from core.placement.leads import (
    hanging_line,
    jumper_strand,
    lead_strands,
    terminal_point,
)
from core.placement.solids import Group
from tests.core.placement.rooms import room_with

PARTS = standard_catalogue()
ROOM = room_with()
TRAVEL = 96.0 - 9.0 - 0.461 - 50.0  # hand-worked; published OD of 3/4 EMT 0.922 in
RUN = Run(id="run", start=(60.0, 80.0), end=(300.0, 80.0))
LEAD = Lead(
    id="lead",
    run="run",
    route=((3.0, 80.0, 70.0), (3.0, 80.0, 90.0), (40.0, 80.0, 90.0)),
    free_length=70.0,
)


def test_the_terminal_moves_with_the_run() -> None:
    low = terminal_point(RUN, ROOM, PARTS, station=6.0, lift=0.0)
    high = terminal_point(RUN, ROOM, PARTS, station=6.0, lift=1.0)
    assert low == (66.0, 80.0, 50.0)
    assert high == pytest.approx((66.0, 80.0, 50.0 + TRAVEL))


@given(lift=st.floats(0.0, 1.0))
def test_the_free_part_keeps_its_length_between_hold_and_terminal(lift: float) -> None:
    route, free = lead_strands(LEAD, RUN, ROOM, PARTS, lift=lift)
    assert route.points == LEAD.route
    assert free.points[0] == (40.0, 80.0, 90.0)
    assert free.points[-1] == pytest.approx((66.0, 80.0, 50.0 + lift * TRAVEL))
    # chords within 0.05 in of the curve: a little short
    assert route_length(free.points) == pytest.approx(70.0, abs=0.3)
    assert route_length(free.points) <= 70.0 + 1e-6
    assert {(s.owner, s.group) for s in (route, free)} == {("lead", Group.LEAD)}


def test_level_slack_droops_as_published() -> None:
    # check value F, from reference/check_values.md: slack of 0.5 ft in 10 ft
    # droops 1.4 ft (catenary, second method there)
    line = hanging_line((0.0, 0.0, 90.0), (120.0, 0.0, 90.0), length=126.0)
    droop = 90.0 - min(z for _, _, z in line)
    assert droop / 12 == pytest.approx(1.4, abs=0.05)


@pytest.mark.parametrize("length", [50.0, 60.0, 60.0 * (1 + 1e-12)])
def test_a_lead_that_is_too_short_is_drawn_taut(length: float) -> None:
    ends = ((0.0, 0.0, 90.0), (60.0, 0.0, 90.0))
    assert hanging_line(*ends, length=length) == ends


@given(slack=st.floats(1e-7, 5.0), rise=st.floats(-60.0, 60.0))
def test_a_lead_with_any_slack_hangs_below_its_chord(slack: float, rise: float) -> None:
    a, b = (0.0, 0.0, 90.0), (60.0, 0.0, 90.0 + rise)
    line = hanging_line(a, b, length=math.dist(a, b) * (1.0 + slack))
    assert all(z <= 90.0 + rise * x / 60.0 + 1e-6 for x, _, z in line)


def test_a_lead_held_once_has_only_its_free_part() -> None:
    (free,) = lead_strands(
        replace(LEAD, route=LEAD.route[-1:]), RUN, ROOM, PARTS, lift=0.0
    )
    assert free.part == "free part"
    assert lead_strands(replace(LEAD, route=()), RUN, ROOM, PARTS, lift=0.0) == ()


def test_a_jumper_hangs_between_two_runs_that_move() -> None:
    other = replace(RUN, id="other", start=(60.0, 200.0), end=(300.0, 200.0))
    jumper = Jumper(
        id="j",
        from_run="run",
        from_station=10.0,
        to_run="other",
        to_station=20.0,
        length=150.0,
    )
    strand = jumper_strand(jumper, RUN, other, ROOM, PARTS, lift=1.0)
    assert strand.points[0] == pytest.approx((70.0, 80.0, 50.0 + TRAVEL))
    assert strand.points[-1] == pytest.approx((80.0, 200.0, 50.0 + TRAVEL))
    assert route_length(strand.points) == pytest.approx(150.0, abs=0.5)
