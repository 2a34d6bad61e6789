"""Files that leave the desk are whole, or not there at all."""

import os
from pathlib import Path

import pytest

from core.errors import NotWrittenError
from core.outputs.files import write_bytes, write_text


def test_text_is_written_in_utf_8_with_its_own_line_ends(tmp_path: Path) -> None:
    target = tmp_path / "list.csv"
    write_text(target, "3\u20444 in\r\nnext\n")
    assert target.read_bytes() == b"3\xe2\x81\x844 in\r\nnext\n"


def test_bytes_replace_what_was_there(tmp_path: Path) -> None:
    target = tmp_path / "sheet.pdf"
    write_bytes(target, b"old, and longer")
    write_bytes(target, b"new\0")
    assert target.read_bytes() == b"new\0"
    assert [path.name for path in tmp_path.iterdir()] == ["sheet.pdf"]


def test_a_full_disk_leaves_the_old_file_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "list.csv"
    write_text(target, "old")

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(NotWrittenError, match="No space left"):
        write_text(target, "new")
    assert target.read_text("utf-8") == "old"
    assert [path.name for path in tmp_path.iterdir()] == ["list.csv"]


def test_a_folder_is_no_place_for_a_file(tmp_path: Path) -> None:
    with pytest.raises(NotWrittenError, match="choose another place"):
        write_text(tmp_path, "text")
