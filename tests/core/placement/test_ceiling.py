import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.model.room import Bulkhead, Ceiling
from core.placement.ceiling import ceiling_height, ceiling_top, lowest_ceiling
from tests.core.placement.rooms import ACROSS, ALONG, FLAT, GABLE, SLOPED, room_with

BULKHEAD = Bulkhead(id="duct", x=180.0, y=90.0, length=60.0, width=50.0, depth=12.0)
ends = st.tuples(st.floats(0.0, 480.0), st.floats(0.0, 240.0))


@pytest.mark.parametrize(
    ("ceiling", "place", "height"),
    [  # hand-worked
        (FLAT, (7.0, 9.0), 96.0),
        (SLOPED, (0.0, 60.0), 102.0),  # 96 + 24 x 60/240
        (GABLE, (0.0, 50.0), 111.0),  # 96 + 30 x 50/100
        (GABLE, (0.0, 100.0), 126.0),
        (GABLE, (0.0, 170.0), 111.0),  # 126 - 30 x 70/140
        (ALONG, (199.0, 5.0), 96.0),
        (ALONG, (201.0, 5.0), 84.0),
        (ALONG, (300.0, 5.0), 84.0),  # on the step the lower side counts
        (ALONG, (301.0, 5.0), 108.0),
        (ACROSS, (5.0, 119.0), 90.0),
        (ACROSS, (5.0, 121.0), 100.0),
        (FLAT, (-50.0, 900.0), 96.0),  # outside: the nearest place inside
    ],
)
def test_height_of_each_ceiling(
    ceiling: Ceiling, place: tuple[float, float], height: float
) -> None:
    assert ceiling_height(room_with(ceiling), *place) == pytest.approx(height, abs=1e-9)


def test_a_bulkhead_lowers_the_ceiling_and_follows_its_slope() -> None:
    room = room_with(SLOPED, bulkheads=(BULKHEAD,))
    # hand-worked: 96 + 24 x 120/240 - 12
    assert ceiling_height(room, 200.0, 120.0) == pytest.approx(96.0)
    assert ceiling_height(room, 241.0, 120.0) == pytest.approx(108.0)


@pytest.mark.parametrize(
    ("ceiling", "a", "b", "lowest"),
    [  # hand-worked
        (FLAT, (0.0, 0.0), (480.0, 240.0), 96.0),
        (SLOPED, (0.0, 200.0), (480.0, 60.0), 102.0),
        (GABLE, (0.0, 50.0), (480.0, 170.0), 111.0),  # both ends; the ridge between
        (ALONG, (10.0, 20.0), (190.0, 30.0), 96.0),
        (ALONG, (10.0, 20.0), (200.0, 30.0), 84.0),  # its end touches the riser
        (ALONG, (310.0, 0.0), (480.0, 0.0), 108.0),
        (ACROSS, (0.0, 120.0), (480.0, 120.0), 90.0),  # along the step
        (ACROSS, (0.0, 121.0), (480.0, 239.0), 100.0),
    ],
)
def test_lowest_ceiling_over_a_line(
    ceiling: Ceiling, a: tuple[float, float], b: tuple[float, float], lowest: float
) -> None:
    room = room_with(ceiling)
    assert lowest_ceiling(room, a, b) == pytest.approx(lowest, abs=1e-9)
    assert lowest_ceiling(room, b, a) == pytest.approx(lowest, abs=1e-9)


def test_a_bulkhead_over_the_middle_of_a_line_counts() -> None:
    # hand-worked: 96 less the bulkhead's depth of 12; it ends at y = 140
    room = room_with(bulkheads=(BULKHEAD,))
    assert lowest_ceiling(room, (0.0, 100.0), (480.0, 100.0)) == 84.0
    assert lowest_ceiling(room, (0.0, 141.0), (480.0, 141.0)) == 96.0


@given(a=ends, b=ends)
@pytest.mark.parametrize("ceiling", [FLAT, SLOPED, GABLE, ALONG, ACROSS])
def test_no_place_on_a_line_is_lower_and_one_is_as_low(
    ceiling: Ceiling, a: tuple[float, float], b: tuple[float, float]
) -> None:
    room = room_with(ceiling, bulkheads=(BULKHEAD,))
    lowest = lowest_ceiling(room, a, b)
    # second method: sampled places, and those where a line crosses an edge
    crossings = {0.0, 1.0} | set(np.linspace(0.0, 1.0, 41).tolist())
    for axis, edges in (
        (0, (180.0, 200.0, 240.0, 300.0)),
        (1, (90.0, 100.0, 120.0, 140.0)),
    ):
        way = b[axis] - a[axis]
        crossings |= {(edge - a[axis]) / way for edge in edges if abs(way) > 1e-6}
    shares = [t for t in crossings if 0.0 <= t <= 1.0]
    places = [(a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])) for t in shares]
    heights = [ceiling_height(room, x, y) for x, y in places]
    assert lowest <= min(heights) + 1e-9
    nearby = [
        ceiling_height(room, x + dx, y + dy)
        for x, y in places
        for dx in (-1e-6, 0.0, 1e-6)
        for dy in (-1e-6, 0.0, 1e-6)
    ]
    assert lowest >= min(nearby) - 1e-5


@pytest.mark.parametrize(
    ("ceiling", "top"),
    [(FLAT, 96.0), (SLOPED, 120.0), (GABLE, 126.0), (ALONG, 108.0), (ACROSS, 100.0)],
)
def test_highest_place_of_each_ceiling(ceiling: Ceiling, top: float) -> None:
    assert ceiling_top(room_with(ceiling)) == top
