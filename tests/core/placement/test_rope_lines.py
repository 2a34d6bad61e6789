import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.mechanics.rope_path import PathCircle, tangent_length
from core.placement.rope_lines import Bend, rope_line

CORNER = (
    Bend(name="a", at=(0.0, 0.0, 0.0)),
    Bend(name="turn", at=(100.0, 0.0, 0.0), radius=2.0),
    Bend(name="b", at=(100.0, 50.0, 0.0)),
)


def test_a_rope_lies_on_the_outside_of_its_pulley() -> None:
    line = rope_line(CORNER)
    # hand-worked: met at (100, -2), left at (102, 0), 45 degrees half way
    middle = (100 + 2 * math.sqrt(0.5), -2 * math.sqrt(0.5), 0.0)
    assert line.points[0] == (0.0, 0.0, 0.0)
    assert line.points[1] == pytest.approx((100.0, -2.0, 0.0))
    assert line.points[3] == pytest.approx(middle)
    assert line.points[5] == pytest.approx((102.0, 0.0, 0.0))
    assert line.point(line.station("turn")) == pytest.approx(middle)


def test_length_agrees_with_tangents_and_arcs() -> None:
    # second method: core.mechanics.rope_path, true common tangents in the plane
    exact = tangent_length(
        [
            PathCircle(x=0.0, y=0.0),
            PathCircle(x=100.0, y=0.0, radius=2.0, turn=1),
            PathCircle(x=100.0, y=50.0),
        ]
    )
    line = rope_line(CORNER)
    # 4 chords for a quarter turn are 0.65 % short of its 3.14 in; off tangents
    # r^2 / 2L = 0.06 in long
    assert line.lengths[-1] == pytest.approx(exact, abs=0.07)


def test_points_along_the_line() -> None:
    line = rope_line(
        [
            Bend(name="a", at=(0.0, 0.0, 0.0)),
            Bend(name="b", at=(10.0, 0.0, 0.0)),
            Bend(name="c", at=(10.0, 10.0, 0.0)),
        ]
    )
    assert line.stations == (0.0, 10.0, 20.0)
    assert line.point(4.0) == (4.0, 0.0, 0.0)
    assert line.point(13.0) == (10.0, 3.0, 0.0)
    assert line.point(-5.0) == (0.0, 0.0, 0.0)
    assert line.point(99.0) == (10.0, 10.0, 0.0)
    assert line.part(8.0, 13.0) == ((8.0, 0.0, 0.0), (10.0, 0.0, 0.0), (10.0, 3.0, 0.0))


@pytest.mark.parametrize("last", [(200.0, 0.0, 0.0), (0.0, 0.0, 0.0)])
def test_a_pulley_that_does_not_turn_a_rope_is_passed_through(
    last: tuple[float, float, float],
) -> None:
    line = rope_line([*CORNER[:2], Bend(name="b", at=last)])
    assert line.points == (CORNER[0].at, CORNER[1].at, last)


def test_a_point_given_twice_is_no_bend() -> None:
    line = rope_line([CORNER[0], CORNER[0], CORNER[2]])
    assert line.point(0.0) == CORNER[0].at
    assert line.lengths[-1] == pytest.approx(math.hypot(100.0, 50.0))


steps = st.tuples(*(st.floats(-100.0, 100.0) for _ in range(3))).filter(
    lambda step: math.hypot(*step) > 40.0
)


def distances(center: tuple[float, float, float], a: object, b: object) -> float:
    start, way = np.array(a), np.subtract(b, a)
    share = np.clip(
        np.dot(np.subtract(center, start), way) / max(way @ way, 1e-300), 0, 1
    )
    return float(np.linalg.norm(start + share * way - np.array(center)))


@given(ways=st.lists(steps, min_size=2, max_size=5), radius=st.floats(0.3, 2.0))
def test_a_rope_never_cuts_through_a_wheel_nor_leaves_it(
    ways: list[tuple[float, float, float]], radius: float
) -> None:
    places = np.cumsum([(0.0, 0.0, 0.0), *ways], axis=0).tolist()
    inner = range(1, len(places) - 1)
    bends = [
        Bend(name=str(k), at=tuple(at), radius=radius if k in inner else 0.0)
        for k, at in enumerate(places)
    ]
    line = rope_line(bends)
    assert list(line.stations) == sorted(line.stations)
    for k in inner:
        u, v = (np.array(ways[j]) / math.hypot(*ways[j]) for j in (k - 1, k))
        turn = math.acos(np.clip(u @ v, -1, 1))
        if math.sin(turn) < 1e-5:
            continue
        near = min(
            distances(bends[k].at, a, b)
            for a, b in zip(line.points, line.points[1:], strict=False)
            if abs(line.lengths[line.points.index(a)] - line.stations[k]) < 30.0
        )
        # chords of a quarter of the turn; tangents off by up to (2 r / 40)^2 r / 2
        assert radius * math.cos(turn / 8) - 0.01 <= near <= radius + 1e-9
        assert math.dist(line.point(line.stations[k]), bends[k].at) == pytest.approx(
            radius, abs=1e-6
        )
