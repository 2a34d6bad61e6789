"""The mark of the section in the long section, hand-worked on the specimen."""

import pytest

from core.drawing.cut_marks import cut_mark
from core.drawing.frames import long_frame
from core.drawing.markers import marker_lines
from core.drawing.records import CUT, Handle, Marker, Polyline
from tests.specimens import plain_barn

ROOM = plain_barn().room


def _handle(records):
    (found,) = (r for r in records if isinstance(r, Handle))
    return found


def test_the_handle_is_below_the_floor_at_the_cut():
    records = list(cut_mark(100.0, ROOM, long_frame((24.0, 60.0), (384.0, 60.0))))
    assert _handle(records).at == (76.0, -ROOM.wall_thickness)
    assert {record.owner for record in records} == {CUT}
    (line,) = (r for r in records if isinstance(r, Polyline))
    assert line.points[:, 0].tolist() == [76.0, 76.0]
    assert line.points[0, 1] < -ROOM.wall_thickness


def test_arrows_look_along_the_room_whichever_way_the_run_goes():
    for ends, sign in (
        (((24.0, 60.0), (384.0, 60.0)), 1),
        (((384.0, 9.0), (24.0, 9.0)), -1),
    ):
        frame = long_frame(*ends)
        marks = [m for m in cut_mark(100.0, ROOM, frame) if isinstance(m, Marker)]
        arrows = [mark for mark in marks if "arrow" in mark.kind]
        assert len(arrows) == 2
        for arrow in arrows:
            assert _points_to(arrow) == pytest.approx(sign)


def _points_to(marker):
    """Which way an arrow points along u: its tip against the mark's line."""
    shaft = marker_lines(marker, mm=0.01)[0]
    return (shaft[1, 0] - shaft[0, 0]) / marker.size


def test_a_run_across_the_room_has_no_mark():
    assert not list(cut_mark(100.0, ROOM, long_frame((60.0, 9.0), (60.0, 200.0))))
    assert not list(cut_mark(None, ROOM, long_frame((0.0, 9.0), (60.0, 9.0))))
