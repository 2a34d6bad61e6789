"""Sagging and swinging runs: never less than what there is, and little more."""

from dataclasses import dataclass, replace

import coal
import numpy as np
import pytest

from core.geometry.obstacles import ObstacleSet
from core.geometry.runs import SagProfile, SweptRun, Swing
from core.geometry.shapes import Capsule, Shape, Vec3
from core.geometry.sweep import PairTable, sweep_pairs
from tests.oracle.gap_oracle import Segments, band_ends, least_gap, pack
from tests.oracle.library_solids import TIGHT, pose, solid
from tests.oracle.scenes import shape_near, trial_run

pytestmark = [pytest.mark.oracle, pytest.mark.slow]

CLOSE = 1e-6
NEAR = 24.0  # least gaps are judged up to this [in]
SLOP = 0.008  # air that a swinging run may be given too little, as documented [in]
WIDE_SLOP = 0.0025  # and as much again where a wide body turns with the ropes [in]


def slop(run: SweptRun) -> float:
    return SLOP + WIDE_SLOP * (run.side > 0.0)


def swept(
    runs: list[SweptRun], shapes: list[Shape]
) -> tuple[list[SweptRun], PairTable]:
    share = len(shapes) // len(runs)
    of = np.repeat(np.arange(len(runs)), share)
    table = sweep_pairs(runs, ObstacleSet.of(shapes), of, np.arange(len(shapes)))
    return [runs[i] for i in of], table


def length_of(run: SweptRun) -> float:
    return float(np.hypot(*np.subtract(run.end, run.start)))


# ---------------------------------------------------------------- sag


@dataclass(frozen=True, kw_only=True)
class Sagging:
    """Pairs of sagging runs; the second method's answer, piece by straight piece."""

    runs: list[SweptRun]
    shapes: list[Shape]
    found: PairTable
    clearance: np.ndarray
    lo: np.ndarray
    hi: np.ndarray
    varies: np.ndarray


def with_sag(rng: np.random.Generator, run: SweptRun) -> SweptRun:
    """Give a run supports 8 to 12 ft apart and spans that sag up to 3 in."""
    count = int(length_of(run) // 130) + 1
    stations = np.sort(rng.uniform(0.0, length_of(run), 2 * count + 1))
    depths = rng.uniform(-0.3, 0.5, 2 * count + 1)
    depths[1::2] = rng.uniform(0.3, 3.0, count)
    sag = SagProfile(stations=tuple(stations.tolist()), depths=tuple(depths.tolist()))
    return replace(run, sag=sag)


def pieces(run: SweptRun) -> tuple[np.ndarray, np.ndarray]:
    """Return the ends of the straight pieces of the axis, supports at z = 0, (n, 3)."""
    assert run.sag is not None
    inner = [s for s in run.sag.stations if 0.0 < s < length_of(run)]
    at = np.array([0.0, *inner, length_of(run)])
    start, end = np.array(run.start), np.array(run.end)
    plan = start + at[:, None] / length_of(run) * (end - start)
    depth = np.interp(at, run.sag.stations, run.sag.depths)
    points = np.column_stack([plan, -depth])
    return points[:-1], points[1:]


def sag_variation(run: SweptRun, shape: Shape, apart: float) -> float:
    """Return how much the sag varies over the stations that may count.

    These are within the limit of the ball round the shape, or, for a least gap that is
    wider, within that gap and the greatest sag.
    """
    assert run.sag is not None
    ball = pack([shape])
    along = np.subtract(run.end, run.start) / length_of(run)
    middle = float(np.dot(ball.center[0, :2] - run.start, along))
    most = max(np.abs(run.sag.depths))
    gap = max(run.limit, min(apart, NEAR) + most)
    wide = float(ball.reach[0]) + run.radius + gap
    at = np.linspace(middle - wide, middle + wide, 400)
    at = np.clip(np.concatenate([at, run.sag.stations]), middle - wide, middle + wide)
    depth = np.interp(
        np.clip(at, 0.0, length_of(run)), run.sag.stations, run.sag.depths
    )
    return float(np.ptp(depth))


@pytest.fixture(scope="module")
def sagging() -> Sagging:
    """1,200 pairs: 60 sagging runs, half of them with points."""
    rng = np.random.default_rng(50)
    bodies = [{}, {"down": 1.5, "up": 0.25}]
    runs = [with_sag(rng, trial_run(rng, **bodies[i % 2])) for i in range(60)]
    shapes = [shape_near(rng, run) for run in runs for _ in range(20)]
    paired, found = swept(runs, shapes)
    clearance, lo, hi = (np.full(len(shapes), v) for v in (np.inf, np.inf, -np.inf))
    kinds = np.array([type(shape).__name__ for shape in shapes])
    for kind in np.unique(kinds):
        for gap, low, high, i in by_pieces(
            paired, shapes, np.nonzero(kinds == kind)[0]
        ):
            np.minimum.at(clearance, i, gap)
            np.fmin.at(lo, i, low)
            np.fmax.at(hi, i, high)
    return Sagging(
        runs=paired,
        shapes=shapes,
        found=found,
        clearance=clearance,
        lo=np.where(np.isfinite(lo), lo, np.nan),
        hi=np.where(np.isfinite(hi), hi, np.nan),
        varies=np.array(
            [
                sag_variation(*each)
                for each in zip(paired, shapes, clearance, strict=True)
            ]
        ),
    )


def by_pieces(runs: list[SweptRun], shapes: list[Shape], rows: np.ndarray):
    """Yield clearance and band of every piece near its shape, and the pair it is of."""
    starts, ends, owner = [], [], []
    for i in rows.tolist():
        a, b = pieces(runs[i])
        ball = pack([shapes[i]])
        near = np.linalg.norm((a + b)[:, :2] / 2 - ball.center[0, :2], axis=1)
        wide = np.linalg.norm(b - a, axis=1) / 2 + ball.reach[0] + 60.0
        starts.append(a[near < wide])
        ends.append(b[near < wide])
        owner += [i] * int(np.sum(near < wide))
    start, end = np.concatenate(starts), np.concatenate(ends)
    length = np.linalg.norm(end - start, axis=1)
    solids = pack([shapes[i] for i in owner])
    segments = Segments(
        start=start,
        direction=(end - start) / length[:, None],
        length=length,
        move=np.tile([0.0, 0.0, 1.0], (len(owner), 1)),
    )
    of = [runs[i] for i in owner]
    low, up, down = (
        np.array([getattr(r, n) for r in of]) for n in ("low", "up", "down")
    )
    travel = np.array([r.travel for r in of])
    radius = np.array([r.radius for r in of])
    limit = np.array([r.limit for r in of])
    gap = least_gap(segments, solids, low - down, low + travel + up)[1] - radius
    lo, hi = band_ends(segments, solids, radius + limit)
    yield gap, lo - up, hi + down, np.array(owner)


def test_a_sagging_run_is_never_given_too_much_air(sagging: Sagging) -> None:
    near = sagging.clearance < NEAR
    assert np.all((sagging.found.clearance <= sagging.clearance + CLOSE)[near])
    blocked = ~np.isnan(sagging.lo)
    assert np.all((sagging.found.lo <= sagging.lo + CLOSE)[blocked])
    assert np.all((sagging.found.hi >= sagging.hi - CLOSE)[blocked])
    assert blocked.sum() > 500


def test_a_sagging_run_is_given_little_too_little_air(sagging: Sagging) -> None:
    # As documented: no more than the sag varies over the stations in contact.
    found, slack = sagging.found, sagging.varies + CLOSE
    bare = found.clearance + np.array([run.radius for run in sagging.runs])
    touching = bare <= slack
    judged = (sagging.clearance < NEAR) & ~touching
    assert np.all((found.clearance >= sagging.clearance - slack)[judged])
    blocked = ~np.isnan(sagging.lo)
    assert np.all((found.lo >= sagging.lo - slack)[blocked])
    assert np.all((found.hi <= sagging.hi + slack)[blocked])
    limit = np.array([run.limit for run in sagging.runs])
    clear = (sagging.clearance > limit + slack) & ~blocked
    assert np.all(np.isnan(found.station_lo[clear]))


# -------------------------------------------------------------- swing


class SwingJudge:
    """Distances by coal of one solid to the body of a run that hangs at an angle."""

    def __init__(self, run: SweptRun, shape: Shape) -> None:
        assert run.swing is not None
        start, end = np.array([*run.start, 0.0]), np.array([*run.end, 0.0])
        self.run, self.swing = run, run.swing
        self.middle = (start + end) / 2
        self.along = (end - start) / np.linalg.norm(end - start)
        self.shape, self.place = solid(coal, shape), coal.Transform3s(*pose(shape))
        self.request = coal.DistanceRequest()
        self.request.gjk_tolerance = TIGHT

    def gap(self, angle: float, low: float, high: float) -> float:
        """Return the distance of the bare body, from a plumb height to another [in]."""
        low, high = low - self.run.down, high + self.run.up
        plumb = np.array([0.0, 0.0, 1.0])
        across = np.cross(plumb, self.along)
        rope = np.cos(angle) * plumb - np.sin(angle) * across
        turn = np.column_stack([self.along, np.cross(rope, self.along), rope])
        pulley = self.middle + self.swing.pulley_height * plumb
        place = pulley - (self.swing.pulley_height - (low + high) / 2) * rope
        size = (length_of(self.run), 2.0 * self.run.side, high - low)
        body, at = coal.Box(*size), coal.Transform3s(turn, place)
        result = coal.DistanceResult()
        return float(
            coal.distance(body, at, self.shape, self.place, self.request, result)
        )

    def least(self, low: float, high: float) -> float:
        """Return the least distance over the swing, by samples and by closing in."""
        most = self.swing.angle
        angles = np.linspace(-most, most, 101)
        for _ in range(4):
            gaps = [self.gap(angle, low, high) for angle in angles]
            best = int(np.argmin(gaps))
            ends = angles[[max(best - 1, 0), min(best + 1, len(angles) - 1)]]
            angles = np.linspace(*ends, 21)
        return max(min(gaps), 0.0)


@dataclass(frozen=True, kw_only=True)
class Swinging:
    """Pairs of swinging runs and the judge of each."""

    runs: list[SweptRun]
    shapes: list[Shape]
    judges: list[SwingJudge]
    found: PairTable


@pytest.fixture(scope="module")
def swinging() -> Swinging:
    """400 pairs: 40 runs, plain, with points, wide."""
    rng = np.random.default_rng(51)
    bodies = [{}, {"down": 1.5, "up": 0.25}, {"down": 0.5, "up": 0.5, "side": 2.0}]
    runs = []
    for i in range(40):
        run = trial_run(rng, **bodies[i % 3])
        swing = Swing(
            pulley_height=run.low + run.travel + rng.uniform(3.0, 20.0),
            angle=float(rng.choice([0.01, 0.05, 0.15])),
        )
        runs.append(replace(run, swing=swing))
    shapes = [shape_near(rng, run) for run in runs for _ in range(10)]
    paired, found = swept(runs, shapes)
    judges = [SwingJudge(run, shape) for run, shape in zip(paired, shapes, strict=True)]
    return Swinging(runs=paired, shapes=shapes, judges=judges, found=found)


def test_a_swinging_run_keeps_its_air_within_the_slop(swinging: Swinging) -> None:
    bad = []
    for i, (run, judge) in enumerate(zip(swinging.runs, swinging.judges, strict=True)):
        least = judge.least(run.low, run.low + run.travel)
        bare = swinging.found.clearance[i] + run.radius
        too_much = bare > least + CLOSE and bare > 1e-4
        too_little = bare < least - slop(run) - CLOSE
        if too_much or too_little:
            bad.append((i, bare - least, run, swinging.shapes[i]))
    assert not bad


def test_every_blocked_height_of_a_swinging_run_is_found(swinging: Swinging) -> None:
    bad, count = [], 0
    rng = np.random.default_rng(52)
    for i, (run, judge) in enumerate(zip(swinging.runs, swinging.judges, strict=True)):
        reach = run.radius + run.limit
        lo, hi = swinging.found.lo[i], swinging.found.hi[i]
        for _ in range(60):
            angle = run.swing.angle * rng.choice([-1, 1, rng.uniform(-1, 1)])
            height = run.low + run.travel * rng.uniform(0.0, 1.0)
            blocked = judge.gap(angle, height, height) < reach - CLOSE
            count += blocked
            if blocked and not lo - CLOSE <= height <= hi + CLOSE:
                bad.append((i, angle, height, run, swinging.shapes[i]))
    assert not bad
    assert count > 2000


def test_the_ends_of_swinging_bands_are_within_the_slop(swinging: Swinging) -> None:
    # 0.001 in more, since the angles are sampled.
    bad = []
    for i, (run, judge) in enumerate(zip(swinging.runs, swinging.judges, strict=True)):
        for end in (swinging.found.lo[i], swinging.found.hi[i]):
            if np.isnan(end):
                continue
            over = judge.least(end, end) - run.radius - run.limit
            if over > slop(run) + 0.001:
                bad.append((i, over, run, swinging.shapes[i]))
    assert not bad
    assert np.isfinite(swinging.found.lo).sum() > 150


def hung_pieces(run: SweptRun, angle: float, height: float) -> list[Capsule]:
    """Return the straight pieces of a sagging axis that hangs at an angle."""
    assert run.swing is not None
    along = np.subtract(run.end, run.start) / length_of(run)
    rope = np.array(
        [-along[1] * -np.sin(angle), along[0] * -np.sin(angle), np.cos(angle)]
    )
    pulley = run.swing.pulley_height
    hung = []
    for a, b in zip(*pieces(run), strict=True):
        ends = [
            np.array([*p[:2], pulley]) - (pulley - height - p[2]) * rope for p in (a, b)
        ]
        hung.append(Capsule(a=vec3(ends[0]), b=vec3(ends[1]), radius=0.0))
    return hung


def vec3(values: np.ndarray) -> Vec3:
    return (float(values[0]), float(values[1]), float(values[2]))


def placed(shape: Shape) -> tuple[object, object]:
    return solid(coal, shape), coal.Transform3s(*pose(shape))


def test_a_run_that_sags_and_swings_is_never_given_too_much_air() -> None:
    rng = np.random.default_rng(53)
    runs = []
    for _ in range(20):
        run = with_sag(rng, trial_run(rng))
        swing = Swing(pulley_height=run.low + run.travel + 8.0, angle=0.1)
        runs.append(replace(run, swing=swing))
    shapes = [shape_near(rng, run) for run in runs for _ in range(10)]
    paired, found = swept(runs, shapes)
    request, count = coal.DistanceRequest(), 0
    request.gjk_tolerance = TIGHT
    for i, (run, shape) in enumerate(zip(paired, shapes, strict=True)):
        other = placed(shape)
        for _ in range(10):
            angle = 0.1 * rng.choice([-1.0, 1.0, rng.uniform(-1.0, 1.0)])
            height = run.low + run.travel * rng.uniform(0.0, 1.0)
            gap = min(
                coal.distance(*placed(piece), *other, request, coal.DistanceResult())
                for piece in hung_pieces(run, angle, height)
            )
            if gap < run.radius + run.limit - CLOSE:
                count += 1
                assert found.lo[i] - CLOSE <= height <= found.hi[i] + CLOSE, (
                    run,
                    shape,
                )
            if gap < NEAR:
                assert found.clearance[i] <= max(gap, 0.0) - run.radius + CLOSE
    assert count > 200
