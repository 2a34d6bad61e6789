"""Leads over the whole travel, stored energy, register and rods of a whole barn."""

import math
from dataclasses import replace

import numpy as np
import pytest

from core.analysis.analyse import analyse
from core.analysis.leads import lead_rows
from core.catalogue.standard import standard_catalogue
from core.electrics.lead import lead_shapes
from core.model.barn import Barn
from core.model.electrical import Jumper, Supply
from core.model.fixtures import PlainSphere
from core.placement.leads import hanging_line, terminal_point
from core.rules.electrical_evidence import ElectricalEvidence, LeadFacts
from tests.rules.spoiling import with_electrical, with_run
from tests.specimens import plain_barn

BARN = plain_barn()
CATALOGUE = standard_catalogue()


def electrical_of(barn: Barn) -> ElectricalEvidence:
    found = analyse(barn).report.electrical
    assert found is not None
    return found


def lead_of(barn: Barn, name: str = "lead-1") -> LeadFacts:
    return next(lead for lead in electrical_of(barn).leads if lead.id == name)


def with_ball(x: float, y: float, z: float) -> Barn:
    ball = PlainSphere(id="ball", x=x, y=y, z=z, diameter=2.0)
    return replace(BARN, fixtures=(*BARN.fixtures, ball))


def least_at_many_lifts(x: float, y: float, z: float) -> float:
    """Second method: the lead drawn at 400 lifts, point by point."""
    lead, run = BARN.electrical.leads[0], BARN.runs[0]
    least = math.inf
    for lift in np.linspace(0.0, 1.0, 400):
        end = terminal_point(
            run, BARN.room, CATALOGUE, station=lead.terminal, lift=float(lift)
        )
        shape = lead_shapes(
            lead.route[-1], [end], length=lead.free_length, segments=400
        )[0]
        gaps = np.linalg.norm(shape - np.array((x, y, z)), axis=1)
        least = min(least, float(gaps.min()))
    return least - 1.0 - 0.14  # ball's and lead's radius


@pytest.mark.parametrize(
    "place", [(21.0, 64.0, 70.0), (25.0, 56.0, 60.0), (16.0, 63.0, 64.0)]
)
def test_the_clearance_of_a_lead_is_a_lower_bound(
    place: tuple[float, float, float],
) -> None:
    """Never more than the true one, and not more than the margins less."""
    facts = lead_of(with_ball(*place))
    found = next(c.clearance for c in facts.contacts if c.other == "ball")
    true = least_at_many_lifts(*place)
    assert found <= true + 1e-3
    assert true - found <= 2 * facts.margin + 0.1


def test_the_droop_is_found_within_the_travel() -> None:
    """Second method: lowest point of the drawn lead at many lifts."""
    lead, run = BARN.electrical.leads[0], BARN.runs[0]
    lows = []
    for lift in np.linspace(0.0, 1.0, 101):
        end = terminal_point(
            run, BARN.room, CATALOGUE, station=lead.terminal, lift=float(lift)
        )
        line = hanging_line(lead.route[-1], end, length=lead.free_length)
        lows.append(min(z for _, _, z in line))
    lowest = lead_of(BARN).lowest
    assert lowest is not None
    assert lowest[2] == pytest.approx(min(lows), abs=0.5)


def test_the_part_at_the_hold_is_not_measured() -> None:
    """Everything within the envelope of the hold belongs to the hold."""
    analysis = analyse(BARN)
    row = analysis.leads.subjects["lead-1"]
    hold = np.array(BARN.electrical.leads[0].route[-1])
    away = np.linalg.norm(row.starts - hold, axis=1)
    assert away.min() == pytest.approx(6.0)


def test_a_lead_that_does_not_reach_has_no_row() -> None:
    short = replace(BARN.electrical.leads[0], free_length=30.0)
    barn = with_electrical(leads=(short,))
    assert lead_of(barn).trouble
    assert analyse(barn).leads.subjects == {}
    assert lead_rows({}) == {}


JUMPER = Jumper(
    id="jumper-1",
    from_run="run-1",
    from_station=300.0,
    to_run="run-2",
    to_station=300.0,
    length=160.0,
)


def test_a_jumper_hangs_between_two_moving_runs() -> None:
    """Both ends rise alike, so that the jumper only moves up: its droop is lowest
    with the runs lowered. Hand-worked: sqrt(3/8 L s) for 156 in with 4 in more."""
    facts = lead_of(with_electrical(jumpers=(JUMPER,)), "jumper-1")
    assert facts.lowest is not None
    droop = math.sqrt(3 / 8 * 156.0 * 4.0)
    assert facts.lowest[2] == pytest.approx(50.0 - droop, abs=0.4)
    assert facts.lowest_lift == 0.0
    assert facts.spare == pytest.approx(4.0)


def test_runs_with_different_travel_stretch_their_jumper() -> None:
    higher = with_run(working_height=60.0)
    barn = replace(higher, electrical=replace(BARN.electrical, jumpers=(JUMPER,)))
    facts = lead_of(barn, "jumper-1")
    # hand-worked: 10 in apart when lowered, level when stowed
    assert facts.reach.longest == pytest.approx(math.hypot(156.0, 10.0))
    assert facts.reach.shortest == pytest.approx(156.0)


def test_a_jumper_that_droops_into_another_run_is_seen() -> None:
    """A third run between the two, 156 in apart: the jumper hangs right over it."""
    third = replace(BARN.runs[0], id="run-3", supports=(), start=(24.0, 138.0))
    third = replace(third, end=(384.0, 138.0))
    barn = replace(with_electrical(jumpers=(JUMPER,)), runs=(*BARN.runs, third))
    facts = lead_of(barn, "jumper-1")
    found = next(c for c in facts.contacts if c.other == "run-3")
    assert found.clearance < 0.0
    assert "run-3" in facts.own
    assert found.other_part == "swept space"
    others = [c for c in facts.contacts if c.other in {"run-1", "run-2"}]
    assert all(c.other_part != "swept space" for c in others)


def test_stored_energy_of_runs_and_leads() -> None:
    """Hand-worked: 2 runs of 2 pi e0 L / acosh(50 / 0.461) and leads of 20 pF/ft."""
    run = 2 * math.pi * 8.8541878128e-12 * 360 * 0.0254 / math.acosh(50 / 0.461)
    leads = BARN.electrical.leads
    feet = sum(
        sum(map(math.dist, lead.route, lead.route[1:])) + lead.free_length
        for lead in leads
    )
    total = 2 * run + feet / 12 * 20e-12
    charge = electrical_of(BARN).charge
    assert charge.capacitance == pytest.approx(total)
    assert charge.energy == pytest.approx(total * 30e3**2 / 2)
    assert charge.bleed_time is None


def test_the_bleed_resistor_gives_a_time() -> None:
    """Hand-worked: R C ln(30 000 / 50)."""
    supply = BARN.electrical.supply
    assert isinstance(supply, Supply)
    barn = with_electrical(supply=replace(supply, bleed_resistance=1e9))
    charge = electrical_of(barn).charge
    assert charge.bleed_time == pytest.approx(
        1e9 * charge.capacitance * math.log(600.0)
    )


def test_every_metal_part_is_in_the_register() -> None:
    kinds = {row.subject: row.kind for row in electrical_of(BARN).bonds}
    metal = {f.id for f in BARN.fixtures if f.metal}
    assert metal <= set(kinds)
    assert kinds["probe-1"] == "probe"
    assert kinds["hoist-1"] == "hoist"
    assert "inlet-1" not in kinds


def test_electrics_stay_while_a_support_moves() -> None:
    before = analyse(BARN)
    run = BARN.runs[0]
    supports = (replace(run.supports[0], station=30.0), *run.supports[1:])
    moved = replace(BARN, runs=(replace(run, supports=supports), BARN.runs[1]))
    after = analyse(moved, previous=before)
    assert after.report.electrical is before.report.electrical
