"""The command line: its words, its exit codes, and which command does what.

Exit codes: 0 nothing to stop for, 1 a stop was found, 2 wrong usage, 3 unreadable
input, 4 cannot write, 70 a fault of the program itself.
"""

import argparse
import sys
from collections.abc import Sequence

from core.errors import LiftlaneError, NotWrittenError
from viewer.cli import check, show

__all__ = ["main"]

CANNOT_READ = 3
CANNOT_WRITE = 4
_COMMANDS = (show, check)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code."""
    parsed = _parser().parse_args(arguments)
    try:
        return int(parsed.run(parsed))
    except NotWrittenError as error:
        return _refused(error, CANNOT_WRITE)
    except LiftlaneError as error:
        return _refused(error, CANNOT_READ)


def _refused(error: LiftlaneError, code: int) -> int:
    sys.stderr.write(f"liftlane: {error}\n")
    return code


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
