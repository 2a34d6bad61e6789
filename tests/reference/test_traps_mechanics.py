"""Where a simple formula misleads: pipes, cables, winches, anchors, sway.

Each test works the simple formula by hand, shows that it is off by the amount that
check_values.md states, and that ours is right. Numbers: second method, as the named
case of check_values.json; others hand-worked in the test.
"""

import math

import numpy as np
import pytest

from core.errors import MechanismError
from core.mechanics.anchor import anchor_load, combined_value, thread_in_wood
from core.mechanics.cable import Branch, Drop, Turn, slack_while_lowering, walk_cable
from core.mechanics.catenary import hang_by_pull, off_plumb, parabola_sag
from core.mechanics.pipe import solve_pipe
from core.mechanics.pipe_parts import Joint, Pipe, Rope
from core.mechanics.pipe_shape import largest_sag, sag
from core.mechanics.pulley import (
    Motion,
    friction_ratio,
    pulley_load,
    ratio_at_wrap,
    seized_ratio,
    wrap_from_included_angle,
)
from core.mechanics.rope_path import (
    PathCircle,
    clamp_room,
    far_end_lag,
    tangent_length,
)
from core.mechanics.sway import pendulum_period, sway, sway_offsets, wind_load
from core.mechanics.tube import second_moment, tube_weight
from core.mechanics.winch import (
    Drum,
    block_take_up,
    drum_capacity,
    layer_pull,
    two_part_pull,
    wind,
)
from tests.oracle.beams import pynite_reactions_and_sag
from tests.reference.check_values import check_values

pytestmark = pytest.mark.reference

LOADS = (2.8, 5.1, 4.6, 4.6, 5.1, 2.8)  # [lbf] drops of cases D13 to D15


def expected(case):
    return check_values()[case]["expected"]


def pipe_of(diameter, wall, length):
    return Pipe(
        start=0.0,
        end=float(length),
        weight=tube_weight(diameter, wall),
        stiffness=29.0e6 * second_moment(diameter, wall),
    )


def emt(length):
    return pipe_of(0.922, 0.049, length)


def level(*stations):
    return [Rope(station=float(x)) for x in stations]


def simple_sag(pipe, span, divisor=384):
    return 5 * pipe.weight * span**4 / (divisor * pipe.stiffness)


def cable(ratio_drop=1.09, ratio_turn=1.04):
    drops = [Drop(name=f"D{k}", load=w, ratio=ratio_drop) for k, w in enumerate(LOADS)]
    turns = [Turn(name=f"T{k}", ratio=ratio_turn) for k in range(2)]
    return Branch(name="A", elements=(*drops, *turns))


def test_averaging_hides_the_heaviest_rope():
    hung = solve_pipe(emt(480), ropes=level(18, 162, 282, 426))
    average = hung.pipe.weight * 480 / 4
    assert average == pytest.approx(4.57, abs=0.005)
    assert max(hung.reactions) == pytest.approx(5.63, abs=0.005)
    assert max(hung.reactions) / average == pytest.approx(1.23, abs=0.005)
    assert hung.reactions == pytest.approx(expected("B22"), abs=0.01)


@pytest.mark.parametrize(("spans", "ratio"), [(3, 1.89), (4, 2.02)])
def test_simple_span_sag_is_twice_that_of_a_continuous_pipe(spans, ratio):
    pipe = emt(120 * spans)
    hung = solve_pipe(pipe, ropes=level(*(120 * k for k in range(spans + 1))))
    assert simple_sag(pipe, 120) / largest_sag(hung)[1] == pytest.approx(
        ratio, abs=0.01
    )


def test_the_misprinted_divisor_is_not_ours():
    pipe = emt(144)
    true_sag = largest_sag(solve_pipe(pipe, ropes=level(0, 144)))[1]
    assert true_sag == pytest.approx(expected("B02"), rel=2e-3)
    misprint = simple_sag(pipe, 144, divisor=348)
    assert misprint / true_sag == pytest.approx(384 / 348, rel=1e-6)


def test_couplings_make_a_pipe_sag_more_than_a_continuous_one():
    pipe, ropes = emt(432), level(0, 144, 288, 432)
    rigid = largest_sag(solve_pipe(pipe, ropes=ropes))[1]
    assert rigid == pytest.approx(0.30, abs=0.005)
    for share, printed in ((1.0, 0.81), (10.0, 0.36)):
        stiffness = share * pipe.stiffness / 144
        joints = [Joint(station=x, stiffness=stiffness) for x in (120.0, 240.0, 360.0)]
        bent = largest_sag(solve_pipe(pipe, ropes=ropes, joints=joints))[1]
        assert bent == pytest.approx(printed, abs=0.005)


def test_hinged_couplings_have_no_answer():
    joints = [Joint(station=x, stiffness=0.0) for x in (120.0, 240.0, 360.0)]
    with pytest.raises(MechanismError, match="joint at 120 in"):
        solve_pipe(emt(432), ropes=level(0, 144, 288, 432), joints=joints)


def test_a_long_rope_hardly_matters_to_thin_tube():
    pipe = emt(240)
    flat = solve_pipe(pipe, ropes=level(0, 120, 240)).reactions[1]
    ropes = [*level(0, 240), Rope(station=120.0, drop=0.25)]
    settled = solve_pipe(pipe, ropes=ropes).reactions[2]
    assert settled / flat - 1 == pytest.approx(-0.06, abs=0.005)


def test_a_long_rope_leaves_two_inch_pipe_in_the_air():
    pipe = pipe_of(2.375, 0.154, 240)
    ropes = [*level(0, 240), Rope(station=120.0, drop=0.69)]
    hung = solve_pipe(pipe, ropes=ropes)
    level_answer = solve_pipe(pipe, ropes=level(0, 120, 240)).reactions
    assert level_answer[1] > 40
    assert hung.slack_ropes == (2,)
    assert hung.reactions[0] == pytest.approx(pipe.weight * 120)


def test_dropping_every_pushing_rope_at_once_is_wrong():
    pipe = emt(240)
    ropes = level(0, 60, 120, 240)
    ropes[1] = Rope(station=60.0, drop=1.5)
    two_way, _ = pynite_reactions_and_sag(pipe, ropes, [], [0.0])
    kept = [k for k, reaction in enumerate(two_way) if reaction >= 0]
    assert kept == [0, 2]
    # by hand: two ropes 120 in apart and 120 in of overhang, R1 = w (L^2 - a^2) / 2L
    left = pipe.weight * (120**2 - 120**2) / (2 * 120)
    wrong = [left, 0.0, pipe.weight * 240 - left, 0.0]
    assert wrong == pytest.approx([0.0, 0.0, 9.15, 0.0], abs=0.005)
    hung = solve_pipe(pipe, ropes=ropes)
    assert hung.reactions == pytest.approx(expected("B31"), abs=0.01)
    assert wrong[2] - hung.reactions[2] > 3.4


def test_friction_to_the_power_of_all_pulleys_is_half_as_much_again():
    simple = sum(LOADS) * 1.09**6 * 1.04**2
    assert simple == pytest.approx(45.3, abs=0.1)
    pull = walk_cable(cable(), Motion.LIFTING).pull
    assert pull == pytest.approx(expected("D13"), abs=0.01)
    assert simple / pull > 1.5


def test_one_friction_figure_does_not_fit_every_pulley():
    small = {"friction": 0.12, "pin_radius": 0.1875, "sheave_radius": 0.875}
    large = {"friction": 0.1, "pin_radius": 0.25, "sheave_radius": 2.5}
    half, quarter = math.pi, math.pi / 2
    assert friction_ratio(quarter, **small) == pytest.approx(1.037, abs=5e-4)
    assert friction_ratio(half, **small) == pytest.approx(1.053, abs=5e-4)
    assert friction_ratio(math.pi / 6, **large) == pytest.approx(1.005, abs=5e-4)
    assert seized_ratio(quarter, friction=0.2) == pytest.approx(1.37, abs=5e-3)
    one_figure = 1.053
    assert one_figure - ratio_at_wrap(one_figure, quarter) > 0.015
    assert friction_ratio(quarter, **small, floor=1.045) == 1.045


def test_the_lifting_tension_is_not_the_lowering_one():
    pulls = [walk_cable(cable(), motion).pull for motion in Motion]
    assert pulls == pytest.approx([29.5, 25.0, 21.2], abs=0.05)
    assert [expected(c) for c in ("D13", "D14", "D15")] == pytest.approx(
        pulls, abs=0.01
    )


def test_the_lifting_walk_never_sees_a_slack_rope():
    light = Drop(name="far", load=0.8, ratio=1.09)
    stiff = Turn(name="T1", ratio=1.09, drag=1.0)
    tree = Branch(
        name="A", elements=(light, stiff, Drop(name="D2", load=5, ratio=1.09))
    )
    lifting = walk_cable(tree, Motion.LIFTING)
    assert min(p.cable for p in lifting.pulleys) > 0.8
    assert slack_while_lowering(tree) == ("far",)
    assert walk_cable(tree, Motion.LOWERING).pulleys[1].cable == 0.0


def test_two_parts_do_not_halve_the_pull():
    line = two_part_pull(60.0, ratio=1.04, motion=Motion.LIFTING)
    assert line.pull == pytest.approx(expected("E01"), abs=0.01)
    assert line.pull > 30.0
    assert line.dead_end == pytest.approx(line.pull / 1.04)
    assert line.dead_end > 29.0  # the dead end is an anchor with a load too
    taken_up = block_take_up(distance_low=96.0, distance_high=12.0)
    assert taken_up == 2 * 84.0


def test_near_pull_in_the_parts_of_line_are_not_parallel():
    # by hand: offsets 6 in at 6 in are 45 degrees, so T (1 + 1/K) cos 45 = F
    near = two_part_pull(
        60.0,
        ratio=1.04,
        motion=Motion.LIFTING,
        distance=6.0,
        winch_offset=6.0,
        dead_end_offset=6.0,
    )
    parallel = two_part_pull(60.0, ratio=1.04, motion=Motion.LIFTING)
    assert near.pull / parallel.pull == pytest.approx(math.sqrt(2))
    assert near.wrap == pytest.approx(math.pi / 2)


def test_the_label_of_a_winch_holds_on_its_first_layer_only():
    drum = Drum(core=2.5, rope=0.1875, width=2.8125)
    assert layer_pull(1000.0, drum, 1) == 1000.0
    assert layer_pull(1000.0, drum, 4) == pytest.approx(700, abs=5)


def test_dead_wraps_use_up_room_on_the_first_layer():
    drum = Drum(core=2.5, rope=0.1875, width=2.8125)
    assert wind(drum, 120.0, dead_wraps=0).layer == 1
    assert wind(drum, 120.0, dead_wraps=3).layer == 2
    lost = drum_capacity(drum, 1) - drum_capacity(drum, 1, dead_wraps=3)
    assert lost == pytest.approx(3 * math.pi * 2.6875)


@pytest.mark.parametrize(("included", "factor"), [(45, 1.84), (120, 1.0), (160, 0.35)])
def test_the_handbook_angle_is_not_the_wrap(included, factor):
    angle = math.radians(included)
    wrong = 2 * math.sin(angle / 2)
    ours = pulley_load(1.0, 1.0, wrap_from_included_angle(angle))
    assert ours == pytest.approx(factor, abs=0.0085)
    assert abs(wrong - ours) > 0.7
    right_angle = wrap_from_included_angle(math.pi / 2)
    assert pulley_load(1.0, 1.0, right_angle) == pytest.approx(
        2 * math.sin(math.pi / 4)
    )


@pytest.mark.parametrize(
    ("ratio", "size", "angle"), [(1.0, 1.41, 45), (1.09, 1.48, 43)]
)
def test_an_overhead_drop_pulley_pulls_sideways_as_well(ratio, size, angle):
    load = anchor_load((ratio * 5.2, 0.0, -5.2))
    assert load.size / 5.2 == pytest.approx(size, abs=0.005)
    assert math.degrees(load.angle) == pytest.approx(angle, abs=0.6)
    straight_out, sideways = 150.0, 90.0
    allowed = combined_value(straight_out, sideways, load.angle)
    assert allowed < 0.76 * straight_out
    assert load.side >= load.withdrawal - 1e-9


def test_tip_and_ceiling_do_not_count_as_thread():
    held = thread_in_wood(3.0, thread=2.0, tip=0.15625, layers=(0.5, 0.75))
    assert held == pytest.approx(3.0 - 1.25 - 0.15625)
    assert held < 2.0


def test_the_cable_droops_once_the_run_rests_on_its_stops():
    weight = 0.065 / 12
    taut = parabola_sag(weight, 120.0, pull=60.0)
    slack = hang_by_pull(weight, 144.0, pull=8.0).sag
    assert taut == pytest.approx(0.16, abs=0.005)
    assert slack == pytest.approx(1.755, abs=0.005)
    assert slack > 10 * taut


def test_uneven_ends_move_the_low_point_and_part_the_tensions():
    hung = hang_by_pull(0.065 / 12, 144.0, pull=5.0, rise=36.0)
    flat = parabola_sag(0.065 / 12, 144.0, pull=5.0)
    assert hung.sag == pytest.approx(12 * 0.241312, abs=0.012)
    assert hung.sag - flat > 0.08
    assert hung.far_tension - hung.near_tension == pytest.approx(0.195, abs=0.001)
    assert hung.dip == 0.0  # the lowest point is the near end, not mid-span


def test_drop_plus_run_forgets_the_arc_of_the_pulley():
    path = [
        PathCircle(x=0.0, y=-60.0),
        PathCircle(x=1.0, y=0.0, radius=1.0, turn=-1),
        PathCircle(x=121.0, y=1.0),
    ]
    assert tangent_length(path) - (60 + 120) == pytest.approx(1.57, abs=0.001)


def test_a_clamp_can_meet_the_next_pulley_within_its_travel():
    room = clamp_room(distance=48.0, travel=47.0, clamp_length=3.0, pulley_radius=1.0)
    assert room == -1.5


def test_the_far_end_lags_by_the_stretch():
    modulus = 100 * 0.1875**2 / 0.0000162  # cable-maker's rule, by hand
    tensions = [5.5 * k for k in range(1, 8)]
    lag = far_end_lag(tensions, [144.0] * 7, axial_stiffness=modulus)
    assert lag == pytest.approx(0.1, abs=0.005)


def test_a_rope_off_plumb_pulls_harder_as_the_run_rises():
    lowered = off_plumb(5.0, offset=6.0, drop=60.0)[1]
    stowed = off_plumb(5.0, offset=6.0, drop=12.0)[1]
    assert (lowered, stowed) == pytest.approx((0.5, 2.5))


@pytest.mark.parametrize(
    ("feet_a_minute", "drag", "rope", "steady", "peak", "period"),
    [(500, 1.05, 60.0, 0.86, 1.71, 2.48), (1500, 1.0, 72.0, 8.75, 17.4, 2.71)],
)
def test_a_gust_doubles_the_steady_sway(
    feet_a_minute, drag, rope, steady, peak, period
):
    load = wind_load(feet_a_minute / 5, 0.922, drag=drag)
    swing = sway(load, 0.457 / 12)
    still, gust = (
        float(sway_offsets(a, [rope])[0]) for a in (swing.steady, swing.gust)
    )
    assert (still, gust) == pytest.approx((steady, peak), abs=0.05)
    assert pendulum_period(rope) == pytest.approx(period, abs=0.005)


def test_three_times_the_air_speed_is_nine_times_the_load():
    slow, fast = (wind_load(speed, 0.922) for speed in (100.0, 300.0))
    assert fast / slow == pytest.approx(9.0)


def test_sway_is_a_wedge_that_closes_as_the_run_rises():
    low, high = sway_offsets(0.2, [72.0, 12.0])
    assert low == pytest.approx(6 * high)


def test_the_heaviest_rope_is_not_at_the_end():
    hung = solve_pipe(emt(480), ropes=level(0, 120, 240, 360, 480))
    share = np.array(hung.reactions) / (hung.pipe.weight * 120)
    assert share[0] == pytest.approx(0.39, abs=0.005)
    assert float(sag(hung, [60.0])[0]) > float(sag(hung, [180.0])[0])
