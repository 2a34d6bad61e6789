"""`liftlane open`: show the window."""

import argparse

__all__ = ["add", "run"]


def add(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command and its options."""
    command = commands.add_parser("open", help="show a barn in the window")
    command.add_argument("barn", nargs="?", metavar="BARN", help="a barn file")
    command.set_defaults(run=run)


def run(parsed: argparse.Namespace) -> int:
    """Show the window until it is closed and return the exit code."""
    from viewer.app import start

    return start.run(getattr(parsed, "barn", None))
