"""Frames lead to the plane and back; every role has its linework."""

import numpy as np
import pytest

from core.drawing.frames import PLAN, long_frame, section_frame
from core.drawing.linework import LINEWORK, LineType
from core.drawing.memo import Memo
from core.drawing.records import Circle, Role, worded
from core.quantities import LengthStyle


@pytest.mark.parametrize(
    "frame", [PLAN, section_frame(77.0), long_frame((10, 20), (40, 60))]
)
def test_plane_and_depth_lead_back_to_the_room(frame):
    place = (3.0, -8.0, 55.0)
    depth = float(frame.depths(np.array(place)))
    assert frame.to_room(frame.point(place), depth=depth) == pytest.approx(place)
    assert frame.to_plane(np.array([place]))[0] == pytest.approx(frame.point(place))


def test_plan_shows_the_left_wall_on_the_left_of_who_walks_in():
    # walking in is to the right of the sheet, so his left is up
    left, right = PLAN.point((10, 0, 0)), PLAN.point((10, 240, 0))
    assert left[1] > right[1]


def test_station_of_a_slanting_run_is_its_distance_from_the_start():
    # hand-worked: 3-4-5 triangle
    frame = long_frame((10, 20), (40, 60))
    assert frame.point((40, 60, 12)) == pytest.approx((50, 12))


def test_every_role_has_linework():
    assert set(LINEWORK) == set(Role)


def test_dash_lengths_grow_with_the_line_width():
    assert LineType.DASHED.pattern(0.5) == (6.0, 1.5)
    assert LineType.CONTINUOUS.pattern(0.5) == ()


def test_lengths_in_a_text_follow_the_reader_s_style():
    parts = ("pipe at ", 50.0)
    assert worded(parts, style=LengthStyle.MILLIMETRES) == "pipe at 1270 mm"


def _circle():
    return (Circle(role=Role.RUN, center=(0, 0), radius=1),)


def test_same_inputs_give_the_same_group_and_changed_ones_a_new_one():
    memo, thing, other = Memo(), object(), object()
    first = memo.group("run", "a", (thing, 0.5), _circle)
    assert memo.group("run", "a", (thing, 0.5), _circle) is first
    assert memo.group("run", "a", (thing, 0.6), _circle) is not first
    assert memo.group("run", "a", (other, 0.6), _circle) is not first


def test_memo_forgets_what_is_no_longer_drawn():
    memo, thing = Memo(), object()
    first = memo.group("run", "a", (thing,), _circle)
    memo.keep_only([])
    assert memo.group("run", "a", (thing,), _circle) is not first
