"""Copies of unsaved work that outlive the program, and finding them again."""

import json
import secrets
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from PySide6.QtCore import QLockFile, QSaveFile, QStandardPaths

from core.barnfile.files import BarnFile, read_text
from core.barnfile.scans import MeshLibrary, Tell
from core.errors import BarnFileError, NotWrittenError

__all__ = ["Recovered", "Slot", "abandoned", "recovery_folder"]

_FORMAT = 1


def recovery_folder() -> Path:
    """Return where this user's copies are kept."""
    where = QStandardPaths.StandardLocation.AppLocalDataLocation
    return Path(QStandardPaths.writableLocation(where)) / "recovery"


@dataclass(frozen=True, slots=True, kw_only=True)
class Recovered:
    """A copy that a window has left: of which file, from when, under which name."""

    file: Path
    origin: Path | None
    saved: datetime
    name: str

    @property
    def folder(self) -> Path:
        """The folder that its scans are relative to."""
        return self.origin.parent if self.origin else Path()

    def read(
        self, *, library: MeshLibrary | None = None, tell: Tell | None = None
    ) -> BarnFile:
        """Read the barn with the meshes of its scans.

        Parameters
        ----------
        library : MeshLibrary, optional
            That of its folder, which then remembers what was read.
        tell : callable, optional
            Told what is being read, with the share that is done [-].

        Returns
        -------
        BarnFile
            The document as it was.

        Raises
        ------
        BarnFileError
            If the copy or a scan cannot be used.
        """
        held = json.loads(self.file.read_text("utf-8"))
        where = f"the copy of {self.name}"
        file = read_text(held["barn"], where=where)
        library = library or MeshLibrary(self.folder)
        meshes, faults = library.load(file.barn, tell=tell)
        if faults:
            raise BarnFileError(where, faults)
        return replace(file, meshes=meshes)

    def remove(self) -> None:
        """Delete the copy."""
        self.file.unlink(missing_ok=True)
        self.file.with_suffix(".lock").unlink(missing_ok=True)


class Slot:
    """The place of one window's copy, locked as long as the window lives."""

    def __init__(self, folder: Path) -> None:
        with suppress(OSError):  # then writing says why, the window still opens
            folder.mkdir(parents=True, exist_ok=True)
        self.file = folder / f"{secrets.token_hex(8)}.json"
        self._lock = _lock_of(self.file)
        self._lock.lock()

    def write(self, file: BarnFile, origin: Path | None) -> None:
        """Write a copy in one go; may be called from any thread.

        Raises
        ------
        NotWrittenError
            If the folder takes no file; the copy before is still there.
        """
        held = {
            "liftlane-recovery": _FORMAT,
            "origin": str(origin.resolve()) if origin else None,
            "saved": datetime.now().astimezone().isoformat(timespec="seconds"),
            "name": file.barn.name,
            "barn": file.text,
        }
        save = QSaveFile(str(self.file))
        done = (
            save.open(QSaveFile.OpenModeFlag.WriteOnly)
            and save.write(json.dumps(held).encode()) >= 0
            and save.commit()
        )
        if not done:
            msg = f"no copy of unsaved work could be written ({save.errorString()})"
            raise NotWrittenError(msg)

    def clear(self) -> None:
        """Delete the copy; the place stays this window's."""
        self.file.unlink(missing_ok=True)

    def close(self) -> None:
        """Delete the copy and let the place go."""
        self.clear()
        self._lock.unlock()


def abandoned(folder: Path) -> tuple[Recovered, ...]:
    """Find the copies whose windows are no longer there, the newest first.

    Parameters
    ----------
    folder : Path
        Where copies are kept.

    Returns
    -------
    tuple of Recovered
        A file that is no copy is left alone.
    """
    found = [
        copy
        for file in folder.glob("*.json")
        if _is_free(file) and (copy := _copy_in(file)) is not None
    ]
    return tuple(sorted(found, key=lambda copy: copy.saved, reverse=True))


def _lock_of(file: Path) -> QLockFile:
    """Return the lock of a copy; only the end of its process makes it stale."""
    lock = QLockFile(str(file.with_suffix(".lock")))
    lock.setStaleLockTime(0)
    return lock


def _is_free(file: Path) -> bool:
    lock = _lock_of(file)
    free = lock.tryLock(0)
    if free:
        lock.unlock()
    return free


def _copy_in(file: Path) -> Recovered | None:
    """Read the head of a copy, None if it is none."""
    try:
        held = json.loads(file.read_text("utf-8"))
        if held["liftlane-recovery"] != _FORMAT:
            return None
        return Recovered(
            file=file,
            origin=Path(held["origin"]) if held["origin"] else None,
            saved=datetime.fromisoformat(held["saved"]),
            name=str(held["name"]),
        )
    except (OSError, ValueError, KeyError, TypeError):
        return None
