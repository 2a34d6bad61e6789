"""Writing a set of files: all of them or none, with progress and cancel."""

import os
import secrets
import shutil
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from core.errors import LiftlaneError, NotWrittenError

__all__ = [
    "CancelledError",
    "Output",
    "Progress",
    "Silent",
    "made_set",
    "write_set",
]


class CancelledError(LiftlaneError):
    """The user has given up a piece of work; nothing of it was kept."""


class Progress(Protocol):
    """What long work is told and tells."""

    @property
    def is_cancelled(self) -> bool:
        """Whether to give up."""

    @property
    def report(self) -> Callable[[float, str], None]:
        """Take a share [-] and what is being done."""


@dataclass(frozen=True, slots=True)
class Silent:
    """A progress that nobody watches."""

    is_cancelled: bool = False

    @property
    def report(self) -> Callable[[float, str], None]:
        """Return a function that says nothing."""
        return _say_nothing


def _say_nothing(_share: float, _words: str) -> None:
    pass


@dataclass(frozen=True, slots=True, kw_only=True)
class Output:
    """A file to be written: its place in the folder, and what makes its bytes.

    `weight` is its share of the work against the others [-].
    """

    name: str
    make: Callable[["Progress"], bytes]
    weight: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class _Part:
    """The progress of one file within all of them."""

    whole: Progress
    done: float
    share: float

    @property
    def is_cancelled(self) -> bool:
        return self.whole.is_cancelled

    @property
    def report(self) -> Callable[[float, str], None]:
        return self._report

    def _report(self, share: float, words: str) -> None:
        self.whole.report(self.done + share * self.share, words)


def write_set(
    out: Path | str, outputs: tuple[Output, ...], progress: Progress
) -> tuple[Path, ...]:
    """Write files into a folder: all of them, or none.

    They are made in a hidden folder beside it and moved when the last one is whole;
    of what was in the folder before only files of the same names are replaced.

    Parameters
    ----------
    out : Path or str
        The folder; made when it is not there.
    outputs : tuple of Output
        What to write.
    progress : Progress
        Told of each file; asked before each whether to give up.

    Returns
    -------
    tuple of Path
        The files.

    Raises
    ------
    CancelledError
        If the work was given up; nothing is left of it.
    NotWrittenError
        If a file cannot be written; what was there before is untouched.
    """
    target = Path(out)
    try:
        with _beside(target) as fresh:
            _fill(fresh, outputs, progress)
            _put(fresh, target, [output.name for output in outputs])
    except OSError as error:
        if isinstance(error, NotWrittenError):
            raise
        why = error.strerror or str(error)
        msg = f'"{target}" could not be written ({why}); choose another place'
        raise NotWrittenError(msg) from error
    return tuple(target / output.name for output in outputs)


@contextmanager
def _beside(target: Path) -> Iterator[Path]:
    """Make a hidden folder beside another one and take it away in any case."""
    target = target.absolute()
    made = [p for p in (target.parent, *target.parent.parents) if not p.exists()]
    fresh = target.with_name(f".liftlane-{secrets.token_hex(8)}.tmp")
    try:
        fresh.mkdir(parents=True)
        yield fresh
    finally:
        shutil.rmtree(fresh, ignore_errors=True)
        for folder in made:
            _drop_empty(folder)


def _drop_empty(folder: Path) -> None:
    try:
        folder.rmdir()
    except OSError:
        return  # it holds what was written, or was never made


def made_set(outputs: Iterable[Output], progress: Progress) -> dict[str, bytes]:
    """Make files without writing them; their bytes by their names.

    Raises
    ------
    CancelledError
        If the work was given up.
    """
    return dict(_contents(tuple(outputs), progress))


def _contents(
    outputs: tuple[Output, ...], progress: Progress
) -> Iterator[tuple[str, bytes]]:
    """Yield each file with what is in it, and say how far that is."""
    total = sum(output.weight for output in outputs) or 1.0
    done = 0.0
    for output in outputs:
        _go_on(progress)
        progress.report(done / total, output.name)
        part = _Part(whole=progress, done=done / total, share=output.weight / total)
        yield output.name, output.make(part)
        done += output.weight
    _go_on(progress)
    progress.report(1.0, "done")


def _go_on(progress: Progress) -> None:
    if progress.is_cancelled:
        msg = "given up; nothing was written"
        raise CancelledError(msg)


def _fill(fresh: Path, outputs: tuple[Output, ...], progress: Progress) -> None:
    for name, content in _contents(outputs, progress):
        path = fresh / name
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("xb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())


def _put(fresh: Path, target: Path, names: list[str]) -> None:
    """Move whole files to their places; put the old ones back when one cannot go."""
    if not target.exists():
        fresh.rename(target)
        return
    old = fresh / ".old"
    moved: list[str] = []
    try:
        for name in names:
            moved.append(name)
            _swap(fresh / name, target / name, old / name)
    except OSError:
        for name in reversed(moved):
            _swap_back(target / name, old / name, fresh / name)
        raise


def _swap(new: Path, place: Path, kept: Path) -> None:
    place.parent.mkdir(parents=True, exist_ok=True)
    if place.exists():
        kept.parent.mkdir(parents=True, exist_ok=True)
        place.rename(kept)
    new.rename(place)


def _swap_back(place: Path, kept: Path, new: Path) -> None:
    if not new.exists() and place.exists():
        place.unlink()
    if kept.exists():
        kept.rename(place)
