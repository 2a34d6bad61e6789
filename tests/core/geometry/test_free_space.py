import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.errors import ValueRangeError
from core.geometry.free_space import FreeSpaceMap, free_space_map, updated_map
from core.geometry.map_frame import ColumnBands, MapFrame
from core.geometry.obstacles import ObstacleSet
from core.geometry.runs import SagProfile, SweptRun, Swing
from core.geometry.shapes import (
    Box,
    Capsule,
    Cylinder,
    Hull,
    Shape,
    Sphere,
    upright_box,
)
from core.geometry.sweep import sweep
from tests.oracle.gap_oracle import band_ends, pack
from tests.oracle.run_oracle import lying_segments
from tests.oracle.scenes import KINDS, random_shape, room

RUN = SweptRun(start=(0.0, 0.0), end=(600.0, 0.0), low=36.0, travel=60.0, radius=0.5)
FRAME = MapFrame(
    origin=(0.0, 0.0), direction=(1.0, 0.0), length=600.0, v_lo=0.0, v_hi=200.0
)
WIDE = replace(RUN, down=1.5, up=0.25, side=2.0)
NO_SET = ObstacleSet.of([])


def turned(angle: float) -> MapFrame:
    """A frame round the middle of a trial room, turned by an angle [rad]."""
    c, s = math.cos(angle), math.sin(angle)
    return MapFrame(
        origin=(350.0 - 200.0 * c + 96.0 * s, 250.0 - 200.0 * s - 96.0 * c),
        direction=(c, s),
        length=400.0,
        v_lo=-37.3,
        v_hi=230.0,
        step=0.7,
    )


def run_at(frame: MapFrame, v: float, body: SweptRun) -> SweptRun:
    """A run at a column, lifted from far below the room to far above it."""
    (x, y), (c, s) = frame.origin, frame.direction
    start = (x - v * s, y + v * c)
    end = (start[0] + frame.length * c, start[1] + frame.length * s)
    return replace(body, start=start, end=end, low=-200.0, travel=600.0)


def same(a: FreeSpaceMap, b: FreeSpaceMap) -> bool:
    """Whether two maps are equal to the last bit."""
    flat = all(
        np.array_equal(getattr(a, n), getattr(b, n)) for n in ("first", "lo", "hi")
    )
    names = ("owner", "column", "lo", "hi")
    return flat and all(
        np.array_equal(getattr(a.bands, n), getattr(b.bands, n)) for n in names
    )


# Hand-worked: reach 6 + 0.5 in, column 14 at v = 3.5 in; sqrt(6.5^2 - 2.5^2) = 6 in.
def test_band_beside_a_box_is_the_hand_worked_one() -> None:
    shapes = ObstacleSet.of([upright_box((100, 6, 50), (120, 30, 60))])
    made = free_space_map(FRAME, shapes, RUN)
    assert made.columns[14] == 3.5
    assert made.blocked(14) == ((44.0, 66.0),)
    assert made.free_heights(14, 36.0, 96.0) == ((36.0, 44.0), (66.0, 96.0))
    assert made.owners(14, 50.0) == (0,)
    assert made.owners(14, 44.0) == ()


def test_heights_are_blocked_up_to_the_limit_and_not_at_it() -> None:
    # The box's face is 6.5 in from column 0: nothing there is nearer than the limit.
    shapes = ObstacleSet.of([upright_box((100, 6.5, 50), (120, 30, 60))])
    made = free_space_map(FRAME, shapes, RUN)
    assert made.blocked(0) == ()
    assert len(made.blocked(1)) == 1


def test_points_widen_the_band_by_their_reach() -> None:
    # Hand-worked: 2 in sideways, so the gap at v = 1.5 in is again 2.5 in.
    shapes = ObstacleSet.of([upright_box((100, 6, 50), (120, 30, 60))])
    made = free_space_map(FRAME, shapes, WIDE)
    assert made.blocked(6) == ((44.0 - 0.25, 66.0 + 1.5),)


def test_box_along_the_span_counts_where_it_passes_the_end() -> None:
    # Hand-worked: 2.5 in past the end leaves sqrt(6.5^2 - 2.5^2) = 6 in of reach.
    shapes = ObstacleSet.of([upright_box((602.5, 0, 50), (700, 30, 60))])
    made = free_space_map(FRAME, shapes, RUN)
    assert made.blocked(40) == ((44.0, 66.0),)


def test_united_bands_join_and_keep_gaps() -> None:
    heights = [(40, 50), (45, 55), (80, 90), (10, 12)]
    boxes = [upright_box((100, 0, a), (120, 30, b)) for a, b in heights]
    made = free_space_map(FRAME, ObstacleSet.of(boxes), RUN)
    # Hand-worked: each grows by 6.5 in.
    assert made.blocked(40) == ((3.5, 18.5), (33.5, 61.5), (73.5, 96.5))
    assert made.free_heights(40, 36.0, 96.0) == ((61.5, 73.5),)
    assert made.owners(40, 48.0) == (0, 1)
    assert made.blocked(40, z_lo=36.0, z_hi=74.0) == ((36.0, 61.5), (73.5, 74.0))


def test_nearest_column_is_found() -> None:
    made = free_space_map(FRAME, NO_SET, RUN)
    assert made.nearest_column(10.1) == 40
    assert made.free_heights(40, 36.0, 96.0) == ((36.0, 96.0),)


@pytest.mark.parametrize("body", [RUN, WIDE], ids=["plain", "with points"])
@pytest.mark.parametrize("angle", [0.0, math.pi / 2, 0.4, -2.5])
def test_columns_equal_the_sweep(angle: float, body: SweptRun) -> None:
    # Second method: the sweep of a run placed at each column.
    rng = np.random.default_rng(5)
    shapes = ObstacleSet.of(room(rng, 400, sides=(700.0, 500.0), size=24.0))
    frame = turned(angle)
    made = free_space_map(frame, shapes, body)
    at = range(0, frame.count, 7)
    table = sweep([run_at(frame, float(made.columns[k]), body) for k in at], shapes)
    blocked = np.isfinite(table.lo)
    column, owner = 7 * table.run[blocked], table.obstacle[blocked]
    order = np.lexsort((column, owner))
    mine = made.bands.column % 7 == 0
    assert np.array_equal(made.bands.owner[mine], owner[order])
    assert np.array_equal(made.bands.column[mine], column[order])
    assert np.abs(made.bands.lo[mine] - table.lo[blocked][order]).max() < 1e-9
    assert np.abs(made.bands.hi[mine] - table.hi[blocked][order]).max() < 1e-9
    assert len(owner) > 500


@pytest.mark.parametrize("kind", KINDS)
def test_bands_of_nearly_square_shapes_have_exact_ends(kind: str) -> None:
    # Second method: golden section on point-to-solid distances. Axes are off the
    # frame's by nothing or by 1e-12 to 1e-3.
    rng = np.random.default_rng(6)
    shapes: list[Shape] = []
    for center in rng.uniform((20, 20, 40), (580, 180, 90), (60, 3)):
        lean = 10.0 ** rng.uniform(-12.0, -3.0, 3) * rng.choice([-1, 0, 1], 3)
        shapes.append(leant(KINDS[kind][1](rng, center, 12.0), rng, lean))
    made = free_space_map(FRAME, ObstacleSet.of(shapes), RUN)
    bands = made.bands.take(np.nonzero(made.bands.column % 25 == 0)[0])
    runs = [run_at(FRAME, float(v), RUN) for v in made.columns[bands.column]]
    solids = pack([shapes[i] for i in bands.owner])
    lo, hi = band_ends(lying_segments(runs), solids, np.full(len(runs), 6.5))
    assert np.abs(bands.lo - lo).max() < 1e-9
    assert np.abs(bands.hi - hi).max() < 1e-9
    assert len(runs) > 150


def leant(shape: Shape, rng: np.random.Generator, lean: np.ndarray) -> Shape:
    """A shape of the same size with its axes nearly along those of the room."""
    rows = np.eye(3)[rng.permutation(3)]
    skew = np.array(
        [[0, -lean[2], lean[1]], [lean[2], 0, -lean[0]], [-lean[1], lean[0], 0]]
    )
    rows = np.linalg.qr((rows + rows @ skew).T)[0].T
    if isinstance(shape, Box):
        return replace(shape, axes=tuple(tuple(row.tolist()) for row in rows))
    if isinstance(shape, (Cylinder, Capsule)):
        middle = (np.array(shape.a) + shape.b) / 2
        half = np.linalg.norm(np.subtract(shape.b, shape.a)) / 2 * rows[0]
        a, b = tuple((middle - half).tolist()), tuple((middle + half).tolist())
        return replace(shape, a=a, b=b)
    return shape


@settings(max_examples=60, deadline=None)
@given(
    seed=st.integers(0, 2**32 - 1),
    changed=st.sets(st.integers(0, 39), max_size=6),
    angle=st.sampled_from([0.0, math.pi / 2, 0.4]),
    body=st.sampled_from([RUN, WIDE]),
)
def test_an_updated_map_equals_a_new_one_to_the_last_bit(
    seed: int, changed: set[int], angle: float, body: SweptRun
) -> None:
    rng = np.random.default_rng(seed)
    frame = replace(turned(angle), step=2.0)
    shapes = ObstacleSet.of(room(rng, 40, sides=(700.0, 500.0), size=24.0))
    old = free_space_map(frame, shapes, body)
    fresh = {
        i: random_shape(rng, rng.uniform((0, 0, 0), (700, 500, 130)), 20.0)
        for i in sorted(changed)
    }
    after = shapes.replaced(fresh)
    assert same(updated_map(old, after, changed), free_space_map(frame, after, body))


def test_a_chain_of_updates_comes_back_to_the_first_map() -> None:
    rng = np.random.default_rng(9)
    shapes = room(rng, 200, sides=(700.0, 500.0), size=24.0)
    packed = ObstacleSet.of(shapes)
    frame = turned(0.0)
    first = made = free_space_map(frame, packed, RUN)
    for i in rng.permutation(200)[:50].tolist():
        away = {i: Sphere(center=(-500.0, -500.0, 0.0), radius=1.0)}
        made = updated_map(made, packed.replaced(away), [i])
        assert i not in made.bands.owner
        made = updated_map(made, packed, [i])
    assert same(made, first)


def test_an_obstacle_added_at_the_end_is_an_update_too() -> None:
    rng = np.random.default_rng(10)
    shapes = room(rng, 50, sides=(700.0, 500.0), size=24.0)
    short, whole = ObstacleSet.of(shapes[:-1]), ObstacleSet.of(shapes)
    frame = turned(0.0)
    made = free_space_map(frame, whole, RUN)
    assert same(updated_map(free_space_map(frame, short, RUN), whole, [49]), made)
    assert same(updated_map(made, short, [49]), free_space_map(frame, short, RUN))


def surface(owner: int, *rows: tuple[int, float, float]) -> ColumnBands:
    return ColumnBands(
        owner=np.full(len(rows), owner),
        column=np.array([row[0] for row in rows], dtype=np.int64),
        lo=np.array([row[1] for row in rows]),
        hi=np.array([row[2] for row in rows]),
    )


def test_bands_of_surfaces_are_merged_and_exchanged() -> None:
    box = ObstacleSet.of([upright_box((100, 0, 40), (120, 30, 50))])
    one = surface(1, (40, 70.0, 80.0), (40, 55.0, 60.0), (400, 10.0, 20.0))
    two = surface(1, (41, 70.0, 75.0))
    made = free_space_map(FRAME, box, RUN, surfaces=one)
    # Hand-worked: the box blocks 33.5 to 56.5 in.
    assert made.blocked(40) == ((33.5, 60.0), (70.0, 80.0))
    assert made.owners(40, 56.0) == (0, 1)
    moved = updated_map(made, box, [], surfaces=two)
    assert same(moved, free_space_map(FRAME, box, RUN, surfaces=two))
    assert same(updated_map(moved, box, [1]), free_space_map(FRAME, box, RUN))


def test_a_surface_may_not_take_an_obstacle_number() -> None:
    box = ObstacleSet.of([upright_box((100, 0, 40), (120, 30, 50))])
    with pytest.raises(ValueRangeError, match="surface owner = 0"):
        free_space_map(FRAME, box, RUN, surfaces=surface(0, (1, 2.0, 3.0)))


def test_sag_blocks_at_least_what_the_sweep_blocks() -> None:
    # Second method: the sweep of a sagging run at each column.
    sag = SagProfile(stations=(0.0, 200.0, 400.0), depths=(0.0, 3.0, 0.5))
    body = replace(RUN, sag=sag)
    rng = np.random.default_rng(11)
    shapes = ObstacleSet.of(room(rng, 150, sides=(600.0, 200.0), size=24.0))
    made = free_space_map(FRAME, shapes, body)
    at = range(0, FRAME.count, 40)
    table = sweep([run_at(FRAME, float(made.columns[k]), body) for k in at], shapes)
    held = np.isfinite(table.lo) & (table.hi > table.lo)
    assert held.sum() > 20
    for k, owner, lo, hi in zip(
        table.run[held] * 40,
        table.obstacle[held],
        table.lo[held],
        table.hi[held],
        strict=True,
    ):
        row = np.nonzero((made.bands.column == k) & (made.bands.owner == owner))[0]
        assert made.bands.lo[row[0]] <= lo + 1e-9
        assert made.bands.hi[row[0]] >= hi - 1e-9
        assert made.bands.lo[row[0]] >= lo - 3.5
        assert made.bands.hi[row[0]] <= hi + 3.5


def test_a_swing_widens_the_body_as_at_the_lowest_height() -> None:
    # Hand-worked: 60 in of rope at 0.1 rad go 60 sin 0.1 = 5.99000499 in sideways
    # and 60 (1 - cos 0.1) = 0.29975008 in up.
    body = replace(RUN, swing=Swing(pulley_height=96.0, angle=0.1))
    made = free_space_map(FRAME, NO_SET, body)
    assert made.body.side == pytest.approx(5.99000499, abs=1e-8)
    assert made.body.up == pytest.approx(0.29975008, abs=1e-8)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"direction": (1.0, 1.0)}, "direction"),
        ({"length": 0.0}, "length = 0 in"),
        ({"step": -1.0}, "step = -1 in"),
        ({"v_hi": -1.0}, "-1 in"),
    ],
)
def test_a_frame_without_columns_is_refused(
    change: dict[str, float], words: str
) -> None:
    with pytest.raises(ValueRangeError, match=words):
        replace(FRAME, **change)


def test_a_hull_and_its_box_block_alike() -> None:
    # Second method: the same cuboid as a box in a pose.
    rng = np.random.default_rng(12)
    q = np.linalg.qr(rng.normal(size=(3, 3)))[0]
    half, center = np.array([9.0, 5.0, 3.0]), np.array([300.0, 100.0, 60.0])
    signs = np.array(np.meshgrid(*[[-1, 1]] * 3)).reshape(3, -1).T
    corners = center + (signs * half) @ q
    box = Box(
        center=(300.0, 100.0, 60.0),
        half=(9.0, 5.0, 3.0),
        axes=tuple(tuple(row.tolist()) for row in q),
    )
    hull = Hull(points=tuple(tuple(p.tolist()) for p in corners))
    a = free_space_map(FRAME, ObstacleSet.of([box]), WIDE)
    b = free_space_map(FRAME, ObstacleSet.of([hull]), WIDE)
    assert np.array_equal(a.bands.column, b.bands.column)
    assert np.allclose(a.lo, b.lo, rtol=0.0, atol=1e-11)
    assert np.allclose(a.hi, b.hi, rtol=0.0, atol=1e-11)
