"""What dragged objects keep to, and the dimensions shown meanwhile; hand-worked."""

from dataclasses import replace

import pytest

from core.drawing.frames import PLAN, long_frame, section_frame
from core.drawing.live_dimensions import (
    cut_dimensions,
    neighbour_dimensions,
    neighbours_in,
    run_dimensions,
    spacing_dimensions,
    upright_dimensions,
    wall_dimensions,
)
from core.drawing.plan import plan
from core.drawing.records import Bounds, Dimension, Drawing, Text
from core.drawing.shown import Shown
from core.drawing.snap import (
    Keep,
    Line,
    middle_lines,
    on_grid,
    snapped,
    truss_marks,
    wall_place,
)
from core.model.room import Wall
from tests.core.drawing.reports import CATALOGUE
from tests.specimens import plain_barn


def test_a_line_in_reach_wins_over_the_grid():
    line = Line(at=10.01, keep=Keep.TRUSS, name="truss 1")
    assert snapped(11.0, [line], reach=1.0).value == 10.01
    assert snapped(11.02, [line], reach=1.0) == snapped(11.0, (), reach=0.0)


def test_the_nearest_of_two_lines_wins():
    lines = [Line(at=at, keep=Keep.TRUSS, name=str(at)) for at in (0.0, 10.0)]
    assert snapped(6.0, lines, reach=20.0).line is lines[1]


def test_trusses_cross_a_run_at_their_stations():
    barn = plain_barn()
    marks = truss_marks(barn.runs[0], barn.room)
    # hand-worked: run from x = 24 to 384, trusses every 48 in
    assert [mark.at for mark in marks] == [24, 72, 120, 168, 216, 264, 312, 360]
    assert marks[0].name == "truss 2"


def test_a_run_along_the_trusses_has_none():
    barn = plain_barn()
    across = replace(barn.runs[0], start=(24.0, 12.0), end=(24.0, 250.0))
    assert truss_marks(across, barn.room) == ()


def test_middles_of_strips():
    assert [line.at for line in middle_lines(plain_barn().room)] == [60, 216]


@pytest.mark.parametrize(
    ("at", "wall", "place"),
    [
        ((5, 100), Wall.FRONT, (0, 100)),
        ((470, 100), Wall.BACK, (480, 100)),
        ((100, 9), Wall.LEFT, (100, 0)),
        ((100, 280), Wall.RIGHT, (100, 276)),
        ((-50, 300), Wall.RIGHT, (0, 276)),
    ],
)
def test_nearest_wall(at, wall, place):
    found = wall_place(plain_barn().room, at)
    assert found.at == place
    if wall is not Wall.RIGHT or at[0] > 0:
        assert found.wall is wall


def test_grid_is_a_sixteenth():
    assert on_grid((1.03, -2.04, 3.0)) == (1.0, -2.0625, 3.0)


# --- live dimensions


_EMPTY = Drawing(groups=(), bounds=Bounds(low=(0, 0), high=(1, 1)), frame=PLAN)


def _values(records):
    return sorted(r.value for r in records if isinstance(r, Dimension))


def _neighbours(*without):
    drawing = plan(plain_barn(), None, Shown(catalogue=CATALOGUE))
    return neighbours_in(drawing, without=without)


def test_distances_from_front_and_left_wall():
    assert _values(wall_dimensions((30.0, 40.0), "a")) == [30, 40]
    assert _values(wall_dimensions((0.0, 40.0), "a")) == [40]


def test_distances_to_the_nearest_two_fixtures():
    # hand-worked: light x 96..144, y 135..141; feed line to y = 11.5, from x = 12
    found = list(neighbour_dimensions((120.0, 100.0), _neighbours(), "a"))
    assert _values(found) == pytest.approx([35, 88.5])


def test_what_is_dragged_is_no_neighbour_of_itself():
    without = _neighbours("light-1")
    assert "light-1" not in without.owners
    assert len(without.owners) < len(_neighbours().owners)


def test_run_is_measured_to_walls_and_to_what_is_beside_it():
    barn = plain_barn()
    values = _values(run_dimensions(barn.runs[0], barn.room, _neighbours()))
    # hand-worked: start 24 and 60 from the walls; end 480 - 384 and 276 - 60 from
    # theirs; the inlet's flap or feed line beside it: inlet y to 32, feed line 11.5
    assert {24, 60, 96, 216} <= set(values)
    assert len(values) == 6


def test_run_is_measured_to_the_next_run_on_each_side():
    barn = plain_barn()
    first, second = barn.runs
    values = _values(
        run_dimensions(first, barn.room, neighbours_in(_EMPTY), others=[second])
    )
    # hand-worked: the four distances from walls, and from y = 60 to y = 216
    assert values == sorted([24, 60, 96, 216, second.start[1] - 60])
    far = replace(second, id="run-3", start=(24.0, 270.0), end=(384.0, 270.0))
    skew = replace(second, id="run-4", start=(24.0, 100.0), end=(384.0, 130.0))
    past = replace(second, id="run-5", start=(390.0, 90.0), end=(470.0, 90.0))
    others = [far, second, skew, past]
    again = _values(
        run_dimensions(first, barn.room, neighbours_in(_EMPTY), others=others)
    )
    assert again == values


def test_a_cut_is_measured_from_both_end_walls():
    room = plain_barn().room
    found = list(cut_dimensions(100.0, room, PLAN, (100.0, 20.0)))
    assert _values(found) == [100, 380]
    slanting = long_frame((24.0, 60.0), (324.0, 160.0))
    found = list(cut_dimensions(100.0, room, slanting, (0.0, 20.0)))
    assert _values(found) == [100, 380]
    # hand-worked: 76 in along the room are 76 * sqrt(10) / 3 along the run
    assert found[0].a[0] == pytest.approx(76 * 10**0.5 / 3)
    assert _values(cut_dimensions(0.0, room, PLAN, (0.0, 20.0))) == [480]


def test_spacing_to_the_supports_on_both_sides_and_the_truss():
    barn = plain_barn()
    records = list(
        spacing_dimensions(barn.runs[0], "support-1-2", 120.0, barn.room, PLAN)
    )
    assert _values(records) == [96, 192]  # hand-worked: from 24 and from 312
    (text,) = (r for r in records if isinstance(r, Text))
    assert text.parts == ("truss 4",)  # hand-worked: x = 144, trusses every 48


def test_first_support_is_measured_from_the_run_s_end():
    run, room = plain_barn().runs[0], plain_barn().room
    frame = long_frame(run.start, run.end)
    records = list(spacing_dimensions(run, "support-1-1", 30.0, room, frame))
    assert _values(records) == [30, 138]
    assert not [r for r in records if isinstance(r, Text)]


def test_a_run_seen_from_its_end_has_no_spacing_to_show():
    run, room = plain_barn().runs[0], plain_barn().room
    across = section_frame(120.0)
    found = spacing_dimensions(run, "support-1-2", 120.0, room, across)
    assert list(found) == []


def test_height_above_the_floor_and_below_the_ceiling():
    room = plain_barn().room
    at = (50.0, 60.0, 70.0)
    found = upright_dimensions(at, room, long_frame((0.0, 60.0), (99.0, 60.0)), "a")
    assert _values(found) == [30, 70]
    # hand-worked: in the section 60 and 276 - 60 from the side walls as well
    found = upright_dimensions(at, room, section_frame(50.0), "a")
    assert _values(found) == [30, 60, 70, 216]
