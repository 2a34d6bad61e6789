"""Eye points: the file's own, and those found."""

from dataclasses import replace

import pytest

from core.errors import ValueRangeError
from core.model.fixtures import PlainBox
from core.model.job import EyePoint
from core.picture.eyes import clear_eye, eye_named, eye_points
from core.picture.subject import subject_of
from core.placement.ceiling import ceiling_height
from tests.core.picture.scenes import scene_barn
from tests.specimens import CEILINGS


@pytest.mark.parametrize("ceiling", CEILINGS)
def test_found_eyes_stand_in_the_room_at_the_height_of_people(ceiling) -> None:
    barn = scene_barn()
    barn = replace(barn, room=replace(barn.room, ceiling=CEILINGS[ceiling]))
    found = eye_points(barn)
    assert [eye.id for eye in found] == ["main-door", "mid-alley", "above-the-pens"]
    for eye in found:
        x, y, z = eye.eye
        assert 0 < x < barn.room.length
        assert 0 < y < barn.room.width
        assert 48 < z < ceiling_height(barn.room, x, y)


def test_the_main_door_is_looked_in_from() -> None:
    # hand-worked: the main door of the specimen is at y 120 to 156 in the front wall
    eye = eye_named(scene_barn(), "main-door")
    assert eye.eye[:2] == (6.0, 138.0)
    assert eye.look[0] > eye.eye[0]


def test_an_eye_of_the_file_comes_first_and_wins() -> None:
    own = EyePoint(id="mid-alley", eye=(10.0, 20.0, 60.0), look=(99.0, 20.0, 60.0))
    barn = replace(scene_barn(), eyes=(own,))
    assert eye_points(barn)[0] is own
    assert eye_named(barn, "mid-alley") is own


def test_an_unknown_eye_is_refused_with_those_there_are() -> None:
    with pytest.raises(ValueRangeError, match="main-door, mid-alley"):
        eye_named(scene_barn(), "roof")


def test_a_bare_room_has_eyes_too() -> None:
    barn = scene_barn()
    bare = replace(barn, room=replace(barn.room, doors=(), alleys=()))
    assert len(eye_points(bare)) == 3


def test_an_eye_above_the_pens_moves_from_behind_a_duct() -> None:
    barn = scene_barn()
    first = eye_named(barn, "above-the-pens")
    open_view = clear_eye(subject_of(barn, meshes={}), first)
    x, y, z = open_view.eye
    ahead = 20.0 if open_view.look[0] > x else -20.0
    duct = PlainBox(
        id="duct",
        x=x + ahead,
        y=y,
        z=z - 40.0,
        length=6.0,
        width=60.0,
        height=50.0,
    )
    blocked = replace(barn, fixtures=(*barn.fixtures, duct))
    moved = clear_eye(subject_of(blocked, meshes={}), first)
    assert moved.eye != open_view.eye
    assert moved.id == "above-the-pens"


def test_an_eye_of_the_file_is_never_moved() -> None:
    own = EyePoint(id="above-the-pens", eye=(9.0, 9.0, 60.0), look=(99.0, 9.0, 9.0))
    barn = replace(scene_barn(), eyes=(own,))
    assert clear_eye(subject_of(barn, meshes={}), own) is own
