"""The command line: its words, its exit codes, and which command does what.

Exit codes: 0 nothing to stop for, 1 a stop was found, 2 wrong usage, 3 unreadable
input, 4 cannot write, 70 a fault of the program itself, 130 interrupted.
"""

import argparse
import os
import sys
from collections.abc import Sequence

from core.errors import LiftlaneError, NotWrittenError
from viewer.cli import before_after, check, phone, picture, sheets, show, walk
from viewer.cli.faults import (
    CANNOT_READ,
    CANNOT_WRITE,
    INTERRUPTED,
    OWN_FAULT,
    fault_words,
    told,
)

__all__ = ["main"]

_COMMANDS = (show, check, sheets, picture, before_after, walk, phone)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code."""
    _write_any_text()
    parsed = _parser().parse_args(arguments)
    try:
        code = int(parsed.run(parsed))
        _flush()
        return code
    except NotWrittenError as error:
        told(str(error))
        return CANNOT_WRITE
    except LiftlaneError as error:
        told(str(error))
        return CANNOT_READ
    except KeyboardInterrupt:
        return INTERRUPTED
    except BrokenPipeError:  # who reads the output has read enough
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return CANNOT_WRITE
    except BaseException as error:
        if not isinstance(error, Exception):
            raise
        told(fault_words(error))
        return OWN_FAULT


def _flush() -> None:
    """Let what is still to be written fail here; a window has no output."""
    if hasattr(sys.stdout, "flush"):
        sys.stdout.flush()


def _write_any_text() -> None:
    """Let a name that the terminal cannot show come out escaped, not as a fault."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="liftlane",
        description="Lay out, check and show winch-lifted discharge pipes.",
    )
    parser.set_defaults(run=show.run)
    commands = parser.add_subparsers(dest="command", metavar="COMMAND")
    for command in _COMMANDS:
        command.add(commands)
    return parser
