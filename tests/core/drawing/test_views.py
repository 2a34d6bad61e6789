"""Plan, section and long section of the specimen barns; places are hand-worked."""

from dataclasses import replace
from functools import partial

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Polygon as ShapelyPolygon
from shapely import box, unary_union

from core.drawing.long_section import long_section
from core.drawing.memo import Memo
from core.drawing.plan import plan
from core.drawing.records import (
    Circle,
    Grip,
    Handle,
    Marker,
    Polygon,
    Polyline,
    Role,
    Strokes,
    Text,
)
from core.drawing.section import free_space_records, section
from core.drawing.shown import Shown
from core.errors import EditError
from core.geometry.column_bands import ColumnBands, MapFrame
from core.geometry.free_space import FreeSpaceMap
from core.geometry.shapes import Mesh
from core.model.edits import move_support
from core.model.runs import PointDirection
from core.placement.hanging import support_points
from tests.core.drawing.reports import CATALOGUE, light_contact, report_of
from tests.specimens import CEILINGS, full_barn, plain_barn

VIEWS = [plan, section, long_section]


def _shown(**changes):
    return Shown(**({"catalogue": CATALOGUE, "cut": 100.0} | changes))


def _of(drawing, role, owner=None):
    return [
        record
        for record in drawing.records
        if record.role is role and owner in (None, record.owner)
    ]


def _extent(points):
    return (*np.min(points, axis=0).tolist(), *np.max(points, axis=0).tolist())


# --- what all views have in common


@pytest.mark.parametrize("view", VIEWS)
def test_same_inputs_give_the_same_groups(view):
    barn, memo = plain_barn(), Memo()
    report, shown = report_of(barn), _shown(selection=frozenset({"run-1"}))
    first = view(barn, report, shown, memo=memo)
    again = view(barn, report, shown, memo=memo)
    assert list(first.groups) == list(again.groups)


@pytest.mark.parametrize("view", VIEWS)
def test_keys_of_groups_are_unique(view):
    barn = full_barn()
    catalogue = CATALOGUE.with_parts(barn.parts)
    drawing = view(barn, None, _shown(catalogue=catalogue))
    keys = [group.key for group in drawing.groups]
    assert len(keys) == len(set(keys))


@pytest.mark.parametrize("view", VIEWS)
def test_another_lift_leaves_the_room_and_the_fixtures_as_they_are(view):
    barn, memo = plain_barn(), Memo()
    report = report_of(barn)
    low = view(barn, report, _shown(lift=0.0), memo=memo)
    high = view(barn, report, _shown(lift=0.5), memo=memo)
    changed = {
        new.key[0]
        for old, new in zip(low.groups, high.groups, strict=True)
        if old is not new
    }
    assert changed <= {"run", "hanging", "winch-line", "leads", "handles"}
    assert "hanging" in changed


@pytest.mark.parametrize("view", VIEWS)
def test_moving_a_support_redraws_its_run_alone(view):
    barn, memo = plain_barn(), Memo()
    report = report_of(barn)
    before = view(barn, report, _shown(), memo=memo)
    moved = move_support(barn, "support-2-2", station=170.0).barn
    after = view(moved, report, _shown(), memo=memo)
    changed = {
        new.key
        for old, new in zip(before.groups, after.groups, strict=True)
        if old is not new
    }
    assert {key for _, key in changed} <= {"run-2", ""}
    assert {kind for kind, _ in changed} <= {"run", "hanging", "leads", "handles"}


@pytest.mark.parametrize("view", VIEWS)
def test_every_kind_of_fixture_is_drawn_without_a_report(view):
    barn = full_barn()
    catalogue = CATALOGUE.with_parts(barn.parts)
    drawing = view(barn, None, _shown(catalogue=catalogue, cut=0.5))
    owners = {record.owner for record in drawing.records}
    assert "run-1" in owners or view is section
    for record in drawing.records:
        if isinstance(record, Polygon):
            assert np.isfinite(record.outline).all()


@pytest.mark.parametrize("ceiling", CEILINGS.values())
@pytest.mark.parametrize("view", VIEWS)
def test_every_ceiling_is_drawn(view, ceiling):
    barn = plain_barn()
    barn = replace(barn, room=replace(barn.room, ceiling=ceiling))
    assert _of(view(barn, None, _shown()), Role.ROOM_CUT)


def test_a_scan_is_drawn_only_when_its_mesh_is_there():
    barn = full_barn()
    catalogue = CATALOGUE.with_parts(barn.parts)
    corners = np.array(((430, 10, 0), (450, 10, 0), (430, 30, 0), (430, 10, 40.0)))
    mesh = Mesh(
        vertices=corners, faces=np.array(((0, 2, 1), (0, 1, 3), (0, 3, 2), (1, 2, 3)))
    )
    without = plan(barn, None, _shown(catalogue=catalogue))
    there = _shown(catalogue=catalogue, meshes={"scan-1": mesh}, cut=440.0)
    assert not _of(without, Role.FIXTURE_SEEN, "scan-1")
    (outline,) = _of(plan(barn, None, there), Role.FIXTURE_SEEN, "scan-1")
    assert _extent(outline.outline) == (430, -30, 450, -10)
    (cut,) = _of(section(barn, None, there), Role.FIXTURE_CUT, "scan-1")
    assert isinstance(cut, Strokes)
    # hand-worked: half way along x the tetrahedron is half as wide and as high
    assert _extent(cut.segments.reshape(-1, 2)) == pytest.approx((10, 0, 20, 20))


@pytest.mark.parametrize(
    ("start", "end"),
    [
        ((384.0, 60.0), (24.0, 60.0)),
        ((240.0, 20.0), (240.0, 250.0)),
        ((24, 30), (400, 90)),
    ],
)
def test_runs_in_every_direction_are_drawn_where_they_are_placed(start, end):
    barn = plain_barn()
    supports = tuple(
        replace(support, station=station, across=2.0)
        for support, station in zip(
            barn.runs[0].supports, (10.0, 100.0, 200.0), strict=True
        )
    )
    run = replace(barn.runs[0], start=start, end=end, supports=supports)
    barn = replace(barn, runs=(run, barn.runs[1]))
    report = report_of(barn)
    # second method: the pulleys as core.placement hangs them
    hung = support_points(run, barn.room, CATALOGUE, lift=0.0)
    drawing = plan(barn, report, _shown())
    drawn = [
        r.at
        for r in _of(drawing, Role.SUPPORT)
        if isinstance(r, Marker) and r.part == "run-1"
    ]
    assert drawn == [pytest.approx((h.pulley[0], -h.pulley[1])) for h in hung]
    along = long_section(barn, report, _shown(run="run-1"))
    wheels = [r for r in _of(along, Role.HOIST) if isinstance(r, Circle)]
    stations = [w.center[0] for w in wheels if w.part == "run-1"]
    assert stations == pytest.approx([10, 100, 200])
    crossed = section(barn, report, _shown(cut=200.0))
    assert bool(_of(crossed, Role.RUN, "run-1")) == (start[0] != end[0])


# --- plan


def test_walls_are_broken_at_doors():
    walls = _of(plan(plain_barn(), None, _shown()), Role.ROOM_CUT)
    front = sorted(_extent(w.outline) for w in walls if w.part == "front")
    # hand-worked: door from y = 120 to 156 in a wall 6 in thick and 276 in long
    assert front == [(-6, -276, 0, -156), (-6, -120, 0, 0)]


def test_trusses_are_numbered_from_the_front():
    drawing = plan(plain_barn(), None, _shown())
    lines = _of(drawing, Role.TRUSS)
    assert len(lines) == 11  # hand-worked: 480 / 48 + 1
    numbers = [r.parts for r in _of(drawing, Role.LABEL) if r.part == "truss 3"]
    assert numbers == [("3",)]
    third = next(line for line in lines if line.part == "truss 3")
    assert third.points[:, 0].tolist() == [96, 96]


def test_pipe_lane_and_supports_are_where_the_run_is():
    drawing = plan(plain_barn(), None, _shown())
    (lane,) = _of(drawing, Role.LANE, "run-2")
    assert _extent(lane.outline) == (24, -276, 384, -156)  # 10 ft about y = 216
    (pipe,) = _of(drawing, Role.RUN, "run-2")
    radius = 0.922 / 2  # published: ANSI C80.3, trade size 3/4
    assert _extent(pipe.outline) == pytest.approx(
        (24 - radius, -216 - radius, 384 + radius, -216 + radius)
    )
    (support,) = _of(drawing, Role.SUPPORT, "support-2-2")[:1]
    assert isinstance(support, Marker)
    assert support.at == pytest.approx((24 + 168, -216))


def test_points_to_the_sides_are_seen_from_above():
    barn = plain_barn()
    row = replace(barn.runs[0].points, direction=PointDirection.SIDES)
    run = replace(barn.runs[0], points=row)
    drawing = plan(replace(barn, runs=(run,), hoists=()), None, _shown())
    (points,) = _of(drawing, Role.POINT)
    # hand-worked: 12, 36, ... 348 in along 360 in; tips 2 in off the axis
    assert len(points.segments) == 15
    assert _extent(points.segments[0]) == pytest.approx((36, -62, 36, -58))


def test_door_leaf_turns_about_its_jamb():
    barn = plain_barn()
    drawing = plan(barn, None, _shown())
    (leaf,) = (
        r
        for r in _of(drawing, Role.ROOM_SEEN, "door-1")
        if isinstance(r, Polyline) and r.part == "leaf"
    )
    # hand-worked: from inside the front wall, left is the larger y: jamb at y = 156
    assert leaf.points[0].tolist() == [-6, -156]
    assert leaf.points[1].tolist() == [-42, -156]


def test_handles_are_those_of_what_is_chosen():
    shown = _shown(selection=frozenset({"run-1"}))
    found = _of(plan(plain_barn(), None, shown), Role.HANDLE)
    grips = sorted((h.grip, h.owner) for h in found)
    assert grips == sorted(
        [
            (Grip.BODY, "run-1"),
            (Grip.CUT, "section-cut"),
            (Grip.END, "run-1"),
            (Grip.START, "run-1"),
            *((Grip.SUPPORT, f"support-1-{k}") for k in (1, 2, 3)),
        ]
    )


# --- section


def test_a_cut_fixture_is_thick_a_near_one_thin_and_a_far_one_faint():
    barn = plain_barn()
    roles = {
        cut: {
            record.role
            for record in section(barn, None, _shown(cut=cut)).records
            if record.owner == "light-1"
        }
        for cut in (120.0, 90.0, 20.0, 150.0)
    }
    # hand-worked: the light reaches from x = 96 to 144
    assert roles == {
        120.0: {Role.FIXTURE_CUT},
        90.0: {Role.FIXTURE_SEEN},
        20.0: {Role.FIXTURE_FAR},
        150.0: set(),
    }


def test_light_is_cut_to_size():
    (cut,) = _of(
        section(plain_barn(), None, _shown(cut=120.0)), Role.FIXTURE_CUT, "light-1"
    )
    # hand-worked: 6 in wide about y = 138, 4 in deep under a ceiling at 100
    assert _extent(cut.outline) == pytest.approx((135, 96, 141, 100))


def test_pipe_hangs_at_the_present_lift_less_its_sag():
    barn = plain_barn()
    body = report_of(barn).runs["run-1"].evidence.body
    drawing = section(barn, report_of(barn), _shown(lift=0.5, cut=204.0))
    (pipe,) = _of(drawing, Role.RUN, "run-1")
    assert isinstance(pipe, Circle)
    # hand-worked: station 180 is the middle, where the sag is 0.5 in
    assert pipe.center == pytest.approx((60, 50 + body.travel / 2 - 0.5))


def test_travel_and_both_ends_are_drawn():
    barn = plain_barn()
    body = report_of(barn, sag=None).runs["run-1"].evidence.body
    drawing = section(barn, report_of(barn, sag=None), _shown())
    (swept,) = _of(drawing, Role.SWEPT, "run-1")
    # points reach 2 in below the axis; hand-worked
    expected = (50 - 2, 50 + body.travel + body.radius)
    assert (swept.outline[:, 1].min(), swept.outline[:, 1].max()) == pytest.approx(
        expected
    )
    assert len(_of(drawing, Role.RUN_END, "run-1")) == 2


def test_blocked_heights_are_drawn_on_the_travel():
    barn = plain_barn()
    report = report_of(barn, contact=light_contact((70.0, 80.0)), sag=None)
    drawing = section(barn, report, _shown())
    (blocked,) = _of(drawing, Role.BLOCKED)
    assert blocked.owner == "run-1"
    assert _extent(blocked.outline)[1::2] == pytest.approx((70, 80))
    words = [r.parts for r in _of(drawing, Role.LABEL, "run-1") if r.part == "heights"]
    assert words == [(70.0, " to ", 80.0)]


def test_a_run_that_the_cut_misses_is_not_drawn():
    drawing = section(plain_barn(), None, _shown(cut=400.0))
    assert not _of(drawing, Role.RUN)


def test_another_cut_gives_another_section():
    barn, memo = plain_barn(), Memo()
    a = section(barn, None, _shown(cut=100.0), memo=memo)
    b = section(barn, None, _shown(cut=101.0), memo=memo)
    assert a.frame != b.frame
    assert not set(a.groups) & set(b.groups)


def _map(direction=(1.0, 0.0), origin=(24.0, 60.0)):
    frame = MapFrame(
        origin=origin, direction=direction, length=360.0, v_lo=0.0, v_hi=1.0, step=1.0
    )
    no = np.zeros(0)
    return FreeSpaceMap(
        frame=frame,
        body=None,
        columns=frame.columns(),
        bands=ColumnBands(owner=no.astype(int), column=no.astype(int), lo=no, hi=no),
        first=np.array((0, 1, 3)),
        lo=np.array((80.0, 20.0, 90.0)),
        hi=np.array((200.0, 30.0, 95.0)),
    )


def _outlines(found, x=100.0):
    records = free_space_records(found, x, ceiling=100.0)
    return [record.outline for record in records]


def test_free_space_map_lies_across_the_room_and_ends_at_the_ceiling():
    # hand-worked: columns at y = 60 and 61, each 1 in wide; 80 ... 100 meets
    # 90 ... 95 one to one, 20 ... 30 stands alone
    joined, alone = sorted(map(np.ndarray.tolist, _outlines(_map())))
    assert joined == [
        *([59.5, 80], [60.5, 80], [60.5, 90], [61.5, 90]),
        *([61.5, 95], [60.5, 95], [60.5, 100], [59.5, 100]),
    ]
    assert alone == [[60.5, 20], [61.5, 20], [61.5, 30], [60.5, 30]]


def test_free_space_map_of_a_run_towards_the_front_is_mirrored():
    # hand-worked: across is to smaller y for a run along -x
    alone, _ = sorted(map(np.ndarray.tolist, _outlines(_map((-1.0, 0.0)), 0.0)))
    assert sorted(alone) == [[58.5, 20], [58.5, 30], [59.5, 20], [59.5, 30]]


@given(
    st.lists(
        st.lists(st.integers(0, 19), min_size=0, max_size=6, unique=True),
        min_size=2,
        max_size=12,
    )
)
def test_free_space_is_covered_once_whatever_meets_what(columns):
    # second method: shapely's union of one box a piece
    pairs = [sorted(each)[: len(each) // 2 * 2] for each in columns]
    lo = np.array([v for each in pairs for v in each[0::2]], dtype=float)
    hi = np.array([v for each in pairs for v in each[1::2]], dtype=float)
    frame = replace(_map().frame, v_hi=len(columns) - 1.0)
    first = np.cumsum([0, *(len(each) // 2 for each in pairs)])
    found = replace(
        _map(), frame=frame, columns=frame.columns(), first=first, lo=lo, hi=hi
    )
    place = np.repeat(60.0 + np.arange(len(columns)), np.diff(first))
    boxes = unary_union(
        [box(y - 0.5, a, y + 0.5, b) for y, a, b in zip(place, lo, hi, strict=True)]
    )
    drawn = [ShapelyPolygon(outline) for outline in _outlines(found)]
    assert all(each.is_valid for each in drawn)
    assert sum(each.area for each in drawn) == pytest.approx(boxes.area)
    assert unary_union(drawn).symmetric_difference(boxes).area == pytest.approx(0)


# --- long section


def test_long_section_goes_from_wall_to_wall():
    drawing = long_section(plain_barn(), None, _shown(run="run-1"))
    (floor,) = (r for r in _of(drawing, Role.ROOM_CUT) if r.part == "floor")
    # hand-worked: station 0 is at x = 24; walls 6 in thick
    assert _extent(floor.outline) == (-30, -6, 462, 0)


def test_trusses_are_crossed_at_their_stations():
    drawing = long_section(plain_barn(), None, _shown(run="run-1"))
    (third,) = (r for r in _of(drawing, Role.TRUSS) if r.part == "truss 3")
    # hand-worked: x = 96 is station 72; 1-1/2 x 3-1/2 above 1/2 in of sheet
    assert _extent(third.points) == (71.25, 100.5, 72.75, 104)


def test_pipe_sags_between_its_supports():
    barn = plain_barn()
    drawing = long_section(barn, report_of(barn), _shown(run="run-1"))
    (pipe,) = (r for r in _of(drawing, Role.RUN) if r.part == "pipe")
    radius = report_of(barn).runs["run-1"].evidence.body.radius
    assert pipe.outline[:, 1].min() == pytest.approx(50 - 0.5 - radius)
    assert pipe.outline[:, 1].max() == pytest.approx(50 + radius)


def test_what_blocks_is_drawn_by_stations_and_heights():
    barn = plain_barn()
    report = report_of(barn, contact=light_contact((40.0, 80.0)))
    (blocked,) = _of(long_section(barn, report, _shown(run="run-1")), Role.BLOCKED)
    assert blocked.part == "light-1"
    # clipped to the travel, which starts at 50
    assert _extent(blocked.outline) == (84, 50, 108, 80)


def test_ropes_rise_from_the_pipe_to_their_pulleys():
    drawing = long_section(plain_barn(), None, _shown(run="run-1", lift=0.25))
    (rope,) = (r for r in _of(drawing, Role.ROPE) if r.part == "rope support-1-2")
    assert rope.points[0, 0] == pytest.approx(168, abs=1)
    (pulley,) = (
        r for r in _of(drawing, Role.HOIST, "support-1-2") if isinstance(r, Circle)
    )
    barn = plain_barn()
    hung = support_points(barn.runs[0], barn.room, CATALOGUE, lift=0.0)
    assert pulley.center == pytest.approx((168, hung[1].pulley[2]))


def test_run_label_tells_its_height():
    drawing = long_section(plain_barn(), None, _shown(run="run-1"))
    (label,) = (r for r in _of(drawing, Role.LABEL, "run-1") if isinstance(r, Text))
    assert label.parts == ("run 1", " at ", 50.0)


def test_supports_can_be_taken_hold_of_in_the_long_section():
    shown = _shown(run="run-1", cut=None, selection=frozenset({"support-1-2"}))
    (handle,) = _of(long_section(plain_barn(), None, shown), Role.HANDLE)
    assert isinstance(handle, Handle)
    assert handle.at == pytest.approx((168, 50))


def test_a_run_that_is_not_there_is_refused():
    view = partial(long_section, plain_barn(), None, _shown(run="run-9"))
    with pytest.raises(EditError, match='run "run-9"'):
        view()
