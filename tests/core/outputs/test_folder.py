"""All files or none: cancel, full disk, a place that cannot be written."""

import errno
from collections.abc import Callable
from pathlib import Path

import pytest

from core.errors import NotWrittenError
from core.outputs import folder
from core.outputs.folder import (
    CancelledError,
    Output,
    Progress,
    Silent,
    made_set,
    write_set,
)


def good(name: str, content: bytes = b"new") -> Output:
    return Output(name=name, make=lambda _: content)


class Watched:
    """Gives up after so many reports."""

    def __init__(self, after: int = 10**9) -> None:
        self.said: list[tuple[float, str]] = []
        self.after = after

    @property
    def is_cancelled(self) -> bool:
        return len(self.said) >= self.after

    @property
    def report(self) -> Callable[[float, str], None]:
        return lambda share, words: self.said.append((share, words))


def listing(path: Path) -> list[str]:
    return sorted(str(p.relative_to(path)) for p in path.rglob("*"))


def test_all_files_are_written_and_nothing_else(tmp_path: Path) -> None:
    written = write_set(tmp_path / "out", (good("a"), good("b/c")), Silent())
    assert listing(tmp_path) == ["out", "out/a", "out/b", "out/b/c"]
    assert [path.read_bytes() for path in written] == [b"new", b"new"]


def test_other_files_of_the_folder_stay(tmp_path: Path) -> None:
    (tmp_path / "out").mkdir()
    for name in ("a", "mine"):
        (tmp_path / "out" / name).write_bytes(b"old")
    write_set(tmp_path / "out", (good("a"),), Silent())
    assert (tmp_path / "out/a").read_bytes() == b"new"
    assert (tmp_path / "out/mine").read_bytes() == b"old"
    assert listing(tmp_path) == ["out", "out/a", "out/mine"]


def test_progress_rises_to_one(tmp_path: Path) -> None:
    watched = Watched()

    def slow(progress: Progress) -> bytes:
        progress.report(0.5, "half")
        return b""

    outputs = (Output(name="a", make=slow), good("b"))
    write_set(tmp_path / "out", outputs, watched)
    shares = [share for share, _ in watched.said]
    assert shares == sorted(shares)
    assert shares[-1] == 1.0
    assert (0.25, "half") in watched.said  # hand-worked: half of one of two files


@pytest.mark.parametrize("after", [1, 2, 3])
def test_cancel_leaves_nothing(tmp_path: Path, after: int) -> None:
    outputs = (good("a"), good("b"), good("c"))
    with pytest.raises(CancelledError, match="nothing was written"):
        write_set(tmp_path / "deep" / "out", outputs, Watched(after))
    assert listing(tmp_path) == []


@pytest.mark.parametrize("error", [KeyboardInterrupt, ValueError])
def test_any_end_of_the_work_leaves_nothing(
    tmp_path: Path, error: type[BaseException]
) -> None:
    def broken(_: Progress) -> bytes:
        raise error

    outputs = (good("a"), Output(name="b", make=broken))
    with pytest.raises(error):
        write_set(tmp_path / "out", outputs, Silent())
    assert listing(tmp_path) == []


def test_a_full_disk_leaves_nothing_and_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(folder.os, "fsync", full)
    with pytest.raises(NotWrittenError, match=r"out.*No space left"):
        write_set(tmp_path / "out", (good("a"),), Silent())
    assert listing(tmp_path) == []


def test_when_one_file_cannot_be_put_the_old_ones_come_back(tmp_path: Path) -> None:
    (tmp_path / "out").mkdir()
    (tmp_path / "out/a").write_bytes(b"old")
    (tmp_path / "out/b").write_bytes(b"a file where a folder should be")
    with pytest.raises(NotWrittenError):
        write_set(tmp_path / "out", (good("a"), good("b/c")), Silent())
    assert (tmp_path / "out/a").read_bytes() == b"old"
    assert listing(tmp_path) == ["out", "out/a", "out/b"]


def test_a_place_that_cannot_be_written_is_refused_in_words(tmp_path: Path) -> None:
    (tmp_path / "file").write_bytes(b"")
    with pytest.raises(NotWrittenError, match="choose another place"):
        write_set(tmp_path / "file" / "out", (good("a"),), Silent())
    assert listing(tmp_path) == ["file"]


def test_a_read_only_folder_is_refused_in_words(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(*_: object, **__: object) -> None:
        raise PermissionError(errno.EACCES, "Permission denied")

    monkeypatch.setattr(Path, "mkdir", refused)
    with pytest.raises(NotWrittenError, match="Permission denied"):
        write_set(tmp_path / "out", (good("a"),), Silent())
    assert listing(tmp_path) == []


def test_a_set_that_is_only_made_is_what_would_be_written(tmp_path: Path) -> None:
    outputs = (good("a", b"1"), good("b/c", b"2"))
    made = made_set(iter(outputs), Silent())
    write_set(tmp_path / "out", outputs, Silent())
    assert made == {
        name: (tmp_path / "out" / name).read_bytes() for name in ("a", "b/c")
    }


def test_making_a_set_can_be_given_up() -> None:
    with pytest.raises(CancelledError):
        made_set((good("a"), good("b"), good("c")), Watched(2))
