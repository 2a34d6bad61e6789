"""Still ropes against solids, and runs against each other.

Second methods: golden section over point-to-solid formulas (tests.oracle), and for two
runs a refined search over the lifts of that distance.
"""

from dataclasses import replace

import numpy as np
import pytest

from core.geometry.distance import Motion, run_clearance, segment_clearances
from core.geometry.obstacles import ObstacleSet
from core.geometry.runs import SagProfile, SweptRun, Swing
from core.geometry.shapes import Capsule, Sphere, upright_box
from tests.oracle.gap_oracle import Segments, gap_at, pack
from tests.oracle.scenes import KINDS

RUN = SweptRun(start=(0.0, 0.0), end=(240.0, 0.0), low=36.0, travel=56.0, radius=0.5)


def axis_gap(starts: np.ndarray, ends: np.ndarray, shapes: list) -> np.ndarray:
    """Return the distance of bare segments to shapes of one kind, pair by pair."""
    length = np.linalg.norm(ends - starts, axis=1)
    segments = Segments(
        start=starts,
        direction=(ends - starts) / length[:, None],
        length=length,
        move=np.zeros_like(starts),
    )
    return gap_at(segments, pack(shapes), np.zeros(length.size))


class TestSegments:
    @pytest.mark.parametrize("kind", KINDS)
    def test_any_direction_past_any_kind(self, kind):
        rng = np.random.default_rng(11)
        middle = rng.uniform(-20, 20, (150, 3))
        shapes = [KINDS[kind][1](rng, middle[i], 8.0) for i in range(150)]
        starts = rng.uniform(-40, 40, (150, 3))
        ends = rng.uniform(-40, 40, (150, 3))
        ends[:30, :2] = starts[:30, :2]
        ends[30:60, 2] = starts[30:60, 2]
        radii = rng.uniform(0.0, 1.0, 150)
        expected = axis_gap(starts, ends, shapes) - radii
        obstacles = ObstacleSet.of(shapes)
        table = segment_clearances(starts, ends, radii, obstacles, horizon=500.0)
        assert table.segment.size == 150 * 150
        own = table.segment == table.obstacle
        np.testing.assert_allclose(table.clearance[own], expected, atol=1e-6)
        clear = table.clearance > 0
        apart = np.linalg.norm(table.on_segment - table.on_obstacle, axis=1)
        np.testing.assert_allclose(apart[clear], table.clearance[clear], atol=1e-9)

    def test_a_segment_of_no_length_is_a_ball(self):
        # hand-worked: 3-4-5 triangle less both radii
        point = np.array([[0.0, 0.0, 0.0]])
        ball = Sphere(center=(3.0, 0.0, 4.0), radius=1.0)
        table = segment_clearances(
            point, point, np.array([0.5]), ObstacleSet.of([ball])
        )
        assert table.clearance[0] == pytest.approx(3.5)

    def test_only_near_pairs_are_listed(self):
        ends = np.array([[0.0, 0.0, 50.0]])
        boxes = [upright_box((x, -1, 20), (x + 1, 1, 30)) for x in (3, 20, 60)]
        table = segment_clearances(
            np.zeros((1, 3)), ends, np.array([0.1]), ObstacleSet.of(boxes)
        )
        assert table.obstacle.tolist() == [0, 1]
        np.testing.assert_allclose(table.clearance, [2.9, 19.9])
        np.testing.assert_allclose(table.on_obstacle[0, :2], [3.0, 0.0])

    def test_a_rope_through_a_solid_overlaps_by_its_radius(self):
        table = segment_clearances(
            np.array([[0.0, 0.0, 0.0]]),
            np.array([[0.0, 0.0, 50.0]]),
            np.array([0.25]),
            ObstacleSet.of([upright_box((-5, -5, 20), (5, 5, 30))]),
        )
        assert table.clearance[0] == -0.25

    def test_a_row_does_not_depend_on_the_other_rows(self):
        rng = np.random.default_rng(2)
        starts, ends = rng.uniform(-30, 30, (2, 40, 3))
        ends[::3, :2] = starts[::3, :2]
        radii = np.full(40, 0.2)
        shapes = [
            maker(rng, rng.uniform(-20, 20, 3), 6.0)
            for _, maker in KINDS.values()
            for _ in range(6)
        ]
        obstacles = ObstacleSet.of(shapes)
        full = segment_clearances(starts, ends, radii, obstacles)
        for k in range(40):
            row = slice(k, k + 1)
            alone = segment_clearances(starts[row], ends[row], radii[row], obstacles)
            mine = full.segment == k
            np.testing.assert_array_equal(alone.clearance, full.clearance[mine])
            np.testing.assert_array_equal(alone.on_obstacle, full.on_obstacle[mine])


def _body(run: SweptRun, lift: float) -> tuple[np.ndarray, np.ndarray]:
    height = run.low + lift * run.travel
    return np.array([[*run.start, height]]), np.array([[*run.end, height]])


def _gap(a: SweptRun, b: SweptRun, lift_a: float, lift_b: float) -> float:
    """Return the gap of two plain runs at given lifts."""
    (start,), (end,) = _body(b, lift_b)
    other = Capsule(a=tuple(start), b=tuple(end), radius=0.0)
    return float(axis_gap(*_body(a, lift_a), [other])[0]) - a.radius - b.radius


CROSSING = SweptRun(
    start=(30.0, -60.0), end=(90.0, 50.0), low=50.0, travel=20.0, radius=1.0
)
BESIDE = SweptRun(
    start=(-20.0, 12.0), end=(300.0, 14.0), low=80.0, travel=12.0, radius=0.75
)
ASTERN = SweptRun(
    start=(250.0, 5.0), end=(400.0, 90.0), low=10.0, travel=70.0, radius=0.5
)


class TestRuns:
    @pytest.mark.parametrize("other", [CROSSING, BESIDE, ASTERN])
    def test_linked_runs_at_the_worst_lift(self, other):
        lifts = np.linspace(0, 1, 201)
        least = min(_gap(RUN, other, t, t) for t in lifts)
        found = run_clearance(RUN, other, motion=Motion.LINKED)
        assert found.lift_a == found.lift_b
        assert 0.0 <= found.lift_a <= 1.0
        # the relative travel is at most 56 in, so samples are within 0.28 in of height
        floor = -(RUN.radius + other.radius)
        assert max(least - 0.28, floor) - 1e-6 <= found.clearance <= least + 1e-6
        own = _gap(RUN, other, found.lift_a, found.lift_b)
        assert max(own, floor) == pytest.approx(found.clearance, abs=1e-6)

    @pytest.mark.parametrize("other", [CROSSING, BESIDE, ASTERN])
    def test_independent_runs_at_their_worst_heights(self, other):
        lifts = np.linspace(0, 1, 41)
        least = min(_gap(RUN, other, s, t) for s in lifts for t in lifts)
        found = run_clearance(RUN, other, motion=Motion.INDEPENDENT)
        floor = -(RUN.radius + other.radius)
        assert found.clearance <= max(least, floor) + 1e-6
        own = _gap(RUN, other, found.lift_a, found.lift_b)
        assert max(own, floor) == pytest.approx(found.clearance, abs=1e-6)

    @pytest.mark.parametrize("motion", list(Motion))
    @pytest.mark.parametrize("other", [BESIDE, ASTERN])
    def test_witness_points_are_the_gap_apart_and_order_does_not_matter(
        self, other, motion
    ):
        found = run_clearance(RUN, other, motion=motion)
        apart = np.linalg.norm(np.subtract(found.on_a, found.on_b))
        assert apart == pytest.approx(found.clearance, abs=1e-9)
        back = run_clearance(other, RUN, motion=motion)
        assert back.clearance == pytest.approx(found.clearance, abs=1e-9)

    def test_runs_side_by_side_on_one_hoist_keep_their_distance(self):
        # hand-worked: 120 in apart, radii 0.5 each
        other = replace(RUN, start=(0.0, 120.0), end=(240.0, 120.0))
        found = run_clearance(RUN, other, motion=Motion.LINKED)
        assert found.clearance == 119.0
        assert found.lift_a == 0.0

    def test_swing_and_sag_take_room(self):
        # hand-worked: both swing 60 sin(0.1) to each other, sag makes one rope longer
        swing = Swing(pulley_height=96.0, angle=0.1)
        sag = SagProfile(stations=(0.0,), depths=(0.5,))
        a = replace(RUN, swing=swing)
        b = replace(a, start=(0.0, 120.0), end=(240.0, 120.0), sag=sag)
        found = run_clearance(a, b, motion=Motion.LINKED)
        assert found.clearance == pytest.approx(119 - (60 + 60.5) * np.sin(0.1))
