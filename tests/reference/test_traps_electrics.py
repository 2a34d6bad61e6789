"""Where a simple formula misleads: air, charge, lanes, rods, headroom, lead.

Each test holds the simple answer beside ours; put in place of ours, it would fail.
The numbers are those of check_values.md, "Where a simple formula misleads", worked
from the sources named there.
"""

import math

import pytest

from core.electrics.air import air_pressure, relative_air_density, required_gap
from core.electrics.corona import onset_gradient, onset_voltage, point_field
from core.electrics.ground import rod_resistance, two_rod_resistance
from core.electrics.lead import lead_low_points, lead_reach, sweep_lead
from core.electrics.stored_energy import (
    bleed_time,
    lead_capacitance,
    run_capacitance,
    stored_energy,
)
from core.electrics.working_space import unguarded_height
from core.geometry.coverage import floor_coverage, lane_outline
from core.mechanics.headroom import EXIT_PROJECTION_HEIGHT, stowed_headroom

pytestmark = pytest.mark.reference

VOLTAGE = 30e3


def test_thirty_kilovolts_a_centimetre_is_far_too_short() -> None:
    """Simple: 30 kV / 30 kV/cm = 0.39 in. Needles spark over 1.06 in, streamers
    bridge 2.36 in, and twice that is 4.72 in."""
    simple = VOLTAGE / 30e3 / 2.54
    assert simple == pytest.approx(0.394, abs=0.001)
    gap = required_gap(VOLTAGE, density=1.0)
    assert gap.sparkover == pytest.approx(1.06, abs=0.005)
    assert gap.streamer == pytest.approx(2.36, abs=0.005)
    assert gap.required == pytest.approx(4.72, abs=0.005)
    assert gap.required > 10 * simple


def test_twice_the_sparkover_alone_is_not_enough() -> None:
    """Simple: twice the needle gap, 2.12 in; the streamer asks for more."""
    gap = required_gap(VOLTAGE, density=1.0)
    assert 2 * gap.sparkover == pytest.approx(2.118, abs=0.001)
    assert gap.required > 2 * (2 * gap.sparkover)


def test_rod_gap_formula_does_not_reach_down_to_thirty_kilovolts() -> None:
    """Simple: IEC 60052 rod-rod U = 2 + 0.534 d (kV, mm), made for 250 to 2500 mm."""
    simple = (VOLTAGE / 1000 - 2) / 0.534 / 25.4
    gap = required_gap(VOLTAGE, density=1.0)
    assert simple == pytest.approx(2.06, abs=0.01)
    assert simple > 1.5 * gap.sparkover


def test_air_at_altitude_and_in_summer_insulates_less() -> None:
    """Simple: the sea-level gap. At 5000 ft and 30 degC the density is 0.82."""
    density = relative_air_density(pressure=air_pressure(5000 * 12), temperature=30)
    assert density == pytest.approx(0.82, abs=0.005)
    simple = required_gap(VOLTAGE, density=1.0).required
    assert required_gap(VOLTAGE, density=density).required > simple + 1.0


def test_a_smooth_pipe_does_not_glow_but_its_points_do() -> None:
    """Simple: it is at -30 kV, so it glows. Onset of a 3/4 tube at 6.5 ft is near
    260 kV; a point of 0.05 mm has many times the onset field of its radius."""
    onset = onset_voltage(radius=0.461, height=78, surface=1.0, density=1.0)
    assert onset == pytest.approx(260e3, rel=0.005)
    assert onset > 8 * VOLTAGE
    tip = 0.005 / 2.54
    at_tip = point_field(VOLTAGE, tip_radius=tip, gap=100 / 2.54)
    assert at_tip > 5 * onset_gradient(tip, surface=1.0, density=1.0)


def test_low_current_still_leaves_a_charge_and_the_lead_adds_to_it() -> None:
    """Simple: the supply gives microamperes, so nothing is stored. 92 ft hold
    0.12 J, 360 ft 0.45 J, and 60 ft of lead on metal more than double the first."""
    short = run_capacitance(92 * 12, radius=0.461, height=78)
    long = run_capacitance(360 * 12, radius=0.461, height=102)
    assert stored_energy(short, VOLTAGE) == pytest.approx(0.12, abs=0.005)
    assert stored_energy(long, VOLTAGE) == pytest.approx(0.45, abs=0.005)
    lead = lead_capacitance(60 * 12, capacitance_per_foot=20)
    assert stored_energy(short + lead, VOLTAGE) > 2 * stored_energy(short, VOLTAGE)


def test_one_time_constant_does_not_make_it_touchable() -> None:
    """Simple: wait R C. After that 11 kV are left; 50 V take 6.4 times as long."""
    farads, ohms = 1e-9, 1e9
    simple = ohms * farads
    assert VOLTAGE * math.exp(-1) > 11e3
    waited = bleed_time(farads, resistance=ohms, voltage=VOLTAGE)
    assert waited == pytest.approx(6.4 * simple, rel=0.001)


def test_lanes_stop_short_of_the_end_walls() -> None:
    """Simple: 4 lanes x 10 ft / 41 ft = 97.6 %. 93.7 % once they stop at 4 ft."""
    simple = 4 * 10 / 41
    room = [(0, 0), (2400, 0), (2400, 492), (0, 492)]
    lanes = [
        lane_outline((48, 12 * y), (2352, 12 * y), width=120)
        for y in (5.5, 15.5, 25.5, 35.5)
    ]
    coverage = floor_coverage(lanes, [room])
    assert simple == pytest.approx(0.976, abs=0.001)
    assert coverage.share == pytest.approx(0.937, abs=0.001)
    ends = [hole for hole in coverage.holes if hole.low[0] == 0 or hole.high[0] == 2400]
    assert sum(hole.area for hole in ends) > 0
    assert sum(hole.area for hole in coverage.holes) == pytest.approx(
        coverage.floor - coverage.covered
    )


def test_overlapping_lanes_count_once() -> None:
    """Simple: the sum of the lanes' areas over the room's, 1.0 here. By hand: 30 ft
    of the 50 ft lie inside, 0.6."""
    room = [(0, 0), (1200, 0), (1200, 600), (0, 600)]
    lanes = [
        lane_outline((0, 12 * y), (1200, 12 * y), width=120)
        for y in (5, 10, 15, 20, 25)
    ]
    simple = 5 * 10 / 50
    assert simple == 1.0
    assert floor_coverage(lanes, [room]).share == pytest.approx(0.6)


def test_a_second_rod_does_not_halve_the_resistance() -> None:
    """Simple: half. 6 ft apart 0.58, 16 ft apart 0.54 of one rod."""
    rod = {"length": 96.0, "diameter": 0.625}
    one = rod_resistance(100, **rod)
    near = two_rod_resistance(100, spacing=72, **rod) / one
    far = two_rod_resistance(100, spacing=192, **rod) / one
    assert near == pytest.approx(0.583, abs=0.002)
    assert far == pytest.approx(0.538, abs=0.002)
    assert 0.5 < far < near


def test_headroom_is_not_ceiling_less_pipe() -> None:
    """Simple: 90 - 7 - 0.92 = 82.1 in clears 80. Sag and points make it 78.8 in."""
    simple = 90 - 7 - 0.922
    lowest = stowed_headroom(
        90, stow_drop=7, outside_diameter=0.922, sag=0.26, point_hang=3
    )
    assert lowest == pytest.approx(78.8, abs=0.05)
    assert lowest < EXIT_PROJECTION_HEIGHT < simple


def test_the_shortest_lead_is_inside_the_travel() -> None:
    """Simple: the two ends of the travel, 34.99 and 43.86 in. Level with the hold
    it is 18 in, so the lead has 25.9 in of slack there."""
    reach = lead_reach((18, 0, 0), (0, 0, -30), travel=70)
    simple = min(reach.lowered, reach.stowed)
    assert simple == pytest.approx(34.99, abs=0.01)
    assert reach.shortest == 18
    assert reach.slack(reach.longest) == pytest.approx(25.86, abs=0.01)


def test_a_little_slack_droops_a_lot() -> None:
    """Simple: 6 in of slack droop about 6 in. In 10 ft they droop 1.39 ft."""
    low = lead_low_points((0, 0, 0), [(120, 0, 0)], length=126)
    droop = -low[0, 2]
    assert droop == pytest.approx(1.393 * 12, abs=0.01)
    assert droop > 2 * 6


def test_the_lowest_droop_is_not_at_an_end_of_the_travel() -> None:
    """Simple: look at the lead lowered and stowed. Held half way up and 60 in aside,
    it droops most below the lower of its two ends in between."""
    hold, terminal, travel, length = (60.0, 0.0, 40.0), (0.0, 0.0, 0.0), 80.0, 90.0
    swept = sweep_lead(hold, terminal, travel=travel, length=length)
    hang = hold[2] - swept.shapes[:, :, 2].min(axis=1)
    droop = hang - (hold[2] - travel * swept.lifts).clip(min=0)
    assert droop.max() > 1.2 * max(droop[0], droop[-1])
    assert 0 < swept.lifts[droop.argmax()] < 1


def test_no_height_under_a_barn_ceiling_guards_people() -> None:
    """Simple: it hangs at the ceiling, so nobody reaches it. The table wants 9.5 ft."""
    assert unguarded_height(VOLTAGE) == 114 > 96
