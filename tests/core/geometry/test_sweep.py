"""The sweep: what must hold of every band, whatever the solid and the run.

Expected numbers are hand-worked (steps beside them) or come from a second method:
dense sampling of heights, stations or angles with the distance of points to a box.
"""

from collections.abc import Sequence
from dataclasses import fields, replace
from itertools import product

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from core.errors import ValueRangeError
from core.geometry import broad_phase
from core.geometry.lanes import plain_lanes, segment_lanes
from core.geometry.obstacles import ObstacleSet
from core.geometry.runs import SagProfile, SweptRun, Swing
from core.geometry.shapes import (
    Box,
    Capsule,
    Cylinder,
    Hull,
    Shape,
    Sphere,
    Vec3,
    upright_box,
)
from core.geometry.sweep import PairTable, sweep, sweep_pairs
from tests.oracle.scenes import room, shape_near, trial_run

RUN = SweptRun(start=(0.0, 0.0), end=(240.0, 0.0), low=36.0, travel=56.0, radius=0.5)
WIDE = replace(RUN, down=1.5, up=0.5, side=2.0)


def one(run: SweptRun, shape: Shape) -> PairTable:
    """Return the one row of a pair, however far apart."""
    row = np.zeros(1, dtype=np.int64)
    return sweep_pairs([run], ObstacleSet.of([shape]), row, row)


def assert_same_bits(found: PairTable, expected: PairTable) -> None:
    for field in fields(PairTable):
        np.testing.assert_array_equal(
            getattr(found, field.name), getattr(expected, field.name), field.name
        )


def rows_of(table: PairTable, rows: np.ndarray) -> PairTable:
    return PairTable(**{f.name: getattr(table, f.name)[rows] for f in fields(table)})


def scene(seed: int, count: int) -> tuple[list[SweptRun], list[Shape]]:
    rng = np.random.default_rng(seed)
    bodies: Sequence[dict[str, float]] = (
        {},
        {"down": 1.5, "up": 0.25},
        {"down": 1.0, "side": 2.0},
    )
    runs = [trial_run(rng, **bodies[i % 3]) for i in range(6)]
    shapes = [shape_near(rng, runs[i % 6]) for i in range(count)]
    return runs, shapes


class TestHandWorked:
    def test_box_beside_the_run(self):
        # gap in plan 4 - 0.5; D = 6.5, s = sqrt(6.5^2 - 4^2) = 5.1234754; the box is
        # 40 to 50 high, 100 to 110 along: band and stations go s beyond it
        table = one(RUN, upright_box((100, 4, 40), (110, 9, 50)))
        s = np.sqrt(6.5**2 - 4**2)
        assert table.clearance[0] == 3.5
        assert table.lo[0] == pytest.approx(40 - s, abs=1e-12)
        assert table.hi[0] == pytest.approx(50 + s, abs=1e-12)
        assert table.station_lo[0] == pytest.approx(100 - s, abs=1e-12)
        assert table.station_hi[0] == pytest.approx(110 + s, abs=1e-12)
        assert table.at_height[0] == 40.0
        np.testing.assert_allclose(table.on_run[0, 1:], [0.5, 40.0])
        np.testing.assert_allclose(table.on_obstacle[0, 1:], [4.0, 40.0])

    def test_points_and_side_reach_shift_the_band(self):
        # as above with 2 in of side: plan gap 2, s = sqrt(6.5^2 - 2^2); the points
        # reach 1.5 down and 0.5 up, so the axis is blocked from 40 - s - 0.5 on
        table = one(WIDE, upright_box((100, 4, 40), (110, 9, 50)))
        s = np.sqrt(6.5**2 - 2**2)
        assert table.clearance[0] == 1.5
        assert table.lo[0] == pytest.approx(40 - s - 0.5, abs=1e-12)
        assert table.hi[0] == pytest.approx(50 + s + 1.5, abs=1e-12)

    def test_ball_past_the_end_of_the_run(self):
        # centre 3 past the end and 2 aside: rho^2 = 13, reach 6.5 + 1.5 = 8
        ball = Sphere(center=(243.0, 2.0, 60.0), radius=1.5)
        table = one(RUN, ball)
        assert table.clearance[0] == pytest.approx(np.sqrt(13) - 2.0, abs=1e-12)
        assert table.hi[0] == pytest.approx(60 + np.sqrt(64 - 13), abs=1e-12)
        assert table.station_hi[0] == 240.0
        assert table.station_lo[0] == pytest.approx(243 - np.sqrt(60), abs=1e-12)

    def test_limit_that_is_just_kept_blocks_nothing(self):
        # plan gap exactly limit + radius = 6.5
        table = one(RUN, upright_box((100, 6.5, 40), (110, 9, 50)))
        assert table.clearance[0] == 6.0
        assert np.isnan(table.lo[0])
        assert np.isnan(table.station_lo[0])

    def test_overlap_gives_minus_the_radius_from_the_first_touch_on(self):
        table = one(RUN, upright_box((100, -4, 40), (110, 9, 50)))
        assert table.clearance[0] == -0.5
        assert table.at_height[0] == 40.0

    def test_touch_is_zero(self):
        table = one(RUN, upright_box((100, 0.5, 40), (110, 9, 50)))
        assert table.clearance[0] == 0.0

    def test_box_over_the_whole_run(self):
        table = one(RUN, upright_box((-50, -20, 100), (300, 20, 110)))
        assert table.clearance[0] == 100 - 92 - 0.5
        assert table.at_height[0] == 92.0
        assert table.lo[0] == 93.5
        assert np.isnan(table.station_lo[0])


class TestTraps:
    """Plain Newton fails on flat caps nearly square to the run."""

    @pytest.mark.parametrize("off", [0.0, 1e-12, 1e-9, 1e-7, 1e-5, 1e-3])
    @pytest.mark.parametrize("tilt", [0.0, 1e-9, 1e-3, 0.3, 1.2])
    @pytest.mark.parametrize("across", [0.0, 2.0, 6.0])
    def test_flat_cap_nearly_square_to_the_run(self, off, tilt, across):
        # second method: the body at the band's ends is `limit` from the cap, by a dense
        # search along the run with the distance of a point to a flat cylinder
        axis = np.array([off, np.cos(tilt), np.sin(tilt)])
        axis /= np.linalg.norm(axis)
        middle = np.array([120.0, across, 60.0])
        shape = Cylinder(
            a=_vec(middle - 0.5 * axis), b=_vec(middle + 0.5 * axis), radius=7.0
        )
        table = one(RUN, shape)
        for end in (table.lo[0], table.hi[0]):
            assert _cylinder_gap(shape, end) == pytest.approx(6.5, abs=1e-7)

    def test_cap_that_is_met_flat(self):
        # a disc on edge across the run, its axis 30 degrees up: the cap is a chord in
        # the section, met at its upper rim or on its flat: dense search as above
        axis = np.array([0.0, np.cos(0.5), np.sin(0.5)])
        shape = Cylinder(
            a=_vec(np.array([120.0, 0, 60]) - axis),
            b=_vec(np.array([120.0, 0, 60]) + axis),
            radius=9.0,
        )
        # hand-worked: flat contact lies D + 1 from the middle along the axis, so the
        # top is 60 + (6.5 + 1) / sin(0.5), as long as that is within the cap
        assert one(RUN, shape).hi[0] <= 60 + 7.5 / np.sin(0.5) + 1e-9
        assert _cylinder_gap(shape, one(RUN, shape).hi[0]) == pytest.approx(6.5)


def _vec(point: np.ndarray) -> Vec3:
    return (float(point[0]), float(point[1]), float(point[2]))


def _cylinder_gap(shape: Cylinder, height: float) -> float:
    """Return the distance of the axis of RUN at a height, by refined sampling."""
    a, b = np.array(shape.a), np.array(shape.b)
    axis, half = (b - a) / np.linalg.norm(b - a), np.linalg.norm(b - a) / 2
    low, high = 0.0, 240.0
    best = np.inf
    for _ in range(12):
        u = np.linspace(low, high, 401)
        away = np.stack([u, 0 * u, 0 * u + height], axis=1) - (a + b) / 2
        along = away @ axis
        beside = np.linalg.norm(away - along[:, None] * axis, axis=1)
        gap = np.hypot(
            np.maximum(np.abs(along) - half, 0), np.maximum(beside - shape.radius, 0)
        )
        k = int(gap.argmin())
        best = min(best, float(gap[k]))
        low, high = u[max(k - 2, 0)], u[min(k + 2, 400)]
    return best


DEGENERATE: dict[str, Shape] = {
    "box of no size": Box(center=(120.0, 3.0, 60.0), half=(0.0, 0.0, 0.0)),
    "tilted box of no size": Box(
        center=(120.0, 3.0, 60.0),
        half=(0.0, 0.0, 0.0),
        axes=((0.6, 0.0, 0.8), (0.0, 1.0, 0.0), (-0.8, 0.0, 0.6)),
    ),
    "upright cylinder of no size": Cylinder(
        a=(120.0, 3.0, 60.0), b=(120.0, 3.0, 60.0), radius=0.0
    ),
    "capsule of no size": Capsule(
        a=(120.0, 3.0, 60.0), b=(120.0, 3.0, 60.0), radius=0.0
    ),
    "ball of no size": Sphere(center=(120.0, 3.0, 60.0), radius=0.0),
}


class TestDegenerate:
    @pytest.mark.parametrize("name", DEGENERATE)
    def test_a_point_is_a_point_whatever_it_is_called(self, name):
        # plan distance 3: s = sqrt(6.5^2 - 3^2)
        table = one(RUN, DEGENERATE[name])
        s = np.sqrt(6.5**2 - 9)
        assert table.clearance[0] == pytest.approx(2.5, abs=1e-12)
        np.testing.assert_allclose([table.lo[0], table.hi[0]], [60 - s, 60 + s])
        np.testing.assert_allclose(
            [table.station_lo[0], table.station_hi[0]], [120 - s, 120 + s]
        )

    @pytest.mark.parametrize(
        "shape",
        [
            Capsule(a=(120.0, 3.0, 50.0), b=(120.0, 3.0, 70.0), radius=0.0),
            Cylinder(a=(120.0, 3.0, 50.0), b=(120.0, 3.0, 70.0), radius=0.0),
            Cylinder(a=(120.0, 3.0, 50.0), b=(120.0, 3.0 + 1e-9, 70.0), radius=0.0),
            upright_box((120, 3, 50), (120, 3, 70)),
        ],
    )
    def test_an_upright_line(self, shape):
        table = one(RUN, shape)
        s = np.sqrt(6.5**2 - 9)
        assert table.clearance[0] == pytest.approx(2.5, abs=1e-9)
        np.testing.assert_allclose(
            [table.lo[0], table.hi[0]], [50 - s, 70 + s], atol=1e-8
        )
        assert table.at_height[0] == pytest.approx(50.0, abs=1e-6)

    @pytest.mark.parametrize("length", [0.0, 1e-9, 1e-3])
    @pytest.mark.parametrize("seed", range(4))
    def test_a_run_of_no_length_is_a_ball_that_rises(self, length, seed):
        # second method: the upright capsule that the ball sweeps, as a still segment
        rng = np.random.default_rng(seed)
        run = SweptRun(
            start=(10.0, 20.0),
            end=(10.0 + length, 20.0),
            low=40.0,
            travel=30.0,
            radius=0.5,
        )
        shapes = [shape_near(rng, replace(run, end=(11.0, 20.0))) for _ in range(20)]
        for shape in shapes:
            exact = one(run, shape).clearance[0]
            point = one(replace(run, end=run.start), shape).clearance[0]
            assert exact == pytest.approx(point, abs=2 * length + 1e-9)

    @pytest.mark.parametrize(
        "change", [{"travel": -1.0}, {"radius": -0.1}, {"limit": -6.0}, {"side": -1.0}]
    )
    def test_negative_sizes_are_refused(self, change):
        with pytest.raises(ValueRangeError, match="must not be negative"):
            replace(RUN, **change)


class TestProperties:
    @pytest.mark.parametrize("seed", range(3))
    def test_the_band_is_where_the_still_run_is_too_near(self, seed):
        # second method: the same body held still just inside and outside each end
        runs, shapes = scene(seed, 120)
        table = sweep(runs, ObstacleSet.of(shapes))
        near = np.flatnonzero(~np.isnan(table.lo))
        assert near.size > 50
        for end, sign in product(("lo", "hi"), (1.0, -1.0)):
            still = [
                replace(
                    runs[table.run[k]],
                    low=float(getattr(table, end)[k]) + sign * 1e-4,
                    travel=0.0,
                )
                for k in near
            ]
            found = sweep_pairs(
                still,
                ObstacleSet.of([shapes[table.obstacle[k]] for k in near]),
                np.arange(near.size),
                np.arange(near.size),
            )
            limits = np.array([run.limit for run in still])
            inside = (sign > 0) == (end == "lo")
            short = table.hi[near] - table.lo[near] < 1e-3
            wrong = (found.clearance < limits) != inside
            assert not (wrong & ~short).any()

    @settings(max_examples=60, deadline=None)
    @given(
        seed=st.integers(0, 10_000),
        turn=st.floats(-3.1, 3.1),
        shift=st.tuples(*[st.floats(-500, 500)] * 3),
    )
    def test_moving_all_together_changes_nothing(self, seed, turn, shift):
        rng = np.random.default_rng(seed)
        run = trial_run(rng, down=1.0, side=float(rng.choice([0.0, 1.5])))
        shape = shape_near(rng, run)
        c, s = np.cos(turn), np.sin(turn)
        matrix = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
        before = one(run, shape)
        after = one(_moved_run(run, matrix, shift), _moved(shape, matrix, shift))
        assert after.clearance[0] == pytest.approx(before.clearance[0], abs=1e-6)
        if before.clearance[0] < run.limit - 1e-3:
            assert after.lo[0] - shift[2] == pytest.approx(before.lo[0], abs=1e-5)
            assert after.hi[0] - shift[2] == pytest.approx(before.hi[0], abs=1e-5)
            assert after.station_lo[0] == pytest.approx(before.station_lo[0], abs=1e-5)

    @settings(max_examples=60, deadline=None)
    @given(seed=st.integers(0, 10_000))
    def test_a_run_read_from_its_other_end_is_the_same(self, seed):
        rng = np.random.default_rng(seed)
        run = trial_run(rng, up=1.0, side=float(rng.choice([0.0, 1.5])))
        shape = shape_near(rng, run)
        length = np.hypot(run.end[0] - run.start[0], run.end[1] - run.start[1])
        there = one(run, shape)
        back = one(replace(run, start=run.end, end=run.start), shape)
        assert back.clearance[0] == pytest.approx(there.clearance[0], abs=1e-8)
        np.testing.assert_allclose(back.lo, there.lo, atol=1e-6)
        np.testing.assert_allclose(
            back.station_lo, length - there.station_hi, atol=1e-5
        )

    @settings(max_examples=80, deadline=None)
    @given(seed=st.integers(0, 10_000))
    def test_the_gap_is_convex_in_the_height(self, seed):
        rng = np.random.default_rng(seed)
        run = trial_run(rng)
        shape = shape_near(rng, run)
        heights = np.sort(rng.uniform(run.low - 30, run.low + run.travel + 30, 3))
        a, b, c = (
            one(replace(run, low=float(h), travel=0.0), shape).clearance[0]
            for h in heights
        )
        share = (heights[1] - heights[0]) / (heights[2] - heights[0])
        assert b <= (1 - share) * a + share * c + 1e-9

    @settings(max_examples=60, deadline=None)
    @given(seed=st.integers(0, 10_000))
    def test_the_witness_points_are_the_gap_apart(self, seed):
        rng = np.random.default_rng(seed)
        run = trial_run(rng, down=1.0, side=1.0)
        table = one(run, shape_near(rng, run))
        assume(table.clearance[0] > -run.radius)
        apart = np.linalg.norm(table.on_run[0] - table.on_obstacle[0])
        assert apart == pytest.approx(abs(table.clearance[0]), abs=1e-9)


def _moved(shape: Shape, matrix: np.ndarray, shift: Sequence[float]) -> Shape:
    def point(p: Sequence[float]) -> Vec3:
        return _vec(matrix @ np.array(p) + shift)

    match shape:
        case Box():
            axes = tuple(_vec(matrix @ np.array(axis)) for axis in shape.axes)
            return replace(
                shape, center=point(shape.center), axes=(axes[0], axes[1], axes[2])
            )
        case Cylinder() | Capsule():
            return replace(shape, a=point(shape.a), b=point(shape.b))
        case Sphere():
            return replace(shape, center=point(shape.center))
        case Hull():
            return Hull(points=tuple(point(p) for p in shape.points))
        case _:
            raise TypeError(shape)


def _moved_run(run: SweptRun, matrix: np.ndarray, shift: Sequence[float]) -> SweptRun:
    start, end = (
        matrix[:2, :2] @ np.array(p) + shift[:2] for p in (run.start, run.end)
    )
    return replace(
        run,
        start=(float(start[0]), float(start[1])),
        end=(float(end[0]), float(end[1])),
        low=run.low + shift[2],
    )


class TestBatch:
    def test_a_row_does_not_depend_on_the_other_rows(self):
        runs, shapes = scene(7, 300)
        runs[1] = replace(
            runs[1], sag=SagProfile(stations=(0.0, 90.0, 200.0), depths=(0.0, 0.7, 0.1))
        )
        runs[2] = replace(
            runs[2], swing=Swing(pulley_height=runs[2].low + 90.0, angle=0.03)
        )
        full = sweep(runs, ObstacleSet.of(shapes))
        for k, run in enumerate(runs):
            alone = sweep([run], ObstacleSet.of(shapes))
            expected = rows_of(full, np.flatnonzero(full.run == k))
            assert_same_bits(replace(alone, run=alone.run + k), expected)
        for k in range(0, 300, 7):
            alone = sweep(runs, ObstacleSet.of([shapes[k]]))
            expected = rows_of(full, np.flatnonzero(full.obstacle == k))
            assert_same_bits(replace(alone, obstacle=alone.obstacle + k), expected)

    def test_the_broad_phase_drops_no_near_pair(self):
        rng = np.random.default_rng(3)
        runs = [trial_run(rng, side=1.0 * (i % 2)) for i in range(6)]
        obstacles = ObstacleSet.of(room(rng, 500, sides=(1500.0, 900.0), size=40.0))
        run, obstacle = (part.ravel() for part in np.indices((6, 500)))
        every = sweep_pairs(runs, obstacles, run, obstacle)
        within = (every.clearance <= 24.0) | ~np.isnan(every.station_lo)
        found = sweep(runs, obstacles)
        assert found.run.size > 50
        assert_same_bits(found, rows_of(every, np.flatnonzero(within)))

    def test_single_precision_drops_no_near_pair_of_a_crowd(self, monkeypatch):
        # second method: all pairs at once in double precision
        rng = np.random.default_rng(4)
        shapes = room(rng, 700, sides=(2000.0, 2000.0), size=20.0)
        crowd = ObstacleSet.of(shapes * 6)
        shift = [replace(trial_run(rng), low=40.0) for _ in range(9)]
        starts = rng.uniform(0.0, 2000.0, (2, 9, 3)) * [1.0, 1.0, 0.05]
        for lanes in (plain_lanes(shift), segment_lanes(*starts, np.ones(9))):
            monkeypatch.setattr(broad_phase, "_FEW", 0)
            found = broad_phase.near_pairs(lanes, crowd, margin=24.0)
            monkeypatch.setattr(broad_phase, "_FEW", 10**6)
            every = broad_phase.near_pairs(lanes, crowd, margin=24.0)
            kept = set(zip(*(part.tolist() for part in found), strict=True))
            needed = set(zip(*(part.tolist() for part in every), strict=True))
            assert needed <= kept
            assert len(needed) > 30
            assert len(kept) < len(needed) + 20

    def test_an_exchanged_obstacle_is_as_if_it_had_always_been_there(self):
        runs, shapes = scene(9, 60)
        changes = {3: shapes[11], 20: shapes[4], 31: shapes[50], 59: shapes[0]}
        changed = [changes.get(k, shape) for k, shape in enumerate(shapes)]
        found = sweep(runs, ObstacleSet.of(shapes).replaced(changes))
        assert_same_bits(found, sweep(runs, ObstacleSet.of(changed)))

    def test_nothing_gives_nothing(self):
        assert sweep([], ObstacleSet.of([])).run.size == 0
        assert sweep([RUN], ObstacleSet.of([])).run.size == 0
        assert (
            sweep([], ObstacleSet.of([Sphere(center=(0, 0, 0), radius=1)])).run.size
            == 0
        )


def _box_gap(points: np.ndarray, box: Box) -> np.ndarray:
    """Return the distance of points to an upright, square box."""
    out = np.abs(points - np.array(box.center)) - np.array(box.half)
    return np.linalg.norm(np.maximum(out, 0.0), axis=-1)


class TestSag:
    SAG = SagProfile(
        stations=(0.0, 60.0, 120.0, 180.0, 240.0), depths=(0.0, 0.8, 0.1, 1.0, -0.3)
    )
    BOXES = (
        upright_box((100, 3, 40), (130, 9, 50)),
        upright_box((20, -4, 88), (220, 4, 95)),
        upright_box((55, -1, 20), (62, 1, 33)),
        upright_box((236, 2, 60), (260, 9, 62)),
    )

    @pytest.mark.parametrize("box", BOXES)
    def test_holds_the_sagging_pipe_and_not_much_more(self, box):
        # second method: the sagging axis as points 0.05 in apart, every 0.05 in up
        run = replace(RUN, sag=self.SAG)
        table = one(run, box)
        u = np.linspace(0, 240, 4801)
        depth = np.interp(u, self.SAG.stations, self.SAG.depths)
        heights = np.arange(10.0, 110.0, 0.05)
        points = np.stack(
            np.broadcast_arrays(u, 0.0, heights[:, None] - depth), axis=-1
        )
        gaps = _box_gap(points, box)
        blocked = heights[(gaps < 6.5).any(axis=1)]
        touched = u[(gaps < 6.5).any(axis=0)]
        if blocked.size:
            inside = (u >= touched.min()) & (u <= touched.max())
            spread = float(np.ptp(depth[inside]))
            assert table.lo[0] <= blocked.min() <= table.lo[0] + spread + 0.06
            assert table.hi[0] >= blocked.max() >= table.hi[0] - spread - 0.06
        lifted = (heights >= 36.0) & (heights <= 92.0)
        least = float(gaps[lifted].min()) - 0.5
        assert table.clearance[0] <= least + 1e-9
        assert table.clearance[0] >= least - 1.3 - 1e-2

    def test_even_sag_is_a_shift(self):
        flat = SagProfile(stations=(0.0,), depths=(0.75,))
        box = self.BOXES[0]
        level, low = one(RUN, box), one(replace(RUN, sag=flat), box)
        assert low.lo[0] == pytest.approx(level.lo[0] + 0.75, abs=1e-12)
        assert low.hi[0] == pytest.approx(level.hi[0] + 0.75, abs=1e-12)
        assert low.at_height[0] == pytest.approx(level.at_height[0] + 0.75, abs=1e-12)

    @pytest.mark.parametrize(
        ("stations", "depths"),
        [((), ()), ((0.0, 1.0), (0.0,)), ((1.0, 1.0), (0.0, 0.0))],
    )
    def test_a_spoiled_profile_is_refused(self, stations, depths):
        with pytest.raises(ValueRangeError, match="sag profile"):
            SagProfile(stations=stations, depths=depths)


class TestSwing:
    @pytest.mark.parametrize("side", [0.0, 1.0])
    @pytest.mark.parametrize("angle", [0.02, 0.1, 0.4])
    @pytest.mark.parametrize(
        "box",
        [
            upright_box((100, 9, 40), (130, 12, 50)),
            upright_box((100, -30, 20), (130, -8, 39)),
            upright_box((100, -2, 84), (130, 2, 95)),
            upright_box((100, -40, 28), (130, 40, 31)),
        ],
    )
    def test_holds_the_swinging_pipe_and_at_most_a_hundredth_more(
        self, box, angle, side
    ):
        # second method: rope lengths 0.04 in and angles 1/400 of the sector apart; a
        # sampled least gap is above the true one by under 0.02 in here
        swing = Swing(pulley_height=96.0, angle=angle)
        run = replace(RUN, swing=swing, side=side)
        table = one(run, box)
        height = np.arange(36.0, 92.0, 0.04)
        turn = np.linspace(-angle, angle, 801)[:, None]
        rope = 96.0 - height
        across = np.linspace(-side, side, 11 if side else 1)
        gaps = np.full((turn.size, height.size), np.inf)
        for x in across:
            y = rope * np.sin(turn) + x * np.cos(turn)
            z = 96.0 - rope * np.cos(turn) + x * np.sin(turn)
            points = np.stack(np.broadcast_arrays(115.0, y, z), axis=-1)
            gaps = np.minimum(gaps, _box_gap(points, box))
        least = float(gaps.min()) - 0.5
        assert least + 1e-9 >= max(table.clearance[0], -0.5) >= least - 0.03
        blocked = height[(gaps < 6.5).any(axis=0)]
        assert np.isnan(table.lo[0]) == (blocked.size == 0)
        if blocked.size:
            assert table.lo[0] <= blocked.min() + 1e-9
            assert table.hi[0] >= blocked.max() - 1e-9
            assert table.lo[0] >= blocked.min() - 0.08
            assert table.hi[0] <= blocked.max() + 0.08

    def test_no_angle_is_no_swing(self):
        still = replace(RUN, swing=Swing(pulley_height=96.0, angle=0.0))
        box = upright_box((100, 4, 40), (110, 9, 50))
        assert_same_bits(one(still, box), one(RUN, box))

    def test_a_pulley_below_the_stowed_run_is_refused(self):
        with pytest.raises(ValueRangeError, match="below the stowed run"):
            replace(RUN, swing=Swing(pulley_height=91.0, angle=0.1))
