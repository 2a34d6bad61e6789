"""Writing a file in one go: the old one stays until the new one is whole."""

import errno
import os
import stat
from pathlib import Path

from core.errors import NotWrittenError

__all__ = ["write_whole"]


def write_whole(path: Path | str, content: bytes) -> None:
    """Put a file in its place, whole or not at all.

    Parameters
    ----------
    path : Path or str
        The file; a link stays a link, and a file keeps its permissions.
    content : bytes
        All of it.

    Raises
    ------
    NotWrittenError
        If the file cannot be written; what was there before is untouched.
    """
    try:
        _replace(Path(path), content)
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or str(error)
        msg = f'"{path}" could not be written ({why}); choose another place'
        raise NotWrittenError(msg) from error


def _replace(path: Path, content: bytes) -> None:
    """Write beside the file, then put the new one in its place."""
    target = path.resolve()  # a link stays a link
    import secrets  # takes long to load, and most barns are only read

    fresh = target.with_name(f".liftlane-{secrets.token_hex(8)}.tmp")
    exists = target.exists()
    if exists and not os.access(target, os.W_OK):
        raise PermissionError(errno.EACCES, "the file is read-only")
    try:
        with fresh.open("xb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        if exists:
            fresh.chmod(stat.S_IMODE(target.stat().st_mode))
        os.replace(fresh, target)
    except BaseException:
        fresh.unlink(missing_ok=True)
        raise
