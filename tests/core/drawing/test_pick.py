"""What is under a point, and what is in a rectangle; hand-worked on the specimen."""

import numpy as np
import pytest

from core.drawing.frames import PLAN
from core.drawing.pick import Touch, owners_in, picked
from core.drawing.plan import plan
from core.drawing.records import (
    Arc,
    Bounds,
    Circle,
    Dimension,
    Drawing,
    Grip,
    Group,
    Handle,
    Marker,
    MarkerKind,
    Polygon,
    Polyline,
    Role,
    Strokes,
    Text,
)
from core.drawing.shown import Shown
from tests.core.drawing.reports import CATALOGUE
from tests.specimens import plain_barn


def _plan(**changes):
    return plan(plain_barn(), None, Shown(catalogue=CATALOGUE, cut=100.0, **changes))


def _drawing(*records):
    bounds = Bounds(low=(0, 0), high=(1, 1))
    groups = (Group(key=("a", "b"), records=records),)
    return Drawing(groups=groups, bounds=bounds, frame=PLAN)


SQUARE = np.array(((0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0)))


@pytest.mark.parametrize(
    ("at", "owner"),
    [
        ((120, -138), "light-1"),
        ((250, -10), "feed-line-1"),
        ((270, -60), "run-1"),
        ((192, -216), "support-2-2"),
        ((3, -96), "supply"),
        ((468, -60), "turn-1-1"),
        ((100, 10), "section-cut"),
    ],
)
def test_the_object_on_top_is_picked_first(at, owner):
    assert picked(_plan(), at, tolerance=2.0)[0].owner == owner


def test_handles_come_before_everything():
    drawing = _plan(selection=frozenset({"run-2"}))
    hit = picked(drawing, (192, -216), tolerance=2.0)[0]
    assert isinstance(hit.record, Handle)
    assert (hit.owner, hit.record.grip) == ("support-2-2", Grip.SUPPORT)


def test_nothing_is_picked_in_the_air():
    assert not picked(_plan(), (300, -200), tolerance=2.0)


def test_pens_are_picked_at_their_partitions_alone():
    owners = {hit.owner for hit in picked(_plan(), (60, -120), tolerance=1.0)}
    assert "pen-1" in owners
    assert "pen-1" not in {
        hit.owner for hit in picked(_plan(), (60, -90), tolerance=1.0)
    }


@pytest.mark.parametrize(
    ("record", "distance"),
    [
        # hand-worked distances from (7, 2)
        (Polyline(role=Role.RUN, owner="a", points=SQUARE[:3]), 3.0),
        (Polyline(role=Role.RUN, owner="a", points=SQUARE, closed=True), 3.0),
        (Polygon(role=Role.RUN, owner="a", outline=SQUARE), 3.0),
        (Polygon(role=Role.RUN, owner="a", outline=SQUARE + 5.0), 3.0),
        (Strokes(role=Role.RUN, owner="a", segments=SQUARE[None, 1:3]), 3.0),
        (Circle(role=Role.RUN, owner="a", center=(0, 2), radius=4), 3.0),
        (
            Arc(
                role=Role.RUN, owner="a", center=(0, 2), radius=4, start=-1.5, sweep=3.0
            ),
            3.0,
        ),
        (
            Marker(role=Role.RUN, owner="a", kind=MarkerKind.HOLE, at=(3, 2), size=2.0),
            3.0,
        ),
        (Text(role=Role.LABEL, owner="a", at=(4, 2), parts=("x",)), 3.0),
        (Handle(role=Role.HANDLE, owner="a", at=(7, 5), grip=Grip.BODY), 3.0),
    ],
)
def test_distance_to_each_kind_of_record(record, distance):
    (hit,) = picked(_drawing(record), (7, 2), tolerance=3.1)
    assert hit.distance == pytest.approx(distance, abs=1e-6)
    assert not picked(_drawing(record), (7, 2), tolerance=2.9)


def test_inside_a_face_the_distance_is_zero():
    (hit,) = picked(
        _drawing(Polygon(role=Role.RUN, owner="a", outline=SQUARE)),
        (1, 1),
        tolerance=0.1,
    )
    assert hit.distance == 0


def test_background_and_what_belongs_to_nothing_are_not_picked():
    records = (
        Polygon(role=Role.FREE_SPACE, owner="a", outline=SQUARE),
        Polygon(role=Role.SWEPT, owner="a", outline=SQUARE),
        Polygon(role=Role.FIXTURE_SEEN, owner="", outline=SQUARE),
        Dimension(
            role=Role.DIMENSION, owner="a", a=(0, 0), b=(4, 0), through=(0, 0), value=4
        ),
    )
    assert not picked(_drawing(*records), (1, 1), tolerance=2.0)


def test_of_two_faces_the_smaller_is_first():
    records = (
        Polygon(role=Role.FIXTURE_SEEN, owner="large", outline=SQUARE * 5),
        Polygon(role=Role.FIXTURE_SEEN, owner="small", outline=SQUARE),
    )
    assert picked(_drawing(*records), (1, 1), tolerance=0.1)[0].owner == "small"


def test_a_band_takes_what_lies_inside():
    found = owners_in(_plan(), (90, -145), (150, -130))
    assert found == {"light-1"}


def test_a_band_that_touches_takes_what_it_touches():
    found = owners_in(_plan(), (100, -140), (110, -130), touch=Touch.TOUCHED)
    assert found == {"light-1"}
    assert not owners_in(_plan(), (100, -140), (110, -130))


def test_a_band_takes_no_room():
    found = owners_in(_plan(), (-200, -500), (800, 200))
    assert {"run-1", "run-2", "hoist-1", "supply", "turn-1-1"} <= found
    assert not found & {"room", "section-cut", "pen-1", "strip-1", "alley-1"}
