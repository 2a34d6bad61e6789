"""Where points fall in the picture."""

import math
from dataclasses import replace

import numpy as np
import pytest

from core.errors import ValueRangeError
from core.picture.camera import Camera

AHEAD = Camera(
    eye=(0.0, 100.0, 60.0),
    look=(100.0, 100.0, 60.0),
    width=400,
    height=200,
    view=math.radians(90.0),
)


def test_what_is_left_in_the_room_is_left_in_the_picture() -> None:
    # hand-worked: 90 degrees over 400 px, so 1 in at 1 in is 200 px; looking along
    # x a smaller y is to the left, a larger z is further up
    left = AHEAD.project([(100.0, 50.0, 60.0)])[0]
    above = AHEAD.project([(100.0, 100.0, 85.0)])[0]
    assert left == pytest.approx([200.0 - 100.0, 100.0, 100.0])
    assert above == pytest.approx([200.0, 100.0 - 50.0, 100.0])


@pytest.mark.parametrize(
    ("look", "right"),
    [
        # hand-worked: turning right from x comes y, then -x, then -y
        ((100.0, 100.0, 60.0), (0.0, 1.0, 0.0)),
        ((0.0, 200.0, 60.0), (-1.0, 0.0, 0.0)),
        ((-100.0, 100.0, 60.0), (0.0, -1.0, 0.0)),
        ((0.0, 0.0, 60.0), (1.0, 0.0, 0.0)),
    ],
)
def test_right_is_right_whichever_way_one_looks(look, right) -> None:
    _, found, up = replace(AHEAD, look=look).axes()
    assert found == pytest.approx(right)
    assert up == pytest.approx([0.0, 0.0, 1.0])


def test_the_horizon_is_level() -> None:
    tipped = replace(AHEAD, look=(100.0, 130.0, 20.0))
    _, right, up = tipped.axes()
    assert right[2] == pytest.approx(0.0)
    assert up[2] > 0
    far = tipped.project([(1e6, -3e5, 60.0), (1e6, 9e5, 60.0)])
    assert far[0, 1] == pytest.approx(far[1, 1], abs=0.5)


def test_rays_go_where_points_are_projected() -> None:
    rng = np.random.default_rng(5)
    columns, rows = rng.uniform(0, 400, 50), rng.uniform(0, 200, 50)
    camera = replace(AHEAD, look=(70.0, 30.0, 90.0))
    points = np.array(camera.eye) + 37.0 * camera.ways(columns, rows)
    found = camera.project(points)
    assert found[:, 0] == pytest.approx(columns, abs=1e-3)
    assert found[:, 1] == pytest.approx(rows, abs=1e-3)


def test_what_is_behind_has_no_distance_ahead() -> None:
    assert AHEAD.project([(-5.0, 100.0, 60.0)])[0, 2] < 0


def test_an_eye_outside_looks_in_past_the_wall() -> None:
    outside = replace(AHEAD, eye=(-30.0, 100.0, 60.0))
    low, high = np.zeros(3, np.float32), np.array([480.0, 276.0, 1e4], np.float32)
    start = outside.starts(outside.ways([200.0], [100.0]), low, high)
    # hand-worked: 30 in to the wall and 3.2 in beyond it
    assert start == pytest.approx([33.2], abs=1e-3)
    inside = AHEAD.starts(AHEAD.ways([200.0], [100.0]), low, high)
    assert inside.max() <= 3.2 + 1e-3


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"width": 0}, "picture width = 0 px"),
        ({"height": 100_000}, "picture height = 100000 px"),
        ({"look": AHEAD.eye}, "the eye is where it looks at"),
        ({"eye": (math.nan, 0.0, 0.0)}, "every number must be finite"),
    ],
)
def test_a_spoiled_eye_is_refused(change, words) -> None:
    with pytest.raises(ValueRangeError, match=words):
        replace(AHEAD, **change)
