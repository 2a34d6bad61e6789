"""Runs swept past triangle surfaces, against coal and hand-worked cases."""

import dataclasses
import math

import numpy as np
import pytest
import trimesh
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize_scalar

from core.geometry.runs import SagProfile, SweptRun, Swing
from core.geometry.shapes import FloatArray, Mesh
from core.geometry.strand_surface import nearest_in_bundles
from core.geometry.surface import BLOCK, Surface
from core.geometry.sweep_surface import (
    SurfaceBands,
    run_starts_inside,
    sweep_surface,
)
from core.geometry.triangle_bands import Pieces, touching_band
from tests.surface_oracle import capsule_gap, coal_mesh, gap_at
from tests.surface_specimens import as_mesh, box_mesh, grid_faces, rolling_ground

LOW, TRAVEL = -20.0, 40.0
LIFTS = np.arange(LOW, LOW + TRAVEL + 0.1, 0.25)


def loose_triangles(seed: int) -> Mesh:
    """Return triangles of all sizes round a run that starts at the origin."""
    rng = np.random.default_rng(seed)
    count, size = int(rng.integers(3, 60)), rng.choice([1.0, 5.0, 20.0])
    centres = rng.uniform([-20, -20, -25], [60, 60, 25], (count, 3))
    corners = centres[:, None] + rng.normal(0, size, (count, 3, 3))
    if seed % 3 == 0:  # level and upright faces, as walls and ceilings have
        corners[: count // 2, :, 2] = corners[: count // 2, :1, 2]
        corners[count // 2 :, 2, :2] = corners[count // 2 :, 1, :2]
    return Mesh(
        vertices=corners.reshape(-1, 3), faces=np.arange(3 * count).reshape(-1, 3)
    )


def short_run(seed: int, **changes: object) -> SweptRun:
    """Return a run from the origin in any direction."""
    rng = np.random.default_rng(seed + 1000)
    angle, length = rng.uniform(0, math.pi / 2), rng.uniform(15, 60)
    run = SweptRun(
        start=(0.0, 0.0),
        end=(length * math.cos(angle), length * math.sin(angle)),
        low=LOW,
        travel=TRAVEL,
        radius=0.5,
        limit=float(rng.uniform(0.5, 6)),
    )
    return dataclasses.replace(run, **changes)


def one(run: SweptRun, surface: Surface, *, horizon: float = 50.0) -> SurfaceBands:
    return sweep_surface([run], surface, horizon=horizon)[0]


def is_blocked(result: SurfaceBands, height: float) -> bool:
    return any(lo < height < hi for lo, hi in result.bands)


SAG = SagProfile(
    stations=(0.0, 8.0, 15.0, 31.0, 40.0), depths=(-0.3, 1.0, 0.2, 2.5, 0.4)
)
METAL = {
    "bare": {},
    "points": {"down": 2.0, "up": 1.0, "side": 1.5},
    "sagging": {"sag": SAG},
    "sagging points": {"sag": SAG, "down": 2.0, "up": 1.0, "side": 1.5},
}


@pytest.mark.oracle
@pytest.mark.parametrize("kind", METAL)
@pytest.mark.parametrize("seed", range(12))
def test_verdicts_ends_and_least_gap_agree_with_coal(kind: str, seed: int) -> None:
    mesh, run = loose_triangles(seed), short_run(seed, **METAL[kind])
    model, found = coal_mesh(mesh), one(run, Surface.of(mesh))
    gaps = np.array([gap_at(model, run, height) for height in LIFTS])
    sure = np.abs(gaps - run.limit) > 1e-6
    blocked = np.array([is_blocked(found, height) for height in LIFTS])
    assert np.array_equal(blocked[sure], gaps[sure] < run.limit)
    for height in np.ravel(found.bands):
        if LOW < height < LOW + TRAVEL:
            assert gap_at(model, run, height) == pytest.approx(run.limit, abs=1e-6)
    check_least_gap(found, run, model, gaps)


def check_least_gap(
    found: SurfaceBands, run: SweptRun, model: object, gaps: FloatArray
) -> None:
    """Compare the least gap with coal's at its height and at all sampled ones."""
    least = max(gaps.min(), -run.radius)
    assert found.clearance <= least + 1e-6
    assert found.at_height is not None
    assert LOW <= found.at_height <= LOW + TRAVEL
    if found.clearance > -run.radius:
        there = gap_at(model, run, found.at_height)
        assert there == pytest.approx(found.clearance, abs=1e-6)
        away = math.dist(found.on_run, found.on_surface)
        assert away == pytest.approx(abs(found.clearance), abs=1e-6)
    else:
        assert gap_at(model, run, found.at_height) <= 1e-6 - run.radius


@pytest.mark.oracle
@pytest.mark.parametrize("kind", ["bare", "sagging"])
@pytest.mark.parametrize("seed", range(8))
def test_stations_in_contact_agree_with_coal(kind: str, seed: int) -> None:
    """Second method: coal's gap of an upright capsule at each station."""
    mesh, run = loose_triangles(seed), short_run(seed, **METAL[kind])
    model, found = coal_mesh(mesh), one(run, Surface.of(mesh))
    length = math.dist(run.start, run.end)
    for station in np.arange(0.25, length, 0.5):
        x, y = np.array(run.end) * station / length
        sag = 0.0 if run.sag is None else np.interp(station, SAG.stations, SAG.depths)
        low, high = np.array([[x, y, LOW - sag], [x, y, LOW + TRAVEL - sag]])
        gap = capsule_gap(model, low, high, run.radius)
        near = any(lo <= station <= hi for lo, hi in found.stations)
        if gap < run.limit - 1e-6:
            assert near
        elif gap > run.limit + (1e-6 if kind == "bare" else 2.5):
            assert not near  # over a sloping axis the stations are enclosed


SWINGS = {
    "bare": {},
    "points": {"down": 2.0, "up": 1.0, "side": 1.5},
    "sagging": {"sag": SAG},
}


@pytest.mark.oracle
@pytest.mark.parametrize("kind", SWINGS)
@pytest.mark.parametrize("seed", range(6))
def test_no_pose_of_a_swing_outside_the_bands_is_too_near(kind: str, seed: int) -> None:
    swing = Swing(pulley_height=30.0, angle=0.3)
    mesh, run = loose_triangles(seed), short_run(seed, swing=swing, **SWINGS[kind])
    model, found = coal_mesh(mesh), one(run, Surface.of(mesh))
    least = math.inf
    for angle in np.linspace(-0.3, 0.3, 9):
        for height in LIFTS:
            gap = gap_at(model, run, height, angle=angle)
            least = min(least, gap)
            assert gap > run.limit - 1e-6 or is_blocked(found, height)
    assert found.clearance <= max(least, -run.radius) + 1e-6


@pytest.mark.oracle
@pytest.mark.parametrize("seed", [0, 1, 2, 3, 6, 8, 11, 12])  # not blocked throughout
def test_a_swing_of_a_bare_run_inside_its_span_is_exact(seed: int) -> None:
    """Second method: coal's gap, minimised over the angle of the ropes."""
    swing = Swing(pulley_height=30.0, angle=0.3)
    run = dataclasses.replace(
        short_run(seed), start=(-400.0, 0.0), end=(500.0, 20.0), swing=swing
    )
    mesh = loose_triangles(seed)
    model, found = coal_mesh(mesh), one(run, Surface.of(mesh))
    inside = [each for each in np.ravel(found.bands) if LOW < each < LOW + TRAVEL]
    assert inside
    for height in inside:
        angles = np.linspace(-0.3, 0.3, 61)
        gaps = [gap_at(model, run, height, angle=angle) for angle in angles]
        best = angles[int(np.argmin(gaps))]
        bounds = max(best - 0.01, -0.3), min(best + 0.01, 0.3)
        refined = minimize_scalar(
            lambda angle, height=height: gap_at(model, run, height, angle=angle),
            bounds=bounds,
            method="bounded",
            options={"xatol": 1e-9},
        )
        assert min(refined.fun, *gaps) == pytest.approx(run.limit, abs=2e-4)


@pytest.mark.oracle
@pytest.mark.parametrize("seed", range(8))
def test_still_segments_agree_with_coal(seed: int) -> None:
    mesh, rng = loose_triangles(seed), np.random.default_rng(seed)
    model, surface = coal_mesh(mesh), Surface.of(mesh)
    starts, ends = rng.uniform(-30, 60, (2, 15, 3))
    ends[0] = starts[0]
    radii = rng.uniform(0, 1, 15)
    each = np.arange(15)
    found = nearest_in_bundles(starts, ends, radii, each, surface, horizon=200.0)
    assert found.keys() == set(range(15))
    for place, gap in found.items():
        start, end, radius = starts[place], ends[place], radii[place]
        assert gap.segment == place
        by_coal = capsule_gap(model, start, end, 1e-9) - radius
        assert gap.clearance == pytest.approx(max(by_coal, -radius), abs=1e-6)
        if gap.clearance > 0:
            away = math.dist(gap.on_segment, gap.on_surface)
            assert away == pytest.approx(gap.clearance, abs=1e-9)


@pytest.mark.parametrize("horizon", [4.0, 50])
def test_the_nearest_of_a_bundle_is_the_nearest_of_its_segments(horizon: float) -> None:
    """Second method: each segment on its own, and the least of them."""
    rng, surface = np.random.default_rng(5), Surface.of(rolling_ground(60))
    starts = rng.uniform([0, 0, 60], [600, 600, 110], (60, 3))
    ends = starts + rng.normal(0, 12, (60, 3))
    row = (starts, ends, rng.uniform(0, 1, 60))
    bundles = rng.integers(0, 25, 60)
    each = nearest_in_bundles(*row, np.arange(60), surface, horizon=horizon)
    found = nearest_in_bundles(*row, bundles, surface, horizon=horizon)
    assert found.keys() == {int(bundles[place]) for place in each}
    for bundle, gap in found.items():
        mine = [gap for place, gap in each.items() if bundles[place] == bundle]
        assert gap == min(mine, key=lambda gap: gap.clearance)
    assert 5 < len(each) <= 60


def test_no_segments_have_no_gaps() -> None:
    none = np.zeros((0, 3))
    surface = Surface.of(rolling_ground(2))
    row = (none, none, none[:, 0], np.zeros(0, dtype=np.int64))
    assert nearest_in_bundles(*row, surface, horizon=8.0) == {}


def ceiling(height: float, *, reach: float = 300.0) -> Mesh:
    """Return a level square of two triangles."""
    corners = np.array([[-1, -1, 0], [1, -1, 0], [1, 1, 0], [-1, 1, 0.0]]) * reach
    faces = np.array([[0, 1, 2], [0, 2, 3]])
    return Mesh(vertices=corners + np.array([0.0, 0.0, height]), faces=faces)


PLAIN = SweptRun(
    start=(0.0, 0.0), end=(120.0, 0.0), low=50.0, travel=40.0, radius=1.0, limit=6.0
)


def test_a_level_ceiling_blocks_the_limit_and_the_radius_on_both_sides() -> None:
    """Hand-worked: 95 -/+ (6 + 1); least gap 95 - 90 - 1 = 4 when stowed."""
    found = one(PLAIN, Surface.of(ceiling(95.0)))
    assert found.bands == ((88.0, 102.0),)
    assert found.clearance == 4.0
    assert found.at_height == 90.0
    assert found.on_run[2] == 91.0
    assert found.on_surface[2] == 95.0
    assert found.stations == ((0.0, 120.0),)


def test_a_ceiling_out_of_reach_of_the_travel_blocks_nothing() -> None:
    """Hand-worked: least gap 100 - 90 - 1 = 9 when stowed, the limit is 6."""
    found = one(PLAIN, Surface.of(ceiling(100.0)))
    assert found.clearance == 9.0
    assert (found.bands, found.stations) == ((), ())


def test_points_and_sag_move_the_ends_of_the_band() -> None:
    """Hand-worked: up 2 and the hog of 1 lower the lower end to 93 - 3, down 3
    and the sag of 4 raise the upper end to 107 + 7."""
    sag = SagProfile(stations=(0.0, 60.0, 120.0), depths=(-1.0, 4.0, -1.0))
    run = dataclasses.replace(PLAIN, up=2.0, down=3.0, sag=sag)
    ((lo, hi),) = one(run, Surface.of(ceiling(100.0))).bands
    assert lo == pytest.approx(90.0, abs=1e-12)
    assert hi == pytest.approx(114.0, abs=1e-12)


def test_a_swing_under_a_ceiling_blocks_what_the_raised_pipe_would_meet() -> None:
    """Hand-worked: pulleys at 110, angle 0.2; turned out, a pipe at height h
    hangs at 110 - (110 - h) cos 0.2, and comes to 95 - 7 where h solves that."""
    swing = Swing(pulley_height=110.0, angle=0.2)
    run = dataclasses.replace(PLAIN, swing=swing)
    ((lo, hi),) = one(run, Surface.of(ceiling(95.0))).bands
    assert lo == pytest.approx(110.0 - (110.0 - 88.0) / math.cos(0.2))
    assert hi == pytest.approx(102.0)


def test_beside_an_upright_wall_the_lowest_height_is_named() -> None:
    """Hand-worked: a wall 10 in off leaves 9 in at every height."""
    wall = box_mesh(np.array([-500.0, 10.0, -10.0]), np.array([500.0, 20.0, 300.0]))
    for mesh in (wall, as_mesh(trimesh.Trimesh(wall.vertices, wall.faces).subdivide())):
        found = one(PLAIN, Surface.of(mesh))
        assert found.clearance == pytest.approx(9.0, abs=1e-12)
        assert found.at_height == pytest.approx(50.0, abs=1e-6)
        assert found.bands == ()


def test_a_run_through_a_surface_overlaps_by_its_radius() -> None:
    found = one(PLAIN, Surface.of(ceiling(70.0)))
    assert found.clearance == -1.0
    assert found.at_height == 70.0
    assert found.stations == ((0.0, 120.0),)


def test_the_nearest_triangle_may_lie_in_another_block_than_the_nearest_box() -> None:
    """A long slanting triangle gives its block a box that reaches the run, while
    no triangle of it is near; hand-worked: the speck lies 30 - 1 in off."""
    rng = np.random.default_rng(4)
    slant = np.array([[-200.0, 50, 20], [300.0, 0, 260], [300.0, 0, 261]])
    specks = rng.uniform(0, 1e-3, (3 * BLOCK, 3))
    specks += np.array([60.0, 30.0, 70.0])
    far = slant + rng.uniform(0, 0.1, (BLOCK - 1, 3, 3))
    vertices = np.concatenate([slant, far.reshape(-1, 3), specks])
    mesh = Mesh(vertices=vertices, faces=np.arange(len(vertices)).reshape(-1, 3))
    surface = Surface.of(mesh)
    assert surface.low.shape[1] == 2
    found = one(PLAIN, surface)
    assert found.clearance == pytest.approx(29.0, abs=2e-3)
    assert found.bands == ()


def test_beyond_the_horizon_no_gap_is_given() -> None:
    surface = Surface.of(ceiling(100.0))
    assert one(PLAIN, surface, horizon=9.0).clearance == 9.0
    far = one(PLAIN, surface, horizon=8.99)
    assert (far.clearance, far.at_height, far.on_run) == (math.inf, None, None)


def test_an_end_meets_the_middle_of_a_slanting_face() -> None:
    """Hand-worked: a face through (130, 0, 70) square to (-1, 0, 1)/sqrt 2 lies
    (h - 60)/sqrt 2 from the end at (120, 0, h): 7 in at 60 + 7 sqrt 2; from
    below, its lower edge (120, y, 60) is met at 60 - 7."""
    across = np.array([[0, -90, 0], [0, 90, 0.0]])
    up = np.array([1.0, 0.0, 1.0]) * 60
    middle = np.array([130.0, 0.0, 70.0])
    corners = np.array([*(middle + across - up / 6), middle + up])
    mesh = Mesh(vertices=corners, faces=np.array([[0, 1, 2]]))
    ((lo, hi),) = one(PLAIN, Surface.of(mesh)).bands
    assert hi == pytest.approx(60 + 7 * math.sqrt(2), abs=1e-9)
    assert lo == pytest.approx(53.0, abs=1e-9)


@given(
    st.tuples(*[st.floats(-200, 200)] * 3),
    st.floats(-math.pi, math.pi),
    st.integers(0, 40),
)
def test_a_rigid_motion_of_everything_changes_nothing(
    origin: tuple[float, float, float], heading: float, seed: int
) -> None:
    surface, run = Surface.of(loose_triangles(seed)), short_run(seed)
    moved_surface = surface.moved(origin=origin, heading=heading)
    ends = np.array([[*run.start, run.low], [*run.end, run.low]])
    start, end = moved_surface.to_room(ends).tolist()
    moved_run = dataclasses.replace(
        run, start=tuple(start[:2]), end=tuple(end[:2]), low=start[2]
    )
    still, moved = one(run, surface), one(moved_run, moved_surface)
    assert len(moved.bands) == len(still.bands)
    shifted = np.array(still.bands) + origin[2]
    assert np.array(moved.bands) == pytest.approx(shifted, abs=1e-8)
    assert moved.clearance == pytest.approx(still.clearance, abs=1e-8)
    if still.clearance > 0:
        away = math.dist(moved.on_run, moved.on_surface)
        assert away == pytest.approx(moved.clearance, abs=1e-8)


def test_results_do_not_depend_on_the_other_runs() -> None:
    surface = Surface.of(rolling_ground(60, size=120.0))
    swing = Swing(pulley_height=110.0, angle=0.1)
    kinds = [*METAL.values(), {"swing": swing}, {"swing": swing, "side": 1.0}]
    runs = [
        dataclasses.replace(short_run(k), low=60.0, limit=6.0, **kinds[k % 6])
        for k in range(40)
    ]
    together = sweep_surface(runs, surface)
    assert together == tuple(one(run, surface, horizon=24.0) for run in runs)
    assert together[::-1] == sweep_surface(runs[::-1], surface)
    assert any(result.bands for result in together)


def solved_by_brute_force(run: SweptRun, mesh: Mesh) -> tuple[FloatArray, FloatArray]:
    """Return the band of every triangle of a mesh with a level, bare run."""
    length = math.dist(run.start, run.end)
    along = np.subtract(run.end, run.start) / length
    turn = np.array([[*along, 0], [-along[1], along[0], 0], [0, 0, 1]])
    local = (mesh.vertices - (*run.start, 0.0)) @ turn.T
    same = np.ones(len(mesh.faces))
    pieces = Pieces(
        u0=0 * same,
        u1=same * length,
        w0=0 * same,
        w1=0 * same,
        side=same * run.side,
        reach=same * (run.radius + run.limit),
    )
    return touching_band(local[mesh.faces].transpose(1, 2, 0), pieces)


def check_every_triangle(run: SweptRun, mesh: Mesh, result: SurfaceBands) -> None:
    """Compare with the closed form on all triangles, united by brute force."""
    lo, hi = solved_by_brute_force(run, mesh)
    heights = np.arange(run.low, run.low + run.travel, 0.25)
    inside = np.array([is_blocked(result, h) for h in heights])
    brute = np.array([((lo < h) & (h < hi)).any() for h in heights])
    assert np.array_equal(inside, brute)
    assert brute.any()
    assert result.bands[0][0] == pytest.approx(lo.min(), abs=1e-9)
    assert result.bands[-1][1] == pytest.approx(hi.max(), abs=1e-9)


@pytest.mark.oracle
def test_a_scan_of_many_blocks_agrees_with_every_triangle_solved() -> None:
    """Second method: the closed form on all triangles, united by brute force."""
    mesh = rolling_ground(120, size=400.0)
    surface = Surface.of(mesh)
    for seed in range(4):
        run = dataclasses.replace(short_run(seed), low=40.0, travel=70.0)
        run = dataclasses.replace(run, start=(100.0, 150.0), end=(300.0, 180.0 + seed))
        check_every_triangle(run, mesh, one(run, surface))


def rough_tube(seed: int) -> Mesh:
    """Return a dented 4-in tube of 8,000 triangles along x, 20 in over the floor."""
    rng = np.random.default_rng(seed)
    x, turn = np.meshgrid(
        np.linspace(0.0, 400.0, 401), np.linspace(0.0, 2 * math.pi, 11), indexing="ij"
    )
    radius = 2.0 + rng.normal(0.0, 0.05, x.shape)
    tube = [x, 5.0 + radius * np.cos(turn), 20.0 + radius * np.sin(turn)]
    return Mesh(
        vertices=np.stack(tube, axis=-1).reshape(-1, 3), faces=grid_faces(400, 10)
    )


@pytest.mark.oracle
@pytest.mark.parametrize("side", [0.0, 1.5])
@pytest.mark.parametrize("aside", [0.0, 3.0, 8.4, 10.3, 11.4])
def test_a_run_that_grazes_a_tube_agrees_with_every_triangle_solved(
    aside: float, side: float
) -> None:
    """Second method: the closed form on all triangles, united by brute force."""
    mesh = rough_tube(int(10 * aside))
    run = SweptRun(
        start=(10.0, 5.0 + aside),
        end=(390.0, 5.2 + aside),
        low=5.0,
        travel=40.0,
        radius=0.65,
        side=side,
        limit=9.0 - side if aside > 9 else 6.0 - side / 2,
    )
    check_every_triangle(run, mesh, one(run, Surface.of(mesh)))


def test_triangles_without_area_are_met_as_lines_and_points() -> None:
    """Hand-worked: a point 3 in beside the axis blocks -/+ sqrt(7^2 - 3^2)."""
    point = Mesh(vertices=np.array([[60.0, 3, 80]]), faces=np.array([[0, 0, 0]]))
    ((lo, hi),) = one(PLAIN, Surface.of(point)).bands
    assert (lo, hi) == pytest.approx((80 - math.sqrt(40), 80 + math.sqrt(40)))
    line = Mesh(
        vertices=np.array([[60.0, 3, 70], [60.0, 3, 80]]), faces=np.array([[0, 1, 1]])
    )
    ((lo, hi),) = one(PLAIN, Surface.of(line)).bands
    assert (lo, hi) == pytest.approx((70 - math.sqrt(40), 80 + math.sqrt(40)))


def test_a_run_wholly_inside_a_closed_surface_is_recognised() -> None:
    hall = box_mesh(np.array([-100.0, -100.0, 0.0]), np.array([300.0, 100.0, 200.0]))
    surface = Surface.of(hall)
    found = one(PLAIN, surface)
    assert not is_blocked(found, 50.0)
    assert run_starts_inside(PLAIN, surface)
    outside = dataclasses.replace(PLAIN, start=(0.0, 150.0), end=(120.0, 150.0))
    assert not run_starts_inside(outside, surface)
    through = dataclasses.replace(PLAIN, start=(-200.0, 0.0), end=(420.0, 0.0))
    assert run_starts_inside(through, surface)
    assert not run_starts_inside(PLAIN, surface.moved(origin=(0, 0, 95), heading=0.0))
