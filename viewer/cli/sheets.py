"""`liftlane sheets`: write what leaves the desk: sheets, tables, drawings, the room."""

import argparse
import sys
from collections.abc import Callable
from dataclasses import dataclass

__all__ = ["add", "run"]

_PAPERS = ("A4", "Letter", "A3", "Tabloid")
_KINDS = ("set", "report", "tables", "dxf", "pictures", "glb", "json")


def add(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command and its options."""
    command = commands.add_parser(
        "sheets", help="write the installer's set, tables, drawings and the room"
    )
    command.add_argument("barn", metavar="BARN", help="a barn file")
    command.add_argument(
        "--out", metavar="DIR", required=True, help="the folder to write into"
    )
    command.add_argument(
        "--paper", choices=_PAPERS, default="A4", help="paper of the PDF files"
    )
    command.add_argument(
        "--only",
        choices=_KINDS,
        nargs="+",
        default=_KINDS,
        metavar="KIND",
        help="write only some: " + ", ".join(_KINDS),
    )
    command.set_defaults(run=run)


@dataclass(frozen=True, slots=True)
class _Line:
    """One line on standard error that says how far the work is."""

    is_cancelled: bool = False

    @property
    def report(self) -> Callable[[float, str], None]:
        """Return what says it."""
        return _say


def _say(share: float, words: str) -> None:
    sys.stderr.write(f"\r{share:4.0%} {words:<60.60}")
    sys.stderr.flush()


def run(parsed: argparse.Namespace) -> int:
    """Write the sheets and return the exit code."""
    from core.analysis.analyse import analyse
    from core.barnfile.files import open_barn
    from viewer.paper.sheets.job_files import write_job
    from viewer.paper.sheets.page import Paper

    file = open_barn(parsed.barn)
    analysis = analyse(file.barn, meshes=file.meshes)
    try:
        written = write_job(
            file,
            parsed.out,
            paper=Paper(parsed.paper),
            only=parsed.only,
            name=parsed.barn,
            analysis=analysis,
            progress=_Line(),
        )
    finally:
        sys.stderr.write("\n")
    sys.stdout.write("".join(f"{path}\n" for path in written))
    return 1 if analysis.report.stops else 0
