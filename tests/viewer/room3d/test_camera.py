"""The eye: what it sees where, and that no move takes it through floor or wall."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.model.room import FlatCeiling, GableCeiling, Room
from core.placement.ceiling import ceiling_height
from viewer.room3d.camera import (
    EYE_HEIGHT,
    Camera,
    beside,
    dollied,
    kept_above_floor,
    kept_inside,
    looked,
    orbited,
    panned,
    pixel_of,
    pixels_of,
    projection,
    ray_through,
    room_to_gl,
    stepped,
    view,
    walking,
    whole_room,
)

SIZE = (900.0, 600.0)
ROOM = Room(length=480.0, width=240.0, ceiling=FlatCeiling(height=96.0))
LOW_ROOM = Room(length=480.0, width=240.0, ceiling=FlatCeiling(height=60.0))
ALONG = Camera(eye=(20.0, 120.0, 66.0), look=(400.0, 120.0, 66.0))
ANGLES = st.floats(-4.0, 4.0)
STEPS = st.lists(
    st.tuples(st.floats(-90.0, 90.0), st.floats(-90.0, 90.0), ANGLES, ANGLES),
    min_size=1,
    max_size=12,
)


def test_what_is_on_the_left_is_seen_on_the_left() -> None:
    # y is small at the left wall, as one walks in by the main door along x
    left, ahead, right = (
        pixel_of(ALONG, (200.0, y, 66.0), SIZE) for y in (10.0, 120.0, 230.0)
    )
    assert left[0] < ahead[0] == 450.0 < right[0]


def test_what_is_higher_is_seen_higher() -> None:
    high, low = (pixel_of(ALONG, (200.0, 120.0, z), SIZE) for z in (90.0, 10.0))
    assert high[1] < 300.0 < low[1]


def test_what_is_behind_is_not_seen() -> None:
    assert pixel_of(ALONG, (-200.0, 120.0, 66.0), SIZE) is None


@given(
    x=st.floats(-600, 600),
    y=st.floats(-600, 600),
    z=st.floats(3, 300),
    u=st.floats(0, 480),
    v=st.floats(0, 240),
)
def test_pixels_are_those_of_the_matrices(x, y, z, u, v) -> None:
    # second method: the two matrices that OpenGL is given
    camera = Camera(eye=(x, y, z), look=(240.0, 120.0, 20.0))
    point = np.array((u, v, 50.0))
    (at,), (depth,) = pixels_of(camera, point[None], SIZE)
    if not depth > 5.0:
        return
    seen = projection(SIZE, far=5000.0) @ view(camera)
    clip = seen @ np.append(room_to_gl(point), 1.0)
    right, up = clip[:2] / clip[3]
    assert at[0] == pytest.approx((1.0 + right) * 450.0, abs=1e-6 * abs(at[0]) + 1e-4)
    assert at[1] == pytest.approx((1.0 - up) * 300.0, abs=1e-6 * abs(at[1]) + 1e-4)


def test_the_axes_of_opengl_are_right_handed() -> None:
    x, y, z = room_to_gl(np.eye(3))
    # the room's own axes are left-handed: x ahead, y right, z up
    assert np.linalg.det(np.stack((x, y, z))) == -1.0
    assert np.linalg.det(view(ALONG)[:3, :3]) == pytest.approx(1.0)


@given(px=st.floats(1, 899), py=st.floats(1, 599), far=st.floats(10, 2000))
def test_a_ray_goes_through_its_pixel(px: float, py: float, far: float) -> None:
    camera = Camera(eye=(-80.0, 300.0, 150.0), look=(240.0, 120.0, 20.0))
    ray = ray_through(camera, (px, py), SIZE)
    x, y, z = (o + far * w for o, w in zip(ray.origin, ray.way, strict=True))
    assert pixel_of(camera, (x, y, z), SIZE) == pytest.approx((px, py), abs=1e-6)


def _is_inside(camera: Camera, room: Room) -> bool:
    x, y, z = camera.eye
    inside = 0.0 < x < room.length and 0.0 < y < room.width
    return inside and 0.0 < z < room.ceiling.height


@given(steps=STEPS)
def test_no_walk_leaves_the_room(steps) -> None:
    for room in (ROOM, LOW_ROOM):
        camera = walking(ALONG, room)
        for ahead, right, turn, rise in steps:
            camera = stepped(
                looked(camera, turn=turn, rise=rise), room, ahead=ahead, right=right
            )
            assert _is_inside(camera, room)


def test_a_walker_has_eyes_at_66_inches_and_stoops_under_a_low_ceiling() -> None:
    assert kept_inside(ALONG, ROOM).eye[2] == EYE_HEIGHT == 66.0
    assert kept_inside(ALONG, LOW_ROOM).eye[2] == 56.0  # hand-worked: 60 - 4


def test_a_walker_slides_along_a_wall() -> None:
    at_wall = Camera(eye=(100.0, 12.0, 66.0), look=(200.0, -88.0, 66.0))
    moved = stepped(at_wall, ROOM, ahead=math.sqrt(200.0), right=0.0)
    # hand-worked: 45 degrees into the left wall, 10 in along it, none across
    assert moved.eye == pytest.approx((110.0, 12.0, 66.0))
    assert moved.heading == pytest.approx(at_wall.heading)


def test_walking_begins_where_the_eye_stands_or_at_the_nearest_place_inside() -> None:
    outside = Camera(eye=(-300.0, 500.0, 400.0), look=(240.0, 120.0, 0.0))
    begun = walking(outside, ROOM)
    assert begun.eye == (12.0, 228.0, 66.0)
    assert abs(begun.pitch) <= math.radians(20.0) + 1e-9


@given(steps=STEPS)
def test_no_orbit_goes_below_the_floor(steps) -> None:
    camera = whole_room(ROOM, SIZE)
    for dx, dy, turn, rise in steps:
        camera = orbited(camera, turn=turn, rise=rise)
        camera = panned(camera, (4.0 * dx, 4.0 * dy), SIZE, ROOM)
        camera = dollied(camera, 1.0 + dx / 100.0)
        assert camera.eye[2] > 0.0
        assert 0.0 <= camera.look[0] <= ROOM.length
        assert 0.0 <= camera.look[1] <= ROOM.width
        assert 0.0 <= camera.look[2] <= 96.0


def test_an_orbit_keeps_its_distance() -> None:
    camera = Camera(eye=(0.0, 0.0, 100.0), look=(100.0, 100.0, 20.0))
    turned = orbited(camera, turn=1.0, rise=0.2)
    assert turned.distance == pytest.approx(camera.distance)
    assert turned.look == camera.look


def test_an_eye_below_the_floor_is_lifted() -> None:
    assert kept_above_floor(Camera(eye=(0, 0, -50.0), look=(9, 9, 9))).eye[2] > 0.0


@pytest.mark.parametrize("size", [(900.0, 600.0), (300.0, 700.0), (1200.0, 200.0)])
@pytest.mark.parametrize(
    "room",
    [
        ROOM,
        Room(length=2400.0, width=492.0, ceiling=FlatCeiling(height=96.0)),
        Room(
            length=300.0,
            width=300.0,
            ceiling=GableCeiling(eave=96.0, ridge=130.0, ridge_y=150.0),
        ),
    ],
)
def test_the_whole_room_is_in_the_picture(room: Room, size) -> None:
    camera = whole_room(room, size)
    corners = np.array(
        [
            (x, y, z)
            for x in (0.0, room.length)
            for y in (0.0, room.width)
            for z in (0.0, ceiling_height(room, room.length / 2, room.width / 2))
        ]
    )
    at, depth = pixels_of(camera, corners, size)
    assert (depth > 0.0).all()
    assert (at >= 0.0).all()
    assert (at <= size).all()
    # and fills one side of it well
    assert ((at.max(axis=0) - at.min(axis=0)) / size).max() > 0.88


@given(x=st.floats(-9, 489), y=st.floats(-9, 249), z=st.floats(0, 96))
def test_a_place_is_looked_at_from_inside_the_room(x, y, z) -> None:
    camera = beside((x, y, z), ROOM, away=130.0)
    assert _is_inside(camera, ROOM)
    assert pixel_of(camera, (x, y, z), SIZE) == pytest.approx((450.0, 300.0), abs=1e-6)
