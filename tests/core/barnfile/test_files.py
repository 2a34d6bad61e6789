import json
import os
import stat
from dataclasses import replace
from math import nan
from pathlib import Path

import pytest

from core.barnfile import (
    barn_text,
    digest,
    load_barn,
    open_barn,
    read_barn,
    read_text,
    save_barn,
)
from core.errors import BarnFileError, NotWrittenError
from core.model.job import Job
from core.quantities import LengthUnit
from tests.specimens import full_barn, plain_barn


def _names(folder: Path) -> set[str]:
    return {path.name for path in folder.iterdir()}


@pytest.mark.parametrize("unit", LengthUnit)
def test_a_saved_barn_loads_as_it_was(tmp_path: Path, unit: LengthUnit) -> None:
    save_barn(full_barn(), tmp_path / "barn.json", unit=unit)

    assert load_barn(tmp_path / "barn.json") == full_barn()
    assert _names(tmp_path) == {"barn.json"}


@pytest.mark.parametrize("unit", LengthUnit)
def test_saving_again_writes_the_same_bytes(tmp_path: Path, unit: LengthUnit) -> None:
    path = tmp_path / "barn.json"
    save_barn(plain_barn(), path, unit=unit, schema="../barn.schema.json")
    before = path.read_bytes()

    file = open_barn(path)
    save_barn(file.barn, path, unit=file.unit, schema=file.schema)

    assert path.read_bytes() == before
    assert before.endswith(b"\n")
    assert b"\r" not in before


def test_defaults_are_left_out_and_keys_stand_in_the_order_of_the_model() -> None:
    lines = barn_text(plain_barn()).splitlines()

    keys = [line.split('"')[1] for line in lines if line.startswith('  "')]
    assert keys == [
        *("$schema", "liftlane", "unit", "name", "room"),
        *("fixtures", "runs", "hoists", "electrical", "job"),
    ]
    assert not [line for line in lines if "working_height" in line]


def test_lengths_are_read_as_numbers_of_the_unit_and_as_text() -> None:
    # hand-worked: 480 in = 40 ft = 12.192 m; 87.5 in = 7 ft 3-1/2 in = 2.2225 m
    text = barn_text(plain_barn()).replace('"unit": "in"', '"unit": "ft"')
    text = text.replace('"length": 480,\n    "width"', '"length": 40,\n    "width"')
    text = text.replace('"height": 100}', '"height": "7 ft 3-1/2 in"}')

    room = read_barn(text, where="feet").room

    assert room.length == 480.0
    assert room.ceiling.height == 87.5
    assert room.width == 276.0 * 12


@pytest.mark.parametrize(
    "text",
    ["7 ft 3-1/2 in", "7'3.5\\\"", "87.5 in", "2.2225 m", "2222.5 mm", "222.25 cm"],
)
def test_one_height_in_six_spellings(text: str) -> None:
    # hand-worked: 87.5 in x 25.4 = 2222.5 mm
    written = barn_text(plain_barn()).replace('"height": 100}', f'"height": "{text}"}}')

    assert read_barn(written, where="text").room.ceiling.height == 87.5


def test_angles_are_degrees_voltage_takes_kilovolts_and_air_feet_a_minute() -> None:
    barn = read_barn(
        barn_text(full_barn())
        .replace('"voltage": 25000', '"voltage": "25 kV"')
        .replace('"opening": 60', '"opening": "1.5 rad"'),
        where="text",
    )

    assert barn.electrical.voltage == 25_000.0
    assert barn.fixtures[0].opening == 1.5
    # hand-worked: 100 in/s x 60 / 12 = 500 ft/min
    assert '"speed": 500' in barn_text(full_barn())
    assert '"heading": 90' in barn_text(full_barn())


def test_a_file_with_a_byte_order_mark_or_windows_line_ends_is_read(
    tmp_path: Path,
) -> None:
    path = tmp_path / "barn.json"
    path.write_bytes(b"\xef\xbb\xbf" + barn_text(plain_barn()).encode())
    assert load_barn(path) == plain_barn()

    path.write_bytes(barn_text(plain_barn()).replace("\n", "\r\n").encode())
    assert load_barn(path) == plain_barn()


def test_names_in_other_scripts_stay_readable() -> None:
    job = Job(title="Stall Süd, 猪舎")
    barn = read_barn(barn_text(plain_barn()), where="plain")
    text = barn_text(type(barn)(name="Süd", room=barn.room, job=job))

    assert "Stall Süd, 猪舎" in text
    assert read_barn(text, where="names").job == job


def test_the_order_of_supports_is_kept() -> None:
    text = barn_text(plain_barn())
    swapped = (
        text.replace('"station": 24', '"station": "x"')
        .replace('"station": 312', '"station": 24')
        .replace('"station": "x"', '"station": 312')
    )

    run = read_barn(swapped, where="swapped").runs[0]

    assert [support.station for support in run.supports] == [312.0, 168.0, 24.0]


def test_the_unit_and_the_schema_of_a_file_are_kept() -> None:
    text = barn_text(plain_barn(), unit=LengthUnit.MILLIMETRE, schema="up/schema.json")

    file = read_text(text, where="file")

    assert (file.unit, file.schema) == (LengthUnit.MILLIMETRE, "up/schema.json")
    assert file.text == text


def test_the_digest_tells_barns_apart() -> None:
    assert digest(plain_barn()) != digest(full_barn())
    assert len(digest(plain_barn())) == 64


@pytest.mark.parametrize("name", ["missing/barn.json", "bad\0name.json"])
def test_what_cannot_be_read_is_a_fault(tmp_path: Path, name: str) -> None:
    with pytest.raises(BarnFileError, match="found no"):
        load_barn(tmp_path / name)


def test_a_folder_that_is_not_there_is_not_written_to(tmp_path: Path) -> None:
    with pytest.raises(NotWrittenError, match=r"could not be written .*choose another"):
        save_barn(plain_barn(), tmp_path / "nowhere" / "barn.json")

    assert _names(tmp_path) == set()


def test_a_folder_in_the_way_stays_and_leaves_nothing_behind(tmp_path: Path) -> None:
    (tmp_path / "barn.json").mkdir()

    with pytest.raises(NotWrittenError):
        save_barn(plain_barn(), tmp_path / "barn.json")

    assert _names(tmp_path) == {"barn.json"}


def test_a_barn_with_a_value_that_is_no_number_is_not_written(tmp_path: Path) -> None:
    plain = plain_barn()
    broken = replace(plain, room=replace(plain.room, wall_thickness=nan))

    with pytest.raises(NotWrittenError, match="holds nan"):
        save_barn(broken, tmp_path / "barn.json")

    assert _names(tmp_path) == set()


def test_a_name_that_no_file_can_have_is_refused(tmp_path: Path) -> None:
    with pytest.raises(NotWrittenError):
        save_barn(plain_barn(), tmp_path / "bad\0name.json")


@pytest.mark.skipif(os.name == "nt", reason="rights of POSIX")
def test_a_read_only_file_stays(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "barn.json"
    save_barn(plain_barn(), path)
    # access is asked for, not the mode: the superuser may write anything
    monkeypatch.setattr(os, "access", lambda *_: False)

    with pytest.raises(NotWrittenError, match="read-only"):
        save_barn(full_barn(), path)

    assert load_barn(path) == plain_barn()


def test_faults_beyond_what_anyone_reads_are_counted() -> None:
    wrong = json.loads(barn_text(plain_barn()))
    wrong["fixtures"] = [{"kind": "lihgt"}] * 2000
    wrong["electrical"]["bonds"] = [{"subject": f"thing-{k}"} for k in range(2000)]

    with pytest.raises(BarnFileError) as caught:
        read_barn(json.dumps(wrong), where="wrong")

    # at least one fault for each of 4000 things, the first 500 of them in full
    assert len(caught.value.faults) == 501
    assert caught.value.faults[-1].found.endswith(" more faults")


@pytest.mark.parametrize("step", ["fsync", "replace"])
def test_a_failure_while_writing_leaves_the_old_file_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    path = tmp_path / "barn.json"
    save_barn(plain_barn(), path)

    def full_disk(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, step, full_disk)
    with pytest.raises(NotWrittenError, match="No space left on device"):
        save_barn(full_barn(), path)
    monkeypatch.undo()

    assert load_barn(path) == plain_barn()
    assert _names(tmp_path) == {"barn.json"}


def test_an_interrupt_while_writing_leaves_nothing_behind(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def interrupted(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", interrupted)
    with pytest.raises(KeyboardInterrupt):
        save_barn(full_barn(), tmp_path / "barn.json")

    assert _names(tmp_path) == set()


@pytest.mark.skipif(os.name == "nt", reason="rights of POSIX")
def test_a_saved_file_keeps_its_rights_and_a_link_stays_a_link(tmp_path: Path) -> None:
    path, link = tmp_path / "barn.json", tmp_path / "link.json"
    save_barn(plain_barn(), path)
    path.chmod(0o640)
    link.symlink_to(path)

    save_barn(full_barn(), link)

    assert link.is_symlink()
    assert stat.S_IMODE(path.stat().st_mode) == 0o640
    assert load_barn(path) == full_barn()
