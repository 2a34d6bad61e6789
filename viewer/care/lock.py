"""One window for one file: a lock beside it that names who has it open."""

from pathlib import Path

from PySide6.QtCore import QLockFile

__all__ = ["DocumentLock"]


class DocumentLock:
    """The lock of the file that is open here; mutable, for files come and go."""

    def __init__(self) -> None:
        self._path: Path | None = None
        self._lock: QLockFile | None = None

    @property
    def path(self) -> Path | None:
        """The file that is locked."""
        return self._path

    def take(self, path: Path) -> str:
        """Lock a file and let the one before go.

        Parameters
        ----------
        path : Path
            The file.

        Returns
        -------
        str
            Who has it open, empty if it is ours now. A folder that takes no lock
            is none of ours: then nobody can save there either.
        """
        path = path.resolve()
        if path == self._path:
            return ""
        lock = QLockFile(str(path.with_name(f".{path.name}.lock")))
        lock.setStaleLockTime(0)  # only the end of its process makes it stale
        if not lock.tryLock(0) and lock.error() is QLockFile.LockError.LockFailedError:
            return _holder(lock)
        self.release()
        self._path, self._lock = path, lock
        return ""

    def release(self) -> None:
        """Let the file go."""
        if self._lock is not None:
            self._lock.unlock()
        self._path = self._lock = None


def _holder(lock: QLockFile) -> str:
    """Say which program on which machine holds a lock."""
    process, machine, program = lock.getLockInfo()
    if not process:
        return "another window"
    where = f" on {machine}" if machine else ""
    return f"{program or 'a program'} (process {process}){where}"
