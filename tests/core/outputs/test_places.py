"""Places in words: station, height, truss. The specimens have trusses 4 ft apart."""

from dataclasses import replace

import pytest

from core.model.room import Trusses
from core.outputs.places import place_words, truss_words
from core.quantities import LengthStyle
from core.rules.finding import Finding, Outcome
from tests.specimens import plain_barn, plain_room

FEET = LengthStyle.FEET


def _finding(**fields: object) -> Finding:
    return Finding(
        **{
            "rule": "a.rule",
            "code": "a-code",
            "outcome": Outcome.STOP,
            "subject": "run-1",
            "message": "",
            **fields,
        }
    )


def test_a_place_on_a_run_is_its_station_height_and_trusses() -> None:
    # hand-worked: the run starts at x = 24; 110 in on is x = 134, between the trusses
    # at 96 and 144, the third and the fourth
    words = place_words(_finding(station=110.0, height=50.5), plain_barn(), style=FEET)
    assert words == (
        "9 ft 2 in from the front end of run-1, height 4 ft 2-1/2 in, "
        "between trusses 3 and 4"
    )


def test_a_support_that_is_named_is_a_place() -> None:
    # hand-worked: support-1-2 is at station 168, x = 192, the fifth truss
    words = place_words(_finding(other="support-1-2"), plain_barn(), style=FEET)
    assert words == "14 ft 0 in from the front end of run-1, at truss 5"


def test_a_point_in_the_room_is_told_from_its_walls() -> None:
    found = _finding(subject="hoist-1", points=((48.0, 114.0, 36.0),))
    words = place_words(found, plain_barn(), style=FEET)
    assert words == (
        "4 ft 0 in from the front wall, 9 ft 6 in from the left wall, "
        "height 3 ft 0 in, at truss 2"
    )


def test_millimetres_are_written_on_request() -> None:
    words = place_words(
        _finding(station=100.0), plain_barn(), style=LengthStyle.MILLIMETRES
    )
    assert words.startswith("2540 mm from the front end of run-1")


def test_a_finding_without_a_place_has_no_words() -> None:
    assert place_words(_finding(subject="room"), plain_barn(), style=FEET) == ""


@pytest.mark.parametrize(
    ("x", "words"),
    [
        (20.0, "before truss 1"),
        (33.0, "at truss 1"),
        (34.0, "between trusses 1 and 2"),
        (126.0, "at truss 2"),
        (200.0, "beyond truss 2"),
    ],
)
def test_trusses_are_counted_from_the_front(x: float, words: str) -> None:
    room = replace(plain_room(), trusses=Trusses(stations=(30.0, 126.0)))
    assert truss_words(room, x) == [words]


def test_a_room_without_trusses_names_none() -> None:
    room = replace(plain_room(), trusses=Trusses(first=1000.0))
    assert truss_words(room, 100.0) == []
