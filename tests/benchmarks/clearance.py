"""Speed of the sweep and of the free-space map, beside python-fcl and coal.

`python -m tests.benchmarks.clearance` prints goals 2 to 6 and 9 of the method. Scenes:
small, 8 runs among 150 solids in a room of 40 x 60 ft; large, 20 among 2,000 in
80 x 120 ft; site, 20 among 20,000 in 100 x 200 ft; all kinds of solids, lift 60 in,
6 in of air. A pair is near when its box comes within the air of the swept strip; a full
recheck gives band, least gap, witness points and stations of all pairs within 6 in. The
libraries measure the distance of a capsule to a solid at every inch of the travel, at
their defaults, as one does who samples the lift. Where they would take minutes a
sample of pairs is timed and scaled up; the table says so.
"""

import gc
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

import coal
import fcl
import numpy as np
from numpy.typing import NDArray

from core.geometry.free_space import free_space_map, updated_map
from core.geometry.map_frame import MapFrame
from core.geometry.obstacles import ObstacleSet
from core.geometry.runs import SagProfile, SweptRun, Swing
from core.geometry.shapes import Shape
from core.geometry.sweep import sweep
from tests.oracle.library_solids import pose, solid
from tests.oracle.scenes import room

TRAVEL = 60
LIMIT = 6.0
SAMPLED_PAIRS = 600
IntArray = NDArray[np.int64]


@dataclass(frozen=True, kw_only=True)
class Scene:
    """Runs and solids, and the pairs of them that are near."""

    runs: list[SweptRun]
    shapes: list[Shape]
    packed: ObstacleSet

    @property
    def pairs(self) -> int:
        return len(self.runs) * len(self.shapes)

    def near(self) -> tuple[IntArray, IntArray]:
        """Return the pairs whose boxes come within the air, in the run's frame."""
        found = [self._near_run(run) for run in self.runs]
        run = np.repeat(np.arange(len(found)), [len(part) for part in found])
        return run, np.concatenate(found)

    def _near_run(self, run: SweptRun) -> IntArray:
        along = np.subtract(run.end, run.start)
        length = np.hypot(*along)
        (c, s), reach = along / length, run.radius + LIMIT
        center, half = self.packed.center, self.packed.half
        x, y = center[0] - run.start[0], center[1] - run.start[1]
        u, v, w = x * c + y * s, y * c - x * s, center[2] - run.low
        du = abs(c) * half[0] + abs(s) * half[1] + reach
        dv = abs(s) * half[0] + abs(c) * half[1] + reach
        dw = half[2] + reach
        inside = (u + du >= 0) & (u - du <= length) & (np.abs(v) <= dv)
        return np.nonzero(inside & (w + dw >= 0) & (w - dw <= TRAVEL))[0]


def make_scene(
    runs: int, solids: int, feet: tuple[float, float], *, seed: int
) -> Scene:
    """Return a mixed scene in a room of so many feet."""
    rng = np.random.default_rng(seed)
    sides = (12.0 * feet[1], 12.0 * feet[0])
    shapes = room(rng, solids, sides=sides, size=18.0)
    return Scene(
        runs=[some_run(rng, sides) for _ in range(runs)],
        shapes=shapes,
        packed=ObstacleSet.of(shapes),
    )


def some_run(rng: np.random.Generator, sides: tuple[float, float]) -> SweptRun:
    """Return a run of 20 to 200 ft in any plan direction from within the room."""
    start, turn = rng.uniform((0, 0), sides), rng.uniform(-np.pi, np.pi)
    end = start + rng.uniform(240, 2400) * np.array([np.cos(turn), np.sin(turn)])
    middle = np.array(sides) / 2
    shift = middle - (start + end) / 2 + rng.uniform(-0.25, 0.25, 2) * sides
    start, end = start + shift, end + shift
    return SweptRun(
        start=(float(start[0]), float(start[1])),
        end=(float(end[0]), float(end[1])),
        low=36.0,
        travel=float(TRAVEL),
        radius=0.5,
    )


def seconds(action: Callable[[], object], *, times: int) -> float:
    """Return the median time of an action [s]."""
    return float(np.median(list(timed(action for _ in range(times)))))


def timed(actions: Iterator[Callable[[], object]]) -> Iterator[float]:
    """Yield how long each action took [s], without collecting garbage in it."""
    for action in actions:
        gc.collect(0)
        gc.disable()
        start = time.thread_time()
        action()
        yield time.thread_time() - start
        gc.enable()


@dataclass(frozen=True, kw_only=True)
class Library:
    """Distances by a collision library: make an object, move it, measure."""

    module: Any
    make: Callable[[Any, Any, Any], Any]
    move: Callable[[Any, Any], None]
    distance: Callable[[Any, Any], float]

    def sampled(
        self, scene: Scene, run: IntArray, obstacle: IntArray, *, inch: int = 1
    ) -> float:
        """Return the time of so many heights an inch for some pairs [s]."""
        solids = {
            i: self.make(solid(self.module, scene.shapes[i]), *pose(scene.shapes[i]))
            for i in set(obstacle.tolist())
        }
        bodies = [self._body(each) for each in scene.runs]
        start = time.thread_time()
        for i in range(len(scene.runs)):
            body, middle = bodies[i]
            others = [solids[j] for j in obstacle[run == i].tolist()]
            for step in range(TRAVEL * inch + 1):
                middle[2] = scene.runs[i].low + step / inch
                self.move(body, middle)
                for other in others:
                    self.distance(body, other)
        return time.thread_time() - start

    def _body(self, run: SweptRun) -> tuple[Any, Any]:
        ends = np.array([[*run.start, run.low], [*run.end, run.low]])
        along = ends[1] - ends[0]
        capsule = self.module.Capsule(run.radius, float(np.linalg.norm(along)))
        z = along / np.linalg.norm(along)
        up = np.array([0.0, 0.0, 1.0])
        turn = np.column_stack([up, np.cross(z, up), z])
        return self.make(capsule, turn, ends.mean(axis=0)), ends.mean(axis=0)


def fcl_library() -> Library:
    return Library(
        module=fcl,
        make=lambda shape, turn, at: fcl.CollisionObject(
            shape, fcl.Transform(turn, at)
        ),
        move=lambda body, at: body.setTranslation(at),
        distance=lambda a, b: float(fcl.distance(a, b)),
    )


def coal_library() -> Library:
    request, result = coal.DistanceRequest(), coal.DistanceResult()

    def distance(a: Any, b: Any) -> float:
        result.clear()
        return float(coal.distance(a, b, request, result))

    return Library(
        module=coal,
        make=lambda shape, turn, at: coal.CollisionObject(
            shape, coal.Transform3s(turn, at)
        ),
        move=lambda body, at: body.setTranslation(at),
        distance=distance,
    )


def say(text: str) -> None:
    sys.stdout.write(f"{text}\n")
    sys.stdout.flush()


def line(
    goal: str, what: str, value: float, unit: str, limit: float, note: str
) -> None:
    """Print one line of the table; ratios must reach the limit, times keep it."""
    met = value >= limit if unit == "x" else value <= limit
    sign = ">=" if unit == "x" else "<="
    shown = f"{value:10.2f} {unit:<2}  {sign} {limit:<7g}"
    say(f"{goal:<5} {what:<42} {shown} {'met' if met else 'NOT MET':<8} {note}")


SCENES = {
    "small": partial(make_scene, 8, 150, (40.0, 60.0), seed=3),
    "large": partial(make_scene, 20, 2_000, (80.0, 120.0), seed=2),
    "site": partial(make_scene, 20, 20_000, (100.0, 200.0), seed=3),
}
GOALS = {
    "small": {"full": 5.0, "all": 40, "fcl": 2.0, "coal": 1.0, "run": 3.0},
    "large": {"full": 8.0, "all": 800, "fcl": 12.0, "coal": 6.0, "run": 4.0},
    "site": {"full": 16.7, "all": 3000, "fcl": 24.0, "coal": 11.0, "run": 8.0},
}


def full(scene: Scene) -> object:
    return sweep(scene.runs, scene.packed, horizon=LIMIT)


def full_goals(name: str, scene: Scene) -> None:
    """Print goals 2, 3 and 4 for a scene."""
    goals, near = GOALS[name], scene.near()
    whole = seconds(lambda: full(scene), times=15)
    note = f"{scene.pairs:,} pairs, {len(near[0]):,} near"
    line("2", f"full recheck, {name}", 1e3 * whole, "ms", goals["full"], note)
    far = seconds(lambda: sweep(scene.runs, scene.packed), times=5)
    say(f"{'':<5} {'  the same with gaps to 24 in':<42} {1e3 * far:10.2f} ms")
    rng = np.random.default_rng(9)
    count = min(SAMPLED_PAIRS, scene.pairs)
    picked = rng.choice(scene.pairs, count, replace=False)
    run, obstacle = picked // len(scene.shapes), picked % len(scene.shapes)
    every = fcl_library().sampled(scene, run, obstacle) * scene.pairs / count
    note = f"fcl {every:,.2f} s, scaled up from {count} pairs at random"
    line("3", f"fcl, all pairs x 1 in, {name}", every / whole, "x", goals["all"], note)
    for library, key in ((fcl_library(), "fcl"), (coal_library(), "coal")):
        took = library.sampled(scene, *near)
        note = f"{key} {1e3 * took:,.1f} ms, all near pairs"
        line("4", f"{key}, near pairs, {name}", took / whole, "x", goals[key], note)


def drag_goals(name: str, scene: Scene) -> None:
    """Print goal 5 for a scene: one run moved, one obstacle moved."""
    rng = np.random.default_rng(10)
    sides = scene.packed.center.max(axis=1)[:2]
    moved = [some_run(rng, (sides[0], sides[1])) for _ in range(300)]
    took = timed(partial(sweep, [run], scene.packed, horizon=LIMIT) for run in moved)
    slow = 1e3 * float(np.percentile(list(took), 99))
    line("5", f"p99 of 300, one run, {name}", slow, "ms", GOALS[name]["run"], "")
    fresh = room(rng, 300, sides=(sides[0], sides[1]), size=18.0)

    def exchange(shape: Shape) -> object:
        return sweep(scene.runs, ObstacleSet.of([shape]), horizon=LIMIT)

    took = timed(partial(exchange, shape) for shape in fresh)
    slow = 1e3 * float(np.percentile(list(took), 99))
    line("5", f"p99 of 300, one obstacle, {name}", slow, "ms", 2.0, "")


def hanging_goals(large: Scene) -> None:
    """Print how long the large scene takes with sag, and with runs that swing."""
    sag = SagProfile(stations=(0.0, 60.0, 120.0, 240.0), depths=(0.0, 0.2, 0.0, 0.3))
    sagging = [replace(run, sag=sag) for run in large.runs]
    swinging = [
        replace(run, swing=Swing(pulley_height=run.low + run.travel + 6.0, angle=0.05))
        for run in large.runs
    ]
    for what, runs, limit in (
        ("full recheck, large, sag", sagging, 14.0),
        ("full recheck, large, swing", swinging, 60.0),
        ("one run, large, swing", swinging[:1], 8.0),
    ):
        took = seconds(partial(sweep, runs, large.packed, horizon=LIMIT), times=15)
        line("", what, 1e3 * took, "ms", limit, "")


def growth_goal(site: Scene) -> None:
    """Print goal 6: five times the solids in five times the room."""
    feet = (100.0 * 5**0.5, 200.0 * 5**0.5)
    dense = make_scene(20, 100_000, feet, seed=4)
    runs = [
        replace(
            run,
            start=shifted(run.start, site, dense),
            end=shifted(run.end, site, dense),
        )
        for run in site.runs
    ]
    big = Scene(runs=runs, shapes=dense.shapes, packed=dense.packed)
    small, large = (seconds(partial(full, each), times=9) for each in (site, big))
    ratio = large / small
    shown = f"{ratio:10.2f}     <= 2.2     {'met' if ratio <= 2.2 else 'NOT MET':<8}"
    note = f"{1e3 * small:.1f} -> {1e3 * large:.1f} ms"
    say(f"{'6':<5} {'20,000 -> 100,000 solids, equal density':<42} {shown} {note}")


def shifted(place: tuple[float, float], site: Scene, big: Scene) -> tuple[float, float]:
    """Return a place of the site as far from the middle of the bigger one."""
    step = (big.packed.center.max(axis=1) - site.packed.center.max(axis=1)) / 2
    return (place[0] + float(step[0]), place[1] + float(step[1]))


def map_goals(count: int, limit: float) -> None:
    """Print goal 9: a room of 50 x 150 ft, a span of 67 ft, columns of 1/4 in."""
    rng = np.random.default_rng(11)
    shapes = room(rng, count, sides=(1800.0, 600.0), size=24.0)
    packed = ObstacleSet.of(shapes)
    frame = MapFrame(
        origin=(498.0, 0.0), direction=(1.0, 0.0), length=804.0, v_lo=0.0, v_hi=600.0
    )
    run = SweptRun(start=(498, 0), end=(1302, 0), low=36.0, travel=60.0, radius=0.5)
    made = free_space_map(frame, packed, run)
    took = seconds(lambda: free_space_map(frame, packed, run), times=15)
    note = f"{frame.count:,} columns, {len(made.bands.lo):,} bands"
    line("9", f"map, {count:,} solids", 1e3 * took, "ms", limit, note)
    fresh = room(rng, 100, sides=(1800.0, 600.0), size=24.0)
    edits = [(i, packed.replaced({i: shape})) for i, shape in enumerate(fresh)]
    for _, edited in edits:
        _ = edited.hull_tables
    edit = list(timed(partial(updated_map, made, after, [i]) for i, after in edits))
    slow = 1e3 * float(np.percentile(edit, 99))
    note = f"median {1e3 * float(np.median(edit)):.2f} ms"
    line("9", f"map, {count:,} solids, p99 of an edit", slow, "ms", 2.0, note)
    sampled = sampled_map(shapes, frame, made.bands.owner, made.bands.column)
    note = f"coal {sampled:,.2f} s, scaled up from {SAMPLED_PAIRS} bands x 241 heights"
    line("9", f"map, {count:,} solids, coal at 1/4 in", sampled / took, "x", 250, note)


def sampled_map(
    shapes: list[Shape], frame: MapFrame, owner: IntArray, column: IntArray
) -> float:
    """Return the time of coal for the columns that solids block, at 241 heights [s]."""
    rng = np.random.default_rng(12)
    rows = rng.choice(len(owner), SAMPLED_PAIRS, replace=False)
    runs = []
    for v in frame.columns()[column[rows]].tolist():
        ends = ((498.0, v), (1302.0, v))
        runs.append(
            SweptRun(start=ends[0], end=ends[1], low=36.0, travel=60.0, radius=0.5)
        )
    scene = Scene(runs=runs, shapes=shapes, packed=ObstacleSet.of([]))
    took = coal_library().sampled(scene, np.arange(len(rows)), owner[rows], inch=4)
    return took * len(owner) / len(rows)


def main() -> None:
    """Print the table."""
    begin = time.thread_time()
    say("goal  what                                         measured     goal       ")
    scenes = {name: make() for name, make in SCENES.items()}
    for name, scene in scenes.items():
        full_goals(name, scene)
    for name, scene in scenes.items():
        drag_goals(name, scene)
    hanging_goals(scenes["large"])
    growth_goal(scenes["site"])
    map_goals(150, 10.0)
    map_goals(2_000, 60.0)
    say(f"took {time.thread_time() - begin:.0f} s; medians or p99 of processor time")


if __name__ == "__main__":
    main()
