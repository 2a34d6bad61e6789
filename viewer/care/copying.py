"""Copying the files of scans to where a barn is saved: whole files or none."""

import shutil
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from core.errors import NotWrittenError
from core.model.barn import Barn
from core.model.fixtures import Scan
from viewer.jobs import Ticket

__all__ = [
    "LARGE",
    "Copy",
    "clear_parts",
    "copies_for",
    "copy_files",
    "is_long",
    "name_parts",
    "write_parts",
]

LARGE = 30_000_000  # copied in a third of a second on a slow disk [bytes]
_CHUNK = 1 << 20  # between two looks at the progress [bytes]


@dataclass(frozen=True, slots=True, kw_only=True)
class Copy:
    """A file and where it is to be copied to; `part` is there until it is whole."""

    source: Path
    target: Path
    size: int

    @property
    def part(self) -> Path:
        """The unfinished copy."""
        return self.target.with_name(f".{self.target.name}.part")


def copies_for(barn: Barn, old: Path, new: Path) -> tuple[Copy, ...]:
    """Return the files of scans that another folder has not yet.

    Parameters
    ----------
    barn : Barn
        The document.
    old, new : Path
        The folder of its file, and that of the file to come.
    """
    names = dict.fromkeys(f.file for f in barn.fixtures if isinstance(f, Scan))
    return tuple(
        Copy(source=old / name, target=new / name, size=(old / name).stat().st_size)
        for name in names
        if (old / name).is_file() and not (new / name).exists()
    )


def is_long(copies: Sequence[Copy]) -> bool:
    """Tell whether a person would notice the time that copying takes."""
    return sum(copy.size for copy in copies) > LARGE


def copy_files(copies: Sequence[Copy], ticket: Ticket) -> None:
    """Copy files, each under another name until it is whole.

    Raises
    ------
    NotWrittenError
        If a file cannot be read or written.
    """
    write_parts(copies, ticket)
    name_parts(copies)


def write_parts(copies: Sequence[Copy], ticket: Ticket) -> None:
    """Copy files, and leave them under the names of unfinished ones.

    Raises
    ------
    NotWrittenError
        If a file cannot be read or written.
    """
    whole, done = sum(copy.size for copy in copies), 0
    for copy in copies:
        words = f"copying {copy.target.name}"
        with _worded(copy):
            copy.target.parent.mkdir(parents=True, exist_ok=True)
            with copy.source.open("rb") as source, copy.part.open("wb") as target:
                for count in _poured(source, target):
                    done += count
                    ticket.report(done / whole, words)
            shutil.copystat(copy.source, copy.part)


def name_parts(copies: Sequence[Copy]) -> None:
    """Give copies that are whole their own names.

    Raises
    ------
    NotWrittenError
        If that cannot be.
    """
    for copy in copies:
        with _worded(copy):
            copy.part.replace(copy.target)


def clear_parts(copies: Sequence[Copy]) -> None:
    """Delete what copying has left unfinished."""
    for copy in copies:
        copy.part.unlink(missing_ok=True)


@contextmanager
def _worded(copy: Copy) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        copy.part.unlink(missing_ok=True)
        msg = f'the scan "{copy.source}" could not be copied ({error.strerror})'
        raise NotWrittenError(msg) from error


def _poured(source: BinaryIO, target: BinaryIO) -> Iterator[int]:
    """Copy bytes, and yield how many at a time [bytes]."""
    while chunk := source.read(_CHUNK):
        target.write(chunk)
        yield len(chunk)
