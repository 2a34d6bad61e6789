"""Work for the tests of making: it runs in another process, so it is in a module."""

import os
import time
from collections.abc import Sequence
from pathlib import Path

from core.errors import NotWrittenError
from viewer.care.copying import Copy
from viewer.jobs import Ticket

__all__ = [
    "ended",
    "endless",
    "endless_copy",
    "files",
    "hello",
    "spoiled",
    "unwritable",
]


def hello(ticket: Ticket) -> bytes:
    """Make a small file."""
    ticket.report(0.5, "half")
    return f"made by {os.getpid()}".encode()


def files(count: int, _ticket: Ticket) -> dict[str, bytes]:
    """Make several files, one of them in a folder of its own."""
    return {f"{k}.txt" if k else "first/0.txt": b"%d" % k for k in range(count)}


def endless(begun: Path, ticket: Ticket) -> bytes:
    """Work until somebody ends it."""
    begun.write_text(str(os.getpid()))
    ticket.report(0.1, "working")
    while True:
        time.sleep(0.01)


def endless_copy(
    _path: Path, _wanted: object, copies: Sequence[Copy], ticket: Ticket
) -> bytes:
    """Begin to copy, and come to no end."""
    return endless(copies[0].part, ticket)


def spoiled(_ticket: Ticket) -> bytes:
    """Fail as a fault of the program does."""
    msg = "spoiled on purpose"
    raise ValueError(msg)


def unwritable(_ticket: Ticket) -> bytes:
    """Fail in words for the user."""
    msg = "the film has no pictures; make it longer"
    raise NotWrittenError(msg)


def ended(_ticket: Ticket) -> bytes:
    """End the process as the system does when memory is short."""
    os._exit(1)
