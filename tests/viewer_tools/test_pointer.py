"""Drags from press to release on the specimen, without a window; hand-worked."""

from dataclasses import replace

import pytest

from core.catalogue.parts import Tube
from core.drawing.handles import fixture_place
from core.drawing.long_section import long_section
from core.drawing.records import Bounds, Dimension, Polygon, Polyline, Role
from core.drawing.section import section
from core.model.fixtures import Beam, Post
from core.model.room import Wall
from tests.specimens import full_barn, plain_barn
from tests.viewer_tools.dragging import drag, make_stage, result, said
from viewer.tools.events import Key, KeyPress, Modifier, Move, Press, Release
from viewer.tools.pointer import Pointer


def _support(barn, support):
    return next(s for run in barn.runs for s in run.supports if s.id == support)


def test_press_three_moves_and_release_give_one_edit():
    stage = make_stage()
    steps = drag(stage, (192, -60), (230, -50))
    after = result(stage, steps)
    # hand-worked: support-1-2 at x = 192; pulled to 230, nearest truss x = 240
    assert _support(after, "support-1-2").station == 240 - 24
    assert steps[-1].request.name == "Move support-1-2"


def test_previews_and_live_dimensions_are_given_during_thedrag():
    stage = make_stage()
    steps = drag(stage, (192, -60), (230, -50))
    for step in steps[2:4]:
        assert step.is_dragging
        assert any(isinstance(note, Dimension) for note in step.notes)
    assert _support(steps[3].preview, "support-1-2").station == 216
    assert stage.barn == plain_barn()


def test_guide_shows_the_truss():
    steps = drag(make_stage(), (192, -60), (230, -50))
    guides = [note for note in steps[3].notes if note.role is Role.GUIDE]
    assert [g.part for g in guides] == ["truss 6"]  # hand-worked: 240 / 48 + 1
    assert isinstance(guides[0], Polyline)


def test_support_goes_freely_to_the_sixteenth():
    stage = make_stage()
    steps = drag(stage, (192, -60), (230.02, -60), Modifier.FREE)
    assert _support(result(stage, steps), "support-1-2").station == 206


def test_cancel_gives_no_edit():
    stage, pointer = make_stage(), Pointer()
    pointer.feed(Press(at=(192, -60), tolerance=2.0), stage)
    assert pointer.feed(Move(at=(230, -60)), stage).preview is not None
    cancelled = pointer.feed(KeyPress(key=Key.CANCEL), stage)
    assert cancelled.preview is None
    assert not cancelled.is_dragging
    after = [
        pointer.feed(e, stage) for e in (Move(at=(240, -60)), Release(at=(240, -60)))
    ]
    assert all(step.request is None and step.preview is None for step in after)


def test_a_drag_back_to_its_start_asks_for_nothing():
    stage, pointer = make_stage(), Pointer()
    pointer.feed(Press(at=(192, -60), tolerance=2.0), stage)
    pointer.feed(Move(at=(300, -60)), stage)
    pointer.feed(Move(at=(193, -60)), stage)
    assert pointer.feed(Release(at=(193, -60)), stage).request is None


def test_a_click_chooses_and_moves_nothing():
    stage, pointer = make_stage(), Pointer()
    step = pointer.feed(Press(at=(120, -138), tolerance=2.0), stage)
    assert step.selection == {"light-1"}
    released = pointer.feed(Release(at=(121, -138)), stage)
    assert released.request is None


def test_a_click_beside_everything_chooses_nothing():
    stage = make_stage(selection={"light-1"})
    step = Pointer().feed(Press(at=(300, -200), tolerance=2.0), stage)
    assert step.selection == frozenset()


def test_add_joins_and_parts():
    press = Press(at=(120, -138), tolerance=2.0, modifiers=Modifier.ADD)
    assert Pointer().feed(press, make_stage(selection={"run-1"})).selection == {
        "run-1",
        "light-1",
    }
    assert Pointer().feed(
        press, make_stage(selection={"run-1", "light-1"})
    ).selection == {"run-1"}


def test_run_is_dragged_with_its_supports_and_drawn_to_the_middle():
    barn = plain_barn()
    run = replace(barn.runs[0], start=(24.0, 50.0), end=(384.0, 50.0))
    stage = make_stage(barn=replace(barn, runs=(run, barn.runs[1])))
    steps = drag(stage, (300, -50), (310, -57))
    after = result(stage, steps).runs[0]
    # 57 is within 6 in of the strip's middle at 60; x goes 10 in along
    assert after.start == (34, 60)
    assert after.supports == run.supports


def test_run_end_stays_in_line():
    stage = make_stage(selection={"run-1"})
    steps = drag(stage, (384, -60), (400, -90))
    assert result(stage, steps).runs[0].end == (400, 60)


def test_run_end_is_dragged_freely():
    stage = make_stage(selection={"run-1"})
    steps = drag(stage, (384, -60), (400, -90), Modifier.FREE)
    assert result(stage, steps).runs[0].end == (400, 90)


def test_front_end_is_dragged_and_supports_stay_where_they_hang():
    stage = make_stage(selection={"run-1"})
    steps = drag(stage, (24, -60), (12, -62))
    after, before = result(stage, steps).runs[0], stage.barn.runs[0]
    assert after.start == (12, 60)
    assert [s.station - 12 for s in after.supports] == [
        s.station for s in before.supports
    ]


def test_run_cannot_lose_a_support():
    stage = make_stage(selection={"run-1"})
    steps = drag(stage, (384, -60), (300, -60))
    last = stage.barn.runs[0].supports[-1].id
    assert steps[3].problem == f"{last} would hang past the end of run-1; drag it first"
    steps_back = drag(stage, (24, -60), (120, -60))
    assert "past the end of run-1" in steps_back[-1].problem
    # the last place that was possible is kept: 384 - 0.3 * 84, to the sixteenth
    assert result(stage, steps).runs[0].end == (358.8125, 60)


def test_a_taken_truss_is_said_at_the_pointer_and_at_the_release():
    stage = make_stage()
    # hand-worked: support-1-3 hangs at x = 24 + 312 = 336, under truss 336 / 48 + 1
    steps = drag(stage, (192, -60), (340, -60))
    assert steps[3].is_dragging
    assert "support-1-3 hangs at truss 8" in steps[3].problem
    assert said(steps[3]) == steps[3].problem
    assert steps[-1].problem == steps[3].problem
    # the last place that was possible is kept, with its dimensions: 192 + 0.7 * 148
    # is nearest to truss 7 at 288
    assert steps[3].preview is steps[2].preview
    assert any(isinstance(note, Dimension) for note in steps[3].notes)
    assert _support(result(stage, steps), "support-1-2").station == 288 - 24


def test_a_drag_that_can_go_nowhere_asks_for_nothing_and_says_why():
    stage, pointer = make_stage(), Pointer()
    pointer.feed(Press(at=(192, -60), tolerance=2.0), stage)
    step = pointer.feed(Release(at=(340, -60)), stage)
    assert step.request is None
    assert "support-1-3" in step.problem


def test_the_sentence_stays_on_the_screen_and_off_the_thing():
    stage = replace(make_stage(), seen=Bounds(low=(0, -300), high=(400, 100)))
    steps = drag(stage, (192, -60), (340, -60))
    (frame,) = (n for n in steps[3].notes if isinstance(n, Polygon))
    low, high = frame.outline.min(axis=0), frame.outline.max(axis=0)
    assert (low >= (0, -300)).all()
    assert (high <= (400, 100)).all()
    assert low[1] > -60  # above the run


def test_what_goes_where_other_things_are_says_so():
    stage = make_stage(barn=full_barn(), selection={"lead-1"})
    steps = drag(stage, (7, -78), (30, -80))  # the middle of its route
    assert "lead-1" in steps[-1].problem
    assert steps[-1].request is None
    assert steps[2].band is None


def test_fixture_is_dragged_on_the_grid():
    stage = make_stage()
    steps = drag(stage, (120, -138), (130.03, -148))
    light = next(f for f in result(stage, steps).fixtures if f.id == "light-1")
    assert (light.x, light.y) == (130, 148)


def test_a_dragged_fixture_is_measured_to_the_nearest_run():
    stage = make_stage()
    steps = drag(stage, (120, -138), (120, -100), Modifier.FREE)
    values = [note.value for note in steps[3].notes if isinstance(note, Dimension)]
    # hand-worked: from y = 100 to the pipe's edge, half its diameter past y = 60
    tube = stage.catalogue.find(Tube, stage.barn.runs[0].tube)
    expected = 40 - tube.outside_diameter / 2
    assert min(abs(value - expected) for value in values) < 1e-9


def test_line_is_reshaped_by_one_of_its_points():
    stage = make_stage(selection={"feed-line-1"})
    steps = drag(stage, (468, -10), (460, -20))
    line = next(f for f in result(stage, steps).fixtures if f.id == "feed-line-1")
    assert line.path == ((12, 10, 86), (460, 20, 86))


def test_bar_is_reshaped_by_an_end():
    stage = make_stage(barn=full_barn(), selection={"tube-heater-1"})
    steps = drag(stage, (60, -138), (50, -138))
    bar = next(f for f in result(stage, steps).fixtures if f.id == "tube-heater-1")
    assert bar.start == (50, 138, 88)
    assert bar.end == (300, 138, 88)


def test_winch_goes_along_its_wall_and_round_the_corner():
    stage = make_stage()
    steps = drag(stage, (4, -116), (60, -5))
    winch = result(stage, steps).hoists[0].winch
    # hand-worked: it was 4 in off the wall, and 2 in off where it was pressed
    assert winch.wall is Wall.LEFT
    assert winch.at == (60, 4, 48)


def test_winch_goes_to_a_post():
    barn = plain_barn()
    post = Post(id="post-9", x=60.0, y=140.0, width=4.0, depth=6.0)
    stage = make_stage(barn=replace(barn, fixtures=(*barn.fixtures, post)))
    steps = drag(stage, (4, -114), (50, -139))
    winch = result(stage, steps).hoists[0].winch
    # hand-worked: on the front face, 2 + 4 in from the post's middle
    assert winch.wall is None
    assert winch.at == (54, 140, 48)


def _with_fixtures(*fixtures):
    barn = plain_barn()
    hoist = barn.hoists[0]
    hoist = replace(hoist, winch=replace(hoist.winch, on_lumber=False))
    return replace(barn, fixtures=(*barn.fixtures, *fixtures), hoists=(hoist,))


def test_winch_goes_to_added_lumber_on_the_wall_at_its_height():
    board = Beam(
        id="board-1",
        start=(0.75, 30.0, 48.0),
        end=(0.75, 70.0, 48.0),
        width=1.5,
        depth=9.25,
    )
    stage = make_stage(barn=_with_fixtures(board))
    winch = result(stage, drag(stage, (4, -114), (6, -50))).hoists[0].winch
    # hand-worked: 1.5 in of board and 4 in as from the wall before
    assert winch.at == (5.5, 50, 48)
    assert winch.on_lumber
    assert winch.wall is Wall.FRONT
    # past its end the wall has it again
    winch = result(stage, drag(stage, (4, -114), (4, -100))).hoists[0].winch
    assert winch.at == (4, 100, 48)
    assert not winch.on_lumber
    # a beam under the ceiling carries no winch
    high = replace(board, start=(0.75, 30.0, 90.0), end=(0.75, 70.0, 90.0))
    stage = make_stage(barn=_with_fixtures(high))
    winch = result(stage, drag(stage, (4, -114), (4, -50))).hoists[0].winch
    assert winch.at == (4, 50, 48)


def test_winch_dragged_freely_off_its_wall_is_on_none():
    stage = make_stage()
    after = result(stage, drag(stage, (4, -114), (60, -114), Modifier.FREE))
    assert after.hoists[0].winch.at == (60, 114, 48)
    assert after.hoists[0].winch.wall is None
    after = result(stage, drag(stage, (4, -114), (4, -140), Modifier.FREE))
    assert after.hoists[0].winch.wall is Wall.FRONT


def test_what_is_on_a_wall_stays_between_its_ends():
    stage = make_stage(barn=full_barn(), selection={"wall-fan-1"})
    barn = stage.barn
    fan = next(f for f in barn.fixtures if f.id == "wall-fan-1")
    x, y, _ = fixture_place(fan, barn.room)
    after = result(stage, drag(stage, (x, -y), (x - 2000, -y - 2000)))
    moved = next(f for f in after.fixtures if f.id == "wall-fan-1")
    width = barn.room.length if fan.wall in (Wall.LEFT, Wall.RIGHT) else barn.room.width
    assert moved.offset in (fan.diameter / 2, width - fan.diameter / 2)
    stage = make_stage(barn=full_barn(), selection={"door-1"})
    door = stage.barn.room.doors[0]
    after = result(stage, drag(stage, (-12, -138), (-12, 1000))).room.doors[0]
    assert after == replace(door, offset=0.0)


def test_what_hangs_is_let_down_in_the_section():
    barn = plain_barn()
    light = next(f for f in barn.fixtures if f.id == "light-1")
    stage = make_stage(section, barn=barn, selection={"light-1"})
    # hand-worked: the flat ceiling is at 100 in; 10 in down and 5 in across
    at = (light.y, 100 - light.drop - light.depth / 2)
    after = result(stage, drag(stage, at, (at[0] + 5, at[1] - 10)))
    moved = next(f for f in after.fixtures if f.id == "light-1")
    assert moved == replace(light, y=light.y + 5, drop=light.drop + 10)
    steps = drag(stage, at, (at[0], at[1] + 60))
    assert steps[3].problem == "light-1 would be in the ceiling; keep it below"


def test_a_run_stays_above_the_floor():
    stage = make_stage(section, selection={"run-1"})
    steps = drag(stage, (60, 50), (60, -10))
    assert steps[3].problem.startswith("run-1 would be on the floor")


def test_turning_pulley_keeps_in_line_with_the_run():
    stage = make_stage()
    steps = drag(stage, (468, -60), (470, -63))
    # hand-worked: within 6 in of x = 468 of the other pulleys and of y = 60: it stays
    assert steps[-1].request is None
    steps = drag(stage, (468, -60), (455, -63))
    turn = result(stage, steps).hoists[0].cables[0].turns[0]
    assert turn.at[:2] == (455, 60)


def test_pull_point_is_dragged_by_its_handle():
    stage = make_stage(selection={"hoist-1"})
    steps = drag(stage, (440, -114), (420, -116))
    assert result(stage, steps).hoists[0].pull_point[:2] == (420, 114)


@pytest.mark.parametrize(
    ("field", "at"), [("pull_towards", (12, 114)), ("dead_end", (12, 110))]
)
def test_other_points_of_a_hoist_are_dragged_by_their_handles(field, at):
    stage = make_stage(barn=full_barn(), selection={"hoist-1"})
    steps = drag(stage, (at[0], -at[1]), (at[0] + 40, -at[1] - 30))
    after = getattr(result(stage, steps).hoists[0], field)
    assert after[:2] == (at[0] + 40, at[1] + 30)


def test_supply_and_switch_keep_their_distance_from_the_wall():
    stage = make_stage()
    x, y, z = stage.barn.electrical.supply.at
    after = result(stage, drag(stage, (x, -y), (20, 16 - y)))
    assert after.electrical.supply.at == (x, y - 16, z)
    x, y, z = stage.barn.electrical.switch.at
    after = result(stage, drag(stage, (x, -y), (x - 3, 22 - y)))
    assert after.electrical.switch.at == (x, y - 22, z)


def test_lead_is_rerouted_by_a_point_and_not_moved_as_a_whole():
    stage = make_stage(selection={"lead-1"})
    after = result(stage, drag(stage, (12, -60), (20, -70)))
    assert after.electrical.leads[0].route[1] == (20, 70, 95)
    stage = make_stage(selection={"lead-2"})
    steps = drag(stage, (7.5, -198), (20, -198))
    assert steps[-1].request is None


def test_ground_rod_is_dragged():
    stage = make_stage()
    after = result(stage, drag(stage, (-24, -200), (-30, -210)))
    assert after.electrical.rods[0].at == (-30, 210)


def test_section_cut_is_dragged_without_an_edit():
    steps = drag(make_stage(), (100, 20), (130.02, 40))
    assert [step.cut for step in steps[2:]] == pytest.approx([121, 130, 130])
    values = [note.value for note in steps[3].notes if isinstance(note, Dimension)]
    assert values == [130, 350]  # from the front and the back wall
    assert all(step.request is None for step in steps)


def test_section_cut_is_dragged_in_the_long_section():
    stage = make_stage(long_section, run="run-1")
    # hand-worked: run-1 starts at x = 24, so the cut at x = 100 is at station 76
    steps = drag(stage, (76, -6), (106.02, 40))
    assert steps[-1].cut == 130
    assert all(step.request is None for step in steps)


def test_section_cut_follows_the_pointer_along_a_run_the_other_way():
    barn = plain_barn()
    run = replace(barn.runs[0], start=barn.runs[0].end, end=barn.runs[0].start)
    barn = replace(barn, runs=(run, barn.runs[1]))
    stage = make_stage(long_section, barn=barn, run="run-1")
    # hand-worked: it starts at x = 384: the cut at x = 100 is at station 284
    assert drag(stage, (284, -6), (274, -6))[-1].cut == 110


def test_cancel_puts_the_cut_back():
    stage, pointer = make_stage(), Pointer()
    pointer.feed(Press(at=(100, 20), tolerance=2.0), stage)
    pointer.feed(Move(at=(130, 20)), stage)
    assert pointer.feed(KeyPress(key=Key.CANCEL), stage).cut == 100


def test_eye_point_and_what_it_looks_at_are_dragged():
    barn = full_barn()
    stage = make_stage(barn=barn, eye=barn.eyes[0])
    after = result(stage, drag(stage, (-60, -138), (-50, -138)))
    assert after.eyes[0].eye[0] == -50
    after = result(stage, drag(stage, (240, -138), (250, -138)))
    assert after.eyes[0].look[0] == 250


def test_band_to_the_right_takes_what_is_inside():
    steps = drag(make_stage(), (90, -150), (150, -130))
    assert steps[2].band == ((90, -150), pytest.approx((132, -136)))
    assert steps[-1].selection == {"light-1"}


def test_band_to_the_left_takes_what_it_touches():
    steps = drag(make_stage(), (300, -150), (140, -130))
    assert "light-1" in steps[-1].selection


def test_pens_move_only_when_they_are_chosen():
    steps = drag(make_stage(), (60, -120), (60, -130))
    assert steps[-1].request is None
    stage = make_stage(selection={"pen-1"})
    after = result(stage, drag(stage, (60, -120), (60, -130)))
    assert after.room.pens[0].outline[0] == (0, 10)


def test_all_that_is_chosen_moves_together():
    stage = make_stage(selection={"light-1", "run-1", "support-1-1"})
    after = result(stage, drag(stage, (100, -136), (110, -141)))
    light = next(f for f in after.fixtures if f.id == "light-1")
    assert (light.x, light.y) == (130, 143)
    assert after.runs[0].start == (34, 65)
    assert after.runs[0].supports == stage.barn.runs[0].supports


def test_several_supports_go_from_truss_to_truss_together():
    stage = make_stage(selection={"support-1-2", "support-2-2"})
    # hand-worked: both hang at x = 24 + 168 = 192; pulled by 40, drawn to 240
    after = result(stage, drag(stage, (192, -60), (232, -66)))
    for support in ("support-1-2", "support-2-2"):
        assert _support(after, support).station == 240 - 24
    free = drag(stage, (192, -60), (232, -66), Modifier.FREE)
    assert _support(result(stage, free), "support-2-2").station == 232 - 24


def test_several_things_that_cannot_go_say_why():
    stage = make_stage(selection={"support-1-2", "light-1"})
    steps = drag(stage, (192, -60), (340, -60))
    assert "support-1-3" in steps[3].problem or "station" in steps[3].problem
    assert said(steps[3]) == steps[3].problem


def test_run_goes_sideways_or_up_in_the_section_but_not_both():
    stage = make_stage(section)
    after = result(stage, drag(stage, (60, 50), (75, 53)))
    assert after.runs[0].start == (24, 75)
    assert after.runs[0].working_height == 50
    after = result(stage, drag(stage, (60, 50), (62, 58)))
    assert after.runs[0].start == (24, 60)
    assert after.runs[0].working_height == 58


def test_support_is_dragged_along_the_long_section():
    stage = make_stage(long_section, selection={"run-1"}, run="run-1")
    steps = drag(stage, (168, 50), (200, 60))
    assert _support(result(stage, steps), "support-1-2").station == 216
    assert any(note.role is Role.GUIDE for note in steps[3].notes)


def test_a_press_alone_is_forgotten_on_release():
    stage, pointer = make_stage(), Pointer()
    assert pointer.feed(Move(at=(1, 1)), stage).preview is None
    assert pointer.feed(Release(at=(1, 1)), stage).request is None


# --- keys


@pytest.mark.parametrize(
    ("key", "modifiers", "by"),
    [
        (Key.RIGHT, Modifier.NONE, (1, 0)),
        (Key.LEFT, Modifier.COARSE, (-12, 0)),
        (Key.UP, Modifier.FINE, (0, -0.0625)),
        (Key.DOWN, Modifier.NONE, (0, 1)),
    ],
)
def test_arrows_nudge_on_the_sheet(key, modifiers, by):
    stage = make_stage(selection={"light-1"})
    step = Pointer().feed(KeyPress(key=key, modifiers=modifiers), stage)
    after = step.request.edit(stage.barn).barn
    light = next(f for f in after.fixtures if f.id == "light-1")
    assert (light.x - 120, light.y - 138) == by
    assert step.request.name == "Nudge light-1"


def test_nudging_a_hoist_moves_its_winch_alone():
    stage = make_stage(selection={"hoist-1"})
    request = Pointer().feed(KeyPress(key=Key.DOWN), stage).request
    after = request.edit(stage.barn).barn.hoists[0]
    assert after.winch.at == (4, 115, 48)
    assert after.cables == stage.barn.hoists[0].cables


def test_a_light_is_let_down_by_keys_in_the_section():
    stage = make_stage(section, selection={"light-1"})
    before = next(f for f in stage.barn.fixtures if f.id == "light-1")
    request = Pointer().feed(KeyPress(key=Key.DOWN), stage).request
    after = next(f for f in request.edit(stage.barn).barn.fixtures if f.id == "light-1")
    assert after == replace(before, drop=before.drop + 1)


def test_arrows_without_a_choice_do_nothing():
    assert Pointer().feed(KeyPress(key=Key.UP), make_stage()).request is None


def test_arrows_are_ignored_during_adrag():
    stage, pointer = make_stage(), Pointer()
    pointer.feed(Press(at=(192, -60), tolerance=2.0), stage)
    pointer.feed(Move(at=(230, -60)), stage)
    step = pointer.feed(KeyPress(key=Key.UP), stage)
    assert step.request is None
    assert step.is_dragging
