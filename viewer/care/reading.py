"""Reading a barn with its scans: here when that is quick, elsewhere when it is not."""

import re
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Protocol

from core.barnfile.files import BarnFile, open_barn
from core.barnfile.scans import MeshLibrary
from core.errors import LiftlaneError
from viewer.care.recovery import Recovered
from viewer.jobs import Ticket

__all__ = ["LARGE", "Opened", "Reading", "Reads", "ReadsHere", "of_copy", "of_file"]

# what is read in a tenth of a second on a slow machine [bytes of a mesh file that
# is text, the slowest kind]; a barn file takes longer for each of its bytes
LARGE = 2_000_000
_BARN_WEIGHT = 14
_SCAN_FILE = re.compile(rb'\\?"file\\?"\s*:\s*\\?"([^"\\]+)')


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Opened:
    """A barn file as it was read, with the library that has its scans."""

    file: BarnFile
    library: MeshLibrary


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """Something to read: what to say meanwhile, how to read it, how much it is.

    `make` can run in another process; `bulk` is a guess [bytes].
    """

    title: str
    make: Callable[[Ticket], Opened]
    bulk: int

    @property
    def is_long(self) -> bool:
        """Whether a person would notice the time that it takes."""
        return self.bulk > LARGE


class Reads(Protocol):
    """Who reads: at once, or later without making anybody wait."""

    def read(
        self,
        reading: Reading,
        *,
        done: Callable[[Opened], object],
        refused: Callable[[LiftlaneError], object],
    ) -> None:
        """Read, and hand over what was read or why it cannot be used."""


class ReadsHere:
    """Reads at once, while everything waits."""

    def read(
        self,
        reading: Reading,
        *,
        done: Callable[[Opened], object],
        refused: Callable[[LiftlaneError], object],
    ) -> None:
        """Read, and hand over what was read or why it cannot be used."""
        try:
            opened = reading.make(Ticket(_unheard))
        except LiftlaneError as error:
            refused(error)
        else:
            done(opened)


def of_file(path: Path) -> Reading:
    """Return the reading of a barn file."""
    return Reading(
        title=f"Opening {path.name}",
        make=partial(_opened, path),
        bulk=_bulk(path, path.parent),
    )


def of_copy(found: Recovered) -> Reading:
    """Return the reading of a copy of unsaved work."""
    return Reading(
        title=f"Recovering {found.name}",
        make=partial(_recovered, found),
        bulk=_bulk(found.file, found.folder),
    )


def _opened(path: Path, ticket: Ticket) -> Opened:
    library = MeshLibrary(path.parent)
    file = open_barn(path, library=library, tell=ticket.report)
    return Opened(file=file, library=library)


def _recovered(found: Recovered, ticket: Ticket) -> Opened:
    library = MeshLibrary(found.folder)
    file = found.read(library=library, tell=ticket.report)
    return Opened(file=file, library=library)


def _unheard(_share: float, _words: str) -> None:
    pass


def _bulk(path: Path, folder: Path) -> int:
    """Guess how much there is to read, from the sizes of the files [bytes]."""
    bulk = 0
    with suppress(OSError, ValueError):  # reading it will say why
        size = path.stat().st_size
        bulk = size * _BARN_WEIGHT
        if bulk <= LARGE:
            names = set(_SCAN_FILE.findall(path.read_bytes()))
            bulk += sum(_size(folder / name.decode()) for name in names)
    return bulk


def _size(path: Path) -> int:
    with suppress(OSError, ValueError):
        return path.stat().st_size
    return 0
