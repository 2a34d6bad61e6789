"""Pens and other parts of the floor resized by corners and sides; hand-worked.

pen-2 is made to go from x = 120 to 240 and from y = 0 to 120.
"""

from dataclasses import replace

import pytest

from core.drawing.records import Dimension, Grip, Handle, Role
from tests.specimens import full_barn, plain_barn
from tests.viewer_tools.dragging import drag, make_stage, result, said
from viewer.tools.events import Key, KeyPress, Modifier, Move, Press
from viewer.tools.pointer import Pointer

BOX = ((120.0, 0.0), (240.0, 0.0), (240.0, 120.0), (120.0, 120.0))
HOUSE = ((120.0, 0.0), (240.0, 0.0), (240.0, 90.0), (180.0, 120.0), (120.0, 90.0))


def _pen(barn, pen="pen-2"):
    return next(each for each in barn.room.pens if each.id == pen)


def _with(outline):
    """The specimen with another outline of pen-2."""
    barn = plain_barn()
    pens = tuple(
        replace(pen, outline=outline) if pen.id == "pen-2" else pen
        for pen in barn.room.pens
    )
    return replace(barn, room=replace(barn.room, pens=pens))


def _box():
    return make_stage(barn=_with(BOX), selection={"pen-2"})


def test_a_corner_takes_both_sides_of_a_rectangle_along():
    stage = _box()
    steps = drag(stage, (240, -120), (225.03, -100.02))
    after = _pen(result(stage, steps)).outline
    assert after == ((120, 0), (225, 0), (225, 100), (120, 100))
    assert steps[-1].request.name == "Reshape pen-2"


def test_a_side_goes_at_a_right_angle_to_itself():
    stage = _box()
    steps = drag(stage, (240, -60), (210.03, -90))
    after = _pen(result(stage, steps)).outline
    assert after == ((120, 0), (210, 0), (210, 120), (120, 120))
    steps = drag(stage, (180, -120), (150, -111.1))
    after = _pen(result(stage, steps)).outline
    assert after == ((120, 0), (240, 0), (240, 111.125), (120, 111.125))


def test_a_corner_is_drawn_to_other_pens_unless_it_is_free():
    stage = _box()
    # pen-3 ends at x = 3 * 99 = 297, the strip at y = 120; both are within 6 in
    steps = drag(stage, (240, -120), (300, -117))
    assert _pen(result(stage, steps)).outline[2] == (297, 120)
    guides = [note.part for note in steps[3].notes if note.role is Role.GUIDE]
    assert guides == ["pen-3", "strip-1"]
    steps = drag(stage, (240, -120), (300, -117), Modifier.FREE)
    assert _pen(result(stage, steps)).outline[2] == (300, 117)


def test_a_side_is_drawn_to_the_wall():
    stage = _box()
    steps = drag(stage, (240, -60), (477, -60))
    assert _pen(result(stage, steps)).outline[1] == (480, 0)


def test_live_dimensions_are_of_the_sides_and_from_the_walls():
    stage = _box()
    steps = drag(stage, (240, -120), (225, -100))
    values = [note.value for note in steps[3].notes if isinstance(note, Dimension)]
    # the two sides at the corner, then its distances from the front and left wall
    assert sorted(values) == [100, 100, 105, 225]


def test_a_pen_is_not_turned_inside_out():
    stage = _box()
    steps = drag(stage, (240, -120), (100, -120))
    assert "nothing of pen-2 would be left" in steps[3].problem
    assert said(steps[3]) == steps[3].problem == steps[-1].problem
    # the last place that was possible: 240 - 0.7 * 140
    assert _pen(result(stage, steps)).outline[2] == (142, 120)


def test_each_corner_of_a_polygon_moves_alone():
    barn = _with(HOUSE)
    stage = make_stage(barn=barn, selection={"pen-2"})
    for index, (x, y) in enumerate(HOUSE):
        steps = drag(stage, (x, -y), (x + 9.0, -y - 9.0), Modifier.FREE)
        expected = list(HOUSE)
        expected[index] = (x + 9.0, y + 9.0)
        assert _pen(result(stage, steps)).outline == tuple(expected)


def test_a_slanting_side_goes_at_a_right_angle_to_itself():
    stage = make_stage(barn=_with(HOUSE), selection={"pen-2"})
    # hand-worked: the side from (240, 90) to (180, 120) falls 1 in 2; a pull of 20
    # in along x is 20 / sqrt(5) = 8.944 in across it, 8.9375 in to the sixteenth
    steps = drag(stage, (210, -105), (230, -105))
    after = _pen(result(stage, steps)).outline
    by = (after[2][0] - 240, after[2][1] - 90)
    assert by == pytest.approx((8.9375 / 5**0.5, 8.9375 * 2 / 5**0.5))
    assert (after[3][0] - 180, after[3][1] - 120) == pytest.approx(by)
    assert after[0] == HOUSE[0]


def test_a_polygon_never_crosses_itself():
    stage = make_stage(barn=_with(HOUSE), selection={"pen-2"})
    steps = drag(stage, (180, -120), (180, 60))
    assert steps[3].problem == ("sides of pen-2 would cross or touch; keep them apart")
    assert said(steps[3]) == steps[3].problem


def test_cancel_gives_no_edit():
    stage, pointer = _box(), Pointer()
    pointer.feed(Press(at=(240, -120), tolerance=2.0), stage)
    assert pointer.feed(Move(at=(220, -120)), stage).preview is not None
    step = pointer.feed(KeyPress(key=Key.CANCEL), stage)
    assert step.preview is None
    assert step.request is None


@pytest.mark.parametrize(
    ("owner", "corner", "size"),
    [
        ("alley-1", (480, -156), (470.0, 30.0)),
        ("strip-1", (396, -120), (386.0, 114.0)),
        ("bulkhead-1", (480, -6), (470.0, 0.0)),
    ],
)
def test_alleys_strips_and_bulkheads_are_resized_too(owner, corner, size):
    stage = make_stage(barn=full_barn(), selection={owner})
    steps = drag(stage, corner, (corner[0] - 10, corner[1] + 6), Modifier.FREE)
    if not size[1]:
        assert "nothing of bulkhead-1" in steps[-1].problem
        return
    room = result(stage, steps).room
    parts = (*room.alleys, *room.strips)
    part = next(each for each in parts if each.id == owner)
    assert (part.length, part.width) == size


def test_a_chosen_pen_has_a_handle_at_each_corner_and_on_each_side():
    stage = make_stage(barn=_with(HOUSE), selection={"pen-2"})
    held = [r for r in stage.drawing.records if isinstance(r, Handle)]
    own = [(h.grip, h.part) for h in held if h.owner == "pen-2"]
    kinds = (Grip.VERTEX, Grip.EDGE)
    assert sorted(own) == sorted((k, str(i)) for k in kinds for i in range(5))
