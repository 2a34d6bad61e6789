"""Covered floor: exact areas, holes, and shapely as the second method."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from core.errors import ValueRangeError
from core.geometry.coverage import fewest_lanes, floor_coverage, lane_outline

ROOM = [(0.0, 0.0), (100.0, 0.0), (100.0, 40.0), (0.0, 40.0)]


def square(x: float, y: float, size: float) -> list[tuple[float, float]]:
    return [(x, y), (x + size, y), (x + size, y + size), (x, y + size)]


def test_overlap_counts_once() -> None:
    lane = lane_outline((0, 10), (100, 10), width=20)
    wider = lane_outline((0, 15), (100, 15), width=20)
    assert floor_coverage([lane], [ROOM]).share == 0.5
    assert floor_coverage([lane, lane], [ROOM]).share == 0.5
    assert floor_coverage([lane, wider], [ROOM]).share == 0.625  # 25 of 40, by hand


def test_lanes_count_only_on_the_floor() -> None:
    lane = lane_outline((-50, 0), (150, 0), width=20)
    coverage = floor_coverage([lane], [ROOM])
    assert coverage.covered == 1000.0  # 100 x 10, by hand
    assert coverage.floor == 4000.0


def test_overlapping_pens_count_once() -> None:
    assert floor_coverage([], [ROOM, ROOM]).floor == 4000.0


def test_no_lane_leaves_the_floor_one_hole() -> None:
    coverage = floor_coverage([], [ROOM])
    assert coverage.share == 0.0
    (hole,) = coverage.holes
    assert (hole.area, hole.low, hole.high) == (4000.0, (0.0, 0.0), (100.0, 40.0))


def test_no_floor_has_no_share() -> None:
    assert floor_coverage([ROOM], []).share == 0.0
    assert floor_coverage([], []).holes == ()


def test_holes_are_listed_largest_first_with_their_places() -> None:
    lane = lane_outline((10, 20), (95, 20), width=40)
    coverage = floor_coverage([lane], [ROOM])
    assert [(hole.area, hole.low, hole.high) for hole in coverage.holes] == [
        (400.0, (0.0, 0.0), (10.0, 40.0)),
        (200.0, (95.0, 0.0), (100.0, 40.0)),
    ]


def test_a_hole_over_several_pens_is_one() -> None:
    pens = [square(x, y, 10) for x in (0, 10, 20) for y in (0, 10)]
    coverage = floor_coverage([square(100, 100, 1)], pens)
    assert [hole.area for hole in coverage.holes] == [600.0]


def test_a_ring_round_a_lane_is_one_hole() -> None:
    coverage = floor_coverage([square(10, 10, 5)], [ROOM])
    assert [hole.area for hole in coverage.holes] == [3975.0]


def test_slivers_are_not_listed() -> None:
    lane = lane_outline((0.001, 20), (100, 20), width=40)
    coverage = floor_coverage([lane], [ROOM])
    assert coverage.holes == ()
    assert coverage.covered == pytest.approx(4000 - 0.04)
    assert len(floor_coverage([lane], [ROOM], smallest_hole=0.01).holes) == 1


def test_a_pen_may_have_a_notch() -> None:
    notched = [
        (0, 0),
        (30, 0),
        (30, 20),
        (20, 20),
        (20, 10),
        (10, 10),
        (10, 20),
        (0, 20),
    ]
    coverage = floor_coverage([square(10, 10, 10)], [notched])
    assert coverage.floor == 500.0  # 30 x 20 less 10 x 10, by hand
    assert coverage.covered == 0.0


@pytest.mark.parametrize(
    "outline", [[(0, 0), (1, 1)], [(0, 0), (1, 0), (math.nan, 1)], []]
)
def test_what_is_no_outline_is_refused(outline: list) -> None:
    with pytest.raises(ValueRangeError, match="three or more finite corners"):
        floor_coverage([outline], [ROOM])


def test_lanes_without_size_are_refused() -> None:
    with pytest.raises(ValueRangeError, match="greater than 0"):
        lane_outline((1, 1), (1, 1), width=120)
    with pytest.raises(ValueRangeError, match="greater than 0"):
        fewest_lanes(0, lane_width=120)


def convex(seed: int) -> np.ndarray:
    """A random convex outline, or a box along the axes."""
    rng = np.random.default_rng(seed)
    if rng.random() < 0.4:
        (x, y), (along, across) = rng.integers(0, 10, 2), rng.integers(1, 8, 2)
        corners = [(0, 0), (along, 0), (along, across), (0, across)]
        return np.asarray(corners) + np.asarray((x, y))
    corners = shapely.MultiPoint(rng.uniform(0, 14, (7, 2))).convex_hull
    return np.asarray(corners.exterior.coords)[:-1]


@pytest.mark.oracle
@given(
    lanes=st.lists(st.integers(0, 10**6), max_size=6),
    floor=st.lists(st.integers(0, 10**6), min_size=1, max_size=5),
)
def test_areas_and_holes_agree_with_shapely(lanes: list[int], floor: list[int]) -> None:
    """Second method: shapely's union, intersection and difference.

    Lanes and floor are never the same slanted outline: where they are, rounding
    leaves shapely a sliver along it that joins holes.
    """
    lane_outlines = [convex(10**6 + 1 + seed) for seed in lanes]
    floor_outlines = [convex(seed) for seed in floor]
    ground = shapely.union_all([shapely.Polygon(outline) for outline in floor_outlines])
    lit = shapely.union_all([shapely.Polygon(outline) for outline in lane_outlines])
    coverage = floor_coverage(lane_outlines, floor_outlines, smallest_hole=1e-3)
    assert coverage.floor == pytest.approx(ground.area, abs=1e-6)
    assert coverage.covered == pytest.approx(ground.intersection(lit).area, abs=1e-6)
    holes = shapely.get_parts(ground.difference(lit))
    expected = sorted((hole.area for hole in holes if hole.area > 2e-3), reverse=True)
    found = [hole.area for hole in coverage.holes if hole.area > 2e-3]
    assert found == pytest.approx(expected, abs=1e-5)


@given(angle=st.floats(0, 6.3), width=st.floats(1, 30))
def test_turning_room_and_lanes_changes_nothing(angle: float, width: float) -> None:
    turn = np.asarray(
        [[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]]
    )
    lane = lane_outline((10, 20), (80, 25), width=width)
    straight = floor_coverage([lane], [ROOM])
    turned = floor_coverage([lane @ turn.T], [np.asarray(ROOM) @ turn.T])
    assert turned.share == pytest.approx(straight.share, abs=1e-9)
    assert turned.floor == pytest.approx(4000.0)


@given(width=st.floats(1, 5000), lane=st.floats(1, 500))
def test_lanes_side_by_side_cover_the_width_and_one_less_does_not(
    width: float, lane: float
) -> None:
    count, spacing = fewest_lanes(width, lane_width=lane)
    assert spacing <= lane * (1 + 1e-8)
    assert (count - 1) * lane < width
