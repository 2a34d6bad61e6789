"""Writing what leaves the desk into files, each whole or not at all."""

from pathlib import Path

from core.barnfile.atomic import write_whole

__all__ = ["write_bytes", "write_text"]


def write_text(path: Path | str, text: str) -> None:
    """Write a text file in UTF-8 with the line ends as they are given.

    Parameters
    ----------
    path : Path or str
        The file; an old one is replaced only once the new one is whole.
    text : str
        All of it.

    Raises
    ------
    NotWrittenError
        If the file cannot be written; what was there before is untouched.
    """
    write_whole(path, text.encode("utf-8"))


def write_bytes(path: Path | str, content: bytes) -> None:
    """Write a file of bytes.

    Parameters
    ----------
    path : Path or str
        The file; an old one is replaced only once the new one is whole.
    content : bytes
        All of it.

    Raises
    ------
    NotWrittenError
        If the file cannot be written; what was there before is untouched.
    """
    write_whole(path, content)
