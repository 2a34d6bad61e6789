"""What the ropes, pulleys, screws and winch of a whole barn carry, by hand."""

import math
from dataclasses import replace

import numpy as np
import pytest

from core.analysis.analyse import analyse
from core.analysis.anchors import screw_hold
from core.analysis.cable_line import LIFTS, cable_line
from core.catalogue import parts
from core.catalogue.standard import standard_catalogue
from core.mechanics.anchor import lag_withdrawal
from core.mechanics.cable import Branch, Drop, Turn, walk_cable
from core.mechanics.pulley import Motion, ratio_at_wrap, wrap_angle
from core.mechanics.rope_path import PathCircle, tangent_length
from core.model.barn import Barn
from core.model.edits import add_objects, move_objects, move_support
from core.model.fixtures import Light
from core.model.hoists import Parts
from core.outputs.loads_json import grounding_json, loads_json
from core.placement.hanging import support_points
from core.rules.hoist_evidence import CableLoads, HoistEvidence, PulleyLoads
from tests.rules.spoiling import with_hoist, with_part, with_run
from tests.specimens import plain_barn

BARN = plain_barn()
CATALOGUE = standard_catalogue()


def hoist_of(barn: Barn) -> HoistEvidence:
    (hoist,) = analyse(barn).report.hoists.values()
    return hoist


def cable_of(barn: Barn) -> CableLoads:
    return hoist_of(barn).cables[0]


def pulley(cable: CableLoads, name: str) -> PulleyLoads:
    return next(each for each in cable.pulleys if each.id == name)


def test_the_drops_carry_the_whole_pipe() -> None:
    """Hand-worked: 360 in of tube at 0.46 lb/ft, 15 points of 0.02 lb, 2 couplings
    of 0.35 lb (sticks of 120 in, 360 in: three sticks), 3 insulators of 0.15 lb and
    3 cords of 0.010 lb/ft; (360 - 12) / 24 = 14.5, so 15 points."""
    tube, points, joints = 0.46 * 30, 15 * 0.02, 2 * 0.35
    places = support_points(BARN.runs[0], BARN.room, CATALOGUE, lift=0.0)
    cords = sum(math.dist(p.over[0], p.insulator_high) for p in places) / 12 * 0.010
    whole = tube + points + joints + 3 * 0.15 + cords
    assert sum(cable_of(BARN).drops.values()) == pytest.approx(whole, rel=1e-4)


def test_tensions_are_those_of_the_cable_walk() -> None:
    """Second method: the walk put together here from drops and ratios."""
    cable = cable_of(BARN)
    elements = [
        Drop(name=key, load=load, ratio=pulley(cable, key).ratio)
        for key, load in cable.drops.items()
    ]
    turns = [
        Turn(name=p.id, ratio=p.ratio) for p in cable.pulleys if p.kind == "turning"
    ]
    tree = Branch(name="cable", elements=(*elements, *turns))
    assert cable.resting == pytest.approx(walk_cable(tree, Motion.AT_REST).pull)
    assert cable.lowering == pytest.approx(walk_cable(tree, Motion.LOWERING).pull)
    # while lifting each rope counts at its most slanted: a little more
    lifting = walk_cable(tree, Motion.LIFTING).pull
    assert lifting <= cable.lifting <= 1.02 * lifting


def test_friction_is_counted_at_the_wrap_and_not_to_the_power_of_all() -> None:
    """Trap: 3 drops in parallel and 2 turns in series, K falls with the wrap."""
    cable = cable_of(BARN)
    drop, turn = cable.pulleys[0], cable.pulleys[3]
    assert math.degrees(drop.wrap) == pytest.approx(97.0, abs=2.0)
    assert math.degrees(turn.wrap) == pytest.approx(90.0, abs=2.0)
    assert drop.ratio == ratio_at_wrap(1.09, drop.wrap)
    assert turn.ratio == ratio_at_wrap(1.04, turn.wrap)
    total = sum(cable.drops.values())
    assert cable.lifting < total * 1.09**3 * 1.04**2
    assert cable.lowering < cable.resting < cable.lifting


def stowed_lean(cable: CableLoads) -> float:
    """Return how far a stowed rope leans: pitch radius over its height [-].

    Hand-worked: the pulley is above the support, its rim 0.875 in beside it.
    """
    place = support_points(BARN.runs[0], BARN.room, CATALOGUE, lift=0.0)[0]
    return 0.875 / (place.over[0][2] - place.insulator_low[2] - cable.travel)


def test_a_drop_pulley_carries_its_rope_at_a_right_angle() -> None:
    """Hand-worked: load W down, T behind it along the run, half the cable's weight,
    and W times the lean of the stowed rope."""
    cable = cable_of(BARN)
    first = cable.pulleys[0]
    load = cable.drops[first.id]
    half = 144.0 * 0.065 / 12 / 2
    x, y, z = first.force
    assert first.at_lift == 1.0
    assert x == pytest.approx(first.lifting + load * stowed_lean(cable))
    assert y == pytest.approx(0.0, abs=1e-9)
    assert -z == pytest.approx(load + half)


def test_the_second_drop_pulley_feels_nothing_of_a_straight_cable_over_it() -> None:
    cable = cable_of(BARN)
    second = cable.pulleys[1]
    lean = cable.drops[second.id] * stowed_lean(cable)
    assert second.force[0] == pytest.approx(second.lifting + lean)


def test_a_cable_that_bends_over_a_drop_pulley_loads_it() -> None:
    """Second pulley 6 in lower: both straight parts pull it up by T 6 / 144 each."""
    low = with_run(stow_drop=25.0)
    supports = list(BARN.runs[0].supports)
    supports[1] = replace(supports[1], pulley_drop=supports[1].pulley_drop + 6.0)
    straight = cable_of(low)
    bent = cable_of(with_run(stow_drop=25.0, supports=tuple(supports)))
    before, after = (straight.segments[i].lifting for i in (0, 1))
    lifted = bent.pulleys[1].force[2] - straight.pulleys[1].force[2]
    assert lifted == pytest.approx((before + after) * 6.0 / 144.0, rel=0.05)


def test_a_turning_pulley_carries_both_tensions_at_a_right_angle() -> None:
    """Hand-worked: sqrt(T1^2 + T2^2), and the cable's weight of some 0.4 lb."""
    cable = cable_of(BARN)
    turn = cable.pulleys[3]
    before = cable.segments[2].lifting
    expected = math.hypot(before, turn.lifting)
    assert turn.load == pytest.approx(expected, rel=0.01)


def test_the_last_turn_is_looked_at_through_the_travel() -> None:
    """Pull point beside the last pulley: its direction changes most at the start."""
    _, y, z = BARN.hoists[0].pull_point
    near = with_hoist(pull_point=(466.0, y + 40.0, z), pull_towards=(12.0, y + 40.0, z))
    last = cable_of(near).pulleys[-1]
    assert len(last.loads) == len(LIFTS)
    assert max(last.loads) - min(last.loads) > 0.3
    assert last.load == max(last.loads)
    assert last.load == last.loads[LIFTS.index(last.at_lift)]


def test_wraps_and_slants_follow_the_rope_in_space() -> None:
    run, hoist = BARN.runs[0], BARN.hoists[0]
    (cable, _) = hoist.cables
    hung = support_points(run, BARN.room, CATALOGUE, lift=0.0, leaves=cable.leaves)
    line = cable_line(
        run,
        cable,
        hung,
        CATALOGUE,
        run_travel=40.0,
        pull_point=hoist.pull_point,
        pull_towards=hoist.pull_towards,
        pull_travel=40.0,
    )
    # hand-worked: the rope meets the wheel a pitch radius of 0.875 in beside the
    # support, leans out by that much, and lies level past the wheel
    height = hung[0].over[0][2] - hung[0].insulator_low[2]
    slant = math.hypot(0.875, height) / height
    assert line.slants[0, 0] == pytest.approx(slant)
    assert line.wraps[0, 0] == pytest.approx(
        math.pi / 2 + math.atan(0.875 / height), abs=1e-9
    )
    moved = line.points[:, -1, 0]
    assert moved[0] - moved[-1] == pytest.approx(40.0)
    # second method: the formula that the reference cases prove, pulley by pulley
    back = line.behind.copy()
    back[:, : len(hung)] = line.down
    proved = [
        [wrap_angle(-behind, ahead) for behind, ahead in zip(*pair, strict=True)]
        for pair in zip(back, line.ahead, strict=True)
    ]
    assert line.wraps == pytest.approx(np.array(proved), abs=1e-7)


def test_cable_length_by_tangents_and_arcs() -> None:
    """Second method: tangent lengths in the level plane of the cable."""
    (first, second) = BARN.hoists[0].cables[0].turns
    points = [pulley.at for pulley in cable_of(BARN).pulleys]
    radius = 1.25
    circles = [
        PathCircle(x=points[0][0], y=points[0][1]),
        PathCircle(x=first.at[0], y=first.at[1], radius=radius, turn=1),
        PathCircle(x=second.at[0], y=second.at[1], radius=radius, turn=1),
        PathCircle(x=BARN.hoists[0].pull_point[0], y=BARN.hoists[0].pull_point[1]),
    ]
    gap = BARN.runs[0].supports[0].clamp_gap
    # the cable runs a pitch radius above the drop pulleys: level within 1 in
    expected = tangent_length(circles) - gap
    assert cable_of(BARN).length == pytest.approx(expected, abs=0.5)


def test_the_far_clamp_lags_by_stretch() -> None:
    """Hand-worked: sum of T L / EA over the straight parts of the cable."""
    cable = cable_of(BARN)
    stiffness = 100 * 0.1875**2 / 1.62e-5
    lengths = [segment.length for segment in cable.segments]
    lengths[0] -= BARN.runs[0].supports[0].clamp_gap
    work = sum(
        segment.lifting * length
        for segment, length in zip(cable.segments, lengths, strict=True)
    )
    assert cable.lag == pytest.approx(work / stiffness)


def test_the_sag_is_the_catenary_with_the_clamp_at_rest_and_lowering() -> None:
    """Hand-worked for the middle span: w L^2 / 8 H + P a (L - a) / H L."""
    segment = cable_of(BARN).segments[1]
    weight, span, pull = 0.065 / 12, 144.0, segment.lowering
    place = 6.0 + analyse(BARN).report.runs["run-1"].evidence.body.travel
    own = weight * span**2 / (8 * pull)
    clamp = 0.15 * place * (span - place) / (pull * span)
    assert segment.sag_lowering == pytest.approx(own + clamp, rel=1e-3)
    assert segment.sag_resting < segment.sag_lowering


def test_a_screw_counts_its_thread_in_the_wood_only() -> None:
    """Hand-worked: 3 in long, 1/2 in of sheet, 2 in of thread, 0.156 in of tip."""
    screw = CATALOGUE.find(parts.AnchorScrew, "screw-eye-lag-1-4x3")
    wood = CATALOGUE.find(parts.Wood, "spruce-pine-fir")
    hold = screw_hold(screw, BARN.room, wood)
    assert hold.thread == pytest.approx(2.0 - 0.15625)
    value = lag_withdrawal(0.42, 0.25) * hold.thread * 0.9 * 0.7
    assert hold.withdrawal == pytest.approx(value)
    thick = replace(BARN.room, trusses=replace(BARN.room.trusses, sheet_thickness=2.0))
    assert screw_hold(screw, thick, wood).thread == pytest.approx(1.0 - 0.15625)


def test_the_anchor_is_judged_by_its_combined_pull() -> None:
    """Second method: NDS 2018 12.4.1 by its components, o^2 / W' + s^2 / Z'."""
    room = BARN.room
    wood = CATALOGUE.find(parts.Wood, room.trusses.wood)
    anchors = cable_of(BARN).anchors
    assert len(anchors) == 5  # three drop pulleys and two turns
    for anchor in anchors:
        hold = screw_hold(CATALOGUE.find(parts.AnchorScrew, anchor.part), room, wood)
        x, y, z = anchor.force
        out, side = -z, math.hypot(x, y)
        assert (anchor.withdrawal, anchor.side) == pytest.approx((out, side))
        size = math.hypot(out, side)
        use = (out**2 / hold.withdrawal + side**2 / hold.side) / size
        assert anchor.use == pytest.approx(use)
        assert anchor.allowed == pytest.approx(size / use)


def test_all_screws_of_a_truss_are_summed() -> None:
    """Both runs hang at the same stations, so each truss has two alike screws."""
    analysis = analyse(BARN).report
    first = next(t for t in analysis.trusses if t.truss == "truss 2")
    anchors = [
        anchor
        for cable in analysis.hoists["hoist-1"].cables
        for anchor in cable.anchors
        if anchor.truss == "truss 2"
    ]
    assert first.anchors == len(anchors) == 2
    assert first.down == pytest.approx(-sum(a.force[2] for a in anchors))


def test_the_pull_point_carries_all_cables() -> None:
    hoist = hoist_of(BARN)
    assert hoist.pull == pytest.approx(sum(c.lifting for c in hoist.cables))


def test_one_part_of_line_takes_up_the_travel_along_its_slant() -> None:
    """Hand-worked: from 440 to 399.461 in, winch at x = 4 and 49 in lower, 24 spare."""
    winch = hoist_of(BARN).winch
    assert winch is not None
    x, y, z = BARN.hoists[0].pull_point
    travel = hoist_of(BARN).travels["run-1"]
    place = BARN.hoists[0].winch.at
    low, high = math.dist((x, y, z), place), math.dist((x - travel, y, z), place)
    assert winch.taken_up == pytest.approx(low - high + 24.0)
    assert winch.layer == 1
    # hand-worked: 64.2 in on turns of pi 2.6875 in
    assert winch.turns == pytest.approx(winch.taken_up / (math.pi * 2.6875))


def test_a_motor_winch_has_a_time_and_a_stop_and_no_handle() -> None:
    winch = replace(BARN.hoists[0].winch, part="motor-winch-1000")
    found = hoist_of(with_hoist(winch=winch)).winch
    assert found is not None
    # hand-worked: turns of pi (2.5 + 0.1875) at 2.4 in/s
    time = found.turns * math.pi * 2.6875 / 2.4
    assert found.lift_time == pytest.approx(time)
    travel = hoist_of(BARN).travels["run-1"]
    # hand-worked: 2.4 in/s for half a second, on the first layer
    assert found.stop_at == pytest.approx(travel - 1.2)
    assert found.handle_force is None


def test_the_block_pulls_harder_near_the_winch() -> None:
    """Two parts 40 in to the side: the angle grows as the block comes near."""
    x, y, z = BARN.hoists[0].pull_point
    near = with_hoist(
        parts=Parts.TWO,
        dead_end=(390.0, y - 40.0, z),
        winch=replace(BARN.hoists[0].winch, at=(390.0, y + 40.0, z)),
    )
    winch = hoist_of(near).winch
    assert winch is not None
    assert winch.pull_at == 1.0
    travel = hoist_of(BARN).travels["run-1"]
    away = x - 390.0 - travel
    cosine = away / math.hypot(away, 40.0)
    wrap = math.pi - 2 * math.acos(cosine)
    ratio = ratio_at_wrap(1.04, wrap)
    pull = hoist_of(BARN).pull / (cosine * (1 + 1 / ratio))
    assert winch.pull == pytest.approx(pull)
    assert winch.dead_end is not None
    assert winch.dead_end < winch.pull


def test_the_sagging_cable_is_in_the_clearance_of_the_ropes() -> None:
    """A lamp under the far span: it clears the straight cable, not the sagging one."""
    lamp = Light(id="lamp", x=120.0, y=60.0, length=6.0, width=6.0, depth=1.0, drop=6.0)
    barn = add_objects(BARN, [lamp]).barn
    evidence = analyse(barn).report.runs["run-1"].evidence
    near = [
        s.clearance
        for s in evidence.strands
        if s.other == "lamp" and s.part == "pull cable"
    ]
    heavy = with_part("cable-7x19-3-16", weight_per_foot=1e-6)
    tight = analyse(replace(heavy, fixtures=barn.fixtures)).report.runs["run-1"]
    taut = [
        s.clearance
        for s in tight.evidence.strands
        if s.other == "lamp" and s.part == "pull cable"
    ]
    sag = cable_of(BARN).segments[0].sag_lowering
    assert sag > 4.0
    assert near[0] < taut[0] - 2.0


def random_edit(barn: Barn, chance: np.random.Generator) -> Barn:
    by = (float(chance.uniform(-4.0, 4.0)), float(chance.uniform(-4.0, 4.0)), 0.0)
    run = barn.runs[int(chance.integers(2))]
    hoist = barn.hoists[0]
    match int(chance.integers(4)):
        case 0:
            support = run.supports[int(chance.integers(3))]
            place = max(support.station + by[0], 0.0)
            return move_support(barn, support.id, station=place).barn
        case 1:
            turn = hoist.cables[int(chance.integers(2))].turns[0]
            return move_objects(barn, [turn.id], by).barn
        case 2:
            lead = barn.electrical.leads[int(chance.integers(2))]
            longer = replace(lead, free_length=lead.free_length + abs(by[0]))
            leads = tuple(
                longer if each is lead else each for each in barn.electrical.leads
            )
            return replace(barn, electrical=replace(barn.electrical, leads=leads))
        case _:
            x, y, z = hoist.pull_point
            moved = replace(hoist, pull_point=(x + by[0], y + by[1], z))
            return replace(barn, hoists=(moved,))


@pytest.mark.parametrize("seed", range(4))
def test_loads_after_edits_are_those_of_a_full_analysis(seed: int) -> None:
    chance = np.random.default_rng(seed)
    barn, analysis = BARN, analyse(BARN)
    for _ in range(12):
        barn = random_edit(barn, chance)
        analysis = analyse(barn, previous=analysis)
        fresh = analyse(barn)
        assert analysis.report.findings == fresh.report.findings
        assert loads_json(analysis.report) == loads_json(fresh.report)
        assert grounding_json(analysis.report.electrical) == grounding_json(
            fresh.report.electrical
        )


def test_a_moved_support_leaves_the_other_cable_alone() -> None:
    before = analyse(BARN)
    moved = move_support(BARN, "support-1-2", station=160.0).barn
    after = analyse(moved, previous=before)
    old = before.report.hoists["hoist-1"].cables
    new = after.report.hoists["hoist-1"].cables
    assert new[1] is old[1]
    assert new[0] is not old[0]
    assert after.report.electrical is before.report.electrical
