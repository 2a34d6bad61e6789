"""Group B: reactions and sag of pipes on ropes.

Published: AISC Manual Table 3-23 and Roark Table 8.1 (case numbers and printed
sag coefficients from memory). Second method: PyNiteFEA, Macaulay's method or a
separate Hermite element program, as each case says.
"""

import numpy as np
import pytest

from core.errors import MechanismError
from core.mechanics.mechanism import zero_modes
from core.mechanics.pipe import solve_pipe
from core.mechanics.pipe_parts import Joint, Lump, Pipe, Rope
from core.mechanics.pipe_shape import bending_moment, largest_sag, sag
from core.mechanics.tube import bending_stress, second_moment, tube_weight
from tests.reference.check_values import assert_case, ids, inputs

pytestmark = pytest.mark.reference

EQUAL_SPAN_SAGS = ["B11", "B12", "B13"]
SIMPLE_SPANS = [i for i in ids("beam_sag", group="B") if i not in EQUAL_SPAN_SAGS]
OVERHANG_REACTIONS, OVERHANG_TIPS = ["B16", "B17"], ["B19", "B20"]
LIFTED_MIDDLES = ["B26", "B28"]
COUPLED = ["B34", "B35"]
MECHANISM = "B37"
REACTIONS = ["B22", "B23", "B25", "B29", "B31"]


def made_pipe(given, start, end):
    inertia = second_moment(given["OD_in"], given["wall_in"])
    return Pipe(
        start=start,
        end=end,
        weight=tube_weight(given["OD_in"], given["wall_in"]),
        stiffness=given.get("E_psi", 29.0e6) * inertia,
    )


def level(stations):
    return [Rope(station=float(station)) for station in stations]


def equal_spans(given):
    spans, span = given["spans"], float(given["span_in"])
    pipe = made_pipe(given, 0.0, spans * span)
    return solve_pipe(pipe, ropes=level(span * k for k in range(spans + 1)))


def with_overhang(given):
    span, over = float(given["span_in"]), float(given["overhang_in"])
    pipe = made_pipe(given, 0.0, span + over)
    return solve_pipe(pipe, ropes=level([0, span]))


def described(given):
    """Return the pipe of a `runs` case with its drops, springs, lumps and joints."""
    stations = given["supports_in"]
    drops = given.get("support_drop_in", [0] * len(stations))
    springs = given.get("support_spring_lb_per_in", [np.inf] * len(stations))
    return solve_pipe(
        made_pipe(given, float(given["pipe_from_in"]), float(given["pipe_to_in"])),
        ropes=[
            Rope(station=float(x), drop=float(d), spring=float(k))
            for x, d, k in zip(stations, drops, springs, strict=True)
        ],
        lumps=[Lump(station=x, weight=w) for x, w in given.get("point_loads_lb", [])],
        joints=[
            Joint(station=float(x), stiffness=given["k_in_lb_per_rad"])
            for x in given.get("couplings_in", [])
        ],
    )


def test_every_case_of_the_group_is_used():
    used = {*SIMPLE_SPANS, *EQUAL_SPAN_SAGS, *ids("beam_reactions", group="B")}
    used |= {*OVERHANG_REACTIONS, *OVERHANG_TIPS, *LIFTED_MIDDLES, *COUPLED}
    assert used | {MECHANISM, "B33", *REACTIONS} == set(ids(group="B"))


@pytest.mark.parametrize("case", SIMPLE_SPANS)
def test_simple_span_sag(case):
    given = inputs(case)
    span = float(given["span_in"])
    hung = solve_pipe(made_pipe(given, 0.0, span), ropes=level([0, span]))
    assert_case(case, largest_sag(hung)[1])


@pytest.mark.parametrize("case", ids("beam_reactions", group="B"))
def test_equal_span_reactions(case):
    given = inputs(case)
    hung = equal_spans(given)
    load = hung.pipe.weight * given["span_in"]
    assert_case(case, *(reaction / load for reaction in hung.reactions))


@pytest.mark.parametrize("case", EQUAL_SPAN_SAGS)
def test_equal_span_sag(case):
    given = inputs(case)
    hung = equal_spans(given)
    unit = hung.pipe.weight * given["span_in"] ** 4 / hung.pipe.stiffness
    assert_case(case, largest_sag(hung)[1] / unit)


@pytest.mark.parametrize("case", OVERHANG_REACTIONS)
def test_overhang_reactions(case):
    assert_case(case, *with_overhang(inputs(case)).reactions)


@pytest.mark.parametrize("case", OVERHANG_TIPS)
def test_overhang_tip_rises(case):
    hung = with_overhang(inputs(case))
    assert_case(case, sag(hung, [hung.pipe.end])[0])


@pytest.mark.parametrize("case", REACTIONS)
def test_reactions_with_lumps_drops_and_springs(case):
    assert_case(case, *described(inputs(case)).reactions)


@pytest.mark.parametrize("case", LIFTED_MIDDLES)
def test_middle_rope_goes_slack_at_the_stated_drop(case):
    given = inputs(case)
    span = float(given["span_in"])
    pipe = made_pipe(given, 0.0, 2 * span)
    hung = solve_pipe(pipe, ropes=level([0, 2 * span]))
    assert_case(case, sag(hung, [span])[0])
    for change, slack in ((-0.01, ()), (0.01, (1,))):
        middle = Rope(station=span, drop=sag(hung, [span])[0] + change)
        three = solve_pipe(pipe, ropes=[*level([0, 2 * span]), middle])
        assert three.slack_ropes == tuple(2 for _ in slack)


def test_bending_stress_over_the_middle_rope():
    given = inputs("B33")
    span = float(given["span_in"])
    hung = solve_pipe(made_pipe(given, 0.0, 2 * span), ropes=level([0, span, 2 * span]))
    moment = float(bending_moment(hung, [span])[0])
    assert moment < 0
    assert_case("B33", bending_stress(moment, given["OD_in"], given["wall_in"]))


@pytest.mark.parametrize("case", COUPLED)
def test_sag_with_springy_couplings(case):
    assert_case(case, largest_sag(described(inputs(case)))[1])


def test_hinged_sticks_are_a_mechanism():
    given = inputs(MECHANISM)
    supports, hinges = given["supports_in"], given["pinned_couplings_in"]
    assert_case(
        MECHANISM, zero_modes(start=0, end=432, supports=supports, hinges=hinges)
    )
    pipe = Pipe(start=0.0, end=432.0, weight=0.038, stiffness=372000.0)
    joints = [
        Joint(station=float(x), stiffness=0.0, name=f"coupling {k}")
        for k, x in enumerate(hinges, start=1)
    ]
    with pytest.raises(MechanismError, match="coupling 1, coupling 2, coupling 3"):
        solve_pipe(pipe, ropes=level(supports), joints=joints)
