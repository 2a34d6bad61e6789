"""A pipe on ropes: limits, symmetry, contact, mechanisms."""

import math
from itertools import pairwise

import numpy as np
import pytest

from core.errors import MechanismError, ValueRangeError
from core.mechanics.beam_frame import BeamFrame
from core.mechanics.pipe import PipeStatics, solve_pipe
from core.mechanics.pipe_parts import Joint, Lump, Pipe, Rope
from core.mechanics.pipe_shape import (
    bending_moment,
    largest_sag,
    sag,
    span_sags,
)

PIPE = Pipe(start=0.0, end=480.0, weight=0.04, stiffness=370000.0)
STATIONS = (24.0, 120.0, 216.0, 312.0, 408.0)


def ropes(*stations: float) -> list[Rope]:
    return [Rope(station=x) for x in stations]


def hang(*stations: float, **parts: object) -> PipeStatics:
    return solve_pipe(PIPE, ropes=ropes(*stations), **parts)  # type: ignore[arg-type]


def test_a_mirrored_pipe_hangs_mirrored() -> None:
    lumps = [Lump(station=50.0, weight=2.0)]
    there = hang(*STATIONS, lumps=lumps, joints=[Joint(station=240.0, stiffness=5e3)])
    back = hang(
        *(480.0 - x for x in STATIONS),
        lumps=[Lump(station=430.0, weight=2.0)],
        joints=[Joint(station=240.0, stiffness=5e3)],
    )
    assert back.reactions == pytest.approx(there.reactions)
    along = np.linspace(0, 480, 33)
    assert sag(back, 480 - along) == pytest.approx(sag(there, along))


def test_order_of_the_ropes_is_kept() -> None:
    assert hang(*STATIONS[::-1]).reactions == pytest.approx(
        hang(*STATIONS).reactions[::-1]
    )


def test_a_joint_as_stiff_as_can_be_is_no_joint() -> None:
    plain = hang(*STATIONS)
    for stiffness in (math.inf, 1e13):
        jointed = hang(*STATIONS, joints=[Joint(station=170.0, stiffness=stiffness)])
        assert jointed.reactions == pytest.approx(plain.reactions, rel=1e-6)


def test_a_joint_over_a_rope_or_at_an_end_is_allowed() -> None:
    joints = [Joint(station=x, stiffness=3000.0) for x in (0.0, 216.0, 480.0)]
    hung = hang(*STATIONS, joints=joints)
    assert sum(hung.reactions) == pytest.approx(0.04 * 480)
    assert hung.reactions != pytest.approx(hang(*STATIONS).reactions, rel=1e-4)


def test_a_very_stiff_spring_is_a_rope() -> None:
    sprung = [Rope(station=x, spring=1e7) for x in STATIONS]
    got = solve_pipe(PIPE, ropes=sprung).reactions
    assert got == pytest.approx(hang(*STATIONS).reactions, rel=1e-4)


def test_all_ropes_longer_by_the_same_change_nothing_but_the_height() -> None:
    lower = solve_pipe(PIPE, ropes=[Rope(station=x, drop=2.0) for x in STATIONS])
    assert lower.reactions == pytest.approx(hang(*STATIONS).reactions)
    assert sag(lower, [60.0])[0] == pytest.approx(sag(hang(*STATIONS), [60.0])[0] + 2)


def test_a_straight_slope_of_ropes_loads_them_alike() -> None:
    tilted = [Rope(station=x, drop=0.01 * x) for x in STATIONS]
    assert solve_pipe(PIPE, ropes=tilted).reactions == pytest.approx(
        hang(*STATIONS).reactions
    )


def test_a_lump_over_a_rope_goes_into_that_rope_alone() -> None:
    plain, loaded = (
        hang(*STATIONS, lumps=lumps)
        for lumps in ([], [Lump(station=216.0, weight=3.0)])
    )
    change = np.subtract(loaded.reactions, plain.reactions)
    assert change == pytest.approx([0, 0, 3.0, 0, 0], abs=1e-9)


def test_lumps_at_the_ends_of_the_pipe_count() -> None:
    lumps = [Lump(station=0.0, weight=1.0), Lump(station=480.0, weight=1.0)]
    hung = hang(*STATIONS, lumps=lumps)
    assert sum(hung.reactions) == pytest.approx(0.04 * 480 + 2)
    bent = bending_moment(hung, [24.0])[0]
    assert bent == pytest.approx(-1 * 24 - 0.04 * 24**2 / 2)  # by hand
    assert bending_moment(hung, [0.0, 480.0]) == pytest.approx([0, 0], abs=1e-8)


def test_a_heavy_overhang_lifts_the_next_rope_but_one() -> None:
    lumps = [Lump(station=0.0, weight=8.0)]
    hung = hang(40.0, 120.0, 216.0, 312.0, 408.0, lumps=lumps)
    assert hung.slack_ropes == (1,)
    assert hung.reactions[1] == 0.0
    assert sag(hung, [120.0])[0] < 0.0


def test_slack_ropes_may_be_left_out_altogether() -> None:
    slack = 0
    rng = np.random.default_rng(5)
    for _ in range(30):
        drops = rng.uniform(0.0, 4.0, 5)
        given = [
            Rope(station=x, drop=float(d)) for x, d in zip(STATIONS, drops, strict=True)
        ]
        hung = solve_pipe(PIPE, ropes=given)
        taut = [rope for rope, t in zip(given, hung.taut, strict=True) if t]
        again = solve_pipe(PIPE, ropes=taut)
        assert not again.slack_ropes
        assert again.reactions == pytest.approx([r for r in hung.reactions if r > 0])
        slack += len(hung.slack_ropes)
    assert slack > 10


@pytest.mark.parametrize(
    ("stations", "drops"),
    [
        (
            (64.8, 184.2, 186.7, 252.2, 312.2, 329.1, 330.5, 346.3, 470.8, 478.7),
            (1.9, 2.9, 5.3, 5.6, 2.1, 3.4, 1.9, 3.6, 2.0, 2.3),
        ),
        # on the way only one rope is left, on which the pipe would tip
        ((228.6, 241.8, 361.7, 414.6, 438.6, 467.5), (4.2, 1.8, 4.6, 3.4, 0.6, 2.3)),
    ],
)
def test_a_rope_released_on_the_way_is_taken_back(
    stations: tuple[float, ...],
    drops: tuple[float, ...],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    tried: list[list[bool]] = []
    solve = BeamFrame.solve

    def recorded(frame: BeamFrame, taut: np.ndarray) -> object:
        tried.append(taut.tolist())
        return solve(frame, taut)

    monkeypatch.setattr(BeamFrame, "solve", recorded)
    given = [Rope(station=x, drop=d) for x, d in zip(stations, drops, strict=True)]
    hung = solve_pipe(PIPE, ropes=given)
    changes = [
        (before, after)
        for first, then in pairwise(tried)
        for before, after in zip(first, then, strict=True)
    ]
    assert (False, True) in changes
    gaps = np.array(drops) - sag(hung, stations)
    assert min(hung.reactions) >= 0
    assert gaps.min() >= -1e-6
    assert np.abs(gaps * hung.reactions).max() < 1e-5


@pytest.mark.parametrize("stations", [(240.0,), (300.0, 440.0)])
def test_a_pipe_that_tips_has_no_answer(stations: tuple[float, ...]) -> None:
    with pytest.raises(MechanismError, match="tips on its only taut rope at"):
        hang(*stations)


def test_a_fold_names_its_joints_and_no_others() -> None:
    joints = [
        Joint(station=60.0, stiffness=0.0, name="first coupling"),
        Joint(station=440.0, stiffness=0.0, name="loose end"),
        Joint(station=170.0, stiffness=4000.0, name="stiff one"),
    ]
    with pytest.raises(MechanismError, match=r"at loose end; give the joints"):
        hang(24.0, 120.0, 216.0, 312.0, 408.0, joints=joints)


def test_hinges_between_enough_ropes_have_an_answer() -> None:
    # one hinge in the first span of three ropes: statics alone, M = 0 at the hinge
    hung = hang(0.0, 240.0, 480.0, joints=[Joint(station=60.0, stiffness=0.0)])
    assert bending_moment(hung, [60.0])[0] == pytest.approx(0.0, abs=1e-8)
    assert hung.reactions[0] == pytest.approx(0.04 * 60 / 2)  # by hand


@pytest.mark.parametrize("station", [0.0, 480.0])
def test_a_hinge_at_the_very_end_folds_nothing(station: float) -> None:
    hung = hang(*STATIONS, joints=[Joint(station=station, stiffness=0.0)])
    assert hung.reactions == pytest.approx(hang(*STATIONS).reactions)


@pytest.mark.parametrize("beside", [-0.05, -0.02, -1e-9, 1e-9, 0.02, 0.05])
def test_a_joint_right_beside_a_rope_loses_no_digits(beside: float) -> None:
    """The pipe is 2-in steel pipe, stiff enough to lose most."""
    pipe = Pipe(start=0.0, end=480.0, weight=0.304, stiffness=1.93e7)
    hung, over = (
        solve_pipe(
            pipe,
            ropes=ropes(*STATIONS),
            joints=[Joint(station=216.0 + shift, stiffness=2e5)],
        )
        for shift in (beside, 0.0)
    )
    assert hung.reactions == pytest.approx(over.reactions, rel=1e-3)
    assert sum(hung.reactions) == pytest.approx(0.304 * 480, rel=1e-7)
    assert bending_moment(hung, [480.0])[0] == pytest.approx(0.0, abs=0.01)


def test_a_rope_a_hair_from_the_end_is_at_the_end() -> None:
    near = hang(0.01, 240.0, 479.99)
    assert near.reactions == pytest.approx(hang(0.0, 240.0, 480.0).reactions)


@pytest.mark.parametrize(
    ("parts", "text"),
    [
        ({"ropes": ropes(-1.0, 100.0)}, "station of a rope = -1 in"),
        ({"ropes": ropes(100.0, 100.0)}, "two ropes are 0 in apart"),
        (
            {
                "ropes": ropes(0, 400),
                "joints": [Joint(station=60.0, stiffness=k) for k in (1e3, 2e3)],
            },
            "two joints are 0 in apart",
        ),
        ({"ropes": []}, "number of ropes = 0"),
        ({"ropes": [Rope(station=1.0, spring=0.0)]}, "spring of a rope = 0 lbf/in"),
        (
            {"ropes": ropes(0, 400), "lumps": [Lump(station=481.0, weight=1)]},
            "station of a lump = 481 in must be from 0 to 480 in",
        ),
        (
            {"ropes": ropes(0, 400), "joints": [Joint(station=9.0, stiffness=-1.0)]},
            "stiffness of joint at 9 in = -1 in lbf/rad",
        ),
    ],
)
def test_what_has_no_meaning_is_refused(parts: dict[str, object], text: str) -> None:
    with pytest.raises(ValueRangeError, match=text):
        solve_pipe(PIPE, **parts)  # type: ignore[arg-type]


def test_a_station_off_the_pipe_is_refused() -> None:
    with pytest.raises(ValueRangeError, match="station = 500 in"):
        sag(hang(*STATIONS), [10.0, 500.0])


def test_extremes_are_those_of_the_curve() -> None:
    hung = hang(*STATIONS, lumps=[Lump(station=70.0, weight=4.0)])
    along = np.linspace(0, 480, 48001)
    station, low = largest_sag(hung)
    assert low == pytest.approx(sag(hung, along).max(), rel=1e-5)
    assert sag(hung, [station])[0] == pytest.approx(low, rel=1e-5)


def test_span_sags_are_measured_from_the_ropes_of_each_span() -> None:
    tilted = [Rope(station=x, drop=0.02 * x) for x in STATIONS]
    sags = span_sags(solve_pipe(PIPE, ropes=tilted))
    assert sags[1:-1] == pytest.approx(span_sags(hang(*STATIONS))[1:-1], abs=1e-6)
    assert len(sags) == 6
    assert min(sags) >= 0


def test_the_curve_has_no_step_or_kink_without_a_joint() -> None:
    lumps = [Lump(station=x, weight=0.5) for x in (30.0, 216.0, 300.0)]
    hung = hang(*STATIONS, lumps=lumps)
    marks = hung.curve.marks[1:]
    before, behind = sag(hung, marks - 1e-6), sag(hung, marks + 1e-6)
    assert before == pytest.approx(behind, abs=1e-6)
    step = 1e-3
    left = (sag(hung, marks) - sag(hung, marks - step)) / step
    right = (sag(hung, marks + step) - sag(hung, marks)) / step
    assert left == pytest.approx(right, abs=1e-6)
