"""Pipes on random ropes against two finite-element programs and against the law.

Second method: PyNiteFEA (drops, springs, lumps) and anastruct (couplings). Ropes
that can only pull are checked by the law itself: pull >= 0, gap >= 0, one of them 0,
which has one solution only.
"""

import math

import numpy as np
import pytest

from core.errors import MechanismError
from core.mechanics.mechanism import zero_modes
from core.mechanics.pipe import solve_pipe
from core.mechanics.pipe_parts import Joint, Lump, Pipe, Rope
from core.mechanics.pipe_shape import bending_moment, sag
from core.mechanics.tube import second_moment, tube_weight
from tests.oracle.beams import anastruct_reactions_and_sag, pynite_reactions_and_sag

pytestmark = pytest.mark.oracle

TUBES = [(0.922, 0.049), (1.163, 0.057), (2.375, 0.154)]


def random_pipe(rng, count):
    """Return a pipe with `count` ropes 6 to 12 ft apart and overhangs to 4 ft."""
    diameter, wall = TUBES[rng.integers(len(TUBES))]
    gaps = rng.uniform(72.0, 144.0, count - 1)
    start = float(rng.uniform(0.0, 30.0))
    first = start + rng.choice([0.0, rng.uniform(1.0, 48.0)])
    stations = first + np.concatenate([[0.0], np.cumsum(gaps)])
    end = float(stations[-1] + rng.choice([0.0, rng.uniform(1.0, 48.0)]))
    pipe = Pipe(
        start=start,
        end=end,
        weight=tube_weight(diameter, wall),
        stiffness=29.0e6 * second_moment(diameter, wall),
    )
    return pipe, [float(x) for x in stations]


def random_lumps(rng, pipe, count):
    places = rng.uniform(pipe.start, pipe.end, count)
    weights = rng.uniform(0.02, 2.0, count)
    return [
        Lump(station=float(x), weight=float(w))
        for x, w in zip(places, weights, strict=True)
    ]


def random_joints(rng, pipe):
    """Return couplings every 10 ft, from soft to nearly rigid."""
    places = np.arange(pipe.start + 120.0, pipe.end, 120.0)
    unit = pipe.stiffness / 120.0
    return [
        Joint(station=float(x), stiffness=float(unit * 10 ** rng.uniform(-0.5, 2)))
        for x in places
    ]


@pytest.mark.parametrize("seed", range(12))
def test_drops_springs_and_lumps_agree_with_pynite(seed):
    rng = np.random.default_rng(seed)
    pipe, stations = random_pipe(rng, int(rng.integers(2, 8)))
    springs = rng.choice([math.inf, 8.0, 60.0], len(stations))
    ropes = [
        Rope(station=x, drop=float(rng.uniform(0.0, 0.04)), spring=float(k))
        for x, k in zip(stations, springs, strict=True)
    ]
    lumps = random_lumps(rng, pipe, 5)
    hung = solve_pipe(pipe, ropes=ropes, lumps=lumps)
    held = [rope for rope, taut in zip(ropes, hung.taut, strict=True) if taut]
    along = np.linspace(pipe.start, pipe.end, 23).tolist()
    reactions, sags = pynite_reactions_and_sag(pipe, held, lumps, along)
    pulls = [r for r, taut in zip(hung.reactions, hung.taut, strict=True) if taut]
    np.testing.assert_allclose(pulls, reactions, rtol=1e-5, atol=1e-4)
    np.testing.assert_allclose(sag(hung, along), sags, rtol=1e-4, atol=1e-4)


@pytest.mark.parametrize("seed", range(8))
def test_couplings_agree_with_anastruct(seed):
    rng = np.random.default_rng(100 + seed)
    pipe, stations = random_pipe(rng, int(rng.integers(3, 7)))
    ropes = [Rope(station=x) for x in stations]
    joints, lumps = random_joints(rng, pipe), random_lumps(rng, pipe, 3)
    hung = solve_pipe(pipe, ropes=ropes, lumps=lumps, joints=joints)
    assert not hung.slack_ropes
    reactions, along, sags = anastruct_reactions_and_sag(pipe, ropes, joints, lumps)
    np.testing.assert_allclose(hung.reactions, reactions, rtol=1e-3, atol=1e-3)
    np.testing.assert_allclose(sag(hung, along), sags, rtol=1e-3, atol=1e-3)


@pytest.mark.parametrize("seed", range(40))
def test_ropes_that_only_pull_obey_the_contact_law(seed):
    rng = np.random.default_rng(200 + seed)
    pipe, stations = random_pipe(rng, int(rng.integers(2, 14)))
    ropes = [Rope(station=x, drop=float(rng.uniform(0.0, 3.0))) for x in stations]
    joints = random_joints(rng, pipe) if seed % 2 else []
    lumps = random_lumps(rng, pipe, 4)
    hung = solve_pipe(pipe, ropes=ropes, lumps=lumps, joints=joints)
    pulls = np.array(hung.reactions)
    gaps = np.array([rope.drop for rope in ropes]) - sag(hung, stations)
    assert pulls.min() >= 0.0
    assert gaps.min() >= -1e-6
    assert np.abs(pulls * gaps).max() <= 1e-5
    assert (gaps[list(hung.slack_ropes)] > -1e-6).all()
    weight = pipe.weight * pipe.length + sum(lump.weight for lump in lumps)
    turn = pipe.weight * pipe.length * (pipe.start + pipe.end) / 2
    turn += sum(lump.weight * lump.station for lump in lumps)
    assert pulls.sum() == pytest.approx(weight, rel=1e-8)
    assert (pulls * stations).sum() == pytest.approx(turn, rel=1e-8)


def test_released_ropes_agree_with_pynite_on_the_ropes_left():
    rng = np.random.default_rng(7)
    seen = 0
    for _ in range(6):
        pipe, stations = random_pipe(rng, 6)
        ropes = [Rope(station=x, drop=float(rng.uniform(0.0, 2.0))) for x in stations]
        hung = solve_pipe(pipe, ropes=ropes)
        seen += len(hung.slack_ropes)
        held = [rope for rope, taut in zip(ropes, hung.taut, strict=True) if taut]
        reactions, _ = pynite_reactions_and_sag(pipe, held, [], [pipe.start])
        pulls = [r for r, taut in zip(hung.reactions, hung.taut, strict=True) if taut]
        np.testing.assert_allclose(pulls, reactions, rtol=1e-5, atol=1e-4)
    assert seen > 3


@pytest.mark.parametrize("seed", range(6))
def test_moment_is_the_curvature_of_the_curve(seed):
    rng = np.random.default_rng(300 + seed)
    pipe, stations = random_pipe(rng, 5)
    lumps = random_lumps(rng, pipe, 3)
    hung = solve_pipe(pipe, ropes=[Rope(station=x) for x in stations], lumps=lumps)
    step = 0.5
    marks = np.array([*stations, *(lump.station for lump in lumps)])
    along = np.linspace(pipe.start + 1, pipe.end - 1, 61)
    along = along[np.abs(along[:, None] - marks).min(axis=1) > 1.0]
    bent = sag(hung, along - step) - 2 * sag(hung, along) + sag(hung, along + step)
    moments = -pipe.stiffness * bent / step**2
    np.testing.assert_allclose(
        bending_moment(hung, along), moments, rtol=1e-3, atol=1e-2
    )


@pytest.mark.parametrize("seed", range(20))
def test_zero_modes_agree_with_eigenvalues(seed):
    """Second method: eigenvalues of a chain of rigid-bar constraint equations."""
    rng = np.random.default_rng(400 + seed)
    hinges = np.sort(rng.uniform(10.0, 590.0, int(rng.integers(0, 6)))).tolist()
    supports = np.sort(rng.uniform(0.0, 600.0, int(rng.integers(1, 8)))).tolist()
    expected = _free_motions(supports, hinges)
    count = zero_modes(start=0.0, end=600.0, supports=supports, hinges=hinges)
    assert count == expected
    pipe = Pipe(start=0.0, end=600.0, weight=0.04, stiffness=370000.0)
    joints = [Joint(station=x, stiffness=0.0) for x in hinges]
    ropes = [Rope(station=x) for x in supports]
    if expected:
        with pytest.raises(MechanismError):
            solve_pipe(pipe, ropes=ropes, joints=joints)


def _free_motions(supports, hinges):
    """Count unknowns (two a bar) less independent constraints (hinges, supports)."""
    edges = [0.0, *hinges, 600.0]
    rows = []
    for k, hinge in enumerate(hinges):
        row = np.zeros(2 * len(hinges) + 2)
        row[2 * k : 2 * k + 4] = [1, hinge / 600, -1, -hinge / 600]
        rows.append(row)
    for support in supports:
        bar = min(int(np.searchsorted(edges, support, side="right")) - 1, len(hinges))
        row = np.zeros(2 * len(hinges) + 2)
        row[2 * bar : 2 * bar + 2] = [1, support / 600]
        rows.append(row)
    matrix = np.array(rows)
    values = np.linalg.eigvalsh(matrix.T @ matrix)
    return int((values < 1e-9).sum())
