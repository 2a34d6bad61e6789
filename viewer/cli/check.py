"""`liftlane check`: say where each run can and cannot go, and what must stop."""

import argparse
import gc
import json
import os
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from core.errors import LiftlaneError
from viewer.cli.faults import CANNOT_READ, OWN_FAULT, fault_words, told

if TYPE_CHECKING:
    from core.quantities import LengthStyle

__all__ = ["Checked", "add", "check_one", "run"]

STOP = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Checked:
    """What came of one barn: its report, or why there is none.

    `code` is the exit code that this barn alone would give.
    """

    barn: str
    code: int
    text: str = ""
    report: dict[str, Any] | None = None
    fault: str = ""


def add(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command and its options."""
    command = commands.add_parser(
        "check",
        help="say where each run can and cannot go, and what must stop",
        epilog="Exit code: 0 nothing to stop for, 1 a stop, 2 wrong usage, "
        "3 unreadable input, 4 cannot write, 70 a fault of the program itself.",
    )
    command.add_argument("barns", nargs="+", metavar="BARN", help="a barn file")
    command.add_argument(
        "--json",
        metavar="FILE",
        help="write the report as JSON too; - writes it, and no words, to standard "
        "output",
    )
    command.add_argument(
        "--unit",
        choices=("ft", "mm"),
        help="how lengths are written; left out, as the job says",
    )
    command.set_defaults(run=run)


def run(parsed: argparse.Namespace) -> int:
    """Check the barns, write what came of them, and return the exit code."""
    with _nothing_collected():
        results = _checked(parsed.barns, parsed.unit)
    for result in results:
        if result.fault:
            told(result.fault)
    _write(results, parsed.json)
    codes = {result.code for result in results}
    return next((code for code in (OWN_FAULT, CANNOT_READ, STOP) if code in codes), 0)


@contextmanager
def _nothing_collected() -> Iterator[None]:
    """Look for no garbage: loading and one check leave little, looking takes long."""
    before = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if before:
            gc.enable()


def _checked(barns: Sequence[str], unit: str | None) -> list[Checked]:
    """Check one barn here, several side by side in processes, in their order."""
    if len(barns) == 1:
        return [check_one(barns[0], unit)]
    # a late import: it takes longer to load than a twentieth of a check
    from concurrent.futures import ProcessPoolExecutor, as_completed

    workers = min(len(barns), os.cpu_count() or 1)
    with ProcessPoolExecutor(max_workers=workers) as pool:
        jobs = [pool.submit(check_one, barn, unit) for barn in barns]
        for count, job in enumerate(as_completed(jobs), start=1):
            barn = barns[jobs.index(job)]
            sys.stderr.write(f"checked {count} of {len(barns)}: {barn}\n")
        return [job.result() for job in jobs]


def check_one(barn: str, unit: str | None) -> Checked:
    """Check one barn file; whatever goes wrong becomes its fault and its code."""
    try:
        return _report(barn, unit)
    except LiftlaneError as error:
        return Checked(barn=barn, code=CANNOT_READ, fault=str(error))
    except BaseException as error:
        if not isinstance(error, Exception):
            raise
        return Checked(barn=barn, code=OWN_FAULT, fault=f"{barn}: {fault_words(error)}")


def _report(barn: str, unit: str | None) -> Checked:
    from core.analysis.analyse import analyse
    from core.barnfile.files import open_barn
    from core.outputs.report_json import report_json
    from core.outputs.report_text import report_text

    opened = open_barn(barn)
    report = analyse(opened.barn, meshes=opened.meshes).report
    style = _style(unit or opened.barn.job.display)
    return Checked(
        barn=barn,
        code=STOP if report.stops else 0,
        text=report_text(report, style=style, barn=barn),
        report=report_json(report, style=style, barn=barn),
    )


def _style(unit: str) -> "LengthStyle":
    from core.quantities import LengthStyle

    return LengthStyle.MILLIMETRES if unit == "mm" else LengthStyle.FEET


def _write(results: Sequence[Checked], target: str | None) -> None:
    """Write words to standard output, and JSON where it is asked for."""
    found = [result for result in results if result.report is not None]
    if target == "-":
        sys.stdout.write(_json(results) if found else "")
        return
    if target is not None and found:
        from core.outputs.files import write_text

        write_text(target, _json(results))
    sys.stdout.write("\n".join(result.text for result in found))


def _json(results: Sequence[Checked]) -> str:
    """Return one report as it is, several as a list, with faults in their places."""
    rows = list(_rows(results))
    whole = rows[0] if len(rows) == 1 else rows
    return json.dumps(whole, indent=1, allow_nan=False) + "\n"


def _rows(results: Sequence[Checked]) -> Iterator[dict[str, Any]]:
    from core.outputs.report_json import REPORT_SCHEMA

    for result in results:
        fault = {"schema": REPORT_SCHEMA, "barn": result.barn, "fault": result.fault}
        yield fault if result.report is None else result.report
