"""Eye points: the file's own, and those found."""

from dataclasses import replace

import pytest

from core.errors import ValueRangeError
from core.model.job import EyePoint
from core.picture.eyes import eye_named, eye_points
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
