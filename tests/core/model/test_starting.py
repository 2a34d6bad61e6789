import pytest

from core.barnfile import barn_text, read_barn
from core.errors import EditError
from core.model.starting import new_barn


def test_a_new_barn_has_strips_pens_alley_and_main_door() -> None:
    # hand-worked: (276 - 36) / 2 = 120 in each side, one strip; 480 / 120 = 4 pens
    room = new_barn(480.0, 276.0, 100.0).room

    assert [(strip.y, strip.width) for strip in room.strips] == [
        (0.0, 120.0),
        (156.0, 120.0),
    ]
    assert [(a.y, a.width, a.length) for a in room.alleys] == [(120.0, 36.0, 480.0)]
    assert [pen.strip for pen in room.pens] == ["strip-1"] * 4 + ["strip-2"] * 4
    assert [(door.offset, door.main) for door in room.doors] == [(120.0, True)]


def test_a_wide_barn_has_more_strips() -> None:
    # hand-worked: (516 - 36) / 2 = 240 in each side, two strips of 10 ft
    room = new_barn(600.0, 516.0, 100.0).room

    assert [strip.y for strip in room.strips] == [0.0, 120.0, 276.0, 396.0]


@pytest.mark.parametrize("size", [(100.0, 60.0), (10.0, 40.0), (2400.0, 1200.0)])
def test_a_new_barn_of_any_size_can_be_saved(size: tuple[float, float]) -> None:
    barn = new_barn(*size, 96.0, name="any")

    assert read_barn(barn_text(barn), where="new") == barn


@pytest.mark.parametrize(
    "numbers", [(-1.0, 276.0, 100.0), (480.0, 30.0, 100.0), (480.0, 276.0, 0.0)]
)
def test_impossible_numbers_are_refused(numbers: tuple[float, float, float]) -> None:
    with pytest.raises(EditError, match="expected more than 0 in"):
        new_barn(*numbers)
