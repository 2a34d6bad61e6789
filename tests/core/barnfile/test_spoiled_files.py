"""Every spoiled file is refused in words, with its place, and nothing is written."""

import json
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.barnfile import barn_text, open_barn, read_barn
from core.errors import BarnFileError
from core.model.barn import Barn
from tests.specimens import full_barn
from tests.spoiled_files import SPOILED, SpoiledFile, write_good_files


def _contents(folder: Path) -> dict[str, bytes]:
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file() and path.stat().st_size < 1e6
    }


@pytest.mark.parametrize("spoiled", SPOILED.values(), ids=SPOILED.keys())
def test_a_spoiled_file_is_refused_with_place_and_words(
    spoiled: SpoiledFile, tmp_path: Path
) -> None:
    barn_file = write_good_files(tmp_path)
    spoiled.spoil(barn_file)
    before = _contents(tmp_path)

    with pytest.raises(BarnFileError) as caught:
        open_barn(barn_file)

    assert str(caught.value).startswith(f"{barn_file}: ")
    assert any(
        fault.path.startswith(spoiled.path) and spoiled.words in str(fault)
        for fault in caught.value.faults
    ), str(caught.value)
    assert spoiled.nearest in {None, *(fault.nearest for fault in caught.value.faults)}
    assert _contents(tmp_path) == before


def test_there_are_sixty_spoiled_files_and_more() -> None:
    assert len(SPOILED) >= 60


def test_the_file_that_is_spoiled_is_good(tmp_path: Path) -> None:
    assert open_barn(write_good_files(tmp_path)).barn == full_barn()


def test_every_fault_of_a_file_is_reported_at_once() -> None:
    data = json.loads(barn_text(full_barn()))
    data["room"]["length"] = "long"
    data["runs"][0]["supports"][1]["station"] = -1
    data["runs"][1]["supports"][2]["station"] = 999
    data["runs"][1]["tube"] = "emt-34"
    data["fixtures"][2]["kind"] = "feedline"
    data["fixtures"][2]["diameter"] = 0
    data["fixtures"][3]["id"] = "run-1"
    data["hoists"][0]["color"] = "red"

    with pytest.raises(BarnFileError) as caught:
        read_barn(json.dumps(data), where="barn.json")

    assert {fault.path for fault in caught.value.faults} == {
        "room.length",
        "runs[0].supports[1].station",
        "runs[1].supports[2].station",
        "runs[1].tube",
        "fixtures[2].kind",
        "fixtures[2].diameter",
        "runs[0].id",
        "hoists[0].color",
    }
    assert str(caught.value).startswith("barn.json: 8 faults\n")


def test_a_broken_object_does_not_make_links_to_it_dangle() -> None:
    data = json.loads(barn_text(full_barn()))
    data["runs"][0]["stow_drop"] = -1
    data["parts"][0]["wall"] = -1

    with pytest.raises(BarnFileError) as caught:
        read_barn(json.dumps(data), where="barn.json")

    assert [fault.path for fault in caught.value.faults] == [
        "runs[0].stow_drop",
        "parts[0].wall",
    ]


GOOD = json.loads(barn_text(full_barn()))


def _places(value: object, path: tuple = ()) -> list[tuple]:
    items = (
        value.items()
        if isinstance(value, dict)
        else enumerate(value)
        if isinstance(value, list)
        else ()
    )
    return [
        place
        for key, item in items
        for place in [(*path, key), *_places(item, (*path, key))]
    ]


PLACES = _places(GOOD)
JSON_VALUES = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=12)
    | st.sampled_from(["run-1", "emt-3-4", "7 ft", "in", "flat", "1e400 ft", "1/0 in"]),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(
            st.sampled_from(["id", "kind", "x", "height"]), inner, max_size=3
        )
    ),
    max_leaves=6,
)


@pytest.mark.slow
@settings(max_examples=400, deadline=None)
@given(
    changes=st.lists(
        st.tuples(st.sampled_from(PLACES), st.none() | st.tuples(JSON_VALUES)),
        min_size=1,
        max_size=3,
    )
)
def test_whatever_is_changed_a_file_is_read_or_refused(changes: list) -> None:
    data = json.loads(json.dumps(GOOD))
    for place, change in changes:
        _change(data, place, change)
    barn = _read_or_refuse(json.dumps(data))

    assert barn is None or read_barn(barn_text(barn), where="again") == barn


def _read_or_refuse(text: str) -> Barn | None:
    try:
        return read_barn(text, where="random")
    except BarnFileError:
        return None


def _change(data: object, place: tuple, change: tuple | None) -> None:
    *way, last = place
    for key in way:
        if not isinstance(data, dict | list) or _missing(data, key):
            return
        data = data[key]
    if not isinstance(data, dict | list) or _missing(data, last):
        return
    if change is None:
        del data[last]
    else:
        data[last] = change[0]


def _missing(data: dict | list, key: object) -> bool:
    if isinstance(data, dict):
        return key not in data
    return not isinstance(key, int) or key >= len(data)


@pytest.mark.slow
@settings(max_examples=200, deadline=None)
@given(cut=st.integers(0, 400), text=st.text(max_size=20), at=st.integers(0, 400))
def test_whatever_text_stands_in_a_file_it_is_read_or_refused(
    cut: int, text: str, at: int
) -> None:
    good = barn_text(full_barn())
    spoiled = good[:at] + text + good[at + cut :]
    barn = _read_or_refuse(spoiled)

    assert barn is None or read_barn(barn_text(barn), where="again") == barn
